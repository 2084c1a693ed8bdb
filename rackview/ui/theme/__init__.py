"""The dress of the window: its colours, its type, and the style sheet of plain Qt widgets in them."""

from __future__ import annotations

from string import Template

from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication

from rackview.ui.theme import fonts
from rackview.ui.theme.colours import (
    DARK,
    HIGH_DARK,
    HIGH_LIGHT,
    LIGHT,
    THEMES,
    Theme,
    blend,
    for_scheme,
    for_system,
)

__all__ = [
    "DARK",
    "HIGH_DARK",
    "HIGH_LIGHT",
    "LIGHT",
    "THEMES",
    "Theme",
    "apply",
    "blend",
    "fonts",
    "for_scheme",
    "for_system",
    "palette",
    "stylesheet",
]


def palette(theme: Theme) -> QPalette:
    """The Qt palette of a theme, so that a widget nobody dressed still fits in."""
    made = QPalette()
    role = QPalette.ColorRole
    for which, colour in {
        role.Window: theme.field,
        role.WindowText: theme.ink,
        role.Base: theme.entry,
        role.AlternateBase: theme.strip,
        role.Text: theme.ink,
        role.PlaceholderText: theme.soft,
        role.Button: theme.tile,
        role.ButtonText: theme.ink,
        role.BrightText: theme.today,
        role.ToolTipBase: theme.ink,
        role.ToolTipText: theme.tile,
        role.Highlight: theme.press,
        role.HighlightedText: theme.on_press,
        role.Link: theme.notice,
        role.LinkVisited: theme.notice,
        role.Light: theme.tile,
        role.Midlight: theme.strip,
        role.Mid: theme.edge,
        role.Dark: theme.rim,
        role.Shadow: theme.ink,
        role.Accent: theme.press,
    }.items():
        made.setColor(which, colour)
    for which in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, which, theme.soft)
    return made


def apply_theme(app: QApplication, theme: Theme) -> None:
    """Dress the whole application: Fusion, our palette, our type, our style sheet.

    Every widget there is gets polished anew, so an application that wears the theme already is left alone.
    """
    sheet = stylesheet(theme)
    if app.styleSheet() == sheet:
        return
    if not app.styleSheet():  # once for good, as it too polishes every widget
        app.setStyle("Fusion")
    app.setPalette(palette(theme))
    app.setFont(fonts.font(14))
    app.setStyleSheet(sheet)


