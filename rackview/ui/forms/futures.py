"""What would become of the vessels that an action touches: a fan for each, and its chance of falling too low."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from math import log
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.core.assessment import Interval
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.rack import Rack
from rackview.language import _
from rackview.ui.paint.ink import pen, saved, write
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.advice.what_if.vessel import Future

DAYS = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0)
THREE = DAYS.index(3.0)


@dataclass(frozen=True, slots=True)
class ForecastFan:
    """One vessel's days ahead, after the action and without it: the 5, 25, 50, 75 and 95 % quantiles over DAYS."""

    title: str
    after: tuple[tuple[float, ...], ...]
    without: tuple[tuple[float, ...], ...]
    band: tuple[float, float]
    words: str
    low: bool


def futures(rack: Rack, events: Sequence[Event], at: datetime) -> tuple[ForecastFan, ...]:
    """The futures of the vessels that `events` (not yet recorded, at `at`) touch; empty if they can't be."""
    from rackview.advice.what_if.vessel import what_if

    try:
        found = what_if(rack, at, events, DAYS)
    except InputError:
        return ()
    pairs = {after.vessel: (after, without) for after, without in zip(found.with_act, found.without, strict=True)}
    names = dict.fromkeys(n for e in events for n in (e.vessel, e.partner) if n is not None)
    return tuple(_future(rack, *pairs[name]) for name in names)


def _future(rack: Rack, after: Future, without: Future) -> ForecastFan:
    profile, vessel = rack.profile(after.vessel), rack.vessels[after.vessel]
    chance = after.chances[-1] if after.chances else 1.0
    row = after.fan[THREE]
    words = _("in 3 d {span} /mL; too low: {chance}").format(
        span=formats.span(Interval(row[2], row[0], row[4])), chance=formats.chance(chance)
    )
    band = (profile.band_low_per_ml, profile.band_high_per_ml)
    return ForecastFan(f"{vessel.place} {after.vessel}", after.fan, without.fan, band, words, low=chance > 0.2)


class ForecastFans(QWidget):
    """Paints the futures one below the other."""

    ROW, GAP = 100, 8

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._shown: tuple[ForecastFan, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.hide()

    def show_futures(self, shown: tuple[ForecastFan, ...]) -> None:
        """Show these; none takes no room."""
        self._shown = shown
        self.setVisible(bool(shown))
        self.setFixedHeight((self.ROW + self.GAP) * len(shown))
        self.setAccessibleName("; ".join(f"{f.title}: {f.words}" for f in shown))
        self.update()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        for n, future in enumerate(self._shown):
            self._paint(painter, QRectF(0, n * (self.ROW + self.GAP), self.width(), self.ROW), future)

    def _paint(self, painter: QPainter, box: QRectF, future: ForecastFan) -> None:
        theme = self.theme
        seen = [v for rows in (future.after, future.without) for row in rows for v in row[1:] if v > 0]
        low = min([future.band[0] * 0.6, *seen])
        high = max([future.band[1] * 1.4, *seen])
        plot = box.adjusted(0, 22, -2, -26)

        def place(day: float, value: float) -> QPointF:
            height = log(max(value, low) / low) / log(high / low)
            return QPointF(plot.left() + plot.width() * day / DAYS[-1], plot.bottom() - plot.height() * min(1, height))

        with saved(painter):
            write(painter, 0, box.top() + 14, future.title, 14, theme.ink, fonts.SEMIBOLD)
            top, bottom = place(0, future.band[1]).y(), place(0, future.band[0]).y()
            painter.fillRect(QRectF(plot.left(), top, plot.width(), bottom - top), theme.band)
            painter.setPen(Qt.PenStyle.NoPen)
            for a, b, colour in ((0, 4, theme.fan90), (1, 3, theme.fan50)):
                painter.setBrush(colour)
                there = [place(d, row[a]) for d, row in zip(DAYS, future.after, strict=True)]
                back = [place(d, row[b]) for d, row in zip(DAYS, future.after, strict=True)]
                painter.drawPolygon(QPolygonF(there + back[::-1]))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen(theme.soft, 1.2, Qt.PenStyle.DotLine))
            painter.drawPolyline(QPolygonF([place(d, r[2]) for d, r in zip(DAYS, future.without, strict=True)]))
            painter.setPen(QPen(theme.soft, 1))
            for day in range(1, 6):
                x = place(day, low).x()
                painter.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + 4))
            tone = theme.today if future.low else theme.middle
            weight = fonts.SEMIBOLD if future.low else fonts.REGULAR
            write(painter, 0, box.bottom() - 7, future.words, 13, tone, weight, room=box.width())
