"""The rows of the event table that an entry of the round says: what was typed, taken, or seen presumed beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackview.ui.round.entry.columns import CLEANING, COLUMNS, GRAVITY, SAMPLE

if TYPE_CHECKING:
    from rackview.ui.round.entry.model import Entry

Row = dict[str, object]


def rows(entry: Entry) -> list[Row]:
    """Everything that was seen and done."""
    return [*seen(entry), *_done(entry)]


def seen(entry: Entry) -> list[Row]:
    """Counts and readings."""
    return [*_counts(entry), *_reading(entry)]


def _counts(entry: Entry) -> list[Row]:
    signs: Row = {k: entry.text(k) for k in ("swimming", "ciliates", "tint")}
    if entry.text("with_eggs").strip():
        signs |= {k: entry.text(k) for k in ("with_eggs", "females_checked", "eggs")}
    signs["picture"] = entry.text("picture")
    sample = {COLUMNS[k][1]: entry.text(k) for k in SAMPLE}
    found: list[Row] = []
    if len(entry.stages) > 1 and entry.complete:
        whole = " ".join(str(n) for n in entry.sums())
        found.append({"kind": "count", "tallies": whole, "stage": "all", **sample, **signs})
    for stage in entry.stages:
        tallies = [t.strip() for t in entry.tallies(stage) if t.strip()]
        if tallies:
            first = {} if found else signs
            found.append({"kind": "count", "tallies": " ".join(tallies), "stage": stage, **sample, **first})
    return found


def _reading(entry: Entry) -> list[Row]:
    row = {COLUMNS[k][1]: entry.base(k) for k in ("temperature", "ph", "tan", "oxygen") if entry.text(k).strip()}
    if entry.text("gravity").strip():
        column = GRAVITY[entry.settings.salinity_unit]
        row[column] = entry.base("gravity")
        if column == "sg":
            return [{"kind": "reading", **row, "sg_reference": entry.text("sg_reference")}]
    return [{"kind": "reading", **row}] if row else []


def _done(entry: Entry) -> list[Row]:
    found: list[Row] = []
    if entry.text("clean") in CLEANING[1:]:
        found.append({"kind": "clean", "what": entry.text("clean")})
    if entry.filled("harvest"):
        found.append(
            {
                "kind": "harvest",
                "volume_l": entry.base("harvest"),
                "refill_l": entry.base("refill") or 0.0,
                "mesh_um": entry.text("harvest_mesh") or None,
                "to": entry.text("harvest_to"),
            }
        )
    if entry.filled("split"):
        found.append(
            {
                "kind": "split",
                "to_vessel": entry.taking()[0],
                "volume_l": entry.base("split"),
                "refill_l": entry.base("split_refill"),
                "fill_l": entry.base("split_fill"),
            }
        )
    if entry.filled("feed"):
        feed = {"feed": entry.text("feed_name"), "amount": entry.base("feed"), "unit": entry.feed_unit()}
        found.append({"kind": "feed", **feed})
    return found
