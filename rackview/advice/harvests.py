"""Which vessel gives how much today: what grows back, what the larvae need, shared early when stock is short."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from rackview.advice.situation import Situation
from rackview.core.events import Harvest
from rackview.planner.allocate import Giver, given, shares
from rackview.planner.demand import EARLY_DAYS, Need, Needs, needs, with_arrears
from rackview.planner.supply import Pool, lasts, met_share, thinning_share
from rackview.rules.care import lately
from rackview.rules.findings import Finding
from rackview.rules.harvest import growth_share, may_give, remainder_per_ml, safe_share, vigour_per_day
from rackview.rules.view import View

HORIZON_DAYS = 10
ARREARS_DAYS = 3
"""Over so many days before today what larvae were given short is looked at; more than that no tank remembers."""

DISCARD = "discard"
SLACK = 0.05
"""A tank may be overfilled by this share rather than that a whole vessel's harvest goes to waste."""

DOUBTED = {"drop", "early", "eggs_low", "ciliates"}
"""Signs that a vessel may be in trouble; all others that make it suspect say that it is."""

NO_POOL = Pool(0.0, 0.0, 1.0, 0.0, 0.0)
"""Stands for a pool of nothing, and for one of which nothing is asked."""

SMALLEST_TAKE = 0.02
"""A smaller share of a vessel is left where it is; the margin on the need covers it."""


@dataclass(frozen=True, slots=True)
class Take:
    """One vessel's harvest today: share of its volume, what of it growth alone asks for, and why.

    `need` is what was still needed, with margin, when this vessel's turn came; 0 where nothing is.
    """

    vessel: str
    share: float
    growth: float
    code: str
    to: str
    animals: float
    need: float = 0.0


@dataclass(frozen=True, slots=True)
class StrainDay:
    """One strain today: animals still needed, animals given, the share of every day's need that can be met.

    `waiting` are vessels that would be thinned if no more were needed in the days ahead.
    """

    strain: str
    need: Need | None
    wanted: float
    given: float
    met: float
    ahead_short: bool
    takes: tuple[Take, ...]
    waiting: tuple[str, ...] = ()


def strains_of(sit: Situation) -> list[str]:
    """The strains on the rack, each once, by the place of their first vessel."""
    return list(dict.fromkeys(v.vessel.strain for v in sit.views.values()))


def givers(sit: Situation, strain: str, leave: Collection[str], moved: Mapping[str, float]) -> list[Giver]:
    """The vessels of a strain that may be harvested today; `moved` is the share a restart already takes."""
    last = last_healthy(sit, strain)
    able = [view for view in _able(sit, strain) if view.vessel.vessel not in leave]
    return [_giver(view, moved.get(view.vessel.vessel, 0.0), view.vessel.vessel == last) for view in able]


def healthy(sit: Situation, strain: str) -> list[View]:
    """The vessels of a strain that may be harvested; remembered, as a day is decided twice."""
    known: dict[str, list[View]] = sit.memo.setdefault("healthy", {})
    if strain not in known:
        known[strain] = [
            view
            for name, view in sit.views.items()
            if view.vessel.strain == strain and may_give(view, sit.suspects[name])
        ]
    return known[strain]


def _able(sit: Situation, strain: str) -> list[View]:
    """The vessels of a strain that may be harvested and were not today."""
    return [v for v in healthy(sit, strain) if not v.care.done_since("harvest", v.today)]


def _given_today(sit: Situation, strain: str) -> list[str]:
    """The vessels of a strain that were harvested today and can be again from tomorrow on."""
    return [v.vessel.vessel for v in healthy(sit, strain) if v.care.done_since("harvest", v.today)]


def _giver(view: View, out: float, last: bool) -> Giver:
    """What a vessel gives after the share `out` is gone; the last healthy one must stay within its working band."""
    per_ml = view.per_ml or 0.0
    growth = max(growth_share(view) - out, 0.0)
    safe = max(safe_share(view) - out, 0.0)
    if last:
        safe = min(safe, max(1.0 - view.profile.band_low_per_ml / (per_ml * view.fill), 0.0))
    return Giver(view.vessel.vessel, per_ml, view.estimate.level_l, growth, max(safe, growth))


def last_resort(sit: Situation, strain: str, leave: Collection[str]) -> Giver | None:
    """The least suspect vessel of a strain of which no clean one can give today, if any may be used at all.

    Larvae starve within a day or two. A vessel that is only doubted, that does not fall, and that stands so far above
    its floor that a safe remainder stays, is better used for them than kept from them. One that crashed, fails, falls,
    swims badly or is full of ciliates is not.
    """
    found = []
    for name, view in sit.views.items():
        doubts = sit.suspects[name]
        if view.vessel.strain != strain or name in leave or not doubts or not may_give(view, ()):
            continue
        if view.care.done_since("harvest", view.today) or view.per_ml is None or not all(map(_only_doubted, doubts)):
            continue
        safe = safe_share(view)
        if safe >= SMALLEST_TAKE:
            worst = max(d.severity for d in doubts)
            place = (view.vessel.shelf, view.vessel.position)
            giver = Giver(name, view.per_ml, view.estimate.level_l, 0.0, safe)
            found.append(((worst, len(doubts), -safe * giver.animals, place), giver))
    return min(found, key=lambda f: f[0])[1] if found else None


