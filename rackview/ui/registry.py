"""Every screen by name, made when first shown, so that the first paint loads only the rack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from rackview.language import _

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession
    from rackview.ui.theme import Theme

WORDS = {
    "rack": _("Rack"),
    "round": _("Round"),
    "larvae": _("Larvae"),
    "stock": _("Stock"),
    "bench": _("Bench"),
    "records": _("Records"),
}
"""The screens that have a word in the top row."""
SCREENS = (
    *WORDS,
    "what_if",
    "compare",
    "rules",
    "loss",
    "vessel",
    "add_vessel",
    "settings",
    "store",
    "take_in",
    "help",
)
"""Every screen by the name that the window, the command line and the settings use."""
NAMES = WORDS | {
    "what_if": _("What if"),
    "compare": _("Vessels and kits compared"),
    "rules": _("Rules"),
    "loss": _("After a loss"),
    "vessel": _("One vessel"),
    "add_vessel": _("Add a vessel"),
    "settings": _("Name and units"),
    "store": _("Store and copies"),
    "take_in": _("Take in tables"),
    "help": _("Help"),
}
"""What a screen reader calls each screen."""
HELP = {
    "rack": "guide",
    "round": "guide",
    "vessel": "reading",
    "bench": "formulas",
    "rules": "rules",
    "settings": "tables",
    "records": "tables",
    "store": "data-format",
    "take_in": "tables",
}
"""The page that F1 opens on each screen; the guide elsewhere."""


def make(name: str, session: RackSession, theme: Theme, parent: QWidget) -> QWidget:
    """A new screen; raises KeyError for a name that is not in SCREENS."""
    match name:
        case "rack":
            from rackview.ui.rack.screen import RackScreen

            return RackScreen(session, theme, parent)
        case "round":
            from rackview.ui.round.screen import RoundScreen

            return RoundScreen(session, theme, parent)
        case "vessel":
            from rackview.ui.vessel.screen import VesselScreen

            return VesselScreen(session, theme, parent)
        case "larvae":
            from rackview.ui.larvae.screen import LarvaeScreen

            return LarvaeScreen(session, theme, parent)
        case "stock":
            from rackview.ui.stock.screen import StockScreen

            return StockScreen(session, theme, parent)
        case "bench":
            from rackview.ui.bench.screen import BenchScreen

            return BenchScreen(session, parent)
        case "records":
            from rackview.ui.records.screen import RecordsScreen

            return RecordsScreen(session, theme, parent)
    return _behind_the_menu(name, session, theme, parent)


def _behind_the_menu(name: str, session: RackSession, theme: Theme, parent: QWidget) -> QWidget:
    match name:
        case "what_if":
            from rackview.ui.what_if.screen import WhatIfScreen

            return WhatIfScreen(session, theme, parent)
        case "compare":
            from rackview.ui.compare.screen import CompareScreen

            return CompareScreen(session, theme, parent)
        case "rules":
            from rackview.ui.rules.screen import RulesScreen

            return RulesScreen(session, theme, parent)
        case "loss":
            from rackview.ui.loss.screen import LossScreen

            return LossScreen(session, theme, parent)
        case "add_vessel":
            from rackview.ui.forms.add_vessel import AddVesselScreen

            return AddVesselScreen(session, parent)
        case "settings":
            from rackview.ui.settings.screen import SettingsScreen

            reminder = getattr(parent, "reminder", None)  # the window's, with this PC's own settings
            return SettingsScreen(session, parent, getattr(reminder, "settings", None))
        case "store":
            from rackview.ui.store.page import StoreScreen
            from rackview.ui.store.watch import FolderWatch

            watch = getattr(parent, "watch", None)  # the window's own, which goes on watching behind other screens
            return StoreScreen(session, watch or FolderWatch(session, parent), parent)
        case "take_in":
            from rackview.ui.import_tables.page import ImportPage

            return ImportPage(session, parent)
        case "help":
            from rackview.ui.help.screen import HelpScreen

            return HelpScreen(theme, parent)
    raise KeyError(name)
