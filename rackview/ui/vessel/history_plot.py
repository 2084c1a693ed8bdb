"""The large plot of one vessel's history, in our look: estimate with its band, counts, actions, forecast, rates.

pyqtgraph draws it; this module is imported when a vessel's page is first shown, so that no other screen waits for it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import timedelta
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsPolygonItem, QWidget

from rackview.language import _
from rackview.ui.paint.ink import faded
from rackview.ui.theme import Theme, fonts
from rackview.ui.vessel.axes import LANES, Days, Densities, Lanes, Rates, lane_words
from rackview.ui.vessel.bars import CountBars
from rackview.ui.vessel.history import AHEAD_DAYS, ActionMark, History
from rackview.ui.words import formats, spreadsheet

SYMBOLS = {"harvest": "t", "feed": "o", "clean": "s", "top_up": "t1", "reading": "+"}
BREAKS = {"split", "restart", "rest", "return"}
LOWEST = 0.05
"""A fan that goes lower than this share of the working band's low end is cut there, so that the rest stays legible."""
NAMES = 80.0
"""Room for the names of the lines of births, losses and eggs, px at scale 1."""
WORD_GAP = 3.0
"""Between the line of a break and its word, px."""
STEP = 0.8
"""How far a word steps down where it would lie over another, as a share of its height."""
LOW = 340
"""A plot of less height, px at scale 1, draws lanes and rates smaller."""
LEAST = 1e-3
"""Densities at or below this are drawn at it, as a logarithm knows no zero."""


