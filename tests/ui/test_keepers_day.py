"""A keeper's day in the real window, by keyboard: the round, a harvest, a split, an undo; closed and opened again."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from rackview.core.events import Count, Decline, Event, Harvest, Split
from rackview.services.sessions import demo_session, open_session
from rackview.ui.window import MainWindow
from tests.ui.conftest import MORNING

TODAY = date(2026, 5, 14)


@pytest.fixture
def store(tmp_path):
    return tmp_path / "rack.db"


@pytest.fixture
def window(qtbot, store, clock):
    session = demo_session(store, clock, TODAY)
    made = MainWindow(session, look="light")
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    qtbot.waitExposed(made)
    qtbot.waitUntil(lambda: made.screen_widget().rail.model.rowCount() > 0)
    made.activateWindow()
    yield made
    made.close()
    session.close()


def press(qtbot, keys: str | Qt.Key, modifier=Qt.KeyboardModifier.NoModifier) -> None:
    """Type on whatever has the keyboard."""
    target = QApplication.focusWidget()
    assert target is not None, "nothing has the keyboard"
    if isinstance(keys, str):
        qtbot.keyClicks(target, keys)
    else:
        qtbot.keyClick(target, keys, modifier)


def of_day(session, kind: type[Event]) -> list[Event]:
    return [e for e in session.rack.events() if isinstance(e, kind) and e.at >= MORNING - timedelta(hours=1)]


def wanted(session) -> dict[str, set[tuple[str, str, float | None]]]:
    """What is suggested for each vessel: action, rule and amount."""
    found: dict[str, set[tuple[str, str, float | None]]] = {}
    for s in session.suggestions():
        found.setdefault(s.vessel, set()).add((s.action, s.code, s.amount))
    return found


def point_at(window, action: str):
    """Put the keyboard on the first line of the day's list that asks for `action`."""
    rail = window.screen_widget().rail
    rail.view.setFocus()
    model = rail.view.model()
    for row, item in enumerate(model.items):
        if item.suggestion is not None and item.suggestion.action == action:
            rail.view.setCurrentIndex(model.index(row, 0))
            return item.suggestion
    raise AssertionError(f"no {action} in the day's list")


def split_and_take_back(qtbot, window) -> None:
    """Take the split of the day's list, and undo it."""
    session = window.session
    split = point_at(window, "split")
    press(qtbot, Qt.Key.Key_Return)
    assert [(e.vessel, e.to_vessel) for e in of_day(session, Split)] == [(split.vessel, split.other_vessel)]
    young = session.assessments()[split.other_vessel]
    assert young.level_l == pytest.approx(young.volume_l), "the new vessel was not filled up, as the suggestion says"
    assert young.state != "resting"

    press(qtbot, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert of_day(session, Split) == []
    assert session.assessments()[split.other_vessel].state == "resting"


def count_far_fewer(qtbot, window) -> str:
    """Count far fewer than expected at the first stop of the round, and leave it; return the vessel."""
    press(qtbot, "r")
    assert window.screen_name == "round"
    screen = window.screen_widget()
    first = screen.entry.vessel
    for tally in ("3", "2", "4"):
        press(qtbot, tally)
        press(qtbot, Qt.Key.Key_Return)
    press(qtbot, "+")
    qtbot.waitUntil(lambda: screen.entry is not None and screen.entry.vessel != first)
    counted = of_day(window.session, Count)
    assert [(e.vessel, e.tallies) for e in counted] == [(first, (3, 2, 4))]

    press(qtbot, Qt.Key.Key_Escape)
    if window.screen_name != "rack":
        press(qtbot, Qt.Key.Key_Escape)
    assert window.screen_name == "rack"
    return first


def decline_a_feeding(qtbot, window) -> set[str]:
    """Decline the first line of the day's list that asks for feed, with a reason; return its vessels."""
    session = window.session
    point_at(window, "feed")
    line = {s.vessel for s in window.screen_widget().rail._chosen()}  # plain feedings may share one line
    press(qtbot, "d")
    press(qtbot, "smells off")
    press(qtbot, Qt.Key.Key_Return)
    assert {e.vessel for e in of_day(session, Decline)} == line
    assert {e.reason for e in of_day(session, Decline)} == {"smells off"}
    assert of_day(session, Split) == [], "Enter after a reason went on to the next line"
    return line


def test_a_day(qtbot, window, clock, store):
    session = window.session
    assert window.screen_name == "rack"
    before = wanted(session)
    split_and_take_back(qtbot, window)
    assert wanted(session) == before

    clock.now += timedelta(minutes=5)
    first = count_far_fewer(qtbot, window)
    assert wanted(session).get(first) != before.get(first)
    assert not any(s.action == "harvest" and s.vessel == first for s in session.suggestions())

    clock.now += timedelta(minutes=5)
    harvest = point_at(window, "harvest")
    press(qtbot, Qt.Key.Key_Return)
    taken = [e for e in of_day(session, Harvest) if e.vessel == harvest.vessel]
    assert [e.volume_l for e in taken] == [pytest.approx(harvest.amount)]
    assert not any(s.action == "harvest" and s.vessel == harvest.vessel for s in session.suggestions())

    clock.now += timedelta(minutes=5)
    line = decline_a_feeding(qtbot, window)

    window.close()
    session.close()
    again = open_session(store, clock)
    try:
        assert [e.tallies for e in of_day(again, Count)] == [(3, 2, 4)]
        assert [e.volume_l for e in of_day(again, Harvest)] == [pytest.approx(harvest.amount)]
        assert of_day(again, Split) == []
        assert {(e.vessel, e.reason) for e in of_day(again, Decline)} == {(v, "smells off") for v in line}
    finally:
        again.close()


def test_first_run_leads_on(qtbot, store, clock):
    session = open_session(store, clock)
    window = MainWindow(session, look="dark")
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    first = window.screen_widget().first
    assert first.isVisible()
    first.add.click()
    assert window.screen_name == "add_vessel"
    form = window.screen_widget().form.form
    form.input("vessel").setText("Bucket 1")
    form.input("shelf").setText("A")
    form.input("position").setText("1")
    form.input("volume_l").setText("-3")
    form.submit()
    assert "volume" in form.error_of("volume_l").lower()
    assert form.input("vessel").text() == "Bucket 1"
    form.input("volume_l").setText("12,5")
    form.submit()
    assert window.screen_name == "rack"
    assert session.rack.vessels["Bucket 1"].volume_l == 12.5
    assert not window.screen_widget().first.isVisible()
    window.commands["undo"].trigger()
    assert session.rack.vessels == {}
    window.commands["redo"].trigger()
    assert list(session.rack.vessels) == ["Bucket 1"]
    window.close()
    session.close()
