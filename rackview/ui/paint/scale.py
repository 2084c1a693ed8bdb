"""The density scale of the round: a log axis with what is expected above it and what was counted on it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from rackview.core.assessment import Interval
from rackview.core.dataclass import dataclass
from rackview.ui.theme import Theme, fonts


@dataclass(frozen=True, slots=True)
class ScaleState:
    """What the scale shows, animals per mL: the ends of the axis, what is expected, what was counted."""

    low: float
    high: float
    expected: Interval | None = None
    counted: Interval | None = None
    words: str = "expected"


def around(floor: float, ceiling: float, *shown: Interval | None) -> tuple[float, float]:
    """The ends of the axis: the strain's own range, widened until everything shown is on it."""
    low, high = floor / 2, ceiling * 2
    for interval in shown:
        if interval is not None:
            low = min(low, max(interval.low90, interval.high90 / 50) * 0.8)
            high = max(high, interval.high90 * 1.25)
    return max(low, 1e-6), high


def ticks(low: float, high: float) -> Iterator[float]:
    """1, 2, 5, 10, 20, 50 ... within the axis; only powers of ten where there would be more than eight."""
    steps = (1, 2, 5) if math.log10(high / low) < 2.6 else (1,)
    for power in range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1):
        for step in steps:
            value = step * 10.0**power
            if low <= value <= high:
                yield value


def draw_scale(painter: QPainter, rect: QRectF, state: ScaleState, theme: Theme, scale: float = 1.0) -> None:
    """Draw the scale into `rect`, about 64 pixels high times `scale`."""
    span = math.log(state.high / state.low)

    def x(value: float) -> float:
        share = math.log(max(value, state.low) / state.low) / span
        return rect.left() + min(1.0, share) * rect.width()

    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    axis = rect.top() + 36 * scale
    small = fonts.font(fonts.px(13, scale))
    painter.setFont(small)
    painter.setPen(QPen(theme.soft, 1.2 * scale))
    painter.drawLine(QLineF(rect.left(), axis, rect.right(), axis))
    for value in ticks(state.low, state.high):
        at = x(value)
        painter.setPen(QPen(theme.soft, 1.2 * scale))
        painter.drawLine(QLineF(at, axis - 5 * scale, at, axis + 5 * scale))
        painter.setPen(theme.middle)
        middle = min(max(at, rect.left() + 14 * scale), rect.right() - 16 * scale)
        label = QRectF(middle - 40 * scale, axis + 8 * scale, 80 * scale, 24 * scale)
        painter.drawText(label, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, f"{value:g}")
    if state.expected is not None:
        _expected(painter, rect, x(state.expected.low90), x(state.expected.high90), state.words, theme, scale)
    if state.counted is not None:
        left, right = x(state.counted.low90), x(state.counted.high90)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.water)
        painter.drawRoundedRect(QRectF(left, axis - 7 * scale, max(2.0, right - left), 14 * scale), 1, 1)
        at = x(state.counted.median)
        painter.setBrush(theme.ink)
        painter.drawRect(QRectF(at - 2 * scale, axis - 12 * scale, 4 * scale, 24 * scale))
    painter.restore()


def _expected(
    painter: QPainter, rect: QRectF, left: float, right: float, words: str, theme: Theme, scale: float
) -> None:
    top = rect.top() + 8 * scale
    bar = QRectF(left, top, max(3.0, right - left), 12 * scale)
    painter.setPen(QPen(theme.soft, 1.0))
    painter.setBrush(theme.band)
    painter.drawRoundedRect(bar, 2, 2)
    metrics = QFontMetricsF(painter.font())
    width = metrics.horizontalAdvance(words)
    text_x = right + 8 * scale if right + 8 * scale + width <= rect.right() else left - 8 * scale - width
    painter.setPen(theme.middle)
    painter.drawText(QPointF(text_x, top + 11 * scale), words)
