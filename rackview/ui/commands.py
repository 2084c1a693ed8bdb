"""Every command of the window in one table: its words, its keys, where it stands in the menu.

Menu, shortcut page and tests are all made from this table, so they can't disagree.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication, QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget

from rackview.ui import keys

CONTEXT = "Commands"


@dataclass(frozen=True, slots=True)
class Command:
    """One command: `name` in code, the menu it stands in, its words with a mnemonic, its keys, whether it can be on.

    A blank menu entry before it is asked for with `apart`.
    """

    name: str
    menu: str
    text: str
    keys: tuple[str, ...] = ()
    checkable: bool = False
    apart: bool = False


COMMANDS = (
    Command("go_rack", "Go", "&Rack", ("Ctrl+1",)),
    Command("go_round", "Go", "R&ound", ("Ctrl+2",)),
    Command("go_larvae", "Go", "&Larvae and demand", ("Ctrl+3",)),
    Command("go_stock", "Go", "&Stock", ("Ctrl+4",)),
    Command("go_bench", "Go", "&Bench", ("Ctrl+5",)),
    Command("go_records", "Go", "R&ecords", ("Ctrl+6",)),
    Command("go_rules", "Go", "R&ules", ("Ctrl+7",), apart=True),
    Command("go_what_if", "Go", "&What if", ("Ctrl+8",)),
    Command("go_loss", "Go", "&After a loss"),
    Command("go_compare", "Go", "&Vessels and kits compared"),
    Command("undo", "Edit", "&Undo", ("Ctrl+Z",)),
    Command("redo", "Edit", "&Redo", ("Ctrl+Y", "Ctrl+Shift+Z")),
    Command("copy", "Edit", "&Copy this table", ("Ctrl+C",), apart=True),
    Command("copy_plot", "Edit", "Copy the &plot as a table", ("Ctrl+Shift+C",)),
    Command("find", "Edit", "&Find in the records", ("Ctrl+F",), apart=True),
    Command("add_vessel", "Rack", "&Add a vessel…", ("Ctrl+N",)),
    Command("rack_settings", "Rack", "&Name and units…"),
    Command("take_in", "Rack", "&Take in a table…", ("Ctrl+I",), apart=True),
    Command("give_out", "Rack", "&Export all tables…", ("Ctrl+E",)),
    Command("give_workbook", "Rack", "Export a &workbook…"),
    Command("backup", "Rack", "&Back up now", ("Ctrl+B",)),
    Command("store", "Rack", "&Store and copies…", apart=True),
    Command("check", "Rack", "&Check the store…"),
    Command("restore", "Rack", "Rest&ore from a copy…"),
    Command("merge", "Rack", "&Merge another PC's entries…"),
    Command("second", "Rack", "Second backup &folder…"),
    Command("shared", "Rack", "Folder s&hared with other PCs…"),
    Command("print", "Rack", "P&rint the round or this page…", ("Ctrl+P",), apart=True),
    Command("labels", "Rack", "Print &vessel labels…"),
    Command("picture", "Rack", "Save this screen as a &picture…"),
    Command("plot_picture", "Rack", "Save the plot as a p&icture…"),
    Command("demo", "Rack", "Look at the &demo rack", apart=True),
    Command("desktop", "Rack", "Show in the app&lications menu", checkable=True),
    Command("quit", "Rack", "&Quit", ("Ctrl+Q",), apart=True),
    Command("follow_system", "View", "&Follow the system's look", checkable=True),
    Command("light", "View", "&Light", checkable=True),
    Command("dark", "View", "&Dark", checkable=True),
    Command("high-contrast-light", "View", "&High contrast, light", checkable=True),
    Command("high-contrast-dark", "View", "High &contrast, dark", checkable=True),
    Command("far", "View", "Seen from &afar", ("F9",), checkable=True, apart=True),
    Command("full_screen", "View", "Full &screen", ("F11",), checkable=True),
    Command("help", "Help", "&User guide", ("F1",)),
    Command("keys", "Help", "&Keys", ("Ctrl+F1",)),
    Command("about", "Help", "&About rackview", apart=True),
)
MENUS = ("Rack", "Edit", "Go", "View", "Help")


class Commands(QObject):
    """The actions of one window, by name."""

    def __init__(self, window: QWidget, calls: Mapping[str, Callable[[], object]]) -> None:
        super().__init__(window)
        missing = {c.name for c in COMMANDS} ^ set(calls)
        if missing:
            raise KeyError(f"commands and their calls differ: {sorted(missing)}")
        self.actions: dict[str, QAction] = {}
        for command in COMMANDS:
            action = QAction(translated(command.text), window)
            action.setObjectName(command.name)
            action.setShortcuts([QKeySequence(k) for k in command.keys])
            action.setCheckable(command.checkable)
            action.triggered.connect(lambda _=False, call=calls[command.name]: call())
            window.addAction(action)
            self.actions[command.name] = action

    def __getitem__(self, name: str) -> QAction:
        return self.actions[name]

    def menu(self, parent: QWidget) -> QMenu:
        """One menu with a part for each of MENUS."""
        whole = QMenu(parent)
        for title in MENUS:
            part = whole.addMenu("&" + translated(title))
            for command in COMMANDS:
                if command.menu == title:
                    if command.apart:
                        part.addSeparator()
                    part.addAction(self.actions[command.name])
        return whole


def translated(text: str) -> str:
    """The words of a command in the keeper's language."""
    return QCoreApplication.translate(CONTEXT, text)


def keys_page() -> str:
    """All keys as a Markdown page."""
    lines = ["# Keys", "", "| key | what it does |", "|---|---|"]
    lines += [f"| {', '.join(c.keys)} | {c.text.replace('&', '').rstrip('…')} |" for c in COMMANDS if c.keys]
    return "\n".join([*lines, *keys.page()]) + "\n"
