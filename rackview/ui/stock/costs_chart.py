"""What a million animals delivered took, month by month: bars of dry feed, its cost beside, strain by strain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.language import _
from rackview.ui.paint.ink import saved, write
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.advice.feeding.costs import MonthCost

LABEL, HEAD, ROW, BAR = 150.0, 24.0, 74.0, 26.0


class CostsChart(QWidget):
    """One row per strain, one column per month; the bars of a strain share a scale."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._rows: dict[str, dict[date, MonthCost]] = {}
        self._months: list[date] = []
        self._titles: Mapping[str, str] = {}
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(0)

    def show_costs(self, found: Sequence[MonthCost], titles: Mapping[str, str]) -> None:
        """Show these months; a strain of which nothing was delivered is left out."""
        rows: dict[str, dict[date, MonthCost]] = {}
        for one in found:
            rows.setdefault(one.strain, {})[one.month] = one
        self._rows = {s: r for s, r in rows.items() if any(m.g_per_million is not None for m in r.values())}
        self._months = sorted({m for r in self._rows.values() for m in r})
        self._titles = titles
        self.setFixedHeight(round(HEAD + ROW * len(self._rows)) if self._rows else 0)
        self.setAccessibleName(self.as_text().replace("\t", ", "))
        self.update()

    def as_text(self) -> str:
        """All of it as lines with tabs, for a spreadsheet."""
        head = (
            _("strain"), _("month"), _("delivered"), _("thrown away"),
            _("dry feed per million"), _("cost per million"),
        )  # fmt: skip
        lines = ["\t".join(head)]
        for strain, months in self._rows.items():
            for month in self._months:
                one = months.get(month)
                if one is not None:
                    cells = (
                        self._titles.get(strain, strain), f"{month:%Y-%m}", formats.animals(one.delivered),
                        formats.animals(one.thrown), self._grams(one), _cost(one),
                    )  # fmt: skip
                    lines.append("\t".join(cells))
        return "\n".join(lines)

    def _grams(self, one: MonthCost) -> str:
        return "–" if one.g_per_million is None else _("{n} g").format(n=formats.two_figures(one.g_per_million))

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._rows:
            return
        painter, theme = QPainter(self), self.theme
        wide = (self.width() - LABEL) / len(self._months)
        with saved(painter):
            for n, month in enumerate(self._months):
                write(painter, LABEL + n * wide, 14, f"{month:%b %Y}", 13, theme.middle, room=wide - 6)
            for row, (strain, months) in enumerate(self._rows.items()):
                top = HEAD + row * ROW
                title = self._titles.get(strain, strain)
                write(painter, 0, top + 18, title, 14, theme.ink, fonts.SEMIBOLD, room=LABEL - 10)
                most = max(m.g_per_million or 0.0 for m in months.values())
                for n, month in enumerate(self._months):
                    if month in months:
                        cell = QRectF(LABEL + n * wide, top, wide - 14, ROW)
                        self._cell(painter, cell, months[month], most)

    def _cell(self, painter: QPainter, cell: QRectF, one: MonthCost, most: float) -> None:
        theme = self.theme
        write(painter, cell.left(), cell.top() + 18, self._grams(one), 14, theme.ink, fonts.MEDIUM, room=cell.width())
        bar = QRectF(cell.left(), cell.top() + BAR, cell.width(), 6)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.band)
        painter.drawRoundedRect(bar, 2, 2)
        if one.g_per_million and most > 0.0:
            painter.setBrush(theme.water)
            painter.drawRoundedRect(QRectF(bar.left(), bar.top(), bar.width() * one.g_per_million / most, 6), 2, 2)
        below = formats.animals_brief(one.delivered) if one.delivered else _("none delivered")
        if one.cost_per_million is not None:
            below = _("cost {n}, of {animals}").format(n=_cost(one), animals=below)
        write(painter, cell.left(), cell.top() + BAR + 22, below, 13, theme.middle, room=cell.width())


def _cost(one: MonthCost) -> str:
    return "–" if one.cost_per_million is None else f"{one.cost_per_million:.2f}"
