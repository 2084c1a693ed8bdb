"""A label whose lines wrap and that is always as high as its lines, in a page that scrolls too.

Qt's layouts ask a wrapping label for its height at a width only where nothing between it and the window scrolls or
keeps a size of its own; elsewhere its last lines are cut. This one asks for what it needs whenever its width changes.
"""

from __future__ import annotations

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QWidget


class Wrapped(QLabel):
    """Words that wrap; at least `least` px high, so that their room is kept while they say nothing."""

    def __init__(self, text: str = "", parent: QWidget | None = None, *, least: int = 0) -> None:
        super().__init__(parent)
        self._least = least
        self.setWordWrap(True)
        self.setText(text)

    def setText(self, text: str) -> None:
        super().setText(text)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        needed = max(self._least, self.heightForWidth(self.width()) if self.text() else 0)
        if needed != self.minimumHeight():
            self.setMinimumHeight(needed)
