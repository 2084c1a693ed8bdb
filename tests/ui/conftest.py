"""Hand-made states, one of each kind, for the tests of drawing and pictures; a small rack for those of screens."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget

from rackview import app
from rackview.core.assessment import Severity
from rackview.core.events import Clean, Count, Event, Feed, Harvest, Reading, Rest
from rackview.core.tables import Stock
from rackview.core.vessel import Vessel
from rackview.services.rack_session import RackSession
from rackview.services.sessions import demo_session, open_session
from rackview.ui.rack.rack_state import FreePlace, RackState, Shelf, Supply, Trend
from rackview.ui.rack.tile import FlagMark, Gauge, TileState
from rackview.ui.round.screen import RoundScreen
from rackview.ui.theme import LIGHT
from rackview.ui.vessel.screen import VesselScreen

BAND = (0.55, 0.79)
NOW = 14 / 17


def course(start: float, rise: float, spread: float, gap: int | None = None) -> Trend:
    """A straight trend of thirteen days with a small fixed wobble."""
    wobble = (0.0, 0.02, -0.01, 0.015, -0.02, 0.01, 0.0, -0.015, 0.02, -0.01, 0.01, -0.005, 0.0)
    line = tuple((NOW * i / 12, start + rise * i / 12 + w / 2) for i, w in enumerate(wobble))
    points = tuple((x, y + wobble[i] / 2) for i, (x, y) in enumerate(line[:-1]))
    last = line[-1]
    fan = tuple(
        (
            NOW + (1 - NOW) * k / 6,
            *(last[1] + rise * k / 24 + side * (0.01 + spread * k / 6) for side in (-1, -0.4, 0.4, 1)),
        )
        for k in range(7)
    )
    lines = (line,) if gap is None else (line[:gap], line[gap:])
    return Trend((0.38, 0.62), lines, points, fan, last)


RISING = TileState(
    vessel="Brill",
    place="A1",
    name="Brill",
    title="L rotifer",
    words="rising 0.31 a day",
    density="210",
    interval="180–250",
    age="today",
    care="floss 2 d",
    signs="eggs 0.28",
    gauge=Gauge(0.70, 0.66, 0.73, BAND),
    trend=course(0.3, 0.2, 0.08),
    actions=("Harvest 5.2 L", "feed 4 mL"),
    accessible="A1 Brill. L rotifer. 210 per mL, 180 to 250, counted today. rising 0.31 a day. next: Harvest 5.2 L",
)
FAILING = replace(
    RISING,
    vessel="Dab",
    name="Dab",
    place="B1",
    words="falling 0.38 a day",
    tone=Severity.today,
    density="96",
    interval="60–150",
    age="3 d ago",
    gauge=Gauge(0.44, 0.33, 0.55, BAND),
    trend=course(0.65, -0.4, 0.2),
    marks=(
        FlagMark(Severity.today, "eggs low", "Only 7 % carry eggs."),
        FlagMark(Severity.week, "floss due", "Floss is due."),
    ),
    actions=("Count again", "do not harvest"),
    accessible="B1 Dab, eggs low",
    tooltip="96 per mL now\nOnly 7 % carry eggs.",
)
DENSE = replace(
    RISING,
    vessel="Gurnard",
    name="Gurnard",
    place="A2",
    words="near its ceiling",
    density="320",
    interval="280–360",
    gauge=Gauge(0.80, 0.77, 0.83, BAND),
    trend=course(0.7, -0.02, 0.05, gap=5),
    marks=(FlagMark(Severity.week, "dense", "Over 300 per mL."),),
    actions=("Split 7 L into A4", "feed 6 mL"),
    accessible="A2 Gurnard, dense",
)
RESERVE = replace(
    RISING,
    vessel="Lumpsucker",
    name="Lumpsucker",
    place="C4",
    title="L rotifer, reserve",
    words="level",
    density="120",
    interval="95–150",
    age="2 d ago",
    gauge=Gauge(0.55, 0.47, 0.62, BAND),
    trend=course(0.36, 0.04, 0.14),
    marks=(FlagMark(Severity.notice, "count old", "Not counted for 2 days."),),
    actions=("Done for today",),
    settled=True,
    accessible="C4 Lumpsucker, count old",
)
RESTING = TileState(
    vessel="Weever",
    place="A4",
    name="Weever",
    title="L rotifer",
    words="resting",
    detail="for 6 d",
    gauge=Gauge(band=BAND, resting=True),
    actions=("Resting",),
    settled=True,
    accessible="A4 Weever, resting",
)
UNCOUNTED = TileState(
    vessel="Goby",
    place="C2",
    name="Goby",
    title="pelagic copepod",
    words="not counted",
    detail="started 2 d ago",
    care="started 2 d",
    gauge=Gauge(band=BAND),
    actions=("Count",),
    accessible="C2 Goby, not counted",
)
ENOUGH = Supply("Larvae need 4.2 million", "can spare 4.9–6.2 million", "", "Saturday 7.8 million", 0.6, 0.7, 0.8, 0.9)
SHORT = replace(
    ENOUGH,
    heading="Larvae need 8.2 million",
    need=0.95,
    sure=0.5,
    likely=0.62,
    most=0.75,
    short=True,
    brief="food: 2.6 M short",
)


@pytest.fixture(autouse=True)
def _no_file_dialog_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file dialog is modal: one that a test does not answer itself is left at once without a choice."""
    for name, answer in (
        ("getOpenFileName", ("", "")),
        ("getOpenFileNames", ([], "")),
        ("getSaveFileName", ("", "")),
        ("getExistingDirectory", ""),
    ):
        monkeypatch.setattr(QFileDialog, name, lambda *_, found=answer, **__: found)


