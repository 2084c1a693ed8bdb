"""Every table and every plot can be copied as lines with tabs, from the menu or by key; a plot saved as a picture."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QFileDialog

from rackview.ui.widgets.table import DataTable
from rackview.ui.window import MainWindow

TITLES = {
    "rack": "Place\tVessel\tStrain",
    "larvae": "Day\tStrain\tNeeded",
    "stock": "Feed\tLeft\tLasts until",
    "records": "When\tVessel\tWhat\tDetails",
    "compare": "what\tstrain\tgrowth a day",
    "loss": "When\tWhat\tValue\tLow\tHigh",
    "vessel": "When\tWhat\tValue\tLow\tHigh",
}


@pytest.fixture(scope="module")
def window(demo_at, qapp):
    from datetime import UTC, datetime

    at = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
    session = demo_at(lambda: at)
    made = MainWindow(session)
    made.resize(1366, 768)
    made.show()
    yield made
    made.close()
    session.close()


def copied(window: MainWindow, command: str = "copy") -> list[list[str]]:
    QApplication.clipboard().clear()
    window.commands[command].trigger()
    return [line.split("\t") for line in QApplication.clipboard().text().splitlines()]


@pytest.mark.parametrize("name", TITLES)
def test_the_plot_or_table_of_every_screen_is_copied(window, qtbot, name):
    window.go(name)
    command = "copy" if name == "records" else "copy_plot"
    qtbot.waitUntil(lambda: len(copied(window, command)) > 2)
    rows = copied(window, command)
    assert "\t".join(rows[0]).startswith(TITLES[name])
    assert len({len(row) for row in rows}) == 1 or name == "loss", "every line has as many cells as titles"


def test_the_table_that_has_the_keyboard_is_copied(window):
    window.go("larvae")
    broods = next(t for t in window.screen_widget().findChildren(DataTable) if t.accessibleName() == "Broods")
    window.activateWindow()
    broods.setFocus()
    rows = copied(window)
    assert rows[0][0] == "Brood"
    assert len(rows) == 1 + broods.model().rowCount()


def test_a_page_with_nothing_to_copy_says_so_and_leaves_the_clipboard(window):
    window.go("store")
    QApplication.clipboard().setText("mine")
    window.commands["copy"].trigger()
    assert QApplication.clipboard().text() == "mine"


def test_a_plot_is_saved_as_a_picture_by_itself(window, qtbot, tmp_path, monkeypatch):
    place = str(tmp_path / "plot.png")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (place, ""))
    window.go("vessel")
    qtbot.waitUntil(lambda: window.screen_widget().plots.currentWidget() is not None)
    window.commands["plot_picture"].trigger()
    image, plot = QImage(place), window.screen_widget().plots
    assert image.width() >= 2 * plot.width()
    colours = {image.pixel(x, y) for x in range(0, image.width(), 7) for y in range(0, image.height(), 7)}
    assert len(colours) > 20, "it is drawn"