class HistoryPlot(pg.GraphicsLayoutWidget):  # type: ignore[misc]  # pyqtgraph has no types
    """Density over time, lanes of actions below, egg share and rates below that; one time axis for all."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._shown: History | None = None
        self._scale = 1.0
        self._words: list[tuple[float, Any]] = []
        self._ends: list[tuple[float, Any]] = []
        self._top = 0.5
        self.setAntialiasing(True)
        self.setFrameShape(self.Shape.NoFrame)
        for part in (self, self.viewport()):  # what it shows stands in the table beside it
            part.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._build()

    def _build(self) -> None:
        self._axes: list[Any] = [Days("bottom"), Densities("left"), Lanes("left"), Rates("left")]
        days, densities, lanes, rates = self._axes
        self.main = self.addPlot(row=0, col=0, axisItems={"left": densities})
        self.acts = self.addPlot(row=1, col=0, axisItems={"left": lanes})
        self.rates = self.addPlot(row=2, col=0, axisItems={"left": rates, "bottom": days})
        for plot in (self.main, self.acts, self.rates):
            plot.setMenuEnabled(False)
            plot.hideButtons()
            plot.setMouseEnabled(x=True, y=False)
            plot.setClipToView(False)
        box = self.main.getViewBox()
        box.sigXRangeChanged.connect(self._place_words)
        box.sigResized.connect(self._share_height)
        box.sigResized.connect(self._show_days)
        self.main.hideAxis("bottom")
        self.acts.hideAxis("bottom")
        self.acts.setXLink(self.main)
        self.rates.setXLink(self.main)
        self.acts.setYRange(-0.6, 3.6, padding=0)
        self._dress()

    def _dress(self) -> None:
        k = self._scale
        self.setBackground(self.theme.tile)
        face = fonts.font(round(13 * k))
        for axis in self._axes:
            axis.setStyle(tickFont=face, tickLength=-5, tickTextOffset=round(6 * k))
            axis.setTextPen(self.theme.middle)
            axis.setPen(QPen(self.theme.edge, 1))
        words = QFontMetricsF(face)
        width = max(58 * k, *(words.horizontalAdvance(lane) + 12 * k for lane in lane_words().values()))
        for axis in self._axes[1:]:
            axis.setWidth(round(width))
        self._axes[2].setStyle(tickLength=0)
        self._axes[0].setHeight(round(26 * k))
        self._share_height()
        self.ci.layout.setContentsMargins(*(round(m * k) for m in (8, 10, 14, 6)))
        self.ci.layout.setVerticalSpacing(round(4 * k))

    def _share_height(self) -> None:
        """Give the lanes and the rates what they need, less in a low plot, where the densities come first."""
        low = self.height() < LOW * self._scale
        self.acts.setFixedHeight(round((64 if low else 80) * self._scale))
        self.rates.setFixedHeight(round((78 if low else 118) * self._scale))
        self._place_names()

    def as_text(self) -> str:
        """Counts, estimate, forecast, rates and eggs as lines with tabs, for a spreadsheet."""
        shown = self._shown
        if shown is None:
            return ""
        rows: list[tuple[float, str, float, float | str, float | str]] = []
        rows += [(c.day, _("count per mL, 95 %"), c.per_ml, c.low, c.high) for c in shown.counts]
        track = zip(*(getattr(shown.track, n).tolist() for n in ("days", "median", "low90", "high90")), strict=True)
        word = _("estimate per mL, 90 %")
        rows += [(day, word, *values) for day, *values in track if values[0] > 0]
        if shown.fan is not None:
            word = _("forecast per mL, 90 %")
            fan = zip(AHEAD_DAYS, shown.fan.tolist(), strict=True)
            rows += [(shown.now + ahead, word, row[2], row[0], row[4]) for ahead, row in fan]
        rows += [(day, _("share of females with eggs"), share, "", "") for day, share in shown.eggs]
        for day, birth, loss in shown.rates:
            rows.append((day, _("birth rate per day"), birth, "", ""))
            rows.append((day, _("loss rate per day"), loss, "", ""))
        offset = self._axes[0].offset
        cells = [
            (spreadsheet.cell_time(day, offset), what, *(f"{v:.5g}" if isinstance(v, float) else v for v in values))
            for day, what, *values in rows
        ]
        return spreadsheet.tab_lines([spreadsheet.SERIES, *cells])

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self._dress()
        if self._shown is not None:
            self.show_history(self._shown, self._axes[0].offset)

    def set_scale(self, scale: float) -> None:
        """Draw words and lanes `scale` times as large."""
        self._scale = scale
        self._dress()

    def show_history(self, shown: History, offset: timedelta) -> None:
        """Plot a history; `offset` is the keeper's offset from UTC."""
        self._shown = shown
        self._axes[0].offset = offset
        for plot in (self.main, self.acts, self.rates):
            plot.clear()
        self._band(shown)
        self._estimate(shown)
        self._fan(shown)
        self._counts(shown)
        self._breaks(shown)
        self._actions(shown)
        self._rates(shown)
        now = QPen(self.theme.soft, 1, Qt.PenStyle.DashLine)
        now.setCosmetic(True)
        for plot in (self.main, self.acts, self.rates):
            plot.addItem(pg.InfiniteLine(shown.now, angle=90, pen=now))
        self._show_days()
        low, high = self._span(shown)
        self.main.setYRange(low, high, padding=0)

    def _span(self, shown: History) -> tuple[float, float]:
        seen = [v for c in shown.counts for v in (c.per_ml, c.high) if v > 0]
        track = shown.track.median[np.isfinite(shown.track.median) & (shown.track.median > 0)]
        seen += track.tolist()
        if shown.fan is not None:
            seen += [max(float(v), shown.band[0] * LOWEST) for v in shown.fan[:, (0, 4)].ravel()]
        low = min([shown.band[0] * 0.7, *seen])
        high = max([shown.band[1] * 1.3, *seen])
        return math.log10(max(low * 0.75, LEAST)), math.log10(high * 1.3)

    def _pen(self, colour: QColor, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
        pen = QPen(colour, width * self._scale, style)
        pen.setCosmetic(True)
        return pen

    def _fill(self, plot: Any, x: Any, low: Any, high: Any, colour: QColor) -> None:
        there = np.concatenate([x, x[::-1]])
        back = np.concatenate([high, low[::-1]])
        area = QGraphicsPolygonItem(
            QPolygonF([QPointF(a, b) for a, b in zip(there.tolist(), back.tolist(), strict=True)])
        )
        area.setBrush(colour)
        area.setPen(QPen(Qt.PenStyle.NoPen))
        area.setZValue(-10)
        plot.addItem(area, ignoreBounds=True)

    def _band(self, shown: History) -> None:
        region = pg.LinearRegionItem(
            [math.log10(v) for v in shown.band],
            orientation="horizontal",
            movable=False,
            brush=pg.mkBrush(self.theme.band),
            pen=pg.mkPen(None),
        )
        region.setZValue(-20)
        self.main.addItem(region)

    def _estimate(self, shown: History) -> None:
        track = shown.track
        known = np.isfinite(track.median) & (track.median > 0)
        for part in _stretches(known):
            x = track.days[part]
            logs = [np.log10(np.maximum(v[part], LEAST)) for v in (track.low90, track.median, track.high90)]
            self._fill(self.main, x, logs[0], logs[2], faded(self.theme.water, 0.38))
            self.main.addItem(pg.PlotDataItem(x, logs[1], pen=self._pen(self.theme.ink, 1.8)))

    def _fan(self, shown: History) -> None:
        if shown.fan is None:
            return
        x = shown.now + np.array(AHEAD_DAYS)
        fan = np.log10(np.maximum(shown.fan, LEAST))
        self._fill(self.main, x, fan[:, 0], fan[:, 4], self.theme.fan90)
        self._fill(self.main, x, fan[:, 1], fan[:, 3], self.theme.fan50)

    def _counts(self, shown: History) -> None:
        if not shown.counts:
            return
        x = np.array([c.day for c in shown.counts])
        y = np.log10(np.maximum([c.per_ml for c in shown.counts], LEAST))
        low = np.log10(np.maximum([max(c.low, c.high / 1000) for c in shown.counts], LEAST))
        high = np.log10(np.maximum([c.high for c in shown.counts], LEAST))
        self.main.addItem(CountBars(x, np.minimum(low, y), high, self._pen(self.theme.soft, 1.1)))
        dots = pg.ScatterPlotItem(
            x, y, size=8 * self._scale, pen=self._pen(self.theme.ink, 1.4), brush=pg.mkBrush(self.theme.tile)
        )
        self.main.addItem(dots)

    def _breaks(self, shown: History) -> None:
        self._words = []
        for mark in shown.marks:
            if mark.kind in BREAKS:
                line = pg.InfiniteLine(mark.day, angle=90, pen=self._pen(self.theme.notice, 1.2, Qt.PenStyle.DotLine))
                self.main.addItem(line)
                label = pg.TextItem(_break_words(mark), color=self.theme.notice)
                label.setFont(fonts.font(round(12 * self._scale), fonts.MEDIUM))
                self.main.addItem(label, ignoreBounds=True)
                label.setPos(mark.day, self._span(shown)[1])
                self._words.append((mark.day, label))

    def _show_days(self) -> None:
        """Show the whole range, with room right of now for the names of the lines that end there."""
        shown, width = self._shown, self.main.getViewBox().width()
        if shown is None:
            return
        letters = QFontMetricsF(fonts.font(round(13 * self._scale), fonts.MEDIUM))
        longest = max(letters.horizontalAdvance(w) for w in (_("birth rate"), _("loss rate"), _("with eggs")))
        share = min(0.5, max(NAMES * self._scale, 1.16 * longest + 6) / width) if width else 0.0
        last = max(shown.last, (shown.now - share * shown.first) / (1 - share))
        self.main.setXRange(shown.first, last, padding=0.02)
        self._place_words()

    def _place_words(self) -> None:
        """Write the words of the breaks left of their lines, or right where there is no room, none over another."""
        box = self.main.getViewBox()
        first, last = box.viewRange()[0]
        taken: list[tuple[int, float, float]] = []
        for day, label in self._words:
            x = (day - first) / (last - first) * box.width()
            wide = label.textItem.boundingRect().width()
            sides = [x + WORD_GAP] if x < wide + WORD_GAP else [x - wide - WORD_GAP, x + WORD_GAP]
            step, left = min(
                ((_free_step(taken, left, wide), left) for left in sides if left + wide <= box.width()),
                key=lambda found: found[0],
                default=(_free_step(taken, sides[0], wide), sides[0]),
            )
            taken.append((step, left, left + wide))
            label.setAnchor(((x - left) / wide, -STEP * step))

    def _actions(self, shown: History) -> None:
        for kind, lane in LANES.items():
            days = [m.day for m in shown.marks if m.kind == kind]
            if days:
                dots = pg.ScatterPlotItem(
                    days,
                    [lane] * len(days),
                    symbol=SYMBOLS[kind],
                    size=8 * self._scale,
                    pen=pg.mkPen(None),
                    brush=pg.mkBrush(self.theme.middle),
                )
                self.acts.addItem(dots)

    def _rates(self, shown: History) -> None:
        top = 0.5
        names: list[tuple[float, str, QColor]] = []
        if shown.rates:
            rates = np.array(shown.rates)
            top = max(top, float(np.nanmax(rates[:, 1:])) * 1.1)
            dashed = self._pen(self.theme.today, 1.4, Qt.PenStyle.DashLine)
            self.rates.addItem(pg.PlotDataItem(rates[:, 0], rates[:, 1], pen=self._pen(self.theme.ink, 1.4)))
            self.rates.addItem(pg.PlotDataItem(rates[:, 0], rates[:, 2], pen=dashed))
            names.append((rates[-1, 1], _("birth rate"), self.theme.ink))
            names.append((rates[-1, 2], _("loss rate"), self.theme.today))
        if shown.eggs:
            eggs = np.array(shown.eggs)
            top = max(top, float(eggs[:, 1].max()) * 1.1)
            self.rates.addItem(pg.PlotDataItem(eggs[:, 0], eggs[:, 1], pen=self._pen(self.theme.notice, 1.0)))
            dots = pg.ScatterPlotItem(
                eggs[:, 0], eggs[:, 1], size=5 * self._scale, pen=pg.mkPen(None), brush=pg.mkBrush(self.theme.notice)
            )
            self.rates.addItem(dots)
            names.append((float(eggs[-1, 1]), _("with eggs"), self.theme.notice))
        self.rates.setYRange(0, top, padding=0.02)
        ends = [shown.rates[-1][0]] if shown.rates else [day for day, _ in shown.eggs[-1:]]
        self._names(ends[0] if ends else shown.now, names, top)

    def _names(self, x: float, names: list[tuple[float, str, QColor]], top: float) -> None:
        """Name the lines at their right end, each at its height or just far enough from the others."""
        self._ends, self._top = [], top
        for y, word, colour in sorted(names, key=lambda n: n[0]):
            label = pg.TextItem(word, color=colour, anchor=(-0.08, 0.5))
            label.setFont(fonts.font(round(13 * self._scale), fonts.MEDIUM))
            self.rates.addItem(label, ignoreBounds=True)
            label.setPos(x, y)
            self._ends.append((y, label))
        self._place_names()

    def _place_names(self) -> None:
        """Move the names of the lines apart, in a low plot by a larger share of it."""
        gap = self._top * (0.32 if self.height() < LOW * self._scale else 0.19)
        heights = spaced_apart([y for y, _ in self._ends], gap, 0.5 * gap, self._top - 0.5 * gap)
        for height, (_unused, label) in zip(heights, self._ends, strict=True):
            label.setPos(label.pos().x(), height)


def spaced_apart(heights: list[float], gap: float, least: float, most: float) -> list[float]:
    """Ascending heights moved to be at least `gap` from each other, between `least` and `most` as far as they fit."""
    found: list[float] = []
    for y in heights:
        least = max(y, least)
        found.append(least)
        least += gap
    for i in reversed(range(len(found))):
        most = found[i] = min(found[i], most)
        most -= gap
    return found


def _free_step(taken: Sequence[tuple[int, float, float]], left: float, wide: float) -> int:
    """The first step down at which a word that begins at `left` lies over none of those that are placed."""
    over = {step for step, low, high in taken if left < high and low < left + wide}
    return next(n for n in range(len(taken) + 1) if n not in over)


def _break_words(mark: ActionMark) -> str:
    return {
        "split": _("split"),
        "restart": _("restart"),
        "rest": _("at rest"),
        "return": _("in use"),
    }[mark.kind]


def _stretches(known: np.ndarray[Any, np.dtype[np.bool_]]) -> list[slice]:
    """The runs of True, as slices."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], known.astype(int), [0]])))
    return [slice(int(a), int(b)) for a, b in edges.reshape(-1, 2) if b - a > 1]


def legend() -> str:
    """What the marks of the plot stand for."""
    return _(
        "Points: counts with their 95 % interval. Line: the estimate, its band 90 %. Strip: working band. "
        "Fan: 50 and 90 % of what may come. Triangles: harvest down, top-up up; cross: water test. "
        "Below: birth rate and loss rate per day, share of females with eggs (0.5 is 50 %)."
    )


def plot_sentence(shown: History) -> str:
    """The plot in one sentence for a screen reader."""
    if not shown.counts:
        return _("History: no counts in this range.")
    newest = shown.counts[-1]
    return _("History: {n} counts, the newest {density} per mL, {days} days ago.").format(
        n=len(shown.counts), density=formats.two_figures(newest.per_ml), days=f"{shown.now - newest.day:.0f}"
    )
