"""Every key of the screens in one table: where it works, what it does, its words.

The screens look their keys up here and the page of keys is made from it, so the page can't go stale. The keys of the
menu stand with their commands.
"""

from __future__ import annotations

from functools import cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence

from rackview.core.dataclass import dataclass
from rackview.language import _

K = Qt.Key
ENTER = (K.Key_Return, K.Key_Enter)
ESCAPED = "\\*"
"""A star as Markdown wants it where it means a star."""
ARROWS = (K.Key_Left, K.Key_Right, K.Key_Up, K.Key_Down)


@dataclass(frozen=True, slots=True)
class Bound:
    """One command of a place: its name in code, its keys, what it does in words."""

    command: str
    keys: tuple[Qt.Key, ...]
    text: str


KEYS: dict[str, tuple[Bound, ...]] = {
    "Everywhere": (
        Bound("menu", (K.Key_F10,), _("open the menu")),
        Bound("leave", (K.Key_Escape,), _("back; what is typed is kept as a draft")),
    ),
    "Rack": (
        Bound(
            "walk",
            ARROWS,
            _("from vessel to vessel as they stand; with Ctrl, carry the vessel to the next place"),
        ),
        Bound("open", (*ENTER, K.Key_Space), _("open the vessel")),
        Bound("round", (K.Key_R,), _("start the round")),
    ),
    "The day's list": (
        Bound("walk", (K.Key_Up, K.Key_Down), _("from line to line")),
        Bound("done", ENTER, _("record the line as done; for a count or test, go and type it")),
        Bound("change", (K.Key_C,), _("change the amount first")),
        Bound("decline", (K.Key_D,), _("decline, with a reason")),
        Bound("why", (K.Key_W,), _("why: the counts behind it")),
    ),
    "Round": (
        Bound("next", ENTER, _("to the next field")),
        Bound("next tally", (K.Key_Space,), _("to the next tally; on a suggestion, take it as it stands")),
        Bound("walk", ARROWS, _("from field to field")),
        Bound("record", (K.Key_Plus,), _("record the vessel and go on")),
        Bound("undo", (K.Key_Minus,), _("take the last record back")),
        Bound("take all", (K.Key_Asterisk,), _("take all suggestions of this vessel as they stand")),
        Bound("skip", (K.Key_Slash, K.Key_PageDown), _("to the next vessel without recording; the draft is kept")),
        Bound("back", (K.Key_PageUp,), _("to the vessel before")),
        Bound("tally", (K.Key_F5,), _("tally by key, with the eyes at the microscope")),
        Bound("day before", (K.Key_F7,), _("the round of the day before, to catch up")),
        Bound("day after", (K.Key_F8,), _("the round of the day after")),
        Bound("day", (K.Key_F6,), _("the round of a day that you name")),
        Bound("leave", (K.Key_Escape,), _("put a field back as it was, then leave")),
    ),
    "Tally": (
        Bound("animal", (K.Key_1, K.Key_J), _("an animal")),
        Bound("with eggs", (K.Key_2, K.Key_F), _("an animal with eggs")),
        Bound("ciliate", (K.Key_3, K.Key_D), _("a ciliate")),
        Bound("next square", (K.Key_0, K.Key_Space), _("to the next square")),
        Bound("undo", (K.Key_Minus, K.Key_Backspace), _("take the last key back")),
        Bound("finish", ENTER, _("take the tally over into the round")),
        Bound("sound", (K.Key_S,), _("a tick of sound for each key, on or off")),
        Bound("leave", (K.Key_Escape,), _("back without taking it over")),
    ),
    "One vessel": (
        Bound("range 0", (K.Key_1,), _("show 14 days")),
        Bound("range 1", (K.Key_2,), _("show 30 days")),
        Bound("range 2", (K.Key_3,), _("show 90 days")),
        Bound("range 3", (K.Key_4,), _("show everything")),
        Bound("water", (K.Key_5,), _("the curves of the water, or the density again")),
        Bound("before", (K.Key_PageUp, K.Key_Left), _("the vessel before")),
        Bound("after", (K.Key_PageDown, K.Key_Right), _("the vessel after")),
        Bound("why", (K.Key_W,), _("why: what stands behind the first suggestion, then the next")),
        Bound("leave", (K.Key_Escape,), _("back to what is suggested, then to the rack")),
    ),
    "Entries": (
        Bound("correct", (*ENTER, K.Key_F2), _("correct the entry")),
        Bound("withdraw", (K.Key_Delete,), _("take it back")),
    ),
    "Rules": (
        Bound("values", ENTER, _("to the values of the rule")),
        Bound("leave", (K.Key_Escape,), _("back to the list, then to the rack")),
    ),
    "Print": (
        Bound("after", (K.Key_PageDown,), _("the next sheet")),
        Bound("before", (K.Key_PageUp,), _("the sheet before")),
    ),
}
"""The places in the order of a keeper's day, each with its keys."""


@cache
def commands(place: str) -> dict[Qt.Key, str]:
    """What each key does at a place of `KEYS`."""
    return {key: bound.command for bound in KEYS[place] for key in bound.keys}


def command(place: str, key: int) -> str:
    """What a key does at a place, "" if nothing."""
    return commands(place).get(Qt.Key(key), "")


def bound(place: str, command: str) -> Bound:
    """The entry of a command at a place; raises KeyError for one that is not there."""
    found = next((b for b in KEYS[place] if b.command == command), None)
    if found is None:
        raise KeyError(command)
    return found


def keys_text(bound: Bound) -> str:
    """The keys as they are written on the keyboard."""
    if bound.keys == ARROWS:
        return _("arrows")
    names = [QKeySequence(k).toString() for k in bound.keys if k != K.Key_Enter]
    return ", ".join({"Return": "Enter", "Del": "Delete"}.get(n, n) for n in names)


def keys_in_markdown() -> list[str]:
    """The keys of every place as lines of Markdown."""
    lines = []
    for place, bounds in KEYS.items():
        lines += ["", f"## {place}", "", _("| key | what it does |"), "|---|---|"]
        lines += [f"| {keys_text(b).replace('*', ESCAPED)} | {b.text} |" for b in bounds]
    return lines
