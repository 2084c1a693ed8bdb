"""The days to come that a keeper may want in a calendar: when eggs hatch, feed must be ordered, floss wants rinsing."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from pathlib import Path

from rackview.core.rack import Rack
from rackview.exchange.ics import CalendarDay, icalendar_text
from rackview.language import _
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
            more = _("Spawned on {spawned}; expected after {hatch_days:g} days at {hatch_c:g} °C.").format(
                spawned=brood.spawned, hatch_days=group.hatch_days, hatch_c=group.hatch_c
            )
        if day is not None and day >= today:
            found.append(
                CalendarDay(
                    f"hatch {brood.brood}",
                    day,
                    _("{brood} hatches").format(brood=brood.brood),
                    more,
                )
            )
    return found


def _ordering(rack: Rack, at: datetime) -> list[CalendarDay]:
    from rackview.advice.feeding.stock import lasting

    return [
        CalendarDay(
            f"order {f.stock.feed}",
            max(f.order_by, at.date()),
            _("Order {feed}").format(feed=f.stock.feed),
            _("It lasts until {until}.").format(until=f.until),
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
        more = _("Started by then it makes {brood} safe, which eats from {first} on.").format(
            brood=b.brood, first=b.first
        )
        found.append(
            CalendarDay(
                f"start {b.brood}",
                max(b.last_safe, at.date()),
                _("Start one more {strain}").format(strain=b.strain),
                more,
            )
        )
        if b.order_by is not None and b.order_by >= at.date():
            found.append(
                CalendarDay(
                    f"starter {b.brood}",
                    b.order_by,
                    _("Order a starter of {strain}").format(strain=b.strain),
                    more,
                )
            )
    return found


def _cleaning(rack: Rack, at: datetime) -> list[CalendarDay]:
    from rackview.advice import api
    from rackview.rules.flags.care import floss_due_days

    found = []
    for name, seen in api.assess_all(rack, at).items():
        if seen.days_since_floss is None or seen.state in {"resting", "empty"}:
            continue
        due = floss_due_days(rack.profile(name), seen.feed_g_per_l_day)
        day = max(at.date() + timedelta(days=math.ceil(due - seen.days_since_floss)), at.date())
        more = _("Due after {due:g} days as it is fed now.").format(due=due)
        found.append(
            CalendarDay(
                f"floss {name}",
                day,
                _("{place} {name}: rinse the floss").format(place=rack.vessels[name].place, name=name),
                more,
            )
        )
    return found


def give_days(rack: Rack, folder: str | Path, at: datetime) -> Path:
    """Write the days to come as an iCalendar file in a folder and return it; raises `OSError`."""
    place = Path(folder) / NAME
    place.parent.mkdir(parents=True, exist_ok=True)
    fresh = place.with_name(f".{NAME}.part")
    fresh.write_text(
        icalendar_text(days_to_come(rack, at), rack.settings.name or "Rack", at), encoding="utf-8", newline=""
    )
    fresh.replace(place)
    return place