@pytest.fixture
def tiles() -> dict[str, TileState]:
    """One tile of each kind."""
    named = {
        "rising": RISING,
        "failing": FAILING,
        "dense": DENSE,
        "reserve": RESERVE,
        "resting": RESTING,
        "uncounted": UNCOUNTED,
    }
    return dict(named)


@pytest.fixture
def supplies() -> dict[str, Supply]:
    """Enough and too little."""
    return {"enough": replace(ENOUGH, brief="food: enough"), "short": SHORT}


@pytest.fixture
def shelves() -> tuple[Shelf, ...]:
    """Two shelves with free places."""
    free = FreePlace("A", 3, "A3, free place")
    return (
        Shelf("A", (RISING, DENSE, free, RESTING)),
        Shelf("B", (FAILING, FreePlace("B", 2, "B2, free place"), replace(UNCOUNTED, place="B3"), RESERVE)),
    )


@pytest.fixture
def rack_state(shelves: tuple[Shelf, ...]) -> RackState:
    """A whole screen."""
    return RackState("Teal shed", "invented rack", "Thursday 14 May", "07:42", shelves)


MORNING = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


class Clock:
    """A clock that the test turns."""

    def __init__(self) -> None:
        self.now = MORNING

    def __call__(self) -> datetime:
        return self.now


def small_rack() -> tuple[list[Vessel], list[Event]]:
    """Four vessels with five days of counts: two rotifers, a reserve, copepods; and one at rest."""
    vessels = [
        Vessel("Brill", "rotifer-L", "A", 1, 20),
        Vessel("Dab", "rotifer-L", "A", 2, 20),
        Vessel("Goby", "copepod-benthic", "B", 1, 30),
        Vessel("Ruffe", "rotifer-L", "B", 2, 10, reserve=True),
        Vessel("Weever", "rotifer-L", "B", 3, 20),
    ]
    events: list[Event] = [Rest(at=MORNING - timedelta(days=6), vessel="Weever")]
    for day in range(5, 0, -1):
        at = MORNING - timedelta(days=day)
        for name, level in (("Brill", 30), ("Dab", 34), ("Ruffe", 24)):
            tallies = (level + day % 3, level - day % 2, level)
            events.append(
                Count(at=at, vessel=name, tallies=tallies, dilution=7, with_eggs=14, females_checked=50, tint=2)
            )
            events.append(Feed(at=at, vessel=name, feed="algae concentrate", amount=4))
        events.append(Harvest(at=at, vessel="Brill", volume_l=5, refill_l=5))
        if day % 2:
            events.append(Count(at=at, vessel="Goby", tallies=(12, 15), aliquot_ml=2))
    events.append(Clean(at=MORNING - timedelta(days=2), vessel="Brill", what="floss"))
    events.append(
        Reading(
            at=MORNING - timedelta(days=1), vessel="Brill", temperature_c=25, sg=1.022, sg_reference="25/25", ph=7.9
        )
    )
    return vessels, events


