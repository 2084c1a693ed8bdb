"""How tables were understood, remembered on this PC by the names of their columns; and mapping files.

A mapping file is JSON: a list of tables, each with its key, the answers in force and, to choose from, the answers that
its open questions may have.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackview.core.errors import InputError
from rackview.language import _
from rackview.services import places
from rackview.store import files

if TYPE_CHECKING:
    from rackview.exchange.draft import ImportDraft
    from rackview.exchange.freeform.question import Answers

MOST = 200
"""Headers remembered; the oldest is forgotten first."""
WANTED = _("a mapping file: {“tables”: [{“key”: “…”, “answers”: {“question”: “answer”}}]}")


def _place() -> Path:
    return places.config_dir() / "import-mappings.json"


def kept_answers() -> dict[str, Answers]:
    """The answers remembered, by header key; none if there are none or they can't be read."""
    with suppress(OSError, ValueError, InputError):
        return _answers(json.loads(_place().read_text(encoding="utf-8")))
    return {}


def keep_answers(found: ImportDraft) -> None:
    """Keep the answers that were given for each table; a place that can't be written is passed over."""
    given = {u.header_key: dict(u.answers) for u in found.foreign if u.answers}
    if not given:
        return
    kept = {**{k: v for k, v in kept_answers().items() if k not in given}, **given}
    tables = [{"key": k, "answers": v} for k, v in list(kept.items())[-MOST:]]
    with suppress(OSError):
        files.make_folder(_place().parent)
        fresh = _place().with_suffix(".part")
        files.make_file(fresh)
        fresh.write_text(json.dumps({"tables": tables}, ensure_ascii=False, indent=1), encoding="utf-8")
        fresh.replace(_place())


def read_mapping(path: Path) -> dict[str, Answers]:
    """The answers in a mapping file by header key; raises `InputError` and `OSError`."""
    try:
        return _answers(json.loads(path.read_text(encoding="utf-8")))
    except ValueError as error:
        if isinstance(error, InputError):
            raise
        raise InputError("map", path.name, WANTED) from None


def _answers(said: Any) -> dict[str, Answers]:
    tables = said.get("tables") if isinstance(said, dict) else None
    if not isinstance(tables, list):
        raise InputError("map", type(said).__name__, WANTED)
    found: dict[str, Answers] = {}
    for table in tables:
        answers = table.get("answers") if isinstance(table, dict) else None
        if not isinstance(answers, dict) or not all(isinstance(v, str) for v in answers.values()):
            raise InputError("map", _("a table without answers in words"), WANTED)
        found[str(table.get("key", ""))] = answers
    return found


def write_mapping(found: ImportDraft, path: Path) -> None:
    """Write what is guessed and asked of each table, to be looked through and given back; raises `OSError`."""
    tables: list[Mapping[str, object]] = [
        {
            "file": u.label,
            "key": u.header_key,
            "answers": {q.key: u.answer(q.key) for q in u.questions},
            "choices": {q.key: list(q.options) for q in u.questions if q.options and not q.plain},
            "questions": {q.key: q.text for q in u.questions if not q.plain},
        }
        for u in found.foreign
    ]
    path.write_text(json.dumps({"tables": tables}, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
