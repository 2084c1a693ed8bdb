"""Copying: what has the keyboard, or what the screen draws, as lines with tabs that a spreadsheet takes.

Whatever can be copied has a method `as_text()`.
"""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPoint, QSize
from PySide6.QtGui import QImage, QPainter, QRegion
from PySide6.QtWidgets import QApplication, QWidget

from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets.table import DataTable

FINE = 2
MARGIN, HEAD = 16, 34


def text_of(screen: QWidget) -> str:
    """What a copy takes on a screen: from where the keyboard is, else what the screen shows first."""
    place = QApplication.focusWidget()
    while place is not None and place is not screen:
        found = _told(place)
        if found:
            return found
        place = place.parentWidget()
    return next((text for text in map(_told, (screen, *_inside(screen))) if text), "")


def _inside(screen: QWidget) -> Iterator[QWidget]:
    """What can be copied on a screen, as it stands there."""
    return (w for w in screen.findChildren(QWidget) if hasattr(w, "as_text") and w.isVisibleTo(screen))


def plot_on(screen: QWidget) -> QWidget | None:
    """What a screen draws, if it draws anything."""
    return next((w for w in _inside(screen) if not isinstance(w, DataTable)), None)


def plot_text(screen: QWidget) -> str:
    """The numbers behind what a screen draws, wherever the keyboard is."""
    plot = plot_on(screen)
    return "" if plot is None else _told(plot)


def picture_of(plot: QWidget, title: str, theme: Theme) -> QImage:
    """The plot alone under a title, twice as fine as on the screen, so that it can be printed."""
    face = fonts.font(20, fonts.BOLD)
    size = QSize(plot.width() + 2 * MARGIN, plot.height() + 2 * MARGIN + HEAD)
    image = QImage(size * FINE, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(FINE)
    image.fill(theme.field)
    painter = QPainter(image)
    painter.setFont(face)
    painter.setPen(theme.ink)
    painter.drawText(MARGIN, MARGIN + 18, title)
    flags = QWidget.RenderFlag.DrawWindowBackground | QWidget.RenderFlag.DrawChildren
    plot.render(painter, QPoint(MARGIN, MARGIN + HEAD), QRegion(), flags)
    painter.end()
    return image


def _told(widget: QWidget) -> str:
    given = getattr(widget, "as_text", None)
    return "" if given is None else str(given())
