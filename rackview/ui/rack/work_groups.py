"""The lines of a long day gathered by kind of work: a rack of 60 vessels has too many to be read one by one.

A gathered kind is one line that says how many it stands for and at which places; it opens to them. What is urgent is
never gathered, and vessels that need separate tools stay together at the end, so that no tool goes from them to others.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackview.language import _
from rackview.ui.rack.rack_state import Item

READABLE = 24
"""So many lines of what is left are read one by one; of more, like work is gathered."""
FEW = 3
"""Fewer lines of a kind than this stay as they are."""
APART = "separate tools"
"""The key of the lines of vessels that need tools of their own."""
TOGETHER = "together"
"""The key of a line that stands for several vessels already."""
TITLES = {
    "count": _("Count"),
    "test": _("Test the water"),
    "restart": _("Restart"),
    "clean": _("Clean"),
    "harvest": _("Harvest"),
    "split": _("Split"),
    "feed": _("Feed"),
    "hold": _("Do not harvest"),
    APART: _("Last, with separate tools"),
}
"""What stands before the number of lines of a kind."""


def by_work(items: Sequence[Item]) -> tuple[Item, ...]:
    """The lines in their order if they can be read so, else one line for each kind of work, the most severe first.

    `items` are open lines in the order in which to carry them out, none of them urgent. Within a kind that order holds,
    and among kinds that are equally severe the one in which a vessel's own are carried out.
    """
    if len(items) <= READABLE:
        return tuple(items)
    from rackview.advice.suggest import WITHIN  # the first paint does without

    kinds: dict[str, list[Item]] = {}
    for item in items:
        kinds.setdefault(_kind(item), []).append(item)
    order = {kind: n for n, kind in enumerate((*WITHIN, TOGETHER, APART))}

    def rank(kind: str) -> tuple[bool, int, int]:
        return kind == APART, -max(item.severity or 0 for item in kinds[kind]), order[kind]

    found: list[Item] = []
    for kind in sorted(kinds, key=rank):
        found += kinds[kind] if len(kinds[kind]) < FEW else [_head(kind, kinds[kind])]
    return tuple(found)


def _kind(item: Item) -> str:
    asked = item.suggestion
    if asked is None or item.together:
        return TOGETHER
    return APART if asked.own_tools else asked.action


def _head(kind: str, members: Sequence[Item]) -> Item:
    """The line that stands for these."""
    text = f"{TITLES[kind]}: {len(members)}"
    places = dict.fromkeys(item.place for item in members)
    said = _("{text}, at {places}. Enter shows or hides them.").format(text=text, places=", ".join(places))
    worst = max((item.severity for item in members if item.severity is not None), default=None)
    return Item("", text, " ".join(places), severity=worst, accessible=said, gathers=kind, members=tuple(members))
