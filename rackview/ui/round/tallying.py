"""The tally by key within the round: what was tallied goes into the fields, where it can be seen and changed."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedWidget

from rackview.ui.round.entry.model import Entry
from rackview.ui.theme import Theme

if TYPE_CHECKING:
    from rackview.ui.tally.model import Tally
    from rackview.ui.tally.page import TallyPage


class Tallying(QObject):
    """The page of the tally among the round's `pages`, made when it is first wanted.

    Signals
    -------
    finished() : what was tallied is to be put into the entry
    left() : back to the fields without it
    """

    finished = Signal()
    left = Signal()

    def __init__(self, theme: Theme, pages: QStackedWidget) -> None:
        super().__init__(pages)
        self._theme = theme
        self._pages = pages
        self._page: TallyPage | None = None

    def begin(self, entry: Entry) -> None:
        """Count the sample of an entry with the eyes at the microscope."""
        if self._page is None:
            from rackview.ui.tally.page import TallyPage

            self._page = TallyPage(self._theme, self._pages)
            self._page.finished.connect(self.finished)
            self._page.left.connect(self.left)
            self._pages.addWidget(self._page)
        vessel = entry.rack.vessels[entry.vessel]
        self._page.begin(f"{vessel.place} {vessel.vessel}", entry.number("dilution") or 1.0)
        self._pages.setCurrentWidget(self._page)
        self._page.setFocus()

    @property
    def tally(self) -> Tally | None:
        """What was tallied last; None if nothing ever was."""
        return None if self._page is None else self._page.tally

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self._theme = theme
        if self._page is not None:
            self._page.set_theme(theme)


def put_tally(entry: Entry, tally: Tally, now: datetime) -> None:
    """Put a tally into the fields of an entry; fields of more aliquots than it has are emptied."""
    stage = entry.stages[0]
    for n, animals in enumerate(tally.tallies):
        entry.put(f"{stage}.{n}", str(animals), now)
    for n in range(len(tally.tallies), len(entry.tallies(stage))):
        entry.put(f"{stage}.{n}", "", now)
    if not entry.staged and any(tally.tallies):
        entry.put("females_checked", str(sum(tally.tallies)), now)
        entry.put("with_eggs", str(tally.with_eggs), now)
    entry.put("ciliates", tally.ciliates, now)
