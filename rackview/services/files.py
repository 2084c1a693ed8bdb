"""Tables in and out of a store: look first, then take all of it, what is good of it, or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from rackview.core.garbage import uncollected
from rackview.core.rack import Rack
from rackview.exchange.freeform.question import NEW_VOLUME, UNKNOWN
from rackview.exchange.intake import Intake
from rackview.language import _
from rackview.services import mappings
from rackview.services.copies import known_id
from rackview.services.rack_session import Change, RackSession
from rackview.services.sessions import open_session
from rackview.store.beside import short
from rackview.store.connect import is_store
from rackview.store.files import make_file, make_folder

if TYPE_CHECKING:
    from rackview.exchange.draft import ImportDraft, Read
    from rackview.exchange.freeform.question import Answers, Question
    from rackview.exchange.freeform.understand import Understanding
    from rackview.exchange.intake import LineVerdict

__all__ = [
    "NEW_VOLUME", "UNKNOWN",
    "ImportDraft", "LineVerdict", "Question", "Read", "Understanding", "draft", "give_labels", "give_out",
    "give_workbook", "import_files", "keep_raw", "label_code", "open_files", "preview", "record_intake",
    "write_refused",
]  # fmt: skip

STORE = _("It is a rackview store and no table; “rackview merge” takes the entries of another store in.")

HISTORY = 500
"""Lines of an import from which what is believed is worked out at once and kept, not at every command after it."""


def open_files(paths: Iterable[str | Path], text: bytes = b"") -> list[Read]:
    """Every sheet of the files, or why a file can't be read; “-” stands for `text`, as it came from standard input."""
    from rackview.exchange.draft import read_all, read_bytes
    from rackview.exchange.intake import clear
    from rackview.exchange.sheets import UnreadableError

    found: list[Read] = []
    for path in map(Path, paths):
        if str(path) == "-":
            found += read_bytes(text, _("standard input"))
        elif is_store(path):  # never read as a plain file: closing it would drop the locks of whoever has it open here
            found.append((clear(path.name), UnreadableError(0, STORE)))
        else:
            found += read_all([path])
    return found


def draft(
    sheets: Iterable[Read],
    rack: Rack,
    now: datetime,
    answers: Mapping[str, Answers] | None = None,
    *,
    good_only: bool = False,
    tell: Callable[[float], None] = lambda _: None,
) -> ImportDraft:
    """What the sheets would add to the rack, and what must be answered first; nothing is written.

    `answers` are by header key; what is not answered there is taken from what was answered for such a table before.
    `tell` hears which share of the lines is looked through.
    """
    from rackview.exchange.draft import draft_of

    known = {**mappings.kept_answers(), **(answers or {})}
    return draft_of(list(sheets), rack, now, answers=known, good_only=good_only, tell=tell)


def preview(paths: Iterable[str | Path], rack: Rack, now: datetime) -> ImportDraft:
    """What the files would add to the rack, line by line. Never raises for what is in them."""
    return draft(open_files(paths), rack, now)


def record_intake(session: RackSession, intake: Intake, words: str = "Import") -> Change:
    """Record all that an intake adds as one step; raises `StoreError`, and `ValueError` if it may not be taken."""
    if intake.refused and not intake.partial:
        raise ValueError("an intake with refused lines can't be taken in")
    return session.take(
        vessels=intake.vessels,
        events=intake.events,
        stock=intake.stock,
        broods=intake.broods,
        demand=intake.demand,
        standing=intake.standing,
        tanks=intake.tanks,
        settings=intake.settings,
        strains=intake.strains,
        groups=intake.groups,
        words=words,
        parsed=True,
    )


