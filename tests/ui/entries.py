"""A small rack, what is believed and suggested of it, and one vessel's entry of a round without a window."""

from __future__ import annotations

from datetime import UTC, datetime

from rackview.core.assessment import Assessment, Interval, Suggestion
from rackview.core.rack import Rack
from rackview.core.tables import Settings, Stock
from rackview.core.vessel import Vessel
from rackview.ui.round.entry.model import Entry

NOW = datetime(2026, 5, 14, 7, 42, tzinfo=UTC)


def rack(settings: Settings | None = None, events: tuple[object, ...] = ()) -> Rack:
    vessels = [
        Vessel("Alder", "rotifer-L", "A", 1, 20),
        Vessel("Birch", "rotifer-L", "A", 2, 20),
        Vessel("Cedar", "copepod-benthic", "B", 1, 30),
        Vessel("Dogwood", "rotifer-L", "B", 2, 10, reserve=True),
    ]
    stock = [Stock("algae concentrate", dry_g_per_ml=0.1, amount=500)]
    return Rack.build(vessels, events, stock=stock, settings=settings or Settings())  # type: ignore[arg-type]


def believed(of: Rack, vessel: str, density: Interval | None = None, **more: object) -> Assessment:
    v = of.vessels[vessel]
    usual: dict[str, object] = {"state": "rising", "level_l": v.volume_l}
    rates = dict.fromkeys(
        ("net_rate_per_day", "birth_rate_per_day", "loss_rate_per_day", "ovigerous_share", "egg_ratio")
    )
    ages = dict.fromkeys(("days_since_count", "days_since_cleaning", "days_since_restart"))
    return Assessment(
        v.vessel, v.strain, v.shelf, v.position, v.volume_l, density_per_ml=density, **rates, **ages, **(usual | more)
    )  # type: ignore[arg-type]


def suggestion(vessel: str, action: str, **more: object) -> Suggestion:
    usual: dict[str, object] = {"amount": None, "unit": None, "other_vessel": None, "priority": 1}
    return Suggestion(vessel, action, before=NOW, why="", evidence=(), sureness=0.9, **(usual | more))  # type: ignore[arg-type]


def entry(*suggestions: Suggestion, of: Rack | None = None, vessel: str = "Alder", **typed: str) -> Entry:
    of = of or rack()
    made = Entry(of, vessel, believed(of, vessel, Interval(200, 160, 250)), suggestions)
    for key, text in typed.items():
        made.put(key, text, NOW)
    return made


def take_all(made: Entry) -> Entry:
    """Take every suggestion as it stands, as the one key does."""
    for key in ("harvest", "refill", "feed", "clean", "split", "split_to", "split_refill", "split_fill"):
        if made.ghost(key):
            made.take(key, made.ghost(key), NOW)
    return made


def tally(made: Entry, *texts: str, stage: str = "all") -> Entry:
    for n, text in enumerate(texts):
        made.put(f"{stage}.{n}", text, NOW)
    return made
