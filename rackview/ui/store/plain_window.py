"""A window without screens."""

from __future__ import annotations

from PySide6.QtCore import QSize

from rackview.ui.top_window import TopWindow

SMALLEST = QSize(640, 400)


class PlainWindow(TopWindow):
    """Opens at a size that the screen has room for."""

    def __init__(self, size: QSize) -> None:
        super().__init__()
        self.fit(SMALLEST, size)
