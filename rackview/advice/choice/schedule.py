"""The days ahead: demand, what the rack can safely give, who gives it, and the chance of falling short."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from rackview.advice.choice.build import Decisions
from rackview.advice.choice.harvests import StrainDay
from rackview.advice.choice.problem import delivered_today, need_ahead, strains_of
from rackview.advice.constants import LIKELY, MET, SMALLEST, STARVING
from rackview.advice.situation import Situation
from rackview.advice.water import salt_g_per_l
from rackview.advice.words import plans as words
from rackview.core.assessment import BroodAhead, Give, Interval, NewWater, Plan, PlanDay, Suggestion
from rackview.core.tables import Brood
from rackview.planner.ahead import Prospect, prospects
from rackview.planner.choose import look_ahead
from rackview.planner.culture import Outlined
from rackview.planner.demand import Need, Needs, hatch_date, needs


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
    broods = _broods(sit, decided, wanted, ahead, days)
    notes = (*_notes(sit, decided, found, ahead), *(n for b in broods if (n := words.brood_ahead(b, sit.when.date))))
    return Plan(tuple(found), splits, notes, broods, _water(sit, decided, found))


def _broods(
    sit: Situation, decided: Decisions, wanted: Needs, ahead: Mapping[str, Outlined], days: int
) -> tuple[BroodAhead, ...]:
    """What awaits each brood that eats within the days, strain by strain, the first to eat first."""
    found = []
    for strain, outlined in ahead.items():
        spans: dict[str, list[int]] = {}
        for k in range(days):
            need = wanted.get((sit.when.days_ahead(k), strain))
            for brood in () if need is None else need.broods:
                spans.setdefault(brood, []).append(k)
        day = decided.strains[strain]
        told = prospects(day.problem, day.choice, need_ahead(sit, strain, days, more=False), outlined, spans)
        found += [_brood(sit, strain, b, spans[b], outlined, one) for b, one in told.items()]
    return tuple(sorted(found, key=lambda b: (b.strain, b.first, b.brood)))


def _brood(
    sit: Situation, strain: str, brood: str, span: Sequence[int], outlined: Outlined, one: Prospect
) -> BroodAhead:
    dates = [sit.when.days_ahead(k) for k in span]
    last = None if one.last_start is None else sit.when.days_ahead(one.last_start)
    order = None if last is None else last - timedelta(days=math.ceil(sit.rack.settings.starter_days))
    chances = tuple((day, outlined.short[k]) for day, k in zip(dates, span, strict=True))
    return BroodAhead(brood, strain, dates[0], dates[-1], one.chance, chances, one.state, last, order)


def _water(sit: Situation, decided: Decisions, days: Sequence[PlanDay]) -> tuple[NewWater, ...]:
    """New salt water for the refills of the harvests, and today for what is moved into vessels that are filled up."""
    litres: dict[date, float] = {}
    salt: dict[date, float] = {}

    def pour(day: date, vessel: str, volume_l: float) -> None:
        view = sit.views[vessel]
        litres[day] = litres.get(day, 0.0) + volume_l
        salt[day] = salt.get(day, 0.0) + volume_l * view.once(salt_g_per_l)

    for one in days:
        for give in one.gives:
            pour(one.date, give.vessel, give.volume_l)
    for move in decided.moves:
        pour(sit.when.date, move.donor, move.litres)
        pour(sit.when.date, move.target, max(sit.views[move.target].vessel.volume_l - move.litres, 0.0))
    return tuple(NewWater(day, litres[day], salt[day]) for day in sorted(litres))


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
