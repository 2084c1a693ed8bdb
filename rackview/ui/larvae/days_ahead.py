"""The days ahead on one time line: broods as bands, what they need as steps, what the rack can give with its spread.

A day that may fall short shows as a gap between the step of the need and the supply, in colour, with its chance in
words.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.core.assessment import Plan, PlanDay
from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.ui.paint.ink import faded, pen, saved, width_of, write
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats, spreadsheet

LABEL = 128.0
HEAD = 24.0
LANE = 19.0
"""Height of one brood's band with its gap."""
CHART = 58.0
ABOVE = 20.0
"""Room for the numbers above a chart."""
GAP = 14.0
RISK = 0.1
"""A chance of falling short above this is said in colour and weight."""
SURE, PERHAPS = 0.85, 0.30
"""Strength of the water's tone up to what is given in 95 of 100 cases, and in 5 of 100."""
PEAK = 1.15
"""The chart is this much higher than the most that is needed or surely given."""


@dataclass(frozen=True, slots=True)
class BroodDays:
    """The first and the last day on which a brood eats prey of a strain; `sure` if its hatching is recorded."""

    brood: str
    strain: str
    first: date
    last: date
    sure: bool = True


class DaysAhead(QWidget):
    """One row per strain with demand; all rows share the days from today on."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._rows: dict[str, list[PlanDay]] = {}
        self._titles: Mapping[str, str] = {}
        self._bands: dict[str, list[BroodDays]] = {}
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(0)

    def show_plan(self, plan: Plan, titles: Mapping[str, str], broods: Sequence[BroodDays] = ()) -> None:
        """Show a plan with the broods that it is for; strains that nothing eats are left out."""
        rows: dict[str, list[PlanDay]] = {}
        for day in plan.days:
            rows.setdefault(day.strain, []).append(day)
        self._rows = {s: days for s, days in rows.items() if any(d.demand > 0 for d in days)}
        self._titles = titles
        self._bands = {
            strain: sorted(
                (b for b in broods if b.strain == strain and b.last >= days[0].date and b.first <= days[-1].date),
                key=lambda b: (b.first, b.brood),
            )
            for strain, days in self._rows.items()
        }
        self.setFixedHeight(round(HEAD + sum(self._height(s) for s in self._rows)) if self._rows else 24)
        self.setAccessibleName("; ".join(self._sentence(s) for s in self._rows) or _("No larvae to feed."))
        self.update()

    def as_text(self) -> str:
        """Need and supply day by day as lines with tabs, for a spreadsheet."""
        titles = (_("Day"), _("Strain"), _("Needed"), _("Can give"), _("5 %"))
        rows = [
            (
                d.date.isoformat(),
                self._titles.get(strain, strain),
                *(f"{n:.0f}" for n in (d.demand, d.supply.median, d.supply.low90, d.supply.high90)),
                f"{d.chance_short:.3f}",
            )
            for strain, days in self._rows.items()
            for d in days
        ]
        return spreadsheet.tab_lines([(*titles, _("95 %"), _("Chance of a shortfall")), *rows]) if rows else ""

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def _height(self, strain: str) -> float:
        return LANE * len(self._bands[strain]) + ABOVE + CHART + GAP

    def _sentence(self, strain: str) -> str:
        parts = [
            _("{day} {need} of {give}, chance of a shortfall {chance}").format(
                day=formats.weekday(d.date),
                need=formats.animals(d.demand),
                give=formats.animals(d.supply.median),
                chance=formats.chance(d.chance_short),
            )
            for d in self._rows[strain]
            if d.demand > 0
        ]
        return f"{self._titles.get(strain, strain)}: " + "; ".join(parts)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self.theme
        if not self._rows:
            write(painter, 0, 16, _("No larvae to feed in the coming days."), 15, theme.middle)
            return
        with saved(painter):
            days = [d.date for d in next(iter(self._rows.values()))]
            wide = (self.width() - LABEL) / len(days)
            names = [f"{formats.weekday(day)[:3]} {day.day}" for day in days]
            if max(width_of(name, 13, fonts.REGULAR) for name in names) > wide - 4:  # a day's number is never cut
                names = [str(day.day) for day in days]
            for n, name in enumerate([_("today"), *names[1:]]):
                write(painter, LABEL + n * wide, 14, name, 13, theme.middle, room=wide - 4)
            top = HEAD
            for strain in self._rows:
                self._strain(painter, QRectF(0, top, self.width(), self._height(strain)), strain, wide)
                top += self._height(strain)

    def _strain(self, painter: QPainter, box: QRectF, strain: str, wide: float) -> None:
        days = self._rows[strain]
        top = box.top()
        title = self._titles.get(strain, strain)
        write(painter, 0, top + 14, title, 15, self.theme.ink, fonts.SEMIBOLD, room=LABEL - 8)
        for band in self._bands[strain]:
            self._band(painter, top, band, days, wide)
            top += LANE
        chart = QRectF(LABEL, top + ABOVE, box.width() - LABEL, CHART)
        if strain == next(iter(self._rows)):
            self._legend(painter, chart)
        self._chart(painter, chart, days, wide)

    def _legend(self, painter: QPainter, chart: QRectF) -> None:
        theme, y = self.theme, chart.top() + 6
        painter.setPen(pen(theme.ink, 2.4))
        painter.drawLine(QLineF(2, y - 5, 16, y - 5))
        write(painter, 22, y, _("needed"), 13, theme.middle)
        painter.setPen(Qt.PenStyle.NoPen)
        for tone, words in ((SURE, _("surely there")), (PERHAPS, _("perhaps"))):
            y += 17
            painter.setBrush(faded(theme.water, tone))
            painter.drawRect(QRectF(2, y - 10, 14, 10))
            write(painter, 22, y, words, 13, theme.middle)
        if not any(d.demand > 0 and d.chance_short > RISK for days in self._rows.values() for d in days):
            return  # nothing here is written in that colour
        write(painter, 2, y + 17, _("1 in 8"), 13, theme.today, fonts.SEMIBOLD)
        write(painter, 46, y + 17, _("falls short"), 13, theme.middle)

    def _band(self, painter: QPainter, top: float, band: BroodDays, days: Sequence[PlanDay], wide: float) -> None:
        """A brood from its first to its last day of prey, dashed while its hatching is only expected."""
        theme, first = self.theme, days[0].date
        start = max(0, (band.first - first).days)
        end = min(len(days), (band.last - first).days + 1)
        rect = QRectF(LABEL + start * wide, top + 1, (end - start) * wide - 5, LANE - 4)
        painter.setBrush(theme.band)
        style = Qt.PenStyle.SolidLine if band.sure else Qt.PenStyle.DashLine
        painter.setPen(pen(theme.rim, 1.2, style))
        painter.drawRoundedRect(rect, 3, 3)
        words = band.brood if band.sure else _("{brood}, hatch expected").format(brood=band.brood)
        if width_of(words, 13, fonts.MEDIUM) > rect.width() - 12:
            words = band.brood
        write(painter, rect.left() + 6, rect.bottom() - 3.5, words, 13, theme.ink, fonts.MEDIUM, room=rect.width() - 10)

    def _chart(self, painter: QPainter, chart: QRectF, days: Sequence[PlanDay], wide: float) -> None:
        theme = self.theme
        most = PEAK * max(max(d.demand, d.supply.low90) for d in days) or 1.0

        def y(animals: float) -> float:
            return chart.bottom() - chart.height() * min(1.0, animals / most)

        painter.setPen(Qt.PenStyle.NoPen)
        for tone, value in ((PERHAPS, "high90"), (SURE, "low90")):
            painter.setBrush(faded(theme.water, tone))
            for n, day in enumerate(days):
                height = y(getattr(day.supply, value))
                painter.drawRect(QRectF(chart.left() + n * wide, height, wide - 2, chart.bottom() - height))
        for n, day in enumerate(days):
            self._gap(painter, QRectF(chart.left() + n * wide, 0, wide - 2, 0), day, y)
        painter.setPen(pen(theme.soft, 1.0))
        painter.drawLine(QLineF(chart.left(), chart.bottom(), chart.right(), chart.bottom()))
        painter.setPen(pen(theme.ink, 2.4))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(_steps(chart, days, wide, y))
        said = self._way_of_writing(wide)
        for n, day in enumerate(days):
            self._numbers(painter, QRectF(chart.left() + n * wide, chart.top() - ABOVE, wide - 8, ABOVE), day, said)

    def _way_of_writing(self, wide: float) -> Callable[[float], str]:
        """How all needs are written: in words where each has room for them, else briefly."""
        longest = max(width_of(formats.animals(d.demand), 13) for days in self._rows.values() for d in days)
        return formats.animals if longest <= wide - 8 else formats.animals_brief

    def _gap(self, painter: QPainter, column: QRectF, day: PlanDay, y: Callable[[float], float]) -> None:
        """What may be missing, from the least that is surely given up to the need."""
        if day.demand <= 0 or day.chance_short <= RISK or day.demand <= day.supply.low90:
            return
        top, bottom = y(day.demand), y(day.supply.low90)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(faded(self.theme.today, 0.25 + 0.5 * min(1.0, day.chance_short)))
        painter.drawRect(QRectF(column.left(), top, column.width(), bottom - top))

    def _numbers(self, painter: QPainter, box: QRectF, day: PlanDay, said: Callable[[float], str]) -> None:
        """The need above its column; where it may not be met, the chance of that instead."""
        theme = self.theme
        if day.demand <= 0:
            return
        if day.chance_short <= RISK:
            write(painter, box.left(), box.bottom() - 5, said(day.demand), 13, theme.middle, room=box.width())
            return
        words = formats.chance_brief(day.chance_short)
        both = f"{formats.animals_brief(day.demand)}, {words}"
        told = both if width_of(both, 13, fonts.SEMIBOLD) <= box.width() else words
        write(painter, box.left(), box.bottom() - 5, told, 13, theme.today, fonts.SEMIBOLD, room=box.width())


def _steps(chart: QRectF, days: Sequence[PlanDay], wide: float, y: Callable[[float], float]) -> QPolygonF:
    """The need as steps, a column a day."""
    points = []
    for n, day in enumerate(days):
        left = chart.left() + n * wide
        points += [QPointF(left, y(day.demand)), QPointF(left + wide - 2, y(day.demand))]
    return QPolygonF(points)
