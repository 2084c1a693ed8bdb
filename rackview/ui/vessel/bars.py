"""Upright bars of a plot, one for each count: how sure it is.

pyqtgraph draws all bars of a plot as one path, in view or not, and to stroke a path of ten years takes thirty frames.
Here those in view are drawn, as plain lines.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

DENSE = 0.25
"""Bars for each pixel of width from which on their edges are not smoothed."""
Values = np.ndarray[Any, np.dtype[np.float64]]


class CountBars(pg.GraphicsObject):  # type: ignore[misc]  # pyqtgraph has no types
    """Bars from `low` to `high` at the ascending places `x`."""

    def __init__(self, x: Values, low: Values, high: Values, pen: QPen) -> None:
        super().__init__()
        self._x = x
        self._lines = [QLineF(*ends) for ends in zip(x.tolist(), low.tolist(), x.tolist(), high.tolist(), strict=True)]
        self._pen = QPen(pen)
        self._pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        corner = QRectF(float(x[0]), float(low.min()), float(x[-1] - x[0]), float(high.max() - low.min()))
        self._bounds = corner

    def boundingRect(self) -> QRectF:
        return self._bounds

    def dataBounds(self, ax: int, *_: Any, **__: Any) -> tuple[float, float]:
        """The range of all bars along an axis, which pyqtgraph asks for to show the whole of a plot."""
        box = self._bounds
        return (box.left(), box.right()) if ax == 0 else (box.top(), box.bottom())

    def paint(self, painter: QPainter, *_: Any) -> None:
        """Draw what is in view."""
        seen = self.viewRect()
        first, last = np.searchsorted(self._x, (seen.left(), seen.right()))
        lines = self._lines[int(first) : int(last)]
        painter.setPen(self._pen)
        if len(lines) > DENSE * self.getViewBox().width():  # upright lines of one pixel look the same, and draw at once
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
            painter.setPen(QPen(self._pen.color(), 0))
        painter.drawLines(lines)
