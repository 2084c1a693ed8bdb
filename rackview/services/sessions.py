"""Opening a session: on the keeper's own store, or on a fresh demo rack."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Literal

from rackview.language import _
from rackview.services.behind import PATIENCE
from rackview.services.folders import SECOND
from rackview.services.rack_session import RackSession
from rackview.store import Store, StoreError

Mode = Literal["read", "write"]

PAINTED_S = 5.0
"""By then a window that opens a store shows its rack; only then is the file looked at, which takes as long as that."""


def open_session(
    path: Path, clock: Callable[[], datetime], mode: Mode = "write", *, recent: bool = False
) -> RackSession:
    """A session on the store at `path`; with `recent`, older history is read only when someone looks that far back.

    In mode write the store is made if there is none; one that can't be written to, or whose disk is full, is opened
    for reading, and `RackSession.read_only` says why. Raises `StoreError` if it can't be read either.
    """
    if mode == "read":
        return _begun(Store.open(path, "read"), clock, recent=recent)
    try:
        store = Store.open(path, "write")
    except StoreError as error:
        if not error.still_read or not path.exists():
            raise
        session = _begun(Store.open(path, "read"), clock, recent=recent)
        session.read_only = str(error)
        return session
    session = _begun(store, clock, recent=recent)
    _keep_up(session, clock, patient=not recent)
    return session


def _keep_up(session: RackSession, clock: Callable[[], datetime], *, patient: bool) -> None:
    """Look at the file and copy it beside the session. Closing waits for that if `patient`, as a command does.

    It begins when a window will have shown its rack. A window that closes stops it: it is left to the next opening.
    """
    stop, second = threading.Event(), session.folders.place(SECOND)

    def work() -> None:
        if not patient and stop.wait(PAINTED_S):
            return
        from rackview.services.maintenance import upkeep  # what copies and looks is not needed before

        try:
            session.notice(*upkeep(session.place, clock, second, stop.is_set))
        except StoreError as damage:
            session.suffer(damage)

    def leave() -> None:
        if not patient:
            stop.set()
        thread.join(None if patient else PATIENCE)

    thread = threading.Thread(target=work, name="upkeep")
    thread.start()
    session.wait_to_close(leave)  # a store that is just being closed can't be opened


def _begun(store: Store, clock: Callable[[], datetime], *, recent: bool) -> RackSession:
    try:
        return RackSession(store, clock, recent=recent)
    except BaseException:
        store.close()
        raise


def demo_session(path: Path, clock: Callable[[], datetime], today: date) -> RackSession:
    """A session on a new store at `path` that holds the invented demo rack up to the morning of `today`."""
    session = _filled(path, clock, today)
    session.keep_beliefs()
    return session


def _filled(path: Path, clock: Callable[[], datetime], today: date) -> RackSession:
    from rackview.demo.rack import demo

    if path.exists():
        raise StoreError(
            "not_ours",
            _("There is a file at {path} already; the demo rack is written to a new one only.").format(path=path),
        )
    rack = demo(today, now=clock().astimezone())
    session = RackSession(Store.open(path, "write"), clock, pc="demo")
    session.take(
        vessels=rack.vessels,
        events=rack.events,
        stock=rack.stock,
        broods=rack.broods,
        demand=rack.demand,
        standing=rack.standing,
        tanks=rack.tanks,
        settings=rack.settings,
        words=_("Fill the demo rack"),
    )
    session.forget_steps()
    return session


def fresh_demo(clock: Callable[[], datetime]) -> RackSession:
    """A session on a demo rack of its own, up to this morning, in a folder that goes when the session closes."""
    folder = tempfile.TemporaryDirectory(prefix="rackview-demo-", ignore_cleanup_errors=True)
    session = _filled(Path(folder.name) / "demo.db", clock, clock().astimezone().date())
    session.passing = True
    session.at_close(folder.cleanup)
    return session
