"""The gauge: a culture vessel seen from the side, filled on a log scale to the density in it.

The fuller the vessel stands, the denser the culture; the bracket beside it is the working band. The surface is one
sharp line where the estimate is sure and dissolves over the 90 % interval where it is not; a core line stays.
"""

from __future__ import annotations

from math import fmod

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPainterPath

from rackview.ui.paint.ink import faded, pen, saved
from rackview.ui.theme import Theme, blend
from rackview.ui.tile_state import Gauge

TAPER = 0.085
"""How far each side leans in from rim to foot, as a share of the width."""
BRACKET = 0.26
"""Width of the bracket with its gap, as a share of the vessel's width."""
SPREAD = (0.7548776662466927, 0.5698402909980532)
"""Steps of an even two-dimensional sequence: the powers of the inverse plastic number."""
GRAINS = [(0.17 + 0.68 * fmod(0.5 + n * SPREAD[0], 1.0), fmod(0.5 + n * SPREAD[1], 1.0)) for n in range(1, 34)]
SMALL_GRAINS = [g for n, g in enumerate(GRAINS) if n % 3 != 2]
LARGE_GRAINS = GRAINS[2::3]


def paint_gauge(painter: QPainter, rect: QRectF, gauge: Gauge, theme: Theme) -> None:
    """Draw the vessel in the left part of `rect` and the band's bracket in the right part."""
    glass = QRectF(rect.left(), rect.top(), rect.width() / (1 + BRACKET), rect.height())
    stroke = max(1.4, glass.width() * 0.042)
    glass.adjust(stroke / 2, 0, -stroke / 2, -stroke / 2)
    shape = _vessel(glass)
    with saved(painter):
        if not gauge.resting:
            painter.save()
            painter.setClipPath(shape)
            painter.fillRect(glass, theme.air)
            if gauge.fill is None:
                _hatch(painter, glass, theme)
            else:
                _water(painter, glass, gauge, theme)
            painter.restore()
        outline = theme.rim if gauge.resting else theme.glass
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(outline, stroke))
        painter.drawPath(_sides(glass))
        if gauge.band is not None and not gauge.resting:
            _bracket(painter, rect, glass, gauge.band, theme)


def _vessel(glass: QRectF) -> QPainterPath:
    path = _sides(glass)
    path.closeSubpath()
    return path


def _sides(glass: QRectF) -> QPainterPath:
    """Down one side, round the foot, up the other; open at the top."""
    lean = glass.width() * TAPER
    curve = min(glass.width() * 0.26, glass.height() * 0.3)
    left, right, top, foot = glass.left(), glass.right(), glass.top(), glass.bottom()
    slope = lean / glass.height()
    path = QPainterPath(QPointF(left, top))
    path.lineTo(left + lean - slope * curve, foot - curve)
    path.quadTo(left + lean, foot, left + lean + curve, foot)
    path.lineTo(right - lean - curve, foot)
    path.quadTo(right - lean, foot, right - lean + slope * curve, foot - curve)
    path.lineTo(right, top)
    return path


def _water(painter: QPainter, glass: QRectF, gauge: Gauge, theme: Theme) -> None:
    fill = gauge.fill or 0.0
    line = _height(glass, fill)
    above, below = _height(glass, max(gauge.high, fill)), _height(glass, min(gauge.low, fill))
    if below - above > 1.0:
        _dissolve(painter, glass, above, line, below, theme)
    else:
        painter.fillRect(QRectF(glass.left(), line, glass.width(), glass.bottom() - line), theme.water)
    _grains(painter, glass, below, theme)
    core = max(1.6, glass.width() * 0.05)
    painter.fillRect(QRectF(glass.left(), line - core / 2, glass.width(), core), theme.ink)


def _dissolve(painter: QPainter, glass: QRectF, above: float, line: float, below: float, theme: Theme) -> None:
    """Water that thins out from `below` to `above`, with a haze of ink about the line."""
    deep = glass.bottom() - above
    at_line, at_below = (line - above) / deep, (below - above) / deep
    water = QLinearGradient(0, above, 0, glass.bottom())
    water.setColorAt(0.0, faded(theme.water, 0.0))
    water.setColorAt(at_line, faded(theme.water, 0.62))
    water.setColorAt(at_below, theme.water)
    water.setColorAt(1.0, theme.water)
    haze = QLinearGradient(0, above, 0, glass.bottom())
    haze.setColorAt(0.0, faded(theme.ink, 0.0))
    haze.setColorAt(at_line, faded(theme.ink, 0.30))
    haze.setColorAt(at_below, faded(theme.ink, 0.0))
    for layer in (water, haze):
        painter.fillRect(QRectF(glass.left(), above, glass.width(), deep), QBrush(layer))


def _grains(painter: QPainter, glass: QRectF, surface: float, theme: Theme) -> None:
    """Specks of animals, spread evenly without pattern and the same at each drawing; the more water, the more."""
    size = max(1.0, glass.width() * 0.036)
    top = surface + 2.5 * size
    if glass.bottom() - top < 4 * size:
        return
    for share, grains in ((1.0, SMALL_GRAINS), (1.35, LARGE_GRAINS)):
        painter.setPen(pen(theme.grain, size * share))
        left, wide, tall = glass.left(), glass.width(), glass.height() - 3 * size
        points = [QPointF(left + wide * u, glass.top() + size + tall * v) for u, v in grains]
        painter.drawPoints([p for p in points if p.y() >= top])


def _hatch(painter: QPainter, glass: QRectF, theme: Theme) -> None:
    """Slanted lines: what is in here nobody has counted."""
    painter.setPen(pen(blend(theme.air, theme.soft, 0.45), max(1.0, glass.width() * 0.025)))
    step = max(5.0, glass.width() * 0.18)
    start = glass.left() - glass.height()
    for n in range(int((glass.width() + glass.height()) / step) + 1):
        x = start + n * step
        painter.drawLine(QPointF(x, glass.bottom()), QPointF(x + glass.height(), glass.top()))


def _bracket(painter: QPainter, rect: QRectF, glass: QRectF, band: tuple[float, float], theme: Theme) -> None:
    low, high = _height(glass, band[0]), _height(glass, band[1])
    arm = glass.width() * BRACKET * 0.42
    x = rect.right() - 1.0
    painter.setPen(pen(QColor(theme.soft), max(1.2, glass.width() * 0.03)))
    painter.drawPolyline([QPointF(x - arm, high), QPointF(x, high), QPointF(x, low), QPointF(x - arm, low)])


def _height(glass: QRectF, share: float) -> float:
    """Where a height from 0 to 1 lies; the foot of the glass is a little below 0 so that a thin culture shows."""
    low, high = glass.bottom() - glass.height() * 0.03, glass.top() + glass.height() * 0.02
    return low - (low - high) * min(1.0, max(0.0, share))
