"""What must be asked about the vessels of a table: which one it is of, and whom names mean that no vessel bears."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from rackview.core.rack import Rack
from rackview.exchange.freeform.numbers import is_missing_value
from rackview.exchange.freeform.question import NEW_VOLUME, OTHER, RENAMED, UNKNOWN, VESSEL, Answers, Question
from rackview.exchange.freeform.table import names_in, nearest_name, plain_name
from rackview.exchange.freeform.targets import OUT
from rackview.exchange.sheets import Sheet
from rackview.language import _

MOST_NAMED = 6
"""So many names are asked about or told at once."""


def ask_vessels(
    sheet: Sheet,
    titles: Sequence[str],
    meaning: Mapping[str, str],
    held: Mapping[str, Sequence[object]],
    rack: Rack,
    given: Answers,
    asked: list[Question],
) -> None:
    """Add to what is asked which vessel the table is of, or which those are that it names."""
    own = names_in(rack)
    columns = [h for h, name in meaning.items() if name == "vessel"]
    if not columns:
        named = own.get(plain_name(sheet.title)) if sheet.title else None
        named = named or _named_in(sheet.label, own) or _named_in(" ".join(titles), own)
        only = next(iter(rack.vessels), "") if len(rack.vessels) == 1 else ""
        text = _("Which vessel is this table of?")
        asked.append(Question(VESSEL, text, tuple(rack.vessels), named or only, plain=bool(named)))
        return
    names = dict.fromkeys(_name(c) for h in columns for c in held[h] if not is_missing_value(c))
    strange = _ask_names([n for n in names if plain_name(n) not in own], own, rack, given, asked)
    if strange:
        _ask_new(strange, meaning, rack, given, asked)


def _ask_names(
    names: Sequence[str], own: Mapping[str, str], rack: Rack, given: Answers, asked: list[Question]
) -> list[str]:
    """Ask which vessel each name means that none bears; return those of which that is not asked, or not answered so.

    It is asked of a name that is nearly a vessel's, and of any once the keeper says that they are vessels of this rack.
    """
    strange = []
    open_ones = 0
    for name in names:
        key, near = f"{VESSEL} {name}", nearest_name(name, own)
        said = given.get(key)
        settled = said in {*rack.vessels, OUT}
        wanted = settled or said == OTHER or bool(near) or given.get(UNKNOWN) == RENAMED
        if not settled and (said == OTHER or not near):
            strange.append(name)
        if not settled and (open_ones := open_ones + 1) > MOST_NAMED:
            continue
        others = [vessel for vessel in rack.vessels if vessel != near]
        options = (*([near] if near else []), *others, OTHER, OUT)
        asked.append(Question(key, _("Which vessel is “{name}”?").format(name=name), options, near, plain=not wanted))
    return strange


def _ask_new(
    strange: Sequence[str], meaning: Mapping[str, str], rack: Rack, given: Answers, asked: list[Question]
) -> None:
    shown = ", ".join(strange[:MOST_NAMED]) + (" …" if len(strange) > MOST_NAMED else "")
    text = _("No vessel of this rack is called {shown}. What are they?").format(shown=shown)
    renamed = (RENAMED,) if rack.vessels else ()
    if "strain" in meaning.values():
        options: tuple[str, ...] = ("new vessels", *renamed, OUT)
    else:
        options = (*(f"new {s}" for s in rack.strains), *renamed, OUT)
    asked.append(Question(UNKNOWN, text, options, options[0]))
    answer = given.get(UNKNOWN, options[0])
    if answer.startswith("new ") and not any(m.startswith("working volume") for m in meaning.values()):
        asked.append(Question(NEW_VOLUME, _("How many litres does each of the new vessels hold?"), (), ""))


def _name(cell: object) -> str:
    return str(int(cell)) if isinstance(cell, float) and cell.is_integer() else " ".join(str(cell).split())


def _named_in(label: str, own: Mapping[str, str]) -> str:
    """A vessel that the file's name bears as a word of its own."""
    words = {w.lower() for w in re.split(r"[\s._:,()\-]+", label)}
    found = [v for v in own.values() if v.lower() in words]
    return found[0] if len(found) == 1 else ""
