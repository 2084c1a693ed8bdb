"""The reminder: off until it is set, once a day, and only of what is left."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import QSettings

from rackview.ui.preferences import WindowSettings
from rackview.ui.reminder import hour_of
from rackview.ui.window import MainWindow


@pytest.fixture
def kept(quick_folder) -> QSettings:
    return QSettings(str(quick_folder / "window.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def window(qtbot, session, kept):
    made = MainWindow(session, kept, look="light")
    qtbot.addWidget(made)
    made.resize(1000, 640)
    made.show()
    return made


def at(clock, hour: int, minute: int = 0) -> None:
    """Turn the clock to an hour of the keeper's own day."""
    here = clock.now.astimezone()
    clock.now = here.replace(hour=hour, minute=minute)


@pytest.mark.parametrize(
    ("text", "said"),
    [("18:00", "18:00"), ("7", "07:00"), ("7.30", "07:30"), ("24:00", None), ("noon", None), ("", None)],
)
def test_an_hour_as_it_is_written(text, said):
    found = hour_of(text)
    assert (None if found is None else f"{found:%H:%M}") == said


def test_nothing_is_said_until_it_is_set(window, clock):
    at(clock, 23)
    window.reminder.look()
    assert not window.reminder_bar.isVisible()


def test_it_is_set_on_the_settings_page_and_kept_on_this_pc(qtbot, window, kept):
    window.go("settings")
    setting = window.screen_widget().reminder
    assert not setting.on.isChecked()
    assert not setting.at.isEnabled()
    setting.on.click()
    assert WindowSettings(kept).reminder == "18:00"
    setting.at.setText("25:00")
    assert "0:00 to 23:59" in setting._hint.text()
    assert WindowSettings(kept).reminder == "18:00", "what can't be changes nothing"
    setting.at.setText("19.30")
    assert WindowSettings(kept).reminder == "19:30"
    setting.on.click()
    assert WindowSettings(kept).reminder == ""


def test_it_reminds_once_a_day_of_vessels_without_an_entry(qtbot, window, session, clock):
    window.reminder.settings.reminder = "18:00"
    at(clock, 17, 59)
    window.reminder.look()
    assert not window.reminder_bar.isVisible()
    session.record({"at": clock.now - timedelta(minutes=5), "vessel": "Dab", "kind": "count", "tallies": "30 31"})
    at(clock, 18, 1)
    window.reminder.look()
    assert window.reminder_bar.isVisible()
    assert "A1 Brill, B1 Goby, B2 Ruffe." in window.reminder_bar.said
    assert "Dab" not in window.reminder_bar.said
    assert "Weever" not in window.reminder_bar.said, "it rests"
    window.reminder_bar.later.click()
    at(clock, 19)
    window.reminder.look()
    assert not window.reminder_bar.isVisible(), "once a day"
    clock.now += timedelta(days=1)
    window.reminder.look()
    assert window.reminder_bar.isVisible()
    window.reminder_bar.begin.click()
    assert window.screen_name == "round"
    assert not window.reminder_bar.isVisible()


def test_it_is_silent_when_nothing_is_left(window, session, clock):
    window.reminder.settings.reminder = "18:00"
    at(clock, 18)
    for name in ("Brill", "Dab", "Goby", "Ruffe"):
        session.record({"at": clock.now, "vessel": name, "kind": "note", "text": "seen to"})
    window.reminder.look()
    assert not window.reminder_bar.isVisible()
