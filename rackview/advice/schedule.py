"""The days ahead: demand, what the rack can safely give, who gives it, and the chance of falling short."""

from __future__ import annotations

import math
from datetime import date, datetime

from rackview.advice import words
from rackview.advice.build import Decisions
from rackview.advice.harvests import delivered_today, healthy, needs_ahead, strains_of
from rackview.advice.situation import Situation
from rackview.core.assessment import Give, Interval, Plan, PlanDay, Suggestion
from rackview.core.clock import moment
from rackview.core.events import Harvest
from rackview.core.tables import Brood
from rackview.planner.allocate import Giver, shares
from rackview.planner.demand import Need, hatch_date, needs
from rackview.rules.harvest import aim_per_ml, remainder_per_ml
from rackview.rules.view import View
from rackview.science.state.forecast import Course

Z90 = 1.6448536269514722
QUANTILES = (0.05, 0.5, 0.95)
SHARED = 0.5
"""Correlation taken between vessels: they share room, water and feed."""

LEAST_SD = 0.1
STARVING = 0.6
"""With less than this share of their need all broods do poorly, and fewer may do better; common practice, no source."""


def make_plan(sit: Situation, decided: Decisions, suggested: tuple[Suggestion, ...], days: int) -> Plan:
    """Plan `days` days (1 or more), today first, for every strain on the rack or asked for."""
    wanted = {**needs(sit.rack, sit.when.date, max(days, 1)), **_today_made_good(sit)}
    here = strains_of(sit)
    asked = sorted({strain for _, strain in wanted} - set(here))
    strains = [*here, *asked]
    courses: dict[str, Course] = {}
    found: list[PlanDay] = []
    for k in range(max(days, 1)):
        day = sit.when.days_ahead(k)
        for strain in strains:
            need = wanted.get((day, strain))
            found.append(_today(sit, decided, strain, need) if k == 0 else _later(sit, strain, k, need, courses))
            if k == 0:
                _book(sit, decided, strain, courses)
    splits = tuple(s for s in suggested if s.action == "split")
    return Plan(tuple(found), splits, _notes(sit, decided, found, asked))


def _today_made_good(sit: Situation) -> dict[tuple[date, str], Need]:
    """Today's needs with what the days before gave too little."""
    return {key: need for key, need in needs_ahead(sit)[0].items() if key[0] == sit.when.date}


def _today(sit: Situation, decided: Decisions, strain: str, need: Need | None) -> PlanDay:
    gives: list[Give] = []
    medians: list[float] = []
    spreads: list[float] = []
    day = decided.strains.get(strain)
    done = delivered_today(sit, strain)
    for take in day.takes if day else ():
        view = sit.views[take.vessel]
        gives.append(Give(take.vessel, take.share * view.estimate.level_l, take.animals))
    for view in healthy(sit, strain):
        if view.density is None or view.care.done_since("harvest", view.today):
            continue
        share = _safe(view, view.density.median)
        medians.append(share * view.animals)
        spreads.append(_spread(view.density.low90, view.density.high90))
    return _plan_day(sit.when.date, strain, need, medians, spreads, gives, done)


def _book(sit: Situation, decided: Decisions, strain: str, courses: dict[str, Course]) -> None:
    """Let today's harvests be done, so that the next days start from what is left."""
    day = decided.strains.get(strain)
    for take in day.takes if day else ():
        litres = take.share * sit.views[take.vessel].estimate.level_l
        if litres > 0.0:
            _course(sit, take.vessel, courses).do(_harvest(take.vessel, sit.when.at, litres))


def _harvest(vessel: str, at: datetime, litres: float) -> Harvest:
    return Harvest(at=at, vessel=vessel, volume_l=litres, refill_l=litres, id=f"planned {vessel} {at.isoformat()}")


