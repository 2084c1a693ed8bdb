"""A bar over the screens while the store is away, full or damaged: what is wrong, and the way to what can be done."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from rackview.language import _
from rackview.services.faults import StoreError
from rackview.ui.store import words
from rackview.ui.store.parts import button
from rackview.ui.theme import Theme, fonts


class TroubleBar(QWidget):
    """Hidden while nothing is wrong.

    Signals
    -------
    wanted() : the keeper wants to know what can be done
    """

    wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said = QLabel(self)
        self._said.setWordWrap(True)
        self.button = button(_("&What can be done…"), self.wanted.emit, self)
        line = QHBoxLayout(self)
        line.setContentsMargins(16, 6, 16, 6)
        line.setSpacing(12)
        line.addWidget(self._said, 1)
        line.addWidget(self.button)
        self.apply_theme(theme)
        self.hide()

    def show_fault(self, fault: StoreError | None) -> None:
        """Say what is wrong; None takes the bar away."""
        self.setVisible(fault is not None)
        if fault is not None:
            self._said.setText(words.while_running(fault))
            self.button.setVisible(fault.kind == "corrupt")
            self.setAccessibleName(self._said.text())

    @property
    def said(self) -> str:
        """What it says."""
        return self._said.text()

    def apply_theme(self, theme: Theme) -> None:
        """Dress the bar in a theme."""
        self._said.setFont(fonts.font(15, fonts.SEMIBOLD))
        self._said.setStyleSheet(
            f"color: {theme.today.name()}; background: {theme.tile.name()}; border: 2px solid {theme.today.name()};"
            " border-radius: 6px; padding: 8px 12px;"
        )
