"""What is wrong with an entry of the round: each field by itself, then what belongs together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.parse import event_from_row
from rackview.core.rack import check_event
from rackview.language import _
from rackview.ui.forms import moves
from rackview.ui.round.entry.beside import VOLUMES
from rackview.ui.round.entry.columns import ACTS, CHECKED_AS_TYPED, COLUMNS, GRAVITY, LABELS, SAMPLE, SIGNS, WATER
from rackview.ui.words import keeper_units as ku

if TYPE_CHECKING:
    from rackview.ui.round.entry.model import Entry


def error(entry: Entry, key: str) -> InputError | None:
    """What is wrong with one field by itself, or None."""
    try:
        _judge(entry, key)
    except InputError as error:
        label = LABELS.get(key, key.partition(".")[0].replace("_", " "))
        if label in entry.stages:
            label = "tally"
        return InputError(label, entry.text(key), ku.wanted(key, error.wanted, entry.settings))
    return None


def errors(entry: Entry) -> dict[str, InputError]:
    """Everything that is wrong, by field, in the order of the fields."""
    keys = [*entry.tally_keys(), *SAMPLE, *SIGNS, *WATER, *ACTS]
    found = {k: e for k in keys if (e := error(entry, k)) is not None}
    signs = [k for k in ("with_eggs", "eggs", "swimming", "ciliates", "tint", "picture") if entry.text(k).strip()]
    if signs and not entry.tally_keys():
        wanted = _("at least one tally to go with ") + ", ".join(LABELS.get(k, k) for k in signs)
        found[f"{entry.stages[0]}.0"] = InputError("tally", None, wanted)
    if entry.text("with_eggs").strip() and not entry.text("females_checked").strip():
        found["females_checked"] = InputError(_("of females"), None, _("how many females were checked for eggs"))
    if entry.text("eggs").strip() and not entry.text("with_eggs").strip():
        found.setdefault("with_eggs", InputError("with eggs", None, _("how many females carried these eggs")))
    uneven = {entry.aliquots(s) for s in entry.stages} - {0}
    if len(uneven) > 1:
        short = min((s for s in entry.stages if entry.tallies(s)), key=entry.aliquots)
        key = f"{short}.{len(entry.tallies(short))}"
        found.setdefault(key, InputError("tally", None, _("as many tallies of every stage that is counted")))
    if entry.filled("refill") and not entry.filled("harvest") and "refill" not in found:
        found["harvest"] = InputError("harvest", None, _("the volume taken out before the refill"))
    if entry.filled("split") and "split" not in found:
        _judge_split(entry, found)
    return found


def _judge_split(entry: Entry, found: dict[str, InputError]) -> None:
    taker, rack = entry.taking()
    if not taker:
        found["split_to"] = InputError("into", None, _("the vessel that takes the culture"))
        return
    if "split_fill" in found or entry.number("split") is None:
        return
    try:
        moves.check_room(rack, taker, entry.number("split") or 0.0, entry.number("split_fill"), entry.settings)
    except InputError as error:
        found["split_to"] = error


def _judge(entry: Entry, key: str) -> None:
    text = entry.text(key)
    if not text.strip():
        return
    both = read.two_ways(text) if key in {*VOLUMES, "feed"} and key in entry.typed else None
    if both is not None:
        raise read.ask_which(key, text, both)
    row: dict[str, object] = {"at": "2000-01-01T00:00", "vessel": entry.vessel}
    if "." in key:
        event_from_row({**row, "kind": "count", "tallies": text})
    elif key == "gravity":
        event_from_row({**row, "kind": "reading", GRAVITY[entry.settings.salinity_unit]: text})
    elif key in COLUMNS:
        kind, column = COLUMNS[key]
        value = text if key in CHECKED_AS_TYPED else _base_or_text(entry, key)
        row |= {"kind": kind, column: value}
        if kind == "count":
            _with_count(entry, key, row)
        elif kind == "feed":
            row["feed"] = entry.text("feed_name")
        elif value == 0 and key in {"harvest", "split"}:
            return  # nothing taken is nothing done
        elif column in {"refill_l", "fill_l"}:
            row["volume_l"] = 1e-6
        taker, rack = entry.taking()
        if kind == "split":
            row["to_vessel"] = taker or "elsewhere"
        event = event_from_row(row)
        if kind != "split" or taker:
            check_event(rack.vessels, event)


def _with_count(entry: Entry, key: str, row: dict[str, object]) -> None:
    """What must stand beside one field of a count for it to be judged alone."""
    row["tallies"] = "0"
    if key == "with_eggs":
        row["females_checked"] = _whole(entry, "females_checked", entry.text(key))
    elif key == "females_checked":
        row["with_eggs"] = "0"
    elif key == "eggs":
        carrying = _whole(entry, "with_eggs", "1" if entry.text("with_eggs").strip() else "0")
        row |= {"with_eggs": carrying, "females_checked": _whole(entry, "females_checked", carrying)}


def _whole(entry: Entry, key: str, otherwise: str) -> str:
    """What stands in another field if it is right by itself: what is wrong there is not the fault of this one."""
    text = entry.text(key).strip()
    return text if read.plain_digits(text).isdecimal() else otherwise


def _base_or_text(entry: Entry, key: str) -> object:
    try:
        return entry.base(key)
    except InputError:
        return entry.text(key)