def _later(sit: Situation, strain: str, k: int, need: Need | None, courses: dict[str, Course]) -> PlanDay:
    givers: list[Giver] = []
    medians: list[float] = []
    spreads: list[float] = []
    for view in healthy(sit, strain):
        name = view.vessel.vessel
        low, median, high = _course(sit, name, courses).densities(view.day + k, QUANTILES)
        if median <= 0.0:
            continue
        share = _safe(view, median)
        level = view.vessel.volume_l
        medians.append(share * median * level * 1000.0)
        spreads.append(_spread(low, high))
        growth = min(max(1.0 - aim_per_ml(view) / median, 0.0), view.profile.share_high, share)
        givers.append(Giver(name, median, level, growth, share))
    wanted = 0.0 if need is None else need.animals * (1.0 + sit.rack.settings.demand_margin)
    gives = []
    at = moment(sit.when.day + k)
    for giver, share in zip(givers, shares(givers, wanted).values(), strict=True):
        litres = share * giver.level_l
        if litres > 0.0:
            gives.append(Give(giver.vessel, litres, share * giver.animals))
            _course(sit, giver.vessel, courses).do(_harvest(giver.vessel, at, litres))
    return _plan_day(sit.when.days_ahead(k), strain, need, medians, spreads, gives, 0.0)


def _course(sit: Situation, vessel: str, courses: dict[str, Course]) -> Course:
    """The days ahead of a vessel, as far as they are gone through."""
    if vessel not in courses:
        view = sit.views[vessel]
        courses[vessel] = Course(view.log, view.profile, view.day)
    return courses[vessel]


def _safe(view: View, per_ml: float) -> float:
    if per_ml <= 0.0:
        return 0.0
    return min(view.profile.share_most, max(1.0 - remainder_per_ml(view) / per_ml, 0.0))


def _spread(low: float, high: float) -> float:
    """Standard deviation of the log density from its 90 % interval."""
    return max(math.log(high / low) / (2.0 * Z90), LEAST_SD) if low > 0.0 else 1.0


def _plan_day(
    day: date,
    strain: str,
    need: Need | None,
    medians: list[float],
    spreads: list[float],
    gives: list[Give],
    done: float,
) -> PlanDay:
    total = sum(medians)
    parts = [m * s for m, s in zip(medians, spreads, strict=True)]
    variance = (1.0 - SHARED) * sum(p * p for p in parts) + SHARED * sum(parts) ** 2
    spread = math.sqrt(variance) / total if total > 0.0 else 0.0
    supply = Interval(done + total, done + total * math.exp(-Z90 * spread), done + total * math.exp(Z90 * spread))
    demand = 0.0 if need is None else need.animals
    chance = _chance_short(demand - done, total, spread)
    return PlanDay(day, strain, demand, supply, chance, tuple(gives), () if need is None else need.broods)


def _chance_short(demand: float, supply: float, spread: float) -> float:
    if demand <= 0.0:
        return 0.0
    if supply <= 0.0:
        return 1.0
    if spread <= 0.0:
        return 1.0 if supply < demand else 0.0
    return 0.5 * math.erfc(math.log(supply / demand) / (spread * math.sqrt(2.0)))


def _notes(sit: Situation, decided: Decisions, days: list[PlanDay], asked: list[str]) -> tuple[str, ...]:
    notes = [words.no_vessel_of(strain) for strain in asked]
    for strain in dict.fromkeys(d.strain for d in days):
        if strain in asked:
            continue
        short = [d for d in days if d.strain == strain and d.demand > 0.0 and d.chance_short >= 0.2]
        if short:
            notes.append(words.short_on(strain, short[0].date, short[0].chance_short))
        met = decided.strains[strain].met if strain in decided.strains else 1.0
        if met < 0.98:
            notes.append(words.shared(strain, met))
        most = max(len(d.for_broods) for d in days if d.strain == strain)
        if met < STARVING and most > 1:
            notes.append(words.in_full(strain, math.floor(met * most), most))
    notes += [words.brood_unknown(b.brood) for b in sit.rack.broods if not _reckoned(sit, b)]
    return tuple(notes)


def _reckoned(sit: Situation, brood: Brood) -> bool:
    group = sit.rack.groups.get(brood.group)
    return hatch_date(brood, group) is not None and bool(brood.strain or group)
