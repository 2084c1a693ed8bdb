"""The shelf: a board that the tiles stand on, its letter, and places where no vessel stands."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from rackview.ui.paint.ink import CAP, pen, saved, width_of, write
from rackview.ui.rack.rack_state import FreePlace
from rackview.ui.theme import Theme, blend, fonts

BOARD = 8.0
"""Thickness of the board, px."""


def paint_board(painter: QPainter, rect: QRectF, theme: Theme) -> None:
    """The board along the bottom of `rect`."""
    with saved(painter):
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.shelf)
        painter.drawRoundedRect(QRectF(rect.left(), rect.bottom() - BOARD, rect.width(), BOARD), 2, 2)


def paint_letter(painter: QPainter, rect: QRectF, name: str, theme: Theme, px: int = 17) -> None:
    """The shelf's name at the top left of `rect`; one that is wider than that runs down along the tiles."""
    with saved(painter):
        if width_of(name, px, fonts.SEMIBOLD) <= rect.width():
            write(painter, rect.left(), rect.top() + px * CAP, name, px, theme.soft, fonts.SEMIBOLD)
            return
        painter.translate(rect.left() + 2, rect.top())
        painter.rotate(90)
        write(painter, 0, 0, name, px, theme.soft, fonts.SEMIBOLD, room=rect.height())


def paint_free(
    painter: QPainter, rect: QRectF, place: FreePlace, words: str, theme: Theme, *, hovered: bool = False
) -> None:
    """A place without a vessel: a low dashed outline on the board with its name and `words` ("free place")."""
    height = max(34.0, min(rect.height() * 0.22, 64.0))
    low = QRectF(rect.left() + 0.5, rect.bottom() - height, rect.width() - 1, height - 0.5)
    px = max(14, min(20, round(height * 0.3)))
    dash = pen(theme.rim if hovered else blend(theme.field, theme.rim, 0.55), 1.2)
    dash.setDashPattern([4, 4])
    text = f"{place.place}  {words}" if width_of(f"{place.place}  {words}", px) < low.width() - 16 else place.place
    with saved(painter):
        painter.setPen(dash)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(low, 6, 6)
        x = low.center().x() - width_of(text, px) / 2
        write(painter, x, low.center().y() + px * CAP / 2, text, px, theme.middle if hovered else theme.soft)
