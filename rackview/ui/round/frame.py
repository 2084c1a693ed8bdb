"""What the round shows, one page at a time: a vessel's entry, its tally by key, the end; and how large it is drawn."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QResizeEvent
from PySide6.QtWidgets import QLayout, QStackedWidget, QVBoxLayout, QWidget

from rackview.ui.base import SubPage
from rackview.ui.round.end import RoundEnd
from rackview.ui.round.page import RoundPage
from rackview.ui.round.tallying import Tallying
from rackview.ui.theme import Theme

BASE = (1280.0, 680.0)
"""The size at which everything is drawn at scale 1; a larger window draws larger."""


class RoundFrame(SubPage):
    """The pages of the round, without what they do."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._scale = 1.0
        self.page = RoundPage(theme, self)
        self.strip, self.card = self.page.strip, self.page.card
        self.count, self.do = self.page.count, self.page.do
        self.end = RoundEnd(theme, self)
        self._pages = QStackedWidget(self)
        self._pages.addWidget(self.page)
        self._pages.addWidget(self.end)
        self._tallying = Tallying(theme, self._pages)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)  # a smaller window draws smaller
        whole.addWidget(self._pages)
        self.set_scale(1.0)

    @property
    def at_end(self) -> bool:
        """Whether the end of the round is shown."""
        return self._pages.currentWidget() is self.end

    @property
    def at_fields(self) -> bool:
        """Whether the entry of a vessel is shown."""
        return self._pages.currentWidget() is self.page

    def show_page(self, page: RoundPage | RoundEnd) -> None:
        """Show the entry of a vessel or the end."""
        self._pages.setCurrentWidget(page)

    def announce(self, words: str) -> None:
        """Have words read out, where anyone listens."""
        if QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, words))

    def trouble(self, sentence: str) -> None:
        """Say at the foot, and aloud, what went wrong."""
        self.page.note(sentence, "error")
        self.announce(sentence)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.page.set_theme(theme)
        self.end.set_theme(theme)
        self._tallying.set_theme(theme)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.page.set_scale(scale)
        self.end.set_scale(scale)

    def focus_end(self) -> None:
        """Put the keyboard on the end's first button."""
        self.end.setFocus(Qt.FocusReason.OtherFocusReason)

    def minimumSizeHint(self) -> QSize:
        return QSize(900, 500)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        fits = min(self.width() / BASE[0], self.height() / BASE[1])
        scale = max(0.625, min(2.5, int(fits * 16) / 16))
        if scale != self._scale:
            self.set_scale(scale)
