"""What is recorded is what was seen: whatever the timing of keys, advice, other windows and painting."""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from rackview.core.events import Count, Event, Feed, Harvest
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session
from rackview.ui.round.fields.field import Field
from rackview.ui.round.screen import RoundScreen
from rackview.ui.theme import LIGHT
from tests.ui.conftest import MORNING, Clock

VESSEL = "Brill"
STEPS = st.lists(
    st.one_of(
        st.sampled_from(["3", "9", ".", "enter", "space", "take all", "backspace", "up", "down", "right"]),
        st.sampled_from(["think", "paint", "minute", "counted elsewhere", "fed elsewhere", "refresh", "settled"]),
    ),
    max_size=24,
)


class Seen:
    """What stood painted in the fields of the actions at the key that recorded."""

    def __init__(self, screen: RoundScreen) -> None:
        fields = screen.do.fields
        self.text = {key: field.text() for key, field in fields.items()}
        self.feed = (screen.entry.text("feed_name"), fields["feed"].unit) if screen.entry else ("", "")
        self.count = [screen.count.fields[f"all.{n}"].text() for n in range(6)]
        self.aliquot = screen.count.fields["aliquot"].text()


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def _keys(screen: RoundScreen, step: str) -> None:
    target = QApplication.focusWidget() or screen
    named = {"enter": "Return", "space": "Space", "take all": "Asterisk", "backspace": "Backspace"}
    from PySide6.QtCore import Qt

    if step in named or step in {"up", "down", "right"}:
        QTest.keyClick(target, getattr(Qt.Key, f"Key_{named.get(step, step.capitalize())}"))
    else:
        QTest.keyClicks(target, step)


def _work(screen: RoundScreen, session: RackSession, clock: Clock, step: str) -> None:
    match step:
        case "think":
            screen.thinking.think(screen.entry)
        case "paint":
            QApplication.processEvents()
        case "settled":
            QTest.qWait(1)
        case "minute":
            clock.now += timedelta(minutes=1)
            screen.refresh()
        case "refresh":
            screen.refresh()
        case "counted elsewhere":
            at = clock.now - timedelta(minutes=5)
            session.record(Count(at=at, vessel=VESSEL, tallies=(9, 8), aliquot_ml=0.5, dilution=3), "elsewhere")
            screen.refresh()
        case "fed elsewhere":
            session.record(Feed(at=clock.now, vessel="Dab", feed="dried algae", amount=2, unit="g"), "elsewhere")
            screen.refresh()
        case _:
            _keys(screen, step)


def _stored(session: RackSession, before: set[str]) -> list[Event]:
    return [e for e in session.rack.events() if e.id not in before]


@settings(
    max_examples=settings().max_examples // 2,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@example(steps=["counted elsewhere", "space", "paint"], start="harvest")
@example(steps=["counted elsewhere", "space", "paint"], start="feed")
@example(steps=["3", "counted elsewhere", "take all"], start="all.0")
@given(steps=STEPS, start=st.sampled_from(["all.0", "harvest", "refill", "feed", "clean"]))
def test_what_is_stored_is_what_was_painted_when_the_key_was_pressed(
    qapp: QApplication, small_store: Path, quick_folder: Path, steps: list[str], start: str
) -> None:
    for old in quick_folder.iterdir():
        shutil.rmtree(old) if old.is_dir() else old.unlink()
    shutil.copytree(small_store, quick_folder, dirs_exist_ok=True)
    clock = Clock()
    clock.now = MORNING
    session = open_session(quick_folder / "rack.db", clock)
    screen = RoundScreen(session, LIGHT)
    try:
        screen.resize(1280, 680)
        screen.show()
        QTest.qWaitForWindowActive(screen, 1000)
        screen.open(VESSEL)
        QApplication.processEvents()
        screen.page.focus(start)
        taken = _watch(screen)
        for step in steps:
            if screen.entry is None or screen.entry.vessel != VESSEL:
                break
            _work(screen, session, clock, step)
        if screen.entry is None or screen.entry.vessel != VESSEL:
            return
        seen, before = Seen(screen), {e.id for e in session.rack.events()}
        typed_nothing = not screen.entry.touched
        QTest.keyClicks(QApplication.focusWidget() or screen, "+")
        _same(_stored(session, before), seen)
        if typed_nothing:
            assert _stored(session, before) == [], "nothing that nobody did"
        for key, value, painted in taken:
            assert value == painted, f"{key} was taken as {value}, but {painted} was painted"
    finally:
        screen.close()
        screen.deleteLater()
        session.close()
        QApplication.processEvents()


def _watch(screen: RoundScreen) -> list[tuple[str, str, str]]:
    """Every suggestion that is taken, with what was painted in its field then."""
    painted: dict[str, str] = {}
    taken: list[tuple[str, str, str]] = []
    for key, field in screen.do.fields.items():
        before = field.paintEvent

        def paint(event: object, field: Field = field, key: str = key, before: object = before) -> None:
            painted[key] = "" if field.line.text() else field.ghost
            before(event)  # type: ignore[operator]

        field.paintEvent = paint  # type: ignore[method-assign]
        field.grab()
        field.taken.connect(lambda k, value: taken.append((k, value, painted.get(k, ""))))
    return taken


def _same(stored: list[Event], seen: Seen) -> None:
    for event in stored:
        match event:
            case Harvest():
                assert event.volume_l == _number(seen.text["harvest"])
                assert event.refill_l == (_number(seen.text["refill"]) or 0.0)
            case Feed():
                assert event.amount == _number(seen.text["feed"])
                assert (event.feed, event.unit) == seen.feed
            case Count():
                told = " ".join(t for t in seen.count if t.strip()).split()
                assert event.tallies == tuple(int(t) for t in told)
                assert event.aliquot_ml == _number(seen.aliquot)
    kinds = {e.kind for e in stored}
    assert ("clean" in kinds) <= (seen.text["clean"] in {"floss", "vessel", "airline"})
    assert ("harvest" in kinds) <= bool(seen.text["harvest"])


def test_nothing_moves_while_one_types(qtbot, session, clock):
    screen = RoundScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.resize(1280, 680)
    screen.show()
    screen.open("Brill")
    QApplication.processEvents()

    def places() -> dict[str, QPoint]:
        fields = {**screen.count.fields, **screen.do.fields}
        shown = {k: f for k, f in fields.items() if f.isVisible()}
        return {k: f.mapTo(screen, QPoint(0, 0)) for k, f in shown.items()} | {
            "record": screen.do.button.mapTo(screen, QPoint(0, 0)),
            "take all": screen.do.take_all.mapTo(screen, QPoint(0, 0)),
        }

    before = places()
    wrong = {"all.1": "-3", "with_eggs": "99", "temperature": "200", "harvest": "999", "refill": "x", "feed": "-1"}
    for key, text in {"all.0": "3", "all.2": "2", "all.5": "1 2 3", "tan": "2", **wrong}.items():
        screen.entry.put(key, text, clock.now)
        screen.thinking.think(screen.entry)
        QApplication.processEvents()
        assert places() == before, f"after {text} in {key}"
    screen.trouble("The disk is full, so nothing was written; free some space and save again.")
    QApplication.processEvents()
    assert places() == before
