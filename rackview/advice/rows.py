"""Assessments, suggestions and plans as rows for JSON: the keys of the documented interface, then our own."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from rackview.core.assessment import Assessment, Evidence, Expected, Flag, Interval, Measured, Plan, Suggestion, Water

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rackview.advice.feeding.costs import MonthCost
    from rackview.advice.feeding.stock import Lasting

Row = dict[str, Any]

SCHEMA = 2
"""Which keys there are; one more with every change of them. From 2 on `ovigerous_share` is the share of females that
carry eggs and `egg_ratio` eggs per female; before, `egg_ratio` was that share."""

NOTHING = 1e-9
"""What is smaller is said to be 0: one animal in a thousand litres, or a chance that nobody could tell from none."""


def interval_row(value: Interval | None) -> Row | None:
    """An interval as median, low90 and high90."""
    if value is None:
        return None
    return {"median": _figures(value.median), "low90": _figures(value.low90), "high90": _figures(value.high90)}


def _figures(value: float) -> float:
    """Six figures: more than any count supports, few enough to read. What is next to nothing is nothing."""
    return float(f"{value:.6g}") if abs(value) >= NOTHING else 0.0


def _maybe(value: float | None) -> float | None:
    return None if value is None else _figures(value)


def _time(value: datetime | date | None) -> str | None:
    return None if value is None else value.isoformat()


def evidence_row(value: Evidence) -> Row:
    """A fact with the ids of its events."""
    return {"text": value.text, "events": list(value.events)}


def flag_row(value: Flag) -> Row:
    """A flag; severity is the name."""
    return {
        "code": value.code,
        "severity": value.severity.name,
        "text": value.text,
        "short": value.short,
        "state": value.state,
        "probability": _figures(value.probability),
        "since": _time(value.since),
        "evidence": [evidence_row(e) for e in value.evidence],
    }


def _measured_row(value: Measured | None) -> Row | None:
    if value is None:
        return None
    return {"value": _figures(value.value), "age_days": round(value.age_days, 2), "event": value.event}


def water_row(value: Water) -> Row:
    """The newest water values with their ages."""
    names = ("temperature_c", "salinity", "sg", "ph", "tan_mg_l", "nh3_mg_l", "oxygen_mg_l")
    return {name: _measured_row(getattr(value, name)) for name in names}


def status_row(value: Assessment) -> Row:
    """One vessel as `status --json` says it."""
    return {
        "vessel": value.vessel,
        "strain": value.strain,
        "shelf": value.shelf,
        "position": value.position,
        "volume_l": value.volume_l,
        "state": value.state,
        "density_per_ml": interval_row(value.density_per_ml),
        "net_rate_per_day": interval_row(value.net_rate_per_day),
        "birth_rate_per_day": interval_row(value.birth_rate_per_day),
        "loss_rate_per_day": interval_row(value.loss_rate_per_day),
        "ovigerous_share": _maybe(value.ovigerous_share),
        "egg_ratio": _maybe(value.egg_ratio),
        "days_since_count": value.days_since_count,
        "days_since_cleaning": value.days_since_cleaning,
        "days_since_restart": value.days_since_restart,
        "flags": [flag_row(f) for f in value.flags],
        "reserve": value.reserve,
        "level_l": _figures(value.level_l),
        "doubling_days": _maybe(value.doubling_days),
        "ceiling_per_ml": _maybe(value.ceiling_per_ml),
        "chance_below_floor": _maybe(value.chance_below_floor),
        "last_count_per_ml": interval_row(value.last_count_per_ml),
        "counted_animals": value.counted_animals,
        "water": water_row(value.water),
        "schema": SCHEMA,
    }


def suggestion_row(value: Suggestion) -> Row:
    """One suggestion as `advise --json` says it."""
    return {
        "vessel": value.vessel,
        "action": value.action,
        "amount": value.amount,
        "unit": value.unit,
        "other_vessel": value.other_vessel,
        "priority": value.priority,
        "before": _time(value.before),
        "why": value.why,
        "evidence": [evidence_row(e) for e in value.evidence],
        "sureness": _figures(value.sureness),
        "cautions": list(value.cautions),
        "code": value.code,
        "text": value.text,
        "severity": None if value.severity is None else value.severity.name,
        "feed": value.feed,
        "what": value.what,
        "to": value.to,
        "refill_l": _maybe(value.refill_l),
        "mesh_um": value.mesh_um,
        "own_tools": value.own_tools,
        "as_advised": _expected_row(value.as_advised),
        "otherwise": _expected_row(value.otherwise),
        "schema": SCHEMA,
    }


def _expected_row(value: Expected | None) -> Row | None:
    if value is None:
        return None
    return {name: [_figures(v) for v in getattr(value, name)] for name in ("short", "met", "supply")}


def plan_rows(value: Plan) -> Row:
    """A plan: days, splits and notes."""
    return {
        "days": [
            {
                "date": _time(d.date),
                "strain": d.strain,
                "demand": _figures(d.demand),
                "supply": interval_row(d.supply),
                "chance_short": _figures(d.chance_short),
                "gives": [
                    {"vessel": g.vessel, "volume_l": _figures(g.volume_l), "animals": _figures(g.animals)}
                    for g in d.gives
                ],
                "for_broods": list(d.for_broods),
            }
            for d in value.days
        ],
        "splits": [suggestion_row(s) for s in value.splits],
        "notes": list(value.notes),
        "broods": [
            {
                "brood": b.brood,
                "strain": b.strain,
                "first": _time(b.first),
                "last": _time(b.last),
                "chance_short": _figures(b.chance_short),
                "days": [{"date": _time(day), "chance_short": _figures(chance)} for day, chance in b.chances],
                "state": b.state,
                "last_safe": _time(b.last_safe),
                "order_by": _time(b.order_by),
            }
            for b in value.broods
        ],
        "water": [
            {"date": _time(w.date), "volume_l": _figures(w.volume_l), "salt_g": _figures(w.salt_g)} for w in value.water
        ],
        "schema": SCHEMA,
    }


def stock_rows(feeds: Iterable[Lasting], months: Iterable[MonthCost]) -> Row:
    """How long each feed lasts, and what a million animals delivered took of feed and money by strain and month."""
    return {
        "feeds": [
            {
                "feed": f.stock.feed,
                "unit": f.stock.unit,
                "left": _maybe(f.left),
                "used_a_day": _maybe(f.a_day),
                "until": _time(f.until),
                "soonest": _time(f.soonest),
                "latest": _time(f.latest),
                "spoils_first": f.spoils,
                "order_by": _time(f.order_by),
            }
            for f in feeds
        ],
        "months": [
            {
                "strain": m.strain,
                "month": f"{m.month:%Y-%m}",
                "fed_g": _figures(m.fed_g),
                "cost": _maybe(m.cost),
                "delivered": _figures(m.delivered),
                "thrown_away": _figures(m.thrown),
                "g_per_million": _maybe(m.g_per_million),
                "cost_per_million": _maybe(m.cost_per_million),
            }
            for m in months
        ],
        "schema": SCHEMA,
    }