@pytest.fixture
def awake(qtbot) -> Callable[[QWidget], None]:
    """Shows a window and gives it the keyboard."""

    def show(window: QWidget) -> None:
        window.show()
        qtbot.waitExposed(window)
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)

    return show


@pytest.fixture
def clock() -> Clock:
    """The clock of `session`."""
    return Clock()


@pytest.fixture(scope="session")
def small_store(quick_root: Path) -> Path:
    """A folder with the small rack's store, to be copied."""
    folder = quick_root / "small"
    folder.mkdir()
    session = open_session(folder / "rack.db", Clock())
    vessels, events = small_rack()
    stock = [Stock("algae concentrate", dry_g_per_ml=0.1, amount=500.0), Stock("dried algae", unit="g")]
    session.take(vessels=vessels, events=events, stock=stock)
    session.close()
    return folder


@pytest.fixture
def session_at(small_store: Path, quick_folder: Path, clock: Clock) -> Iterator[Callable[[], RackSession]]:
    """Opens a session on the same copy of the small store, as often as asked."""
    opened: list[RackSession] = []
    shutil.copytree(small_store, quick_folder, dirs_exist_ok=True)

    def opener() -> RackSession:
        opened.append(open_session(quick_folder / "rack.db", clock))
        return opened[-1]

    yield opener
    for session in opened:
        session.close()


@pytest.fixture
def session(session_at: Callable[[], RackSession]) -> RackSession:
    """A session on a small rack of four vessels in use."""
    return session_at()


Now = Callable[[], datetime]


@pytest.fixture(scope="session")
def demo_copy(quick_root: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable[[Now], Path]:
    """Makes a store of the caller's own with the demo rack up to the morning of the clock's day.

    The rack of a day is made once, by whichever process needs it first, and copied.
    """
    number, common = count(), tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        common = common.parent

    def copy(clock: Now) -> Path:
        today = clock().date()
        made, own = common / f"demo-{today}", quick_root / f"demo-{today}-{next(number)}"
        if made.exists():
            return shutil.copytree(made, own) / "rack.db"
        demo_session(own / "rack.db", clock, today).close()
        whole = shutil.copytree(own, tmp_path_factory.mktemp("demo") / "whole")
        with contextlib.suppress(OSError):  # another process made it meanwhile
            whole.rename(made)
        return own / "rack.db"

    return copy


@pytest.fixture(scope="session")
def demo_at(demo_copy: Callable[[Now], Path]) -> Callable[[Now], RackSession]:
    """Opens a session on such a store as the window does."""
    return lambda clock: open_session(demo_copy(clock), clock, recent=True)


@pytest.fixture(scope="session", autouse=True)
def _application(qapp: QApplication) -> None:
    """Every test of the window has an application, whichever comes first: without one the first widget aborts."""


@pytest.fixture(autouse=True)
def _what_was_closed_is_gone(_application: None) -> Iterator[None]:
    """Delete what was to be deleted later: no loop of events comes back here, and every change of look dresses all."""
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def program(qtbot, qapp, monkeypatch, clock):
    """What runs, without its event loop."""
    monkeypatch.setattr(app, "now", clock)
    made = app.Program(qapp)
    yield made
    if made._window is not None:
        made._window.close()
    made._leave_session()
    if made._door is not None:
        made._door.close()


@pytest.fixture
def page(qtbot, session):
    """The page of a vessel of the small rack."""
    screen = VesselScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.resize(1280, 680)
    screen.open("Dab")
    return screen


@pytest.fixture
def opened(qtbot, awake):
    """Shows a round on a session and gives it the keyboard."""

    def show(session, vessel=None):
        screen = RoundScreen(session, LIGHT)
        qtbot.addWidget(screen)
        screen.resize(1280, 680)
        awake(screen)
        screen.open(vessel)
        return screen

    return show
