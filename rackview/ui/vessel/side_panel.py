"""The ground of the right side of a vessel's page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

if TYPE_CHECKING:
    from rackview.ui.theme import Theme


class SidePanel(QWidget):
    """The ground of the right side."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme

    def paintEvent(self, event: QPaintEvent) -> None:
        QPainter(self).fillRect(QRectF(self.rect()), self.theme.rail)
