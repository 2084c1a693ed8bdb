"""The days before a loss as one drawing: lanes over one time axis, for the window and for paper alike."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPolygonF

from rackview.core.dataclass import dataclass
from rackview.core.tables import Settings
from rackview.language import _
from rackview.ui.loss.days import LossDays, Series
from rackview.ui.paint.ink import pen, saved, width_of, wrapped, write
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats, spreadsheet
from rackview.ui.words import keeper_units as ku

GUTTER, RIGHT, HEAD, DENSITY, LANE, TICKS, FOOT, GAP = 108.0, 12.0, 18.0, 156.0, 34.0, 16.0, 20.0, 8.0
PX = 11
DEEPEST = 40.0
"""The scale goes no further below the floor than this; what is less stands at its foot."""
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class LossChart:
    """Density on a log scale with its band; eggs, feed and water below; ticks for what hands did."""

    days: LossDays
    settings: Settings
    keep: bool = False

    def as_text(self) -> str:
        """Everything drawn as lines with tabs: when, what, value and the ends of its interval."""
        d, count = self.days, _("count per mL, 95 %")
        estimate = _("estimate per mL, 90 %")
        rows: list[tuple[float, tuple[str, ...]]] = [(c[0], (count, *(f"{v:.5g}" for v in c[1:]))) for c in d.counts]
        rows += [(day, (estimate, *(f"{v:.5g}" for v in (mid, low, high)))) for day, low, mid, high in d.estimate]
        rows += [(day, (word, said(v))) for word, series, said, _ in self._lanes() for day, v in series]
        rows += [(day, (word,)) for word, days in self._ticks() for day in days]
        offset = timedelta(days=d.offset)
        return spreadsheet.tab_lines(
            [spreadsheet.SERIES, *((spreadsheet.cell_time(day, offset), *rest) for day, rest in rows)]
        )

    def _lanes(self) -> list[tuple[str, Series, Callable[[float], str], bool]]:
        """The lanes that have anything in them: word, values, how a value is said, whether as bars."""
        d, s = self.days, self.settings
        found = [
            (_("with eggs, %"), d.eggs, lambda v: f"{100 * v:.0f}", False),
            (_("feed, g dry"), d.feed, formats.two_figures, True),
            (
                _("water, {unit}").format(unit=ku.DEGREES[s.temperature_unit]),
                d.water["temperature"],
                lambda v: f"{ku.temperature(v, s):.1f}",
                False,
            ),
            (_("salinity"), d.water["salinity"], lambda v: f"{v:.1f}", False),
            (_("pH"), d.water["ph"], lambda v: f"{v:.1f}", False),
            (_("TAN, mg/L"), d.water["tan"], lambda v: f"{v:g}", False),
        ]
        return [lane for lane in found if lane[1]]

    def _ticks(self) -> list[tuple[str, Sequence[float]]]:
        words = {
            "harvest": _("harvest"),
            "clean": _("cleaned"),
            "contact": _("contact"),
        }
        return [(words[name], days) for name, days in self.days.acts.items() if days]

    def height(self, width: float) -> float:
        return HEAD + DENSITY + len(self._lanes()) * (LANE + GAP) + len(self._ticks()) * TICKS + GAP + FOOT

    def _x(self, rect: QRectF, day: float) -> float:
        d = self.days
        room = rect.width() - GUTTER - RIGHT
        return rect.left() + GUTTER + room * (day - d.begin) / max(d.end - d.begin, 1e-9)

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        with saved(painter):
            self._calendar(painter, rect, theme)
            self._density(painter, QRectF(rect.left(), rect.top() + HEAD, rect.width(), DENSITY), theme)
            self._loss(painter, rect, theme)
            y = rect.top() + HEAD + DENSITY + GAP
            for word, values, told, bars in self._lanes():
                self._lane(painter, QRectF(rect.left(), y, rect.width(), LANE), (word, values, told, bars), theme)
                y += LANE + GAP
            for word, days in self._ticks():
                write(painter, rect.left(), y + 12, word, PX + 1, theme.middle)
                painter.setPen(pen(theme.ink, 1.6))
                painter.drawLines([QLineF(self._x(rect, t), y + 3, self._x(rect, t), y + 13) for t in days])
                y += TICKS

    def _calendar(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        """Midnights as hairlines, every second or third one with its date."""
        d = self.days
        bottom = rect.top() + self.height(rect.width()) - FOOT
        first = math.ceil(d.begin + d.offset)
        step = 2 if rect.width() > 440 else 3
        for n in range(first, math.floor(d.end + d.offset) + 1):
            x = self._x(rect, n - d.offset)
            painter.setPen(pen(theme.edge, 0.6))
            painter.drawLine(QLineF(x, rect.top() + HEAD, x, bottom))
            if (n - first) % step == 0:
                word = formats.short_date((EPOCH + timedelta(days=n)).date(), (EPOCH + timedelta(days=n + 1)).date())
                wide = width_of(word, PX)
                left = min(x - wide / 2, rect.right() - wide)
                write(painter, left, bottom + 14, word, PX, theme.middle)

    def _loss(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        """The loss as a heavy line."""
        if self.days.lost is not None:
            x = self._x(rect, self.days.lost)
            bottom = rect.top() + self.height(rect.width()) - FOOT
            painter.setPen(pen(theme.today, 2.0))
            painter.drawLine(QLineF(x, rect.top(), x, bottom))
            word = _("lost")
            write(painter, x - 6, rect.top() + 12, word, PX + 2, theme.today, fonts.BOLD, right=True)

    def _density(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        d = self.days
        seen = [c[1] for c in d.counts if c[1] > 0] + [e[2] for e in d.estimate]
        low = math.log10(max(min([d.floor, *seen]) * 0.7, d.floor / DEEPEST))
        high = math.log10(max([d.band[1], *seen]) * 1.25)

        def y(value: float) -> float:
            share = (math.log10(max(value, 1e-6)) - low) / (high - low)
            return rect.bottom() - rect.height() * min(1.0, max(0.0, share))

        left, right = rect.left() + GUTTER, rect.right() - RIGHT
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.band)
        painter.drawRect(QRectF(left, y(d.band[1]), right - left, y(d.band[0]) - y(d.band[1])))
        if len(d.estimate) > 1:
            painter.setBrush(theme.fan90)
            there = [QPointF(self._x(rect, t), y(a)) for t, a, _, _ in d.estimate]
            back = [QPointF(self._x(rect, t), y(b)) for t, _, _, b in reversed(d.estimate)]
            painter.drawPolygon(QPolygonF(there + back))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen(theme.ink, 1.4))
            painter.drawPolyline(QPolygonF([QPointF(self._x(rect, t), y(m)) for t, _, m, _ in d.estimate]))
        painter.setPen(pen(theme.soft, 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(left, y(d.floor), right, y(d.floor)))
        write(painter, left - 6, y(d.floor) + 4, _("floor"), PX, theme.middle, right=True)
        painter.setPen(pen(theme.soft, 1.0))
        painter.drawLines([QLineF(self._x(rect, t), y(a), self._x(rect, t), y(b)) for t, _, a, b in d.counts])
        painter.setPen(pen(theme.ink, 1.2))
        painter.setBrush(theme.tile)
        for t, value, _unused, _unused in d.counts:
            painter.drawEllipse(QPointF(self._x(rect, t), y(value)), 3.2, 3.2)
        self._scale(painter, rect, theme, (low, high), y)

    def _scale(
        self,
        painter: QPainter,
        rect: QRectF,
        theme: Theme,
        ends: tuple[float, float],
        y: Callable[[float], float],
    ) -> None:
        write(painter, rect.left(), rect.top() - HEAD + 12, _("animals per mL"), PX + 1, theme.middle)
        steps = (1, 2, 5) if ends[1] - ends[0] < 2.7 else (1,)
        floor = y(self.days.floor)
        for power in range(math.floor(ends[0]), math.ceil(ends[1]) + 1):
            for step in steps:
                value = step * 10.0**power
                at = y(value)
                if ends[0] <= math.log10(value) <= ends[1] and abs(at - floor) > PX + 4:
                    write(painter, rect.left() + GUTTER - 6, at + 4, f"{value:g}", PX, theme.middle, right=True)

    def _lane(
        self,
        painter: QPainter,
        rect: QRectF,
        lane: tuple[str, Series, Callable[[float], str], bool],
        theme: Theme,
    ) -> None:
        """One lane: values as dots joined by a line, or as bars from nought; the least and the largest in figures."""
        word, values, told, bars = lane
        amounts = [v for _, v in values]
        low, high = (0.0 if bars else min(amounts)), max(amounts)
        if high - low < 1e-9:
            low, high = (0.0, max(high, 1e-9)) if bars else (low - 1.0, high + 1.0)

        def y(value: float) -> float:
            return rect.bottom() - 5 - (rect.height() - 10) * (value - low) / (high - low)

        lines = wrapped(word, PX + 1, fonts.REGULAR, GUTTER - 36, 2)
        for n, line in enumerate(lines):
            at = rect.top() + 21 + (n - (len(lines) - 1) / 2) * (PX + 3)
            write(painter, rect.left(), at, line, PX + 1, theme.middle, room=GUTTER - 36)
        edge = rect.left() + GUTTER - 6
        if bars or max(amounts) > min(amounts):
            write(painter, edge, rect.top() + 9, told(max(amounts)), PX, theme.middle, right=True)
            write(painter, edge, rect.bottom(), told(0.0 if bars else min(amounts)), PX, theme.middle, right=True)
        else:
            write(painter, edge, rect.top() + 21, told(amounts[0]), PX, theme.middle, right=True)
        points = [QPointF(self._x(rect, t), y(v)) for t, v in values]
        if bars:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.middle)
            for p in points:
                painter.drawRect(QRectF(p.x() - 2.5, p.y(), 5.0, y(0.0) - p.y()))
            return
        painter.setPen(pen(theme.ink, 1.1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF(points))
        painter.setBrush(theme.ink)
        for p in points:
            painter.drawEllipse(p, 2.2, 2.2)
