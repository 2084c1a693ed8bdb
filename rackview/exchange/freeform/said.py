"""What one line of a keeper's table says, and the rows of the event table that it makes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.exchange.freeform.numbers import UnclearError
from rackview.exchange.freeform.targets import US_GALLON_L, US_QUART_L
from rackview.exchange.freeform.worded import DENSITY, FED_WITH, TALLIED, WITH_EGGS, worded
from rackview.exchange.intake import clear
from rackview.language import _


@dataclass()
class LineDraft:
    """What one line says so far."""

    line: int
    cells: dict[str, dict[str, object]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    tallies: list[int] = field(default_factory=list)
    feeds: list[dict[str, object]] = field(default_factory=list)
    stages: dict[str, float] = field(default_factory=dict)
    kind: str = ""
    unit: str = ""
    exchange: bool = False
    at: str = ""
    vessel: str = ""
    usual_feed: str = ""
    egg_percent: float | None = None

    def put(self, kind: str, column: str, value: object) -> None:
        """One value of one event; raises `UnclearError` where another column said something else of it."""
        if self.cells.setdefault(kind, {}).setdefault(column, value) != value:
            raise UnclearError(
                _("one value of {column} in a line, where another column has {cells}").format(
                    column=column, cells=self.cells[kind][column]
                )
            )


def event_rows(draft: LineDraft) -> Iterator[Mapping[str, object]]:
    """The rows of the event table that one line makes."""
    shared: dict[str, object] = {"at": draft.at, "vessel": draft.vessel}
    cells = draft.cells
    _moved(draft, cells)
    _counted(draft, cells)
    _amounts(draft, cells)
    if draft.kind and draft.kind not in cells and draft.kind not in {"note", "feed"}:
        cells[draft.kind] = {}
    _signs_alone(draft, cells)
    _settle(draft, cells)
    said = [(kind, own) for kind, own in cells.items() if kind != "feed"]
    said += [("count", {"density_per_ml": value, "stage": stage}) for stage, value in draft.stages.items()]
    name = cells.get("feed", {}).get("feed")
    said += [("feed", {**f, "feed": name or f["feed"]}) for f in draft.feeds]
    if draft.kind == "feed" and not draft.feeds:
        draft.notes.insert(0, "fed")
    note = "; ".join(n for n in draft.notes if n)
    if not said and note:
        yield {**shared, "kind": "note", "text": note}
    for place, (kind, own) in enumerate(said):
        yield {**shared, "kind": kind, **own, **({"note": note} if note and not place else {})}


def _moved(draft: LineDraft, cells: dict[str, dict[str, object]]) -> None:
    """Give a volume to what was done."""
    loose = cells.pop("?", {})
    if not loose:
        return
    kind = draft.kind or "harvest"
    if kind == "feed":
        amount = float(f"{1e3 * float(str(loose['volume_l'])):.6g}")
        draft.feeds.append({"feed": draft.usual_feed, "amount": amount, "unit": "mL"})
        return
    if kind not in {"harvest", "top_up", "split", "restart"}:
        raise InputError(
            "volume", f"{loose['volume_l']:g} L", _("nothing there, as a {kind} has no volume").format(kind=kind)
        )
    cells.setdefault(kind, {}).update(loose)
    if draft.exchange:
        cells[kind] |= {"refill_l": loose["volume_l"], "to": "discard"}


def _counted(draft: LineDraft, cells: dict[str, dict[str, object]]) -> None:
    """Tallies, and the share of females with eggs, made part of the count."""
    if draft.tallies:
        count = cells.setdefault("count", {})
        tallies = " ".join(map(str, draft.tallies))
        if "density_per_ml" not in count:
            count["tallies"] = tallies
        elif _agree(draft.tallies, count):
            draft.notes.append(worded(DENSITY, pop=count.pop("density_per_ml")))
            count["tallies"] = tallies
        else:
            draft.notes.append(worded(TALLIED, tallies=tallies))
    if draft.egg_percent is not None:
        females = cells.get("count", {}).get("females_checked")
        if females is None:
            draft.notes.append(worded(WITH_EGGS, cell=f"{draft.egg_percent:g}%"))
        else:
            draft.put("count", "with_eggs", round(draft.egg_percent / 100 * float(str(females))))


AGREE = 0.1
"""Most by which a written density may be off the tallies beside it: more than it is rounded, less than a dilution."""


def _agree(tallies: Sequence[int], count: Mapping[str, object]) -> bool:
    """Whether tallies, aliquot and dilution give the density that is written beside them."""
    share = float(str(count.get("dilution", 1.0))) / float(str(count.get("aliquot_ml", 1.0)))
    written = float(str(count["density_per_ml"]))
    return abs(sum(tallies) / len(tallies) * share - written) <= AGREE * max(written, 1.0)


VOLUMES_L = {"l": 1.0, "liter": 1.0, "liters": 1.0, "litre": 1.0, "litres": 1.0, "ml": 1e-3, "gal": US_GALLON_L,
             "gallon": US_GALLON_L, "gallons": US_GALLON_L, "qt": US_QUART_L, "quart": US_QUART_L,
             "quarts": US_QUART_L}  # fmt: skip


def _amounts(draft: LineDraft, cells: dict[str, dict[str, object]]) -> None:
    """Give an amount with its unit in a column of its own to what was done."""
    moved = draft.kind in {"harvest", "top_up", "split"} and "volume_l" not in cells.get(draft.kind, {})
    if draft.unit and draft.feeds and moved:
        if draft.unit not in VOLUMES_L:
            raise InputError("unit", draft.unit, _("L, mL or gal, as it is one of a volume"))
        (amount,) = (f["amount"] for f in draft.feeds[:1])
        cells.setdefault(draft.kind, {})["volume_l"] = float(f"{float(str(amount)) * VOLUMES_L[draft.unit]:.6g}")
        draft.feeds.clear()
    elif draft.unit:
        for feed in draft.feeds:
            feed["unit"] = {"ml": "mL", "g": "g", "gram": "g", "grams": "g"}.get(draft.unit, draft.unit)


def _signs_alone(draft: LineDraft, cells: dict[str, dict[str, object]]) -> None:
    """Signs of a culture need a count beside them; without one they are kept in words."""
    count = cells.get("count")
    if count is not None and not count.keys() & {"tallies", "density_per_ml"} and draft.kind != "count":
        draft.notes += [f"{c.replace('_', ' ')}: {v}" for c, v in count.items() if c not in {"aliquot_ml", "dilution"}]
        del cells["count"]


def _settle(draft: LineDraft, cells: dict[str, dict[str, object]]) -> None:
    """Leave out what only accompanies something that this line does not have."""
    harvest = cells.get("harvest")
    if harvest is not None and "volume_l" not in harvest and draft.kind != "harvest":
        draft.notes += [f"{c.removesuffix('_l').removesuffix('_um')}: {v}" for c, v in harvest.items()]
        del cells["harvest"]
    feed = cells.get("feed")
    if feed is not None and not draft.feeds:
        draft.notes.append(worded(FED_WITH, get=feed.get("feed", "")))
    split = cells.get("split")
    if split is not None and "volume_l" not in split and "to_vessel" not in split and draft.kind != "split":
        del cells["split"]
    count = cells.get("count")
    if count is not None and "density_per_ml" in count:
        for column in ("aliquot_ml", "dilution"):
            count.pop(column, None)


WORDS = {
    "tallies": _("tallies {}"), "aliquot_ml": _("in {} mL each"), "dilution": _("{}-fold dilution"),
    "density_per_ml": _("{} per mL"), "with_eggs": _("{} with eggs"), "females_checked": _("of {} females"),
    "swimming": _("swimming {}"), "ciliates": _("ciliates {}"), "tint": _("tint {}"), "stage": "{}",
    "temperature_c": "{} °C", "sg": "SG {}", "salinity": _("salinity {}"), "conductivity_ms_cm": "{} mS/cm",
    "ph": "pH {}", "tan_mg_l": _("ammonia {} mg/L as N"), "oxygen_mg_l": _("oxygen {} mg/L"), "volume_l": "{} L",
    "refill_l": _("refilled with {} L"), "mesh_um": _("mesh {} µm"), "to": _("to {}"), "what": "{}",
    "to_vessel": _("into {}"), "from_vessel": _("from {}"), "note": _("note “{}”"), "text": "“{}”",
}  # fmt: skip


def row_words(row: Mapping[str, object]) -> str:
    """What a row of the event table says, in words."""
    parts = [
        WORDS[column].format(f"{value:g}" if isinstance(value, float) else value)
        for column, value in row.items()
        if column in WORDS
    ]
    if row.get("kind") == "feed":
        parts.insert(0, f"{row.get('amount', 0.0):g} {row.get('unit', 'mL')} {row.get('feed', '')}")
    return clear(", ".join(parts))
