"""The curves of a vessel's water, one below the other on one axis of days, each with its good range.

pyqtgraph draws them; this module is imported when they are first asked for.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import Qt
from PySide6.QtGui import QPen
from PySide6.QtWidgets import QWidget

from rackview.language import _
from rackview.ui.theme import Theme, fonts
from rackview.ui.vessel.axes import Days, ValueAxis
from rackview.ui.vessel.water import Curve, WaterHistory
from rackview.ui.words import spreadsheet

NAME_ROOM = 0.42
"""Room right of now for the names of the curves, as a share of the days shown."""
ROOM = 0.2
"""Air above and below the values, as a share of their span."""
LEAST_SPAN = 0.02
"""The least span of an axis, as a share of the value: noise of the meter must not look like a storm."""


class WaterPlot(pg.GraphicsLayoutWidget):  # type: ignore[misc]  # pyqtgraph has no types
    """One row for each quantity that was measured."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._scale = 1.0
        self._shown: WaterHistory | None = None
        self._offset = timedelta(0)
        self.setAntialiasing(True)
        self.setFrameShape(self.Shape.NoFrame)
        for part in (self, self.viewport()):
            part.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setBackground(theme.tile)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.setBackground(theme.tile)
        self._again()

    def set_scale(self, scale: float) -> None:
        """Draw words `scale` times as large."""
        self._scale = scale
        self._again()

    def _again(self) -> None:
        if self._shown is not None:
            self.show_water(self._shown, self._offset)

    def show_water(self, shown: WaterHistory, offset: timedelta) -> None:
        """Plot the water; `offset` is the keeper's offset from UTC."""
        self._shown, self._offset = shown, offset
        self.ci.clear()
        self.setAccessibleName(curves_sentence(shown))
        k = self._scale
        self.ci.layout.setContentsMargins(*(round(m * k) for m in (8, 10, 14, 6)))
        self.ci.layout.setVerticalSpacing(round(6 * k))
        if not shown.curves:
            words = _("No water test in this time. The button “Water test…” records one.")
            self.addLabel(words, color=self.theme.middle, size=f"{round(14 * k)}px")
            return
        top: Any = None
        for row, curve in enumerate(shown.curves):
            plot = self._row(row, curve, last=row == len(shown.curves) - 1)
            if top is None:
                top = plot
                days = shown.now - shown.first
                top.setXRange(shown.first, shown.now + NAME_ROOM * days, padding=0)
            else:
                plot.setXLink(top)

    def _row(self, row: int, curve: Curve, *, last: bool) -> Any:
        k = self._scale
        days, left = Days("bottom"), ValueAxis("left")
        days.offset = self._offset
        plot = self.addPlot(row=row, col=0, axisItems={"left": left, "bottom": days})
        face = fonts.font(round(13 * k))
        for axis in (days, left):
            axis.setStyle(tickFont=face, tickLength=-5, tickTextOffset=round(6 * k))
            axis.setTextPen(self.theme.middle)
            axis.setPen(QPen(self.theme.edge, 1))
        left.setWidth(round(58 * k))
        left.enableAutoSIPrefix(enable=False)
        days.setHeight(round(26 * k))
        plot.setMenuEnabled(False)
        plot.hideButtons()
        plot.setMouseEnabled(x=True, y=False)
        if not last:
            plot.hideAxis("bottom")
        self._draw(plot, curve)
        name = pg.TextItem(
            f"{curve.name} {curve.points[-1][1]:.3g} {curve.unit}", color=self.theme.ink, anchor=(-0.04, 0.5)
        )
        name.setFont(fonts.font(round(13 * k), fonts.MEDIUM))
        plot.addItem(name, ignoreBounds=True)
        name.setPos(curve.points[-1][0], sum(axis_ends(curve)) / 2)
        return plot

    def _draw(self, plot: Any, curve: Curve) -> None:
        x, y = (np.array(v) for v in zip(*curve.points, strict=True))
        low, high = axis_ends(curve)
        if curve.low is not None or curve.high is not None:
            ends = [low if curve.low is None else curve.low, high if curve.high is None else curve.high]
            brush, none = pg.mkBrush(self.theme.band), pg.mkPen(None)
            band = pg.LinearRegionItem(ends, orientation="horizontal", movable=False, brush=brush, pen=none)
            band.setZValue(-20)
            plot.addItem(band, ignoreBounds=True)
        pen = QPen(self.theme.ink, 1.4 * self._scale)
        pen.setCosmetic(True)
        plot.addItem(pg.PlotDataItem(x, y, pen=pen))
        ink = pg.mkBrush(self.theme.ink)
        plot.addItem(pg.ScatterPlotItem(x, y, size=6 * self._scale, pen=pg.mkPen(None), brush=ink))
        plot.setYRange(low, high, padding=0)

    def as_text(self) -> str:
        """All of it as lines with tabs, for a spreadsheet."""
        if self._shown is None:
            return ""
        rows = [
            (spreadsheet.cell_time(day, self._offset), curve.titled, f"{value:.6g}")
            for curve in self._shown.curves
            for day, value in curve.points
        ]
        return spreadsheet.tab_lines([spreadsheet.SERIES[:3], *sorted(rows)])


def axis_ends(curve: Curve) -> tuple[float, float]:
    """The ends of the axis: what was measured with some air, and an end of the good range where it is near."""
    values = [v for _, v in curve.points]
    low, high = min(values), max(values)
    for end in (curve.low, curve.high):
        if end is not None and low - (high - low) - abs(end) * 0.1 <= end <= high + (high - low) + abs(end) * 0.1:
            low, high = min(low, end), max(high, end)
    least = max(abs(high), 0.1) * LEAST_SPAN
    air = max(high - low, least) * ROOM
    return low - air, high + air


def curves_sentence(shown: WaterHistory) -> str:
    """The curves in one sentence for a screen reader."""
    if not shown.curves:
        return _("Water: no test in this time.")
    parts = [
        _("{name} {value}, {n} tests").format(name=c.titled, value=f"{c.points[-1][1]:.4g}", n=len(c.points))
        for c in shown.curves
    ]
    return _("Water, newest first of each: {parts}.").format(parts="; ".join(parts))