def _only_doubted(found: Finding) -> bool:
    return found.code in DOUBTED and not found.values.get("many") and not found.values.get("stays")


def last_healthy(sit: Situation, strain: str) -> str | None:
    """The only healthy vessel left of a strain that had more: it must stay within its working band."""
    group = [name for name, v in sit.views.items() if v.vessel.strain == strain and v.stocked]
    clean = [name for name in group if not sit.suspects[name]]
    return clean[0] if len(clean) == 1 and len(group) > 1 else None


def needs_ahead(sit: Situation) -> tuple[Needs, Needs]:
    """The needs from today on, by date and strain: as reckoned, and for a hatch that comes early.

    What the days before gave too little is made good today.
    """
    if "needs" not in sit.memo:
        first = sit.when.date
        reckoned = needs(sit.rack, first, HORIZON_DAYS)
        for (day, strain), need in tuple(reckoned.items()):
            if day == first:
                reckoned[day, strain] = with_arrears(need, _days_before(sit, strain))
        sit.memo["needs"] = reckoned, needs(sit.rack, first, HORIZON_DAYS, EARLY_DAYS)
    found: tuple[Needs, Needs] = sit.memo["needs"]
    return found


def _days_before(sit: Situation, strain: str) -> list[tuple[float, float]]:
    """What was needed of a strain and given to larvae on each of the last days, oldest first.

    Empty where the record says nothing of it: no harvest of the strain for larvae, or not yet begun on that day.
    """
    views = [v for v in sit.views.values() if v.vessel.strain == strain]
    begun = min((v.care.first_day for v in views if v.care.first_day is not None), default=math.inf)
    first = sit.when.today - ARREARS_DAYS
    needed = needs(sit.rack, sit.when.days_ahead(-ARREARS_DAYS), ARREARS_DAYS)
    given = [0.0] * ARREARS_DAYS
    recorded = False
    for view in views:
        recorded = recorded or any(h.to != DISCARD for h in view.care.harvests)
        for taken in view.estimate.belief.taken:
            harvest = taken.harvest
            if harvest.to != DISCARD and first <= harvest.day < sit.when.today:
                given[int(harvest.day - first)] += taken.per_ml * harvest.volume_l * 1000.0
    if not recorded:
        return []
    found = []
    for k in range(ARREARS_DAYS):
        need = needed.get((sit.when.days_ahead(k - ARREARS_DAYS), strain))
        if begun < first + k + 1.0:
            found.append((0.0 if need is None else need.animals, given[k]))
    return found


def delivered_today(sit: Situation, strain: str) -> float:
    """Animals of a strain harvested for larvae since the keeper's midnight."""
    known: dict[str, float] = sit.memo.setdefault("delivered", {})
    if strain not in known:
        total = 0.0
        for view in sit.views.values():
            if view.vessel.strain == strain:
                total += sum(_animals_in(view, h) for h in lately(view.care.harvests, view.today) if h.to != DISCARD)
        known[strain] = total
    return known[strain]


def _animals_in(view: View, harvest: Harvest) -> float:
    """Animals taken in a harvest earlier today, from what is believed to be left."""
    if view.per_ml is None:
        return 0.0
    after = max(view.estimate.level_l, 1e-9)
    before_per_ml = view.per_ml * after / max(after - harvest.refill_l, 0.1 * after)
    return before_per_ml * harvest.volume_l * 1000.0


def pool_of(views: Iterable[View]) -> Pool:
    """The vessels of one strain that may give, as one pool."""
    animals = keep = ceiling = 0.0
    rate = weight = 0.0
    most = 0.0
    for view in views:
        ml = view.estimate.level_l * 1000.0
        animals += view.animals
        keep += remainder_per_ml(view) * ml
        top = view.estimate.ceiling_per_ml or view.profile.ceiling_per_ml
        ceiling += top * ml
        rate += 0.5 * (vigour_per_day(view) + view.profile.rate_per_day) * view.animals
        weight += view.animals
        most += view.profile.share_most * view.animals
    if weight <= 0.0:
        return NO_POOL
    return Pool(animals, keep, ceiling, rate / weight, most / weight)


def draws(sit: Situation, strain: str, done: float) -> tuple[list[float], Need | None]:
    """Animals to take per day from today on, margin included, and today's need; an early hatch is allowed for."""
    reckoned, early = needs_ahead(sit)
    if not (reckoned or early):
        return [0.0] * HORIZON_DAYS, None
    margin = 1.0 + sit.rack.settings.demand_margin
    found = []
    for k in range(HORIZON_DAYS):
        day = sit.when.days_ahead(k)
        plain = reckoned.get((day, strain))
        soon = early.get((day, strain)) if k else None
        found.append(margin * max(plain.animals if plain else 0.0, soon.animals if soon else 0.0))
    today = reckoned.get((sit.when.date, strain))
    found[0] = max(found[0] - done, 0.0)
    return found, today


