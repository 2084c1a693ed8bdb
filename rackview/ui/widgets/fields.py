"""How buttons get their height, and how a page scrolls."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import (
    QAbstractButton,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from rackview.ui.theme import fonts


def tall(button: QAbstractButton, height: int, side: int = 14) -> None:
    """Make a button `height` px high; the style sheet has the last word on heights, so it is told here."""
    words = QFontMetricsF(button.font()).horizontalAdvance(button.text().replace("&", ""))
    button.setMinimumWidth(round(words) + 2 * side + 8)
    button.setStyleSheet(  # the ring of the keyboard is drawn in the padding
        f"QPushButton {{ min-height: {height - 8}px; padding: 3px {side}px; }}"
        f"QPushButton:focus {{ padding: 2px {max(side - 1, 0)}px; }}"
    )


def begin_left(button: QAbstractButton) -> None:
    """Have the words of a button without an edge begin where it does, in line with what stands above and below."""
    button.setStyleSheet(f"{button.styleSheet()}QPushButton {{ text-align: left; }}")


def with_button(label: QLabel, words: str, cell: QWidget, pressed: Callable[[], None], tip: str = "") -> QHBoxLayout:
    """The label of a field with a small button at its right, which the keyboard passes over."""
    row = QHBoxLayout()
    row.setSpacing(4)
    button = QPushButton(words, cell)
    button.setProperty("role", "quiet")
    button.setFont(fonts.font(13))
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    button.setToolTip(tip)
    button.clicked.connect(pressed)
    tall(button, 22, 2)
    row.addWidget(label, 1)
    row.addWidget(button)
    return row


def scrolled(inner: QWidget, parent: QWidget) -> QScrollArea:
    """A place in which `inner` scrolls where it is too long; what lies behind shows through.

    Tab goes on to what stands in it, and the page follows.
    """
    scroll = QScrollArea(parent)
    scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    scroll.setWidget(inner)
    scroll.setWidgetResizable(True)
    for ground in (scroll.viewport(), inner):
        ground.setAutoFillBackground(False)
    return scroll


def to_read(inner: QWidget, name: str, parent: QWidget) -> QScrollArea:
    """Like `scrolled`, for words alone: Tab stops at it, a ring shows it, and the arrows scroll it."""
    scroll = scrolled(inner, parent)
    scroll.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    scroll.setProperty("role", "read")
    scroll.setAccessibleName(name)
    return scroll


def scrolling_column(page: QWidget, name: str = "") -> QVBoxLayout:
    """Fill a page with one column that scrolls where it is too long, and give the column; with a name as `to_read`."""
    inner = QWidget(page)
    column = QVBoxLayout(inner)
    whole = QVBoxLayout(page)
    whole.setContentsMargins(0, 0, 0, 0)
    whole.addWidget(to_read(inner, name, page) if name else scrolled(inner, page))
    return column


def page_list(pages: Mapping[str, str], name: str, least: int, parent: QWidget) -> QListWidget:
    """A list of pages by their titles, as wide as the longest asks for; each item holds the page's key."""
    made = QListWidget(parent)
    made.setFont(fonts.font(15))
    made.setStyleSheet("QListWidget::item { padding: 8px 10px; }")
    made.setAccessibleName(name)
    for key, title in pages.items():
        item = QListWidgetItem(title)
        item.setData(Qt.ItemDataRole.UserRole, key)
        made.addItem(item)
    words = QFontMetricsF(made.font())
    made.setFixedWidth(max(least, round(max(words.horizontalAdvance(t) for t in pages.values())) + 40))
    return made


def bring_to_sight(made: QWidget, around: int = 50) -> None:
    """Scroll to a widget, in all that it scrolls in, from the inside out, with so many pixels around it."""
    above = made.parentWidget()
    while above is not None:
        if isinstance(above, QScrollArea):
            above.ensureWidgetVisible(made, around, around)
        above = above.parentWidget()


def focus_and_select(made: QWidget) -> None:
    """Put the keyboard into a field with its text selected, so that typing replaces it and never adds to it."""
    made.setFocus(Qt.FocusReason.OtherFocusReason)
    if isinstance(made, QLineEdit):
        made.selectAll()
