"""Tiles as they were painted last, so that a repaint and a scroll put pictures instead of drawing every tile anew."""

from __future__ import annotations

import math
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QPainter, QPixmap
from PySide6.QtWidgets import QWidget

from rackview.ui.paint.shelf import BOARD
from rackview.ui.paint.tile import paint_tile
from rackview.ui.rack.tile import TileState
from rackview.ui.theme import Theme

GAP = 10
"""Between two tiles, px."""
FOOT = 20
"""Below a tile: the board it stands on and the air above the next shelf, px."""
VIEWS = 2
"""How many screenfuls are kept at most."""


class Manner(NamedTuple):
    """All besides its state on which a tile's picture depends: its size, that of its cell, and how it is drawn."""

    tile: tuple[float, float]
    cell: tuple[int, int]
    theme: Theme
    glance: bool
    hovered: bool
    ratio: float


class DrawnTiles:
    """Pictures of tiles by vessel, the newest used last; no more than `VIEWS` screenfuls of them."""

    def __init__(self) -> None:
        self._pictures: dict[str, tuple[TileState, Manner, QPixmap]] = {}
        self._pixels = 0

    def paint(self, painter: QPainter, corner: QPointF, state: TileState, manner: Manner, view: QWidget) -> None:
        """Paint the tile of a cell with a whole-numbered corner; it is drawn anew where its picture is not known.

        The picture lies on whole pixels of the screen, or the tile is drawn there itself: no edge is blurred.
        """
        if not _whole(painter.deviceTransform().map(corner)):
            _draw(painter, corner, state, manner)
            return
        known = self._pictures.pop(state.vessel, None)
        if known is None or known[1] != manner or (known[0] is not state and known[0] != state):
            if known is not None:
                self._pixels -= _pixels(known[2])
            known = state, manner, _drawn(state, manner)
            self._pixels += _pixels(known[2])
        self._pictures[state.vessel] = known
        painter.drawPixmap(corner, known[2])
        most = VIEWS * view.width() * view.height() * manner.ratio**2
        while self._pixels > most and len(self._pictures) > 1:
            _, _, oldest = self._pictures.pop(next(iter(self._pictures)))
            self._pixels -= _pixels(oldest)


def _whole(point: QPointF) -> bool:
    return point.x() == round(point.x()) and point.y() == round(point.y())


def _pixels(picture: QPixmap) -> int:
    return picture.width() * picture.height()


def tile_on_board(cell: QRectF, tile: tuple[float, float]) -> QRectF:
    """A tile of that size within its cell: on the board."""
    width, height = tile
    return QRectF(cell.left() + GAP / 2, cell.bottom() - FOOT + BOARD / 2 - height, width, height)


def _draw(painter: QPainter, corner: QPointF, state: TileState, manner: Manner) -> None:
    where = tile_on_board(QRectF(corner, QSizeF(*manner.cell)), manner.tile)
    paint_tile(painter, where, state, manner.theme, glance=manner.glance, hovered=manner.hovered)


def _drawn(state: TileState, manner: Manner) -> QPixmap:
    width, height = manner.cell
    picture = QPixmap(math.ceil(width * manner.ratio), math.ceil(height * manner.ratio))
    picture.setDevicePixelRatio(manner.ratio)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    _draw(painter, QPointF(0.0, 0.0), state, manner)
    painter.end()
    return picture
