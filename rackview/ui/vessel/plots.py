"""The plots of a vessel's page: its density and what was done, or its water. Each is loaded when it is first shown."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QStackedWidget, QWidget

from rackview.core.clock import day_number

if TYPE_CHECKING:
    from rackview.core.rack import Rack
    from rackview.ui.theme import Theme
    from rackview.ui.vessel.history_plot import HistoryPlot
    from rackview.ui.vessel.water_plot import WaterPlot


class Plots(QStackedWidget):
    """One of the plots, for one vessel and so many days.

    Attributes
    ----------
    water : whether the water is shown in place of the density
    """

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.water = False
        self.density_plot: HistoryPlot | None = None
        self.water_plot: WaterPlot | None = None
        self._scale = 1.0
        self._drawn: tuple[object, ...] = ()

    def show_vessel(self, rack: Rack, vessel: str, at: datetime, days: float | None) -> None:
        """Draw the vessel's last `days` days before `at`, in the keeper's zone; nothing if that is drawn already."""
        drawn = (self.water, rack.log(vessel), days, self._scale, int(day_number(at) * 96))
        if drawn == self._drawn:
            return
        self._drawn = drawn
        offset = at.utcoffset() or timedelta(0)
        if self.water:
            self._show_water(rack, vessel, at, days, offset)
        else:
            self._show_density(rack, vessel, at, days, offset)

    def _show_density(self, rack: Rack, vessel: str, at: datetime, days: float | None, offset: timedelta) -> None:
        from rackview.ui.vessel.history import history
        from rackview.ui.vessel.history_plot import HistoryPlot, legend, plot_sentence

        if self.density_plot is None:
            self.density_plot = HistoryPlot(self.theme, self)
            self.density_plot.set_scale(self._scale)
            self.density_plot.setToolTip(legend())
            self.addWidget(self.density_plot)
        shown = history(rack, vessel, at, days)
        self.density_plot.show_history(shown, offset)
        self.density_plot.setAccessibleName(plot_sentence(shown))
        self.setCurrentWidget(self.density_plot)

    def _show_water(self, rack: Rack, vessel: str, at: datetime, days: float | None, offset: timedelta) -> None:
        from rackview.ui.vessel.water import water_history
        from rackview.ui.vessel.water_plot import WaterPlot

        if self.water_plot is None:
            self.water_plot = WaterPlot(self.theme, self)
            self.water_plot.set_scale(self._scale)
            self.addWidget(self.water_plot)
        self.water_plot.show_water(water_history(rack, vessel, at, days), offset)
        self.setCurrentWidget(self.water_plot)

    def as_text(self) -> str:
        """What is plotted as lines with tabs, for a spreadsheet."""
        shown = self.water_plot if self.water else self.density_plot
        return "" if shown is None else shown.as_text()

    def set_scale(self, scale: float) -> None:
        """Draw words and lanes `scale` times as large."""
        self._scale = scale
        for plot in (self.density_plot, self.water_plot):
            if plot is not None:
                plot.set_scale(scale)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        for plot in (self.density_plot, self.water_plot):
            if plot is not None:
                plot.set_theme(theme)
