"""Whatever is typed into any field of any screen, the program goes on and the text stays."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton
from shiboken6 import isValid

from rackview.ui.forms.form import SAVE_MS
from rackview.ui.round.fields.line_edit import ChoiceLine
from rackview.ui.window import SCREENS, MainWindow

ODD = (
    "52 4", "1;2", "1,5", "1e3", "1e400", "nan", "inf", "-3", "-", "+", ".", "0", "0.0", "  ", "½", "²", "١٢", "１２",
    "0x10", "1_000", "9" * 400, "1/2", "three", "'; drop", "%s {}", "\u202e", "12:99", "31.02.2026", "2026-02-31",
)  # fmt: skip

DOING = {"Print or save as PDF", "Remove", "Take back", "Done", "Decline", "Rest", "Record, next vessel", "Save", "Add"}
"""What opens no form, but does something or asks about it."""
ENDING = {"Record", "Save", "Add"}


def seen(window: MainWindow) -> int:
    return sum(line.isVisible() for line in window.findChildren(QLineEdit))


def typed(window: MainWindow, every: int) -> int:
    """Type odd texts into every field that is seen; returns into how many.

    Each field gets one in `every` of them, its neighbours the others. Where others went because nothing is found by
    such a text, it is cleared again.
    """
    tried, n, lines = 0, 0, window.findChildren(QLineEdit)
    while n < len(lines):
        texts, before = ODD[n % every :: every], seen(window)
        for text in texts:
            if not isValid(lines[n]) or (text != texts[0] and not lines[n].isVisible()):
                lines = window.findChildren(QLineEdit)  # the screen made its fields anew
            if n >= len(lines) or not lines[n].isVisible() or lines[n].isReadOnly():
                break
            line = lines[n]
            line.setText(text)
            line.textEdited.emit(text)
            assert isinstance(line, ChoiceLine) or line.text() == text[: line.maxLength()]
            line.editingFinished.emit()
            tried += text == texts[-1]
        if seen(window) < before and isValid(lines[n]):
            lines[n].clear()
            QApplication.processEvents()  # what is found again is shown by the loop of events
            lines = window.findChildren(QLineEdit)
        n += 1
    return tried


def buttons(window: MainWindow) -> list[QPushButton]:
    return [b for b in window.findChildren(QPushButton) if b.isVisible() and b.isEnabled()]


def plain(button: QPushButton) -> str:
    return button.text().replace("&", "").rstrip("….")


@pytest.fixture
def at(qtbot, session):
    """Shows a screen in a window of its own; at the end all drafts are kept while there is a store to keep them."""
    windows: list[MainWindow] = []

    def show(name: str) -> MainWindow:
        for old in windows:
            old.close()  # or each would follow what is typed in the others
        window = MainWindow(session, look="light")
        qtbot.addWidget(window)
        windows.append(window)
        window.resize(1280, 800)
        window.show()
        window.go(name)
        return window

    yield show
    for window in windows:
        window.close()
    qtbot.wait(2 * SAVE_MS)


@pytest.mark.parametrize("name", SCREENS)
@pytest.mark.parametrize("every", [8, pytest.param(1, marks=pytest.mark.torture)])
def test_no_text_stops_a_screen_or_the_forms_it_opens(qtbot, at, session, name, every):
    window = at(name)
    tried = typed(window, every)
    opening = dict.fromkeys(plain(b) for b in buttons(window) if plain(b) not in DOING)
    for word in opening:
        if word not in map(plain, buttons(window)):  # what was opened last stands in its place
            window = at(name)
        next(b for b in buttons(window) if plain(b) == word).click()
        qtbot.wait(1)
        tried += typed(window, every)
        for button in buttons(window):
            if plain(button) in ENDING:
                button.click()
    assert (tried > 0) == (name not in {"loss", "help", "compare", "store", "take_in"})
