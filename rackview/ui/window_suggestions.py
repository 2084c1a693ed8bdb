"""What the window does with a suggestion of the day's list: do it, change it, explain it, decline it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from rackview.services import apply_suggestion
from rackview.ui import base

if TYPE_CHECKING:
    from rackview.core.assessment import Suggestion
    from rackview.ui.rack.rail import Rail
    from rackview.ui.window import MainWindow


class WindowSuggestions(QObject):
    """The answers to suggestions of one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window

    def wire(self, rail: Rail) -> None:
        """Answer what is asked for in this list."""
        rail.done.connect(self.do)
        rail.change.connect(self.change)
        rail.decline.connect(self.decline)
        rail.why.connect(self.explain)

    def do(self, suggestions: tuple[Suggestion, ...]) -> None:
        """Record them as done; what is done by looking leads to the round."""
        window, first = self._window, suggestions[0]
        if first.action in apply_suggestion.LOOKED_AT:
            window.go("round", first.vessel)
            return
        window.attempt(lambda: apply_suggestion.apply_suggestions(window.session, *suggestions), "{what}", None)

    def change(self, suggestion: Suggestion) -> None:
        """Open the form of the action with the suggestion filled in."""
        if suggestion.action in apply_suggestion.LOOKED_AT:
            self._window.go("round", suggestion.vessel)
            return
        self._window.go("vessel", suggestion.vessel)
        base.call(self._window.screen_widget(), "start", suggestion)

    def explain(self, suggestion: Suggestion) -> None:
        """Show what stands behind it, on the vessel's page."""
        self._window.go("vessel", suggestion.vessel)
        base.call(self._window.screen_widget(), "explain", suggestion)

    def decline(self, suggestions: tuple[Suggestion, ...], reason: str) -> None:
        """Record that the keeper said no, and why."""
        session = self._window.session
        self._window.attempt(lambda: apply_suggestion.decline(session, *suggestions, reason=reason), "{what}", None)
