"""The store and its copies: one page with its parts at the left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QWidget

from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.store.meeting_panels import MergePanel, SecondPanel, SharedPanel
from rackview.ui.store.panels import CheckPanel, Panel, PlacePanel, RestorePanel
from rackview.ui.store.watch import FolderWatch
from rackview.ui.widgets.fields import page_list, scrolled

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

PARTS = {
    "place": _("Where the store is"),
    "check": _("Check"),
    "restore": _("Restore"),
    "merge": _("Merge another PC's"),
    "second": _("Second backup folder"),
    "shared": _("Shared folder"),
}
"""The parts of the page by the name that the menu uses."""


class StoreScreen(SubPage):
    """The page.

    Signals
    -------
    store_job(Job) : do this to the store, for which the window must close
    store_wanted(Path) : open another store
    """

    store_job = Signal(object)
    store_wanted = Signal(object)

    def __init__(self, session: RackSession, watch: FolderWatch, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.panels: dict[str, Panel] = {
            "place": PlacePanel(session),
            "check": CheckPanel(session),
            "restore": RestorePanel(session),
            "merge": MergePanel(session),
            "second": SecondPanel(session, watch),
            "shared": SharedPanel(session, watch),
        }
        self._list = page_list({name: PARTS[name] for name in self.panels}, _("The store and its copies"), 200, self)
        self._stack = QStackedWidget(self)
        for panel in self.panels.values():
            inner = QWidget(self)
            room = QHBoxLayout(inner)
            room.setContentsMargins(4, 8, 16, 16)
            room.addWidget(panel, 100)
            room.addStretch(1)
            self._stack.addWidget(scrolled(inner, self))
            panel.said.connect(self.said)
            panel.job.connect(self.store_job)
            panel.other.connect(self.store_wanted)
            panel.part.connect(self.open)
        self._list.currentRowChanged.connect(self._picked)
        line = QHBoxLayout(self)
        line.setContentsMargins(24, 8, 16, 16)
        line.setSpacing(24)
        line.addWidget(self._list)
        line.addWidget(self._stack, 1)
        self._list.setCurrentRow(0)

    def take_keyboard(self) -> None:
        self._list.setFocus(Qt.FocusReason.OtherFocusReason)

    def open(self, part: str | None = None) -> None:
        """Show a part by name; without one, the part that was open last."""
        at = list(PARTS).index(part) if part in PARTS else self._list.currentRow()
        if self._list.currentRow() == at:
            self._picked(at)
        else:
            self._list.setCurrentRow(at)

    @property
    def panel(self) -> Panel:
        """The part that is shown."""
        return list(self.panels.values())[self._list.currentRow()]

    def refresh(self) -> None:
        """Show the store as it is now."""
        self.panel.refresh()

    def _picked(self, at: int) -> None:
        self._stack.setCurrentIndex(at)
        self.panel.begin()

    def finish(self) -> None:
        """Let go of the store: stop what is being done with it, and wait for what can't be stopped."""
        for panel in self.panels.values():
            panel.work.wait()
