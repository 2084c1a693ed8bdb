"""Tables in and out of a store, and its safe copies: look first, then take all of it or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from rackview.core.rack import Rack
from rackview.exchange.intake import Intake
from rackview.services.desk import Desk
from rackview.services.faults import StoreError
from rackview.services.sessions import open_desk

__all__ = ["Answer", "StoreError", "export", "import_files", "look", "take_in"]


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of an import: one sentence, and one for each line that was refused."""

    headline: str
    refused: tuple[str, ...] = ()


def look(paths: Iterable[str | Path], rack: Rack, now: datetime) -> Intake:
    """What the files would add to the rack, line by line; nothing is written. Never raises for what is in them."""
    from rackview.exchange.reader import read_files

    return read_files(paths, rack, now)


def take_in(desk: Desk, paths: Iterable[str | Path], words: str = "Import") -> Answer:
    """Take files into an open store as one step, all of them or nothing; raises `StoreError`."""
    intake = look(paths, desk.rack, desk.now())
    if not intake.refused:
        _take(desk, intake, words)
    return answer(intake)


def import_files(paths: Iterable[str | Path], store: Path, clock: Callable[[], datetime]) -> Answer:
    """Take files into the store at `store`, all of them or nothing; it is made only if there is something to take.

    Raises `StoreError`.
    """
    if not store.exists():
        intake = look(paths, Rack.build(()), clock())
        if intake.refused or not intake.count("taken"):
            return answer(intake)
    desk = open_desk(store, clock)
    try:
        return take_in(desk, paths)
    finally:
        desk.close()


def answer(intake: Intake, *, dry: bool = False) -> Answer:
    """The sentence for an intake as a whole, and those for its refused lines."""
    taken, known, refused = (intake.count(v) for v in ("taken", "known", "refused"))
    if refused:
        lines = "1 line" if refused == 1 else f"{refused} lines"
        return Answer(f"Nothing was taken in, as {lines} can't be.", tuple(map(str, intake.refused)))
    lines = "1 line" if taken == 1 else f"{taken} lines"
    done = "would be taken in" if dry else "taken in"
    return Answer(f"{lines} {done}, {known} there already.")


def export(desk: Desk, folder: str | Path) -> str:
    """Write every table of the rack as CSV into a folder; return a sentence that says so. Raises `OSError`."""
    from rackview.exchange.writer import export as write

    written = write(desk.rack, folder)
    return f"{len(written)} tables written to {folder}; dictionary.csv says what their columns mean."


def _take(desk: Desk, intake: Intake, words: str) -> None:
    desk.take(
        vessels=intake.vessels,
        events=intake.events,
        stock=intake.stock,
        broods=intake.broods,
        demand=intake.demand,
        settings=intake.settings,
        strains=intake.strains,
        groups=intake.groups,
        words=words,
    )
