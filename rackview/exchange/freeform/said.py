"""What one line of a keeper's table says, and the rows of the event table that it makes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from rackview.core.errors import InputError
from rackview.exchange.intake import clear


@dataclass
class Draft:
    """What one line says so far."""

    line: int
    cells: dict[str, dict[str, object]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    tallies: list[int] = field(default_factory=list)
    kind: str = ""
    exchange: bool = False
    at: str = ""
    vessel: str = ""

    def put(self, kind: str, column: str, value: object) -> None:
        """One value of one event."""
        self.cells.setdefault(kind, {})[column] = value


def rows_of(draft: Draft) -> Iterator[Mapping[str, object]]:
    """The rows of the event table that one line makes."""
    shared: dict[str, object] = {"at": draft.at, "vessel": draft.vessel}
    cells = draft.cells
    loose = cells.pop("?", {})
    if loose:
        kind = draft.kind or "harvest"
        if kind not in {"harvest", "top_up", "split", "restart"}:
            raise InputError("volume", f"{loose['volume_l']:g} L", f"nothing there, as a {kind} has no volume")
        cells.setdefault(kind, {}).update(loose)
        if draft.exchange:
            cells[kind] |= {"refill_l": loose["volume_l"], "to": "discard"}
    if draft.tallies:
        count = cells.setdefault("count", {})
        if "density_per_ml" in count:
            draft.notes.append(f"density as written: {count.pop('density_per_ml'):g} per mL")
        count["tallies"] = " ".join(map(str, draft.tallies))
    if draft.kind and draft.kind not in cells and draft.kind != "note":
        cells[draft.kind] = {}
    _signs_alone(draft, cells)
    _settle(draft, cells)
    note = "; ".join(n for n in draft.notes if n)
    if not cells:
        if note:
            yield {**shared, "kind": "note", "text": note}
        return
    for place, (kind, own) in enumerate(cells.items()):
        yield {**shared, "kind": kind, **own, **({"note": note} if note and not place else {})}


def _signs_alone(draft: Draft, cells: dict[str, dict[str, object]]) -> None:
    """Signs of a culture need a count beside them; without one they are kept in words."""
    count = cells.get("count")
    if count is not None and not count.keys() & {"tallies", "density_per_ml"} and draft.kind != "count":
        draft.notes += [f"{c.replace('_', ' ')}: {v}" for c, v in count.items() if c not in {"aliquot_ml", "dilution"}]
        del cells["count"]


def _settle(draft: Draft, cells: dict[str, dict[str, object]]) -> None:
    """Leave out what only accompanies something that this line does not have."""
    harvest = cells.get("harvest")
    if harvest is not None and "volume_l" not in harvest and draft.kind != "harvest":
        draft.notes += [f"{c.removesuffix('_l').removesuffix('_um')}: {v}" for c, v in harvest.items()]
        del cells["harvest"]
    feed = cells.get("feed")
    if feed is not None and "amount" not in feed and draft.kind != "feed":
        draft.notes.append(f"feed: {feed.get('feed', '')}")
        del cells["feed"]
    split = cells.get("split")
    if split is not None and "volume_l" not in split and "to_vessel" not in split and draft.kind != "split":
        del cells["split"]
    count = cells.get("count")
    if count is not None and "density_per_ml" in count:
        for column in ("aliquot_ml", "dilution"):
            count.pop(column, None)


WORDS = {
    "tallies": "tallies {}", "aliquot_ml": "in {} mL each", "dilution": "diluted {} times",
    "density_per_ml": "{} per mL", "with_eggs": "{} with eggs", "females_checked": "of {} females",
    "swimming": "swimming {}", "ciliates": "ciliates {}", "tint": "tint {}", "stage": "{}",
    "temperature_c": "{} °C", "sg": "SG {}", "salinity": "salinity {}", "conductivity_ms_cm": "{} mS/cm",
    "ph": "pH {}", "tan_mg_l": "ammonia {} mg/L as N", "oxygen_mg_l": "oxygen {} mg/L", "volume_l": "{} L",
    "refill_l": "refilled with {} L", "mesh_um": "mesh {} µm", "to": "to {}", "what": "{}",
    "to_vessel": "into {}", "from_vessel": "from {}", "note": "note “{}”", "text": "“{}”",
}  # fmt: skip


def told(row: Mapping[str, object]) -> str:
    """What a row of the event table says, in words."""
    parts = [
        WORDS[column].format(f"{value:g}" if isinstance(value, float) else value)
        for column, value in row.items()
        if column in WORDS
    ]
    if row.get("kind") == "feed":
        parts.insert(0, f"{row.get('amount', 0.0):g} {row.get('unit', 'mL')} {row.get('feed', '')}")
    return clear(", ".join(parts))
