"""The day's supply against the larvae's demand, as one bar."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QLinearGradient, QPainter, QPainterPath

from rackview.core.assessment import Severity
from rackview.ui.paint.ink import CAP, faded, saved, width_of, wrapped, write
from rackview.ui.paint.marks import paint_severity
from rackview.ui.rack.rack_state import Supply
from rackview.ui.theme import Theme, fonts


def supply_height(width: float, supply: Supply, px: int = 14, *, whole: bool = True) -> float:
    """The height that `paint_supply` needs at a width, px."""
    lines = len(wrapped(supply.note, px, fonts.REGULAR, width, 3)) if whole else 0
    return px * (3.0 if whole else 1.55) + 26 + (lines * px * 1.36 + 2 if lines else 0)


def paint_supply(
    painter: QPainter, rect: QRectF, supply: Supply, theme: Theme, px: int = 14, *, whole: bool = True
) -> None:
    """Heading, line, bar and note, one under the other; only heading and bar unless `whole`."""
    with saved(painter):
        base = rect.top() + px * 1.1
        left = rect.left()
        if supply.short:
            paint_severity(painter, QRectF(left, base - px, px * 1.1, px * 1.1), Severity.today, theme)
            left += px * 1.6
        tone = theme.today if supply.short else theme.ink
        left += write(painter, left, base, supply.heading, px, tone, fonts.SEMIBOLD, room=rect.right() - left)
        if left + 10 + width_of(supply.aside, px) <= rect.right():
            write(painter, rect.right(), base, supply.aside, px, theme.ink, right=True)
        if whole:
            base += px * 1.45
            write(painter, rect.left(), base, supply.line, px, theme.middle, room=rect.width())
        top = base + 10
        paint_bar(painter, QRectF(rect.left(), top, rect.width(), 12), supply, theme)
        for n, line in enumerate(wrapped(supply.note, px, fonts.REGULAR, rect.width(), 3) if whole else ()):
            write(painter, rect.left(), top + 18 + (n + 0.8) * px * 1.36, line, px, theme.middle)


def paint_bar(painter: QPainter, rect: QRectF, supply: Supply, theme: Theme) -> None:
    """The bar alone: water as far as the rack surely gives, dissolving to the most it may; a post where the need is."""
    with saved(painter):
        path = QPainterPath()
        path.addRoundedRect(rect, 3, 3)
        painter.save()
        painter.setClipPath(path)
        painter.fillRect(rect, theme.band)
        sure, likely, most = (
            rect.left() + rect.width() * min(1.0, s) for s in (supply.sure, supply.likely, supply.most)
        )
        long = max(1.0, most - rect.left())
        fade = QLinearGradient(rect.left(), 0, rect.left() + long, 0)
        fade.setColorAt(0.0, theme.water)
        fade.setColorAt((sure - rect.left()) / long, theme.water)
        fade.setColorAt((likely - rect.left()) / long, faded(theme.water, 0.55))
        fade.setColorAt(1.0, faded(theme.water, 0.0) if most - sure > 1 else theme.water)
        painter.fillRect(QRectF(rect.left(), rect.top(), long, rect.height()), QBrush(fade))
        painter.fillRect(QRectF(likely - 0.75, rect.top(), 1.5, rect.height()), theme.ink)
        painter.restore()
        if supply.need is not None:
            x = rect.left() + rect.width() * min(1.0, supply.need)
            reach = rect.height() * 0.4
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.ink)
            painter.drawRoundedRect(QRectF(x - 1.75, rect.top() - reach, 3.5, rect.height() + 2 * reach), 1.5, 1.5)


def paint_brief(painter: QPainter, rect: QRectF, supply: Supply, theme: Theme) -> None:
    """The same to be read from 3 m: a few words as large as the strip allows, and the bar beside them."""
    with saved(painter):
        px = max(20, int(rect.height() * 0.62))
        left = rect.left()
        base = rect.center().y() + px * CAP / 2
        if supply.short:
            side = px * CAP * 1.1
            paint_severity(painter, QRectF(left, base - side, side, side), Severity.today, theme)
            left += side + px * 0.35
        tone = theme.today if supply.short else theme.ink
        most = rect.width() * 0.62
        while px > 20 and width_of(supply.brief, px, fonts.SEMIBOLD, display=True) > most:
            px -= 1
        used = write(painter, left, base, supply.brief, px, tone, fonts.SEMIBOLD, display=True)
        bar = QRectF(left + used + px * 0.6, 0, 0, max(14.0, px * 0.42))
        bar.setRight(rect.right() - 4)
        bar.moveTop(rect.center().y() - bar.height() / 2)
        if bar.width() > 60:
            paint_bar(painter, bar, supply, theme)