def import_files(
    paths: Iterable[str | Path],
    store: Path,
    clock: Callable[[], datetime],
    answers: Mapping[str, Answers] | None = None,
    *,
    text: bytes = b"",
    good_only: bool = False,
    taken: Callable[[ImportDraft], None] = lambda _: None,
    looked: Callable[[float], None] = lambda _: None,
    tell: Callable[[float], None] = lambda _: None,
) -> ImportDraft:
    """Take files into the store at `store`; it is made only if there is something to take.

    Nothing was written if questions are open, or if lines are refused and not only the good ones are wanted. Answers
    that led to an import are remembered for tables with the same header. `looked` hears which share of the lines is
    looked through, `taken` is called as soon as they are in the store; what is believed of a long history is worked out
    after that, `tell` hears which share is done, and Ctrl+C leaves the rest to the next start. Raises `StoreError`.
    """
    paths = list(paths)
    with uncollected():
        found = _import_files(
            open_files(paths, text), store, clock, answers, good_only=good_only, taken=taken, looked=looked, tell=tell
        )
    if _worth_taking(found):
        keep_raw(found, paths, store)
    return found


def _import_files(
    listed: list[Read],
    store: Path,
    clock: Callable[[], datetime],
    answers: Mapping[str, Answers] | None,
    *,
    good_only: bool,
    taken: Callable[[ImportDraft], None],
    looked: Callable[[float], None],
    tell: Callable[[float], None],
) -> ImportDraft:
    first: ImportDraft | None = None
    if not store.exists():
        first = draft(listed, Rack.build(()), clock(), answers, good_only=good_only, tell=looked)
        if not _worth_taking(first):
            return first
    session = open_session(store, clock)
    try:
        # what was looked at against an empty rack holds if the store, just made, is still empty
        found = first if first is not None and not session.rack.vessels else None
        found = found or draft(listed, session.rack, session.now(), answers, good_only=good_only, tell=looked)
        if _worth_taking(found):
            if not found.intake.refused:  # nothing needs what was read any more, which is more than what is taken
                listed.clear()
                first, found = None, replace(found, sheets=())
            record_intake(session, found.intake)
            mappings.keep_answers(found)
            taken(found)
            if found.intake.count("taken") >= HISTORY:
                with suppress(KeyboardInterrupt):  # every line is in the store
                    session.keep_beliefs(tell)
        return found
    finally:
        session.close()


def _worth_taking(found: ImportDraft) -> bool:
    intake = found.intake
    return not found.open and intake.count("taken") > 0 and (intake.partial or not intake.refused)


def keep_raw(found: ImportDraft, paths: Iterable[str | Path], store: Path) -> list[Path]:
    """Copy loggers' files, of which only means were recorded, into a folder beside the store; raises `OSError`.

    A file that lies there already stays; another of the same name gets a number.
    """
    from rackview.exchange.intake import clear

    kept = []
    folder = store.with_name(f"{store.stem}-loggers-{short(known_id(store))}")
    for path in map(Path, paths):
        if clear(path.name) not in found.loggers or not path.is_file():
            continue
        make_folder(folder)
        data = path.read_bytes()
        place, number = folder / path.name, 1
        while place.exists() and place.read_bytes() != data:
            number += 1
            place = folder / f"{path.stem}-{number}{path.suffix}"
        if not place.exists():
            make_file(place)
            place.write_bytes(data)
        kept.append(place)
    return kept


def write_refused(found: ImportDraft, path: Path) -> None:
    """Save the refused lines as a CSV file with the reason of each, to be mended and imported; raises `OSError`."""
    from rackview.exchange.refusals import refused_text

    fresh = path.with_name(path.name + ".part")
    fresh.write_text(refused_text(found), encoding="utf-8", newline="")
    fresh.replace(path)


def give_out(rack: Rack, folder: str | Path) -> list[Path]:
    """Write every table of the rack as CSV into a folder; return the files. Raises `OSError`."""
    from rackview.exchange.writer import export

    return export(rack, folder)


def give_workbook(rack: Rack, folder: str | Path) -> Path:
    """Write every table of the rack as a sheet of one workbook in a folder; raises `OSError` and `InputError`."""
    from rackview.exchange.workbook_out import export_workbook

    return export_workbook(rack, folder)


def give_labels(rack: Rack, folder: str | Path) -> Path:
    """Write a page of labels for the vessels into a folder; raises `OSError`."""
    from rackview.exchange.labels import write_labels

    return write_labels(rack, folder)


def label_code(text: str) -> tuple[tuple[bool, ...], ...]:
    """The code of a vessel's label as rows of dark (True) and light squares."""
    from rackview.exchange.labels import modules

    return modules(text)
