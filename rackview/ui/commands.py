"""Every command of the window in one table: its words, its keys, where it stands in the menu.

Menu, shortcut page and tests are all made from this table, so they can't disagree.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget

from rackview import translations
from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.ui import keys


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


LANGUAGE = "language_"
"""The commands that choose a language begin so."""
COMMANDS = (
    Command("go_rack", _("Go"), _("&Rack"), ("Ctrl+1",)),
    Command("go_round", _("Go"), _("R&ound"), ("Ctrl+2",)),
    Command("go_larvae", _("Go"), _("&Larvae and demand"), ("Ctrl+3",)),
    Command("go_stock", _("Go"), _("&Stock"), ("Ctrl+4",)),
    Command("go_bench", _("Go"), _("&Bench"), ("Ctrl+5",)),
    Command("go_records", _("Go"), _("R&ecords"), ("Ctrl+6",)),
    Command("go_rules", _("Go"), _("R&ules"), ("Ctrl+7",), apart=True),
    Command("go_what_if", _("Go"), _("&What if"), ("Ctrl+8",)),
    Command("go_loss", _("Go"), _("&After a loss")),
    Command("go_compare", _("Go"), _("&Vessels and kits compared")),
    Command("undo", _("Edit"), _("&Undo"), ("Ctrl+Z",)),
    Command("redo", _("Edit"), _("&Redo"), ("Ctrl+Y", "Ctrl+Shift+Z")),
    Command("copy", _("Edit"), _("&Copy this table"), ("Ctrl+C",), apart=True),
    Command("copy_plot", _("Edit"), _("Copy the &plot as a table"), ("Ctrl+Shift+C",)),
    Command("find", _("Edit"), _("&Find in the records"), ("Ctrl+F",), apart=True),
    Command("add_vessel", _("Rack"), _("&Add a vessel…"), ("Ctrl+N",)),
    Command("rack_settings", _("Rack"), _("&Name and units…")),
    Command("take_in", _("Rack"), _("&Take in a table…"), ("Ctrl+I",), apart=True),
    Command("give_out", _("Rack"), _("&Export all tables…"), ("Ctrl+E",)),
    Command("give_workbook", _("Rack"), _("Export a &workbook…")),
    Command("backup", _("Rack"), _("&Back up now"), ("Ctrl+B",)),
    Command("store", _("Rack"), _("&Store and copies…"), apart=True),
    Command("check", _("Rack"), _("&Check the store…")),
    Command("restore", _("Rack"), _("Rest&ore from a copy…")),
    Command("merge", _("Rack"), _("&Merge another PC's entries…")),
    Command("second", _("Rack"), _("Second backup &folder…")),
    Command("shared", _("Rack"), _("Folder s&hared with other PCs…")),
    Command("print", _("Rack"), _("P&rint the round or this page…"), ("Ctrl+P",), apart=True),
    Command("labels", _("Rack"), _("Print &vessel labels…")),
    Command("picture", _("Rack"), _("Save this screen as a &picture…")),
    Command("plot_picture", _("Rack"), _("Save the plot as a p&icture…")),
    Command("demo", _("Rack"), _("Look at the &demo rack"), apart=True),
    Command("desktop", _("Rack"), _("Show in the app&lications menu"), checkable=True),
    Command("quit", _("Rack"), _("&Quit"), ("Ctrl+Q",), apart=True),
    Command("follow_system", _("View"), _("&Follow the system's look"), checkable=True),
    Command("light", _("View"), _("&Light"), checkable=True),
    Command("dark", _("View"), _("&Dark"), checkable=True),
    Command("high-contrast-light", _("View"), _("&High contrast, light"), checkable=True),
    Command("high-contrast-dark", _("View"), _("High &contrast, dark"), checkable=True),
    *(
        Command(
            LANGUAGE + code, _("View"), translations.NAMES[code], checkable=True, apart=code == translations.ENGLISH
        )
        for code in (translations.languages() if len(translations.languages()) > 1 else ())
    ),
    Command("far", _("View"), _("Seen from &afar"), ("F9",), checkable=True, apart=True),
    Command("full_screen", _("View"), _("Full &screen"), ("F11",), checkable=True),
    Command("help", _("Help"), _("&User guide"), ("F1",)),
    Command("keys", _("Help"), _("&Keys"), ("Ctrl+F1",)),
    Command("about", _("Help"), _("&About rackview"), apart=True),
)
MENUS = (_("Rack"), _("Edit"), _("Go"), _("View"), _("Help"))


class Commands(QObject):
    """The actions of one window, by name."""

    def __init__(self, window: QWidget, calls: Mapping[str, Callable[[], object]]) -> None:
        super().__init__(window)
        missing = {c.name for c in COMMANDS} ^ set(calls)
        if missing:
            raise KeyError(f"commands and their calls differ: {sorted(missing)}")
        self.actions: dict[str, QAction] = {}
        for command in COMMANDS:
            action = QAction(command.text, window)
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
            part = whole.addMenu("&" + title)
            for command in COMMANDS:
                if command.menu == title:
                    if command.apart:
                        part.addSeparator()
                    part.addAction(self.actions[command.name])
        return whole


def keys_page() -> str:
    """All keys as a Markdown page."""
    lines = ["# Keys", "", _("| key | what it does |"), "|---|---|"]
    lines += [f"| {', '.join(c.keys)} | {c.text.replace('&', '').rstrip('…')} |" for c in COMMANDS if c.keys]
    return "\n".join([*lines, *keys.keys_in_markdown()]) + "\n"
