"""The row above the plot of a vessel's page: which days, density or water, and the vessels before and after."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QPushButton, QWidget

from rackview.language import _
from rackview.ui.widgets.fields import tall


class RangeRow(QWidget):
    """Buttons in one row.

    Signals
    -------
    range_wanted(object) : so many of the last days are to be shown, None for all
    water_wanted(bool) : the curves of the water in place of the density
    step_wanted(int) : the vessel before (-1) or after (1)
    """

    range_wanted = Signal(object)
    water_wanted = Signal(bool)
    step_wanted = Signal(int)

    def __init__(self, ranges: Sequence[float | None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._days = tuple(ranges)
        self.setMinimumWidth(1)  # it becomes as narrow as it is given, see `_fit`
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        self._ranges = QButtonGroup(self)
        self._words = (_("14 d"), _("30 d"), _("90 d"), _("All"))
        for n, (days, word) in enumerate(zip(ranges, self._words, strict=True)):
            button = self._choice(word, n + 1)
            button.setAccessibleName(word)
            button.clicked.connect(partial(self.range_wanted.emit, days))
            self._ranges.addButton(button, n)
            row.addWidget(button)
        row.addSpacing(6)
        self._water = self._choice(_("Water"), 5)
        self._water.setAccessibleName(_("Curves of the water in place of the density"))
        self._water.clicked.connect(self.water_wanted)
        row.addWidget(self._water)
        row.addStretch(1)
        self._neighbours: dict[int, QPushButton] = {}
        self._places = {-1: "", 1: ""}
        for step, name in ((-1, _("Vessel before")), (1, _("Vessel after"))):
            button = QPushButton(self)
            button.setProperty("role", "quiet")
            button.setAccessibleName(name)
            button.clicked.connect(partial(self.step_wanted.emit, step))
            self._neighbours[step] = button
            row.addWidget(button)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Leave out the unit of the days and the neighbours' places where there is no room, then these themselves."""
        for short, alone in ((False, False), (True, False), (True, True)):
            for n, word in enumerate(self._words):
                self._name(self._ranges.button(n), word.partition(" ")[0] if short else word, 5)
            for step, place in self._places.items():
                arrow, said = ("‹" if step < 0 else "›"), "" if short else place
                self._name(self._neighbours[step], f"{arrow} {said}" if step < 0 else f"{said} {arrow}", 4)
                self._neighbours[step].setVisible(bool(place) and not alone)
            if self.minimumSizeHint().width() <= self.width():
                return

    @staticmethod
    def _name(button: QAbstractButton, text: str, side: int) -> None:
        if button.text() != text.strip():
            button.setText(text.strip())
            tall(button, 36, side)

    def _choice(self, word: str, key: int) -> QPushButton:
        button = QPushButton(word, self)
        button.setCheckable(True)
        button.setProperty("role", "choice")
        button.setToolTip(_("key {n}").format(n=key))
        tall(button, 36, 5)
        return button

    def show_range(self, days: float | None) -> None:
        """Mark the range that is shown."""
        self._ranges.button(self._days.index(days)).setChecked(True)

    def show_water(self, *, on: bool) -> None:
        """Mark whether the water is shown."""
        self._water.setChecked(on)

    def name_neighbours(self, before: str, after: str) -> None:
        """Show the places of the vessels to go to; none where one is empty."""
        for step, place in ((-1, before), (1, after)):
            button = self._neighbours[step]
            button.setVisible(bool(place))
            button.setToolTip(place)
            self._places[step] = place
        self._fit()