def strain_day(
    sit: Situation, strain: str, leave: Collection[str], moved: Mapping[str, float], later: Collection[str] = ()
) -> StrainDay:
    """Decide the harvests of one strain today; `later` are vessels that give nothing today but from tomorrow on."""
    able = givers(sit, strain, leave, moved)
    done = delivered_today(sit, strain)
    ahead, need = draws(sit, strain, done)
    resort = None
    if ahead[0] > 0.0 and not any(g.safe >= SMALLEST_TAKE for g in able):
        resort = last_resort(sit, strain, leave)
        able = able if resort is None else [resort]
    asked = need is not None or any(ahead)
    from_tomorrow = [name for name in _given_today(sit, strain) if name not in leave]
    pool = pool_of(sit.views[n] for n in [*(g.vessel for g in able), *later, *from_tomorrow]) if asked else NO_POOL
    met = met_share(pool, ahead)
    wanted = met * ahead[0]
    if resort is None and met == 1.0:
        wanted = max(wanted, _generous(sit, strain, pool, ahead, done))
    thinning = sum(min(g.growth, g.safe) * g.animals for g in able)
    keep = thinning_share(pool, thinning, ahead)
    thick = able
    if keep < 1.0:
        able = [Giver(g.vessel, g.per_ml, g.level_l, keep * g.growth, g.safe) for g in able]
    share = {name: s if s >= SMALLEST_TAKE else 0.0 for name, s in shares(able, wanted).items()}
    got = given(able, share)
    parts = [(g, share[g.vessel]) for g in able if share[g.vessel] > 0.0]
    takes = _takes(sit, parts, need, ahead[0], got, met, done)
    if resort is not None:
        takes = tuple(replace(t, code="last_resort") for t in takes)
    short = max(ahead) > 0.0 and not lasts(pool, ahead)
    waiting = tuple(g.vessel for g in thick if keep < 1.0 and share[g.vessel] < g.growth - 1e-9)
    return StrainDay(strain, need, ahead[0], got, met, short, takes, waiting)


def _generous(sit: Situation, strain: str, pool: Pool, ahead: list[float], done: float) -> float:
    """Animals that fill the larval tanks whole today, where the rack can do so on all days ahead; else 0.

    Larvae that stand in plenty outlive a feed that is late or missed; those fed just enough do not.
    """
    reckoned = needs_ahead(sit)[0]
    today = reckoned.get((sit.when.date, strain))
    if today is None or today.own_word:
        return 0.0
    days = [(sit.when.days_ahead(k), strain) for k in range(HORIZON_DAYS)]
    full = [reckoned[key].full if key in reckoned else 0.0 for key in days]
    full[0] = max(full[0] - done, 0.0)
    return full[0] if lasts(pool, [max(a, f) for a, f in zip(ahead, full, strict=True)]) else 0.0


def _takes(
    sit: Situation,
    parts: list[tuple[Giver, float]],
    need: Need | None,
    wanted: float,
    got: float,
    met: float,
    done: float,
) -> tuple[Take, ...]:
    """The harvests with their reasons: the densest serve the larvae until those have enough, the rest is thinning.

    What is thinned out goes to the larvae too, up to one whole filling of their tanks a day: it carries them over a
    feed that is late or missed, and more only fouls their water.
    """
    announced = need is not None or bool(sit.rack.broods or sit.rack.demand)
    spare_to = DISCARD if announced else ""
    short = met < 0.98 or got < 0.95 * wanted / (1.0 + sit.rack.settings.demand_margin)
    open_need = wanted
    room = 0.0 if need is None or need.own_word else need.full - done
    found: dict[str, Take] = {}
    for giver, share in sorted(parts, key=lambda p: -p[0].per_ml):
        animals = share * giver.animals
        if need is not None and open_need > 0.0:
            found[giver.vessel] = Take(
                giver.vessel, share, giver.growth, "short" if short else "demand", _to(need), animals, open_need
            )
            open_need -= animals
            room -= animals
            continue
        code = "dense" if giver.per_ml > sit.views[giver.vessel].profile.band_high_per_ml else "growth"
        to = spare_to
        if need is not None and animals <= room + SLACK * need.full:
            to = _to(need)
            room -= animals
        found[giver.vessel] = Take(giver.vessel, share, giver.growth, code, to, animals)
    return tuple(found[g.vessel] for g, _ in parts)


def _to(need: Need) -> str:
    return need.broods[0] if len(need.broods) == 1 else "larvae"


def met_today(day: StrainDay) -> float:
    """The share of today's need, without margin, that the harvests give; 1 when nothing is needed."""
    return 1.0 if day.wanted <= 0.0 else min(day.given / day.wanted, 1.0)
