"""One table of keys: the screens obey it, and the page of keys is made from it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from rackview.ui import keys
from rackview.ui.commands import COMMANDS, keys_page
from rackview.ui.round.fields.line_edit import COMMANDS as IN_FIELDS
from rackview.ui.theme import LIGHT
from rackview.ui.vessel.screen import RANGES, VesselScreen
from rackview.ui.window import MainWindow

UI = Path(keys.__file__).parent
OWN = {"keys.py", "form.py", "item_bar.py", "base.py", "end.py", "strip.py", "field.py"}
"""Where a key is a widget's own way to be worked: Esc leaves a form, arrows move in a grid."""
PLAIN = {"Return", "Enter", "Escape", "Up", "Down", "Left", "Right", "Space", "Backspace", "Delete"}


def test_no_screen_knows_a_key_that_the_table_does_not():
    known = {key.name.removeprefix("Key_") for bounds in keys.KEYS.values() for b in bounds for key in b.keys}
    for file in UI.rglob("*.py"):
        used = set(re.findall(r"Qt\.Key\.Key_(\w+)", file.read_text(encoding="utf-8")))
        assert used <= PLAIN, f"{file.name} looks for {used - PLAIN} by itself"
        if file.name not in OWN:
            assert used <= known | {"Up"}, file.name


def test_the_page_names_every_key_of_the_table_and_of_the_menu():
    page = keys_page()
    for command in COMMANDS:
        for key in command.keys:
            assert key in page
    for place, bounds in keys.KEYS.items():
        part = page.split(f"## {place}\n")[1].split("\n## ")[0]
        for bound in bounds:
            assert f"| {keys.keys_text(bound)} | {bound.text} |" in part.replace(keys.ESCAPED, "*")
    for word in ("F10", "*", "/, PgDown", "PgUp", "1", "4", "W", "Enter, F2", "Delete"):
        assert f"| {word} |" in page.replace(keys.ESCAPED, "*")


def test_a_key_means_one_thing_at_a_place():
    for place, bounds in keys.KEYS.items():
        pressed = [key for bound in bounds for key in bound.keys]
        assert len(pressed) == len(set(pressed)), place
    with pytest.raises(KeyError):
        keys.bound("Rack", "fly")


def test_the_round_takes_the_same_keys_in_its_fields_and_outside():
    assert IN_FIELDS[Qt.Key.Key_Plus] == "record"
    assert {IN_FIELDS[k] for k in IN_FIELDS} == {
        "record",
        "undo",
        "skip",
        "back",
        "take all",
        "tally",
        "day before",
        "day after",
        "day",
    }
    assert all(keys.command("Round", k) == word for k, word in IN_FIELDS.items())


def test_the_vessels_keys_do_what_the_table_says(qtbot, session):
    page = VesselScreen(session, LIGHT)
    qtbot.addWidget(page)
    page.open("Dab")
    done = []
    page._step = done.append
    page._explain_next = lambda: done.append("why")
    page.show_range = done.append
    page.show_water = lambda on: done.append("water")
    page.leave.connect(lambda: done.append("leave"))
    wanted = {"before": -1, "after": 1, "why": "why", "leave": "leave", "water": "water"}
    for bound in keys.KEYS["One vessel"]:
        what = RANGES[int(bound.command[-1])] if bound.command.startswith("range") else wanted[bound.command]
        for key in bound.keys:
            done.clear()
            qtbot.keyClick(page, key)
            assert done == [what], bound


def test_f10_is_the_menus(qtbot, session):
    window = MainWindow(session, look="light")
    qtbot.addWidget(window)
    assert window.navigation._menu.shortcut().toString() == "F10"
