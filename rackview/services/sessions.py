"""Opening a desk: on the keeper's own store, or on a fresh demo rack."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Literal

from rackview.services.desk import Desk
from rackview.services.folders import SECOND
from rackview.services.keeping import upkeep
from rackview.store import Store, StoreError

Mode = Literal["read", "write"]


def open_desk(path: Path, clock: Callable[[], datetime], mode: Mode = "write", *, recent: bool = False) -> Desk:
    """A desk on the store at `path`; with `recent`, older history is read only when someone looks that far back.

    In mode write the store is made if there is none; one that can't be written to, or whose disk is full, is opened
    for reading, and `Desk.read_only` says why. Raises `StoreError` if it can't be read either.
    """
    if mode == "read":
        return _seated(Store.open(path, "read"), clock, recent=recent)
    try:
        store = Store.open(path, "write")
    except StoreError as error:
        if not error.still_read or not path.exists():
            raise
        desk = _seated(Store.open(path, "read"), clock, recent=recent)
        desk.read_only = str(error)
        return desk
    desk = _seated(store, clock, recent=recent)
    keeping_up = threading.Thread(target=_upkeep, args=(desk, path, clock, desk.folders.place(SECOND)), name="upkeep")
    keeping_up.start()
    desk.wait_to_close(keeping_up.join)  # a store that is just being closed can't be opened
    return desk


def _seated(store: Store, clock: Callable[[], datetime], *, recent: bool) -> Desk:
    try:
        return Desk(store, clock, recent=recent)
    except BaseException:
        store.close()
        raise


def _upkeep(desk: Desk, path: Path, clock: Callable[[], datetime], second: Path | None) -> None:
    try:
        desk.notice(*upkeep(path, clock, second))
    except StoreError as damage:
        desk.suffer(damage)


def warm_up() -> threading.Thread:
    """Load, beside the window that stands already, what the first entry needs."""
    thread = threading.Thread(target=Store.warm_up, name="warming up")
    thread.start()
    return thread


def demo_desk(path: Path, clock: Callable[[], datetime], today: date) -> Desk:
    """A desk on a new store at `path` that holds the invented demo rack up to the morning of `today`."""
    desk = _filled(path, clock, today)
    desk.keep_beliefs()
    return desk


def _filled(path: Path, clock: Callable[[], datetime], today: date) -> Desk:
    from rackview.demo.rack import demo

    if path.exists():
        raise StoreError("not_ours", f"There is a file at {path} already; the demo rack is written to a new one only.")
    rack = demo(today, now=clock().astimezone())
    desk = Desk(Store.open(path, "write"), clock, pc="demo")
    desk.take(
        vessels=rack.vessels,
        events=rack.events,
        stock=rack.stock,
        broods=rack.broods,
        demand=rack.demand,
        settings=rack.settings,
        words="Fill the demo rack",
    )
    desk.forget_steps()
    return desk


def fresh_demo(clock: Callable[[], datetime]) -> Desk:
    """A desk on a demo rack of its own, up to this morning, in a folder that goes when the desk closes."""
    folder = tempfile.TemporaryDirectory(prefix="rackview-demo-", ignore_cleanup_errors=True)
    desk = _filled(Path(folder.name) / "demo.db", clock, clock().astimezone().date())
    desk.passing = True
    desk.at_close(folder.cleanup)
    return desk
