"""Adding a vessel: the first thing on a new rack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QWidget

from rackview.ui.base import SubPage
from rackview.ui.forms.vessel import VesselForm

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

WIDEST = 760


class AddVesselScreen(SubPage):
    """The form of a new vessel on a page of its own."""

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.form = VesselForm(session, self, columns=2)
        self.form.setMaximumWidth(WIDEST)
        self.form.done.connect(self._done)
        self.form.left.connect(self.leave)
        row = QHBoxLayout(self)
        row.setContentsMargins(24, 10, 24, 14)
        row.addStretch(1)
        row.addWidget(self.form, 6)
        row.addStretch(1)

    def open(self, place: str | None = None) -> None:
        """Ask for a new vessel; `place` may say where, such as “B 4”."""
        shelf, _, position = (place or "").strip().rpartition(" ")
        self.form.add(shelf, int(position) if position.isdecimal() else 0)

    def _done(self, words: str) -> None:
        self.said.emit(words)
        self.leave.emit()

    def save(self) -> None:
        """Keep what is typed as a draft."""
        self.form.save()

    def take_keyboard(self) -> None:
        if self.form.form is not None:
            self.form.form.begin()
