"""The trend: word-sized, without axes; a strip for the working band, points for counts, a line for the estimate.

Harvests are steps down in the line, splits and restarts gaps, the forecast a fan of 50 % and 90 %. Heights are on a log
scale of the vessel's own, so that a course shows whatever its density; how steep it is stands in words beside it.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPolygonF

from rackview.ui.paint.ink import pen, saved
from rackview.ui.rack.rack_state import Point, Trend
from rackview.ui.theme import Theme


def paint_trend(painter: QPainter, rect: QRectF, trend: Trend, theme: Theme, scale: float = 1.0) -> None:
    """Draw the trend in `rect`; `scale` thickens strokes and points with the size of a tile."""
    dot = 2.1 * scale
    edge = dot * 1.5 + 1.0
    plot = rect.adjusted(dot + 1, edge, 0, -edge)

    def place(point: Point) -> QPointF:
        return QPointF(plot.left() + plot.width() * point[0], plot.bottom() - plot.height() * _within(point[1]))

    with saved(painter):
        painter.setPen(Qt.PenStyle.NoPen)
        if trend.band is not None:
            low, high = (place((0.0, y)).y() for y in trend.band)
            painter.setBrush(theme.band)
            painter.drawRect(QRectF(rect.left(), high, rect.width(), max(2.0, low - high)))
        for lower, upper, colour in ((1, 4, theme.fan90), (2, 3, theme.fan50)):
            painter.setBrush(colour)
            painter.drawPolygon(_area(place, trend, lower, upper))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(theme.ink, 1.6 * scale))
        for stretch in trend.lines:
            painter.drawPolyline(QPolygonF([place(p) for p in stretch]))
        painter.setPen(pen(theme.ink, 1.1 * scale))
        painter.setBrush(theme.tile)
        for point in trend.points:
            painter.drawEllipse(place(point), dot, dot)
        if trend.last is not None:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.ink)
            painter.drawEllipse(place(trend.last), dot * 1.5, dot * 1.5)


def _area(place: Callable[[Point], QPointF], trend: Trend, lower: int, upper: int) -> QPolygonF:
    there = [place((row[0], row[lower])) for row in trend.fan]
    back = [place((row[0], row[upper])) for row in reversed(trend.fan)]
    return QPolygonF(there + back)


def _within(height: float) -> float:
    return min(1.0, max(0.0, height))
