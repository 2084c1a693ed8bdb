"""The days ahead as bars: what each strain must give, what the rack can safely give, the chance of falling short."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.core.assessment import Plan, PlanDay
from rackview.ui import fonts, say
from rackview.ui.paint.ink import faded, pen, saved, width_of, write
from rackview.ui.theme import Theme

LABEL = 128.0
ROW = 74.0
HEAD = 22.0
RISK = 0.1
"""A chance of falling short above this is said in colour and weight."""


class DaysAhead(QWidget):
    """One row per strain with demand, one column per day."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._rows: dict[str, list[PlanDay]] = {}
        self._titles: Mapping[str, str] = {}
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(0)

    def show_plan(self, plan: Plan, titles: Mapping[str, str]) -> None:
        """Show a plan; strains that nothing eats are left out."""
        rows: dict[str, list[PlanDay]] = {}
        for day in plan.days:
            rows.setdefault(day.strain, []).append(day)
        self._rows = {s: days for s, days in rows.items() if any(d.demand > 0 for d in days)}
        self._titles = titles
        lines = len(self._rows)
        self.setFixedHeight(round(HEAD + ROW * lines if lines else 24))
        self.setAccessibleName("; ".join(self._sentence(s) for s in self._rows) or self.tr("No larvae to feed."))
        self.update()

    def _sentence(self, strain: str) -> str:
        parts = [
            self.tr("{day} {need} of {give}").format(
                day=say.weekday(d.date), need=say.animals(d.demand), give=say.animals(d.supply.median)
            )
            for d in self._rows[strain]
            if d.demand > 0
        ]
        return f"{self._titles.get(strain, strain)}: " + ", ".join(parts)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = self.theme
        if not self._rows:
            write(painter, 0, 16, self.tr("No larvae to feed in the coming days."), 15, theme.middle)
            return
        columns = max(len(d) for d in self._rows.values())
        wide = (self.width() - LABEL) / columns
        first = next(iter(self._rows.values()))
        for n, day in enumerate(first):
            name = self.tr("today") if n == 0 else say.weekday(day.date)
            write(painter, LABEL + n * wide, 14, name, 13, theme.middle, room=wide - 10)
        for line, (strain, days) in enumerate(self._rows.items()):
            top = HEAD + line * ROW
            write(painter, 0, top + 20, self._titles.get(strain, strain), 15, theme.ink, fonts.SEMIBOLD, room=LABEL - 8)
            write(painter, 0, top + 39, self.tr("wanted"), 13, theme.middle)
            most = max(max(d.demand * 1.5, d.supply.low90 * 1.25, d.supply.median) for d in days) or 1.0
            for n, day in enumerate(days):
                self._day(painter, QRectF(LABEL + n * wide, top, wide - 14, ROW), day, most)

    def _day(self, painter: QPainter, box: QRectF, day: PlanDay, most: float) -> None:
        theme = self.theme
        bar = QRectF(box.left(), box.top() + 46, box.width(), 10)
        with saved(painter):
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.band)
            painter.drawRoundedRect(bar, 2, 2)
            for share, tone in ((day.supply.high90, faded(theme.water, 0.35)), (day.supply.low90, theme.water)):
                painter.setBrush(tone)
                painter.drawRoundedRect(
                    QRectF(bar.left(), bar.top(), bar.width() * min(1.0, share / most), bar.height()), 2, 2
                )
            if day.demand > 0:
                x = bar.left() + bar.width() * day.demand / most
                painter.setPen(pen(theme.ink, 2.4))
                painter.drawLine(int(x), int(bar.top() - 5), int(x), int(bar.bottom() + 5))
        need = say.animals(day.demand) if day.demand > 0 else "–"
        risky = day.demand > 0 and day.chance_short > RISK
        px = next((p for p in (16, 15, 14) if width_of(need, p, fonts.SEMIBOLD) <= box.width()), 13)
        write(painter, box.left(), box.top() + 20, need, px, theme.ink, fonts.SEMIBOLD, room=box.width())
        if day.demand > 0:
            words = self.tr("{chance} short").format(chance=say.percent(day.chance_short))
            tone = theme.today if risky else theme.middle
            weight = fonts.SEMIBOLD if risky else fonts.REGULAR
            write(painter, box.left(), box.top() + 39, words, 13, tone, weight, room=box.width())
