"""The gauge: a culture vessel seen from the side, with its water where it truly stands, and a density scale beside it.

How dense the culture is shows in the water by its tone and by how thickly the animals stand in it, and beside the
vessel on a log scale: a needle at the estimate, a bar for the 90 % interval, a bracket for the working band. A sure
estimate is a needle alone; the less sure it is, the longer and the paler the bar.
"""

from __future__ import annotations

from math import fmod

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPainterPath

from rackview.ui.paint.ink import faded, pen, saved
from rackview.ui.rack.tile import Gauge
from rackview.ui.theme import Theme, blend

TAPER = 0.085
"""How far each side leans in from rim to foot, as a share of the width."""
SCALE = 0.62
"""Width of the density scale with its gap, as a share of the vessel's width."""
FREEBOARD = 0.1
"""How far below the rim a full vessel's water stands, as a share of the vessel's height."""
PALEST = 0.34
"""Strength of the water's tone where it holds no animal."""
FEWEST, MOST = 5, 110
"""Animals drawn in a full vessel at the foot and at the top of the scale."""
SPREAD = (0.7548776662466927, 0.5698402909980532)
"""Steps of an even two-dimensional sequence: the powers of the inverse plastic number."""
GRAINS = [(0.15 + 0.70 * fmod(0.5 + n * SPREAD[0], 1.0), fmod(0.5 + n * SPREAD[1], 1.0)) for n in range(1, MOST + 1)]


def paint_gauge(painter: QPainter, rect: QRectF, gauge: Gauge, theme: Theme) -> None:
    """Draw the vessel in the left part of `rect` and the density scale in the right part."""
    glass = QRectF(rect.left(), rect.top(), rect.width() / (1 + SCALE), rect.height())
    stroke = max(1.4, glass.width() * 0.05)
    glass.adjust(stroke / 2, 0, -stroke / 2, -stroke / 2)
    shape = _vessel(glass)
    with saved(painter):
        if not gauge.resting:
            painter.save()
            painter.setClipPath(shape)
            painter.fillRect(glass, theme.air)
            _water(painter, glass, gauge, theme)
            painter.restore()
        outline = theme.rim if gauge.resting else theme.glass
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(outline, stroke))
        painter.drawPath(_sides(glass))
        if not gauge.resting:
            _scale(
                painter, QRectF(glass.right(), rect.top(), rect.right() - glass.right(), rect.height()), gauge, theme
            )


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
    """The water up to its level, the deeper in tone and the fuller of animals the denser the culture."""
    surface = glass.bottom() - glass.height() * (1 - FREEBOARD) * _held(gauge.water)
    if gauge.water <= 0.0:
        return
    body = QRectF(glass.left(), surface, glass.width(), glass.bottom() - surface)
    if gauge.density is None:
        painter.fillRect(body, blend(theme.air, theme.water, PALEST))
        _hatch(painter, body, theme)
    else:
        share = _held(gauge.density)
        painter.fillRect(body, blend(theme.air, theme.water, PALEST + (1 - PALEST) * share))
        _animals(painter, body, share, theme)
    painter.setPen(pen(theme.glass, max(1.0, glass.width() * 0.03)))
    painter.drawLine(QLineF(glass.left(), surface, glass.right(), surface))


def _animals(painter: QPainter, body: QRectF, share: float, theme: Theme) -> None:
    """Specks spread evenly without pattern, the same at each drawing."""
    size = max(1.0, body.width() * 0.045)
    room = body.height() - 4 * size
    if room < 4 * size:
        return
    number = round(FEWEST * (MOST / FEWEST) ** share * min(1.0, 1.3 * body.height() / (2.2 * body.width())))
    painter.setPen(pen(theme.grain, size))
    points = [QPointF(body.left() + body.width() * u, body.top() + 2.5 * size + room * v) for u, v in GRAINS[:number]]
    painter.drawPoints(points)


def _hatch(painter: QPainter, body: QRectF, theme: Theme) -> None:
    """Slanted lines: what is in here nobody has counted."""
    painter.setPen(pen(blend(theme.air, theme.soft, 0.45), max(1.0, body.width() * 0.025)))
    step = max(5.0, body.width() * 0.18)
    start = body.left() - body.height()
    for n in range(int((body.width() + body.height()) / step) + 1):
        x = start + n * step
        painter.drawLine(QPointF(x, body.bottom()), QPointF(x + body.height(), body.top()))


def _scale(painter: QPainter, column: QRectF, gauge: Gauge, theme: Theme) -> None:
    """The density scale: bracket at the right, the interval's bar and the needle left of it."""
    wide = column.width()
    if gauge.band is not None:
        low, high = _height(column, gauge.band[0]), _height(column, gauge.band[1])
        x, arm = column.right() - 1.0, wide * 0.24
        painter.setPen(pen(QColor(theme.soft), max(1.2, wide * 0.055)))
        painter.drawPolyline([QPointF(x - arm, high), QPointF(x, high), QPointF(x, low), QPointF(x - arm, low)])
    if gauge.density is None:
        return
    line = _height(column, gauge.density)
    above, below = _height(column, max(gauge.high, gauge.density)), _height(column, min(gauge.low, gauge.density))
    left, right = column.left() + wide * 0.16, column.right() - wide * 0.32
    if below - above > 2.0:
        _doubt(painter, QRectF(left + wide * 0.1, above, right - left - wide * 0.2, below - above), line, theme)
    needle = max(3.0, wide * 0.17)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.ink)
    painter.drawRoundedRect(QRectF(left, line - needle / 2, right - left, needle), needle / 2, needle / 2)


def _doubt(painter: QPainter, bar: QRectF, line: float, theme: Theme) -> None:
    """The 90 % interval, fading towards its ends."""
    fade = QLinearGradient(0, bar.top(), 0, bar.bottom())
    fade.setColorAt(0.0, faded(theme.fan50, 0.25))
    fade.setColorAt(min(1.0, max(0.0, (line - bar.top()) / bar.height())), theme.fan50)
    fade.setColorAt(1.0, faded(theme.fan50, 0.25))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QBrush(fade))
    painter.drawRoundedRect(bar, bar.width() / 2, bar.width() / 2)


def _height(column: QRectF, share: float) -> float:
    """Where a density from 0 to 1 lies on the scale, which ends a little within the column."""
    low, high = column.bottom() - column.height() * 0.03, column.top() + column.height() * 0.03
    return low - (low - high) * _held(share)


def _held(share: float) -> float:
    return min(1.0, max(0.0, share))
