"""The days to come that a keeper may want in a calendar: when eggs hatch, feed must be ordered, floss wants rinsing."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from pathlib import Path

from rackview.core.rack import Rack
from rackview.exchange.ics import CalendarDay, calendar
from rackview.planner.demand import hatch_date
from rackview.services.advice_cache import MOST_DAYS

NAME = "rack.ics"


def days_to_come(rack: Rack, at: datetime) -> list[CalendarDay]:
    """Each such day from that of `at` (aware) on, in order; what is overdue stands at today."""
    today = at.date()
    found = [*_hatching(rack, today), *_ordering(rack, at), *_starting(rack, at), *_cleaning(rack, at)]
    return sorted(found, key=lambda d: (d.day, d.title))


def _hatching(rack: Rack, today: date) -> list[CalendarDay]:
    found = []
    for brood in rack.broods:
        group, more = rack.groups.get(brood.group), ""
        day = hatch_date(brood, group)
        if brood.hatched is None and group is not None:
            more = f"Spawned on {brood.spawned}; expected after {group.hatch_days:g} days at {group.hatch_c:g} °C."
        if day is not None and day >= today:
            found.append(CalendarDay(f"hatch {brood.brood}", day, f"{brood.brood} hatches", more))
    return found


def _ordering(rack: Rack, at: datetime) -> list[CalendarDay]:
    from rackview.advice.feed_stock import lasting

    return [
        CalendarDay(
            f"order {f.stock.feed}", max(f.order_by, at.date()), f"Order {f.stock.feed}", f"It lasts until {f.until}."
        )
        for f in lasting(rack, at)
        if f.order_by is not None
    ]


def _starting(rack: Rack, at: datetime) -> list[CalendarDay]:
    """By when one more culture must be started for a brood that may fall short, and a starter ordered for it."""
    from rackview.advice import api

    if not rack.vessels or not rack.broods:
        return []
    found = []
    for b in api.plan(rack, at, MOST_DAYS).broods:
        if b.last_safe is None:
            continue
        more = f"Started by then it makes {b.brood} safe, which eats from {b.first} on."
        found.append(CalendarDay(f"start {b.brood}", max(b.last_safe, at.date()), f"Start one more {b.strain}", more))
        if b.order_by is not None and b.order_by >= at.date():
            found.append(CalendarDay(f"starter {b.brood}", b.order_by, f"Order a starter of {b.strain}", more))
    return found


def _cleaning(rack: Rack, at: datetime) -> list[CalendarDay]:
    from rackview.advice import api
    from rackview.rules.care_flags import floss_due_days

    found = []
    for name, seen in api.assess_all(rack, at).items():
        if seen.days_since_floss is None or seen.state in {"resting", "empty"}:
            continue
        due = floss_due_days(rack.profile(name), seen.feed_g_per_l_day)
        day = max(at.date() + timedelta(days=math.ceil(due - seen.days_since_floss)), at.date())
        more = f"Due after {due:g} days as it is fed now."
        found.append(CalendarDay(f"floss {name}", day, f"{rack.vessels[name].place} {name}: rinse the floss", more))
    return found


def give_days(rack: Rack, folder: str | Path, at: datetime) -> Path:
    """Write the days to come as an iCalendar file in a folder and return it; raises `OSError`."""
    place = Path(folder) / NAME
    place.parent.mkdir(parents=True, exist_ok=True)
    fresh = place.with_name(f".{NAME}.part")
    fresh.write_text(calendar(days_to_come(rack, at), rack.settings.name or "Rack", at), encoding="utf-8", newline="")
    fresh.replace(place)
    return place
