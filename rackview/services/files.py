"""Tables in and out of a store: look first, then take all of it or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

from rackview.core.rack import Rack
from rackview.exchange.intake import Intake, Line, clear
from rackview.services.desk import Change, Desk
from rackview.services.sessions import open_desk
from rackview.store.connect import is_store

__all__ = ["give_out", "import_files", "look", "take_in"]

STORE = "It is a rackview store and no table; “rackview merge” takes the entries of another store in."

HISTORY = 500
"""Lines of an import from which what is believed is worked out at once and kept, not at every command after it."""


def look(paths: Iterable[str | Path], rack: Rack, now: datetime) -> Intake:
    """What the files would add to the rack, line by line; nothing is written. Never raises for what is in them."""
    from rackview.exchange.reader import read_files

    listed = [Path(p) for p in paths]
    # a store must never be read as a plain file: closing it would drop the locks of whoever has it open here
    stores = tuple(p for p in listed if is_store(p))
    if stores:
        return Intake(lines=tuple(Line(clear(p.name), 0, "refused", STORE) for p in stores))
    return read_files(listed, rack, now)


def take_in(desk: Desk, intake: Intake, words: str = "Import") -> Change:
    """Record all of an intake as one step; raises `StoreError`, and `ValueError` if any of its lines was refused."""
    if intake.refused:
        raise ValueError("an intake with refused lines can't be taken in")
    return desk.take(
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


def import_files(paths: Iterable[str | Path], store: Path, clock: Callable[[], datetime]) -> Intake:
    """Take files into the store at `store`, all of them or nothing; it is made only if there is something to take.

    Nothing was written if the intake has refused lines. Raises `StoreError`.
    """
    listed = list(paths)
    if not store.exists():
        intake = look(listed, Rack.build(()), clock())
        if intake.refused or not intake.count("taken"):
            return intake
    desk = open_desk(store, clock)
    try:
        intake = look(listed, desk.rack, desk.now())
        if intake.count("taken") and not intake.refused:
            take_in(desk, intake)
            if intake.count("taken") >= HISTORY:
                desk.keep_beliefs()
        return intake
    finally:
        desk.close()


def give_out(rack: Rack, folder: str | Path) -> list[Path]:
    """Write every table of the rack as CSV into a folder; return the files. Raises `OSError`."""
    from rackview.exchange.writer import export

    return export(rack, folder)