SHEET = Template("""
QMainWindow, QDialog, QMessageBox { background: $field; }
QLabel { color: $ink; background: transparent; }
QLabel[voice="soft"] { color: $middle; }
QLabel[voice="heading"] { font-size: 20px; font-weight: 700; }
QLabel[voice="error"] { color: $today; font-weight: 600; }
QToolTip { background: $ink; color: $tile; border: 0; padding: 6px 8px; }

QPushButton { background: transparent; color: $ink; border: 1px solid $rim; border-radius: 6px;
    padding: 6px 14px; min-height: 22px; font-weight: 600; outline: 0; }
QPushButton:hover { background: $strip; }
QPushButton:pressed { background: $edge; }
QPushButton:disabled { color: $soft; border-color: $edge; }
QPushButton:focus { border: 2px solid $focus; padding: 5px 13px; }
QPushButton[role="primary"] { background: $press; color: $on_press; border-color: $press; }
QPushButton[role="primary"]:hover { background: $press_hover; }
QPushButton[role="primary"]:disabled { background: $edge; color: $soft; border-color: $edge; }
QPushButton[role="primary"]:focus { border: 2px solid $focus; background-clip: padding; padding: 5px 11px;
    outline: 2px solid $focus; }
QPushButton[role="quiet"] { border-color: transparent; }
QPushButton[role="choice"]:checked { background: $press; color: $on_press; border-color: $press; }
QPushButton[role="choice"]:checked:focus { border: 2px solid $focus; background-clip: padding; padding: 5px 11px;
    outline: 2px solid $focus; }
QPushButton[role="quiet"]:focus { border-color: $focus; }
QPushButton[role="page"] { text-align: left; border-color: transparent; }
QPushButton[role="page"]:hover { background: $strip; }
QPushButton[role="page"]:checked { background: $tile; border-color: $rim; }
QPushButton[role="page"]:focus { border-color: $focus; }
QWidget#card { background: $tile; border: 1px solid $edge; border-radius: 6px; }
QToolButton::menu-indicator { image: none; }
QToolButton { background: transparent; color: $ink; border: 1px solid transparent; border-radius: 6px; padding: 6px;
    outline: 0; }
QToolButton:hover { background: $strip; }
QToolButton:checked { background: $tile; border-color: $rim; }
QToolButton:focus { border: 2px solid $focus; padding: 5px; }

QLineEdit, QAbstractSpinBox, QComboBox, QPlainTextEdit, QTextEdit { background: $entry; color: $ink;
    border: 1px solid $rim; border-radius: 6px; padding: 5px 9px; min-height: 22px;
    selection-background-color: $press; selection-color: $on_press; placeholder-text-color: $soft; }
QLineEdit:focus, QAbstractSpinBox:focus, QComboBox:focus, QPlainTextEdit:focus, QTextEdit:focus {
    border: 2px solid $focus; padding: 4px 8px; }
QLineEdit[wrong="true"], QAbstractSpinBox[wrong="true"], QComboBox[wrong="true"] { border: 2px solid $today;
    padding: 4px 8px; }
QLineEdit:disabled, QAbstractSpinBox:disabled, QComboBox:disabled { color: $soft; border-color: $edge; }
QComboBox::drop-down { border: 0; width: 24px; }
QComboBox { combobox-popup: 0; }
QComboBox QAbstractItemView::item { min-height: 28px; }
QComboBox QAbstractItemView { background: $tile; color: $ink; border: 1px solid $rim; outline: 0;
    selection-background-color: $press; selection-color: $on_press; padding: 4px; }
QCheckBox, QRadioButton { color: $ink; spacing: 8px; padding: 3px; border: 2px solid transparent; border-radius: 6px; }
QCheckBox:focus, QRadioButton:focus { border-color: $focus; }

QMenuBar { background: $field; color: $ink; border: 0; padding: 2px 8px; }
QMenuBar::item { background: transparent; padding: 5px 10px; border-radius: 5px; }
QMenuBar::item:selected { background: $edge; }
QMenu { background: $tile; color: $ink; border: 1px solid $edge; padding: 6px; }
QMenu::item { padding: 7px 26px 7px 14px; border-radius: 5px; }
QMenu::item:selected { background: $press; color: $on_press; }
QMenu::item:disabled { color: $soft; background: transparent; }
QMenu::separator { height: 1px; background: $edge; margin: 6px 8px; }
QStatusBar { background: $field; color: $middle; }
QStatusBar::item { border: 0; }

QListView, QTableView, QTreeView { background: $tile; color: $ink; border: 1px solid $edge; border-radius: 6px;
    gridline-color: $edge; outline: 0; selection-background-color: $press; selection-color: $on_press; }
QListView:focus, QTableView:focus, QTreeView:focus { border: 2px solid $focus; }
QHeaderView { background: $tile; }
QHeaderView::section { background: $tile; color: $middle; border: 0; border-bottom: 1px solid $edge;
    padding: 6px 10px; font-weight: 600; }
QTabWidget::pane { border: 0; border-top: 1px solid $edge; }
QTabBar::tab { background: transparent; color: $middle; padding: 8px 14px; border: 0;
    border-bottom: 3px solid transparent; font-weight: 600; }
QTabBar::tab:selected { color: $ink; border-bottom-color: $ink; }
QTabBar::tab:focus { color: $ink; border: 2px solid $focus; }
QGroupBox { border: 0; margin-top: 24px; font-weight: 600; }
QGroupBox::title { subcontrol-origin: margin; left: 0; color: $ink; }
QSplitter::handle { background: $edge; }
QSlider { border: 2px solid transparent; border-radius: 6px; }
QSlider:focus { border-color: $focus; }
QSlider::groove:horizontal { background: $band; border: 1px solid $rim; border-radius: 3px; height: 4px;
    margin: 0 4px; }
QSlider::handle:horizontal { background: $press; border: 0; border-radius: 4px; width: 12px; margin: -9px -4px; }
QSlider::handle:horizontal:hover { background: $press_hover; }
QProgressBar { background: $band; border: 0; border-radius: 4px; max-height: 8px; color: transparent; }
QProgressBar::chunk { background: $middle; border-radius: 4px; }

QScrollArea { background: transparent; border: 0; }
QScrollArea[role="read"] { border: 2px solid transparent; border-radius: 6px; }
QScrollArea[role="read"]:focus { border-color: $focus; }
QScrollBar:vertical { background: transparent; width: 12px; margin: 0; }
QScrollBar:horizontal { background: transparent; height: 12px; margin: 0; }
QScrollBar::handle { background: $rim; border-radius: 4px; margin: 2px; }
QScrollBar::handle:vertical { min-height: 32px; }
QScrollBar::handle:horizontal { min-width: 32px; }
QScrollBar::handle:hover { background: $middle; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }
""")


def stylesheet(theme: Theme) -> str:
    """The style sheet for plain widgets.

    Properties it knows: QPushButton `role` primary or quiet; QLabel `voice` soft, heading or error; `wrong` "true" on
    a field whose value can't be taken.
    """
    names = [n for n in Theme.__slots__ if n != "name"]
    colours = {n: getattr(theme, n).name() for n in names}
    return SHEET.substitute(colours, press_hover=blend(theme.press, theme.field, 0.18).name())
