"""The main window: one row of screens to go to, the screens themselves, and what is common to all of them."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QEvent, QSettings, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QGuiApplication, QKeySequence
from PySide6.QtWidgets import QApplication, QMainWindow, QMessageBox, QStackedWidget, QVBoxLayout, QWidget

from rackview.core.errors import InputError
from rackview.ui import theme as themes
from rackview.ui.commands import Command, Commands
from rackview.ui.navigation import Navigation
from rackview.ui.settings import WindowSettings

if TYPE_CHECKING:
    from rackview.core.assessment import Suggestion
    from rackview.services.desk import Change, Desk
    from rackview.ui.screens.base import Screen

log = logging.getLogger("rackview.window")

SCREENS = ("rack", "round", "vessel", "larvae", "stock", "records", "help")
"""Every screen by the name that the window, the command line and the settings use."""
POLL_MS = 1500
