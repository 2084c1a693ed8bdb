"""The days ahead: demand, what the rack can safely give, who gives it, and the chance of falling short."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date

from rackview.advice import words
from rackview.advice.build import Decisions
from rackview.advice.harvests import MET, StrainDay
from rackview.advice.problem import delivered_today, need_ahead, strains_of
from rackview.advice.situation import Situation
from rackview.core.assessment import Give, Interval, Plan, PlanDay, Suggestion
from rackview.core.tables import Brood
from rackview.planner.choose import look_ahead
from rackview.planner.culture import Outlined
from rackview.planner.demand import Need, hatch_date, needs

STARVING = 0.6
"""With less than this share of their need all broods do poorly, and fewer may do better; common practice, no source."""
LIKELY = 0.2
SMALLEST = 0.01


def make_plan(sit: Situation, decided: Decisions, suggested: tuple[Suggestion, ...], days: int) -> Plan:
    """Plan `days` days (1 or more), today first, for every strain on the rack or asked for."""
    wanted = needs(sit.rack, sit.when.date, days)
    here = strains_of(sit)
    asked = sorted({strain for _, strain in wanted} - set(here))
    ahead = {strain: _ahead(sit, decided.strains[strain], days) for strain in here}
    found: list[PlanDay] = []
    for k in range(days):
        day = sit.when.days_ahead(k)
        found += [
            _plan_day(sit, decided, day, k, strain, wanted.get((day, strain)), ahead.get(strain))
            for strain in (*here, *asked)
        ]
    splits = tuple(s for s in suggested if s.action == "split")
    return Plan(tuple(found), splits, _notes(sit, decided, found, ahead))


def _ahead(sit: Situation, day: StrainDay, days: int) -> Outlined:
    """The choice played on for so many days, with the needs that are known of."""
    return look_ahead(day.problem, day.choice, need_ahead(sit, day.strain, days, more=False), days)


def _plan_day(
    sit: Situation, decided: Decisions, day: date, k: int, strain: str, need: Need | None, ahead: Outlined | None
) -> PlanDay:
    demand, broods = (0.0, ()) if need is None else (need.animals, need.broods)
    if ahead is None:
        return PlanDay(day, strain, demand, Interval(0.0, 0.0, 0.0), 1.0 if demand > 0.0 else 0.0, (), broods)
    done = delivered_today(sit, strain) if k == 0 else 0.0
    median, low, high = (done + 1e6 * m for m in ahead.supply[k])
    short = ahead.short[k] if demand > done else 0.0
    gives = []
    for vessel, (litres, millions) in ahead.gives[k].items():
        take = decided.takes.get(vessel) if k == 0 else None
        if k == 0 and take is not None:
            gives.append(Give(vessel, take.share * sit.views[vessel].estimate.level_l, take.animals))
        elif k and litres > SMALLEST * sit.views[vessel].vessel.volume_l:
            gives.append(Give(vessel, litres, 1e6 * millions))
    return PlanDay(day, strain, demand, Interval(median, low, high), short, tuple(gives), broods)


def _notes(sit: Situation, decided: Decisions, days: list[PlanDay], ahead: Mapping[str, Outlined]) -> tuple[str, ...]:
    strains = dict.fromkeys(d.strain for d in days)
    notes = [words.no_vessel_of(strain) for strain in strains if strain not in ahead]
    for strain in ahead:
        short = [d for d in days if d.strain == strain and d.demand > 0.0 and d.chance_short >= LIKELY]
        if short:
            notes.append(words.short_on(strain, short[0].date, short[0].chance_short))
        today, met = decided.strains[strain].met, ahead[strain].met
        if today < MET:
            notes.append(words.shared(strain, today))
        most = max(len(d.for_broods) for d in days if d.strain == strain)
        if met < STARVING and most > 1:
            notes.append(words.in_full(strain, math.floor(met * most), most))
    notes += [words.brood_unknown(b.brood) for b in sit.rack.broods if not _reckoned(sit, b)]
    return tuple(notes)


def _reckoned(sit: Situation, brood: Brood) -> bool:
    group = sit.rack.groups.get(brood.group)
    return hatch_date(brood, group) is not None and bool(brood.strain or group)
