"""The shelves' names beside the rack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHeaderView

from rackview.ui.paint.shelf import paint_letter

if TYPE_CHECKING:
    from rackview.ui.rack.view import RackView

LETTERS = 28
"""Width of the column with the shelves' names, px."""


class Letters(QHeaderView):
    """The shelves' names at the left, with the beginning of each board."""

    def __init__(self, view: RackView) -> None:
        super().__init__(Qt.Orientation.Vertical, view)
        self._view = view
        self.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setSectionsClickable(False)
        self.setFixedWidth(LETTERS)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self.viewport())
        theme, model = self._view.theme, self._view.rack
        painter.fillRect(self.viewport().rect(), theme.field)
        for row in self._view.rows_within(event.rect()):
            top, height = self.sectionViewportPosition(row), self.sectionSize(row)
            board = self._view.board(QRectF(0, top, LETTERS, height))
            painter.fillRect(board, theme.shelf)
            tall = self._view.tile_height()
            px = max(17, min(24, round(tall / 14)))
            paint_letter(
                painter, QRectF(4, board.top() - tall + 4, LETTERS - 6, tall - 8), model.letter(row), theme, px
            )
