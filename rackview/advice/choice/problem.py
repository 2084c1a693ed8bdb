"""What the planner is told of a rack: each strain's cultures and needs, without history."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from rackview.advice.choice.falls import falls
from rackview.advice.constants import (
    AGE_PAUSE_DAYS,
    AGE_WORTH,
    CARD_BEYOND,
    CARD_TOP_MG_L,
    CILIATES_DAYS,
    DOUBTED_SEED,
    FRESH_DAYS,
    HORIZON_DAYS,
    LOWEST,
    MOST_FALLING,
    MOST_MORE,
    MOST_SHARE,
    OLD_WATER_LEAST,
    RINSE_ACT,
    RINSE_NOTICE,
    RINSE_TOP,
    SLOWEST_PER_DAY,
    STUNTED,
    TOO_THIN,
    UNUSED_DAYS,
    WAITS_DAYS,
)
from rackview.advice.order import CLEAN, contamination_rank
from rackview.advice.situation import Situation
from rackview.core.events import Harvest
from rackview.core.outlook import Outlook
from rackview.core.tables import Standing
from rackview.planner.culture import Culture, Falls, NeedAhead, Problem
from rackview.planner.demand import Need, Needs, needs
from rackview.planner.value import Worth
from rackview.rules.care import newest_since
from rackview.rules.due import SLIPS
from rackview.rules.findings import Finding
from rackview.rules.flags.care import aged
from rackview.rules.flags.vessel import shelved_until
from rackview.rules.harvest import grows_back, remainder_per_ml
from rackview.rules.ration import ration
from rackview.rules.signs import crash_limit
from rackview.rules.view import View
from rackview.science.risk.constants import USUAL_PER_DAY, WITHIN_DAYS

DISCARD = "discard"
QUIET = {"shelved", "suppressed"}
"""States of a flag in which nothing is done about it; one that is merely old is acted on still."""
RECOUNTED = {"drop", "misfit", "clumped"}


def strains_of(sit: Situation) -> list[str]:
    """The strains on the rack, each once, by the place of their first vessel."""
    return list(dict.fromkeys(v.vessel.strain for v in sit.views.values()))


def problem_of(sit: Situation, strain: str, declined: dict[str, set[str]]) -> Problem:
    """The problem of one strain; `declined` are by action the vessels at which the keeper said no."""
    own = [v for v in sit.views.values() if v.vessel.strain == strain]
    own.sort(key=lambda v: (v.vessel.shelf, v.vessel.position))
    worth = Worth.of(sit.rack.settings.worth)
    cultures = tuple(_culture(sit, v, declined) for v in own)
    why = falls(own[0].taught) if own else Falls()
    return Problem(cultures, need_ahead(sit, strain), worth, sit.rack.settings.starter_days, why)


def _culture(sit: Situation, view: View, declined: dict[str, set[str]]) -> Culture:
    name, profile = view.vessel.vessel, view.profile
    known = view.stocked and view.per_ml is not None and view.estimate.level_l > 0.0
    codes = {f.code: f for f in sit.findings[name] if f.state not in QUIET}
    look = outlook_with_signs(view) if known else None
    gives = known and name not in declined.get("harvest", ()) and not view.care.done_since("harvest", view.today)
    split_today = view.care.done_since("split", view.today)
    return Culture(
        vessel=name,
        volume_l=view.vessel.volume_l,
        level_l=view.estimate.level_l if known else view.vessel.volume_l,
        outlook=look,
        gives=gives,
        food=_fit(codes),
        seeds=known and look is not None and not split_today and _may_seed(sit, view, codes, look),
        takes=_takes(sit, view, codes, declined),
        reserve=view.vessel.reserve,
        least_per_ml=remainder_per_ml(view),
        lowest_per_ml=LOWEST * crash_limit(view.estimate, profile),
        start_per_ml=profile.start_per_ml,
        most=min(profile.share_most + MOST_MORE, MOST_SHARE),
        thins=_thins(sit, view, codes),
        doubted=bool(sit.suspects[name]),
        rinse=_rinse(view),
        ration=ration(view, sit.findings[name])[0] if known else profile.ration_g_per_million,
        anew=_anew(sit, view, codes),
        urgent=restart_finding(sit, name) is not None,
    )


def outlook_with_signs(view: View) -> Outlook | None:
    """The estimate's outlook with the chance of a fall that the newest signs speak of."""
    look = view.estimate.outlook
    if look is None:
        return None
    rate = look.rate_per_day if grows_back(view) else STUNTED * look.rate_per_day
    return replace(look, rate_per_day=rate, collapse_chance=collapse_under_way(view))


def collapse_under_way(view: View) -> float:
    """The chance that a fall is under way, so that with those that begin as usual one comes as likely as is said."""
    if view.risk is None:
        return 0.0
    calm = math.exp(-USUAL_PER_DAY * WITHIN_DAYS)
    return min(max(1.0 - (1.0 - view.risk.chance) / calm, 0.0), MOST_FALLING)


def _fit(codes: dict[str, Finding]) -> bool:
    """Whether what it holds is food: not where ciliates are many, which go with it into the larvae's water."""
    return not ("ciliates" in codes and codes["ciliates"].values.get("many"))


def _may_seed(sit: Situation, view: View, codes: dict[str, Finding], look: Outlook) -> bool:
    """A donor must be clean, as far as is known, and counted since it last moved."""
    name = view.vessel.vessel
    seen = view.care.ciliates[-1] if view.care.ciliates else None
    alive = seen is not None and seen.ciliates != "none" and view.day - seen.day <= CILIATES_DAYS
    if view.care.counts_since_move < 1 or (SLIPS | {"ciliates", "crash"}) & set(codes) or alive:
        return False
    if look.collapse_chance > DOUBTED_SEED:
        return False
    cleaner = any(
        contamination_rank(sit, n) <= CLEAN and v.stocked and (v.per_ml or 0.0) >= v.profile.start_per_ml
        for n, v in sit.views.items()
        if v.vessel.strain == view.vessel.strain and n != name
    )
    return contamination_rank(sit, name) <= CLEAN or not cleaner


def _takes(sit: Situation, view: View, codes: dict[str, Finding], declined: dict[str, set[str]]) -> str:
    """How culture may be put into it today."""
    name = view.vessel.vessel
    if view.vessel.reserve and restart_finding(sit, name) is None and "stalled" not in codes:
        return ""
    if view.care.use == "empty" or unused(sit, view) or (view.care.use == "resting" and _dense_beside(sit, view)):
        return "split"
    if not view.stocked or view.per_ml is None or name in declined.get("restart", ()):
        return ""
    if view.care.done_since("restart", view.today):
        return ""
    if _old(sit, view):
        return "restart"
    if restart_finding(sit, name) is not None or "stalled" in codes:
        return "restart"
    return "restart" if view.per_ml < TOO_THIN * view.profile.start_per_ml else ""


def _anew(sit: Situation, view: View, codes: dict[str, Finding]) -> float:
    """What it is worth to start it anew besides its stock: for trouble at once, for age once nobody is to be fed."""
    if restart_finding(sit, view.vessel.vessel) is not None:
        return AGE_WORTH
    waits = any(need_ahead(sit, view.vessel.strain).millions[:WAITS_DAYS])
    return AGE_WORTH if not waits and ("stalled" in codes or _old(sit, view)) else 0.0


def _thins(sit: Situation, view: View, codes: dict[str, Finding]) -> bool:
    """Whether it may be thinned: not before a count is repeated, and a doubted one only where larvae may need it."""
    if any(f.suspect and f.since >= view.today and len(list(newest_since(view.care.counts, view.today))) == 1
           and f.code in RECOUNTED for f in codes.values()):  # fmt: skip
        return False
    if not grows_back(view) and _rinse(view) == 0.0:
        return False
    return bool(sit.rack.broods or sit.rack.demand) or not sit.suspects[view.vessel.vessel]


def _dense_beside(sit: Situation, view: View) -> bool:
    """Whether a vessel of its strain stands over its band, so that a resting one is worth taking into use."""
    own = (v for v in sit.views.values() if v.vessel.strain == view.vessel.strain)
    return any(v.per_ml is not None and v.per_ml > v.profile.band_high_per_ml for v in own)


def _old(sit: Situation, view: View) -> bool:
    """Whether it is to be started anew for its age today: the oldest of its strain, none so lately before."""
    old = aged(view)
    if old is None or shelved_until(view, "age", old.since) is not None:
        return False
    others = [v for v in sit.views.values() if v.vessel.strain == view.vessel.strain and v is not view and v.stocked]
    if any(v.care.started is not None and v.day - v.care.started < AGE_PAUSE_DAYS for v in others):
        return False
    return all(
        (then := aged(v)) is None or (old.since, view.vessel.vessel) < (then.since, v.vessel.vessel) for v in others
    )


def restart_finding(sit: Situation, vessel: str) -> Finding | None:
    """The finding for which a vessel must be started anew: a crash or one near, or ciliates that do not go."""
    for found in sit.findings[vessel]:
        if found.state in QUIET:
            continue
        if found.code in {"crash", "failing"} or (found.code == "ciliates" and found.values["stays"]):
            return found
    return None


def unused(sit: Situation, view: View) -> bool:
    """Whether nothing was ever recorded of the vessel although the rack has been run for days: it stands empty."""
    if view.care.use != "new":
        return False
    starts = [v.care.first_day for v in sit.views.values() if v.care.first_day is not None]
    return bool(starts) and view.today - min(starts) >= UNUSED_DAYS


def _rinse(view: View) -> float:
    """The share of its water that a vessel should get new today, by its ammonia."""
    tan, nh3 = view.water.tan_mg_l, view.water.nh3_mg_l
    if nh3 is not None and nh3.age_days <= FRESH_DAYS and nh3.value >= view.profile.nh3_notice_mg_l:
        return RINSE_ACT if nh3.value >= view.profile.nh3_act_mg_l else RINSE_NOTICE
    if tan is not None and tan.age_days <= FRESH_DAYS and tan.value >= CARD_TOP_MG_L:
        harmless = nh3 is not None and CARD_BEYOND * nh3.value < view.profile.nh3_notice_mg_l
        return 0.0 if harmless else RINSE_TOP
    return 0.0


# --- what is needed ---


def needs_ahead(sit: Situation) -> Needs:
    """The needs from today on, by date and strain."""
    if "needs" not in sit.memo:
        sit.memo["needs"] = needs(sit.rack, sit.when.date, HORIZON_DAYS)
    found: Needs = sit.memo["needs"]
    return found


def need_today(sit: Situation, strain: str) -> Need | None:
    """What is needed of a strain today."""
    return needs_ahead(sit).get((sit.when.date, strain))


def need_ahead(sit: Situation, strain: str, days: int = HORIZON_DAYS, more: bool = True) -> NeedAhead:
    """What is needed of a strain day by day, as the planner is told it; `more` allows for broods not announced yet."""
    reckoned = needs_ahead(sit) if days == HORIZON_DAYS else needs(sit.rack, sit.when.date, days)
    millions, early = [], []
    begun = True
    unhatched = {b.brood for b in sit.rack.broods if b.hatched is None}
    for k in range(days):
        need = reckoned.get((sit.when.days_ahead(k), strain))
        millions.append(0.0 if need is None else need.animals / 1e6)
        begun = begun and millions[k] > 0.0
        fixed = need is not None and bool(need.broods) and not set(need.broods) & unhatched
        early.append(k > 0 and millions[k] > 0.0 and not begun and not fixed)
    more = more and (any(d.strain == strain for d in sit.rack.demand) or bool(sit.rack.broods))
    done, margin = delivered_today(sit, strain) / 1e6, sit.rack.settings.demand_margin
    spread = max((n.spread for (_, s), n in reckoned.items() if s == strain), default=0.0)
    mouths = standing_left(sit, strain)
    most = sum(animals for _, animals in mouths) / 1e6
    usual = Worth.of(sit.rack.settings.worth).mouth_m
    worths = [usual if one.worth is None else one.worth for one, _ in mouths]
    worth = sum(worths) / len(worths) if worths else 0.0
    said = _said_days(sit, strain, days)
    return NeedAhead(tuple(millions), tuple(early), more, done, margin, spread, most, worth, said)


def standing_left(sit: Situation, strain: str) -> list[tuple[Standing, float]]:
    """The standing needs of a strain, those of most worth first, with the animals that each may still get today.

    Infinity where one takes whatever is spare.
    """
    own = [s for s in sit.rack.standing if s.strain == strain]
    usual = Worth.of(sit.rack.settings.worth).mouth_m
    own.sort(key=lambda s: (-(usual if s.worth is None else s.worth), s.consumer))
    given = given_today(sit, strain)
    most = [math.inf if s.animals_per_day is None else s.animals_per_day for s in own]
    return [(s, max(m - given.get(s.consumer, 0.0), 0.0)) for s, m in zip(own, most, strict=True)]


def _said_days(sit: Situation, strain: str, days: int) -> int | None:
    """For how many days needs were said where the keeper says them day by day; a brood's own are known to its end."""
    groups = sit.rack.groups
    if any((b.strain or (groups[b.group].strain if b.group in groups else "")) == strain for b in sit.rack.broods):
        return None
    last = max((d.date for d in sit.rack.demand if d.strain == strain), default=None)
    return None if last is None else min(max((last - sit.when.date).days + 1, 0), days)


def delivered_today(sit: Situation, strain: str) -> float:
    """Animals of a strain harvested for larvae since the keeper's midnight."""
    others = {DISCARD, *(s.consumer for s in sit.rack.standing)}
    return sum(animals for to, animals in given_today(sit, strain).items() if to not in others)


def given_today(sit: Situation, strain: str) -> Mapping[str, float]:
    """Animals of a strain harvested since the keeper's midnight, by where they went."""
    known: dict[str, dict[str, float]] = sit.memo.setdefault("given", {})
    if strain not in known:
        found: dict[str, float] = {}
        for view in sit.views.values():
            if view.vessel.strain == strain:
                for h in newest_since(view.care.harvests, view.today):
                    found[h.to] = found.get(h.to, 0.0) + _animals_in(view, h)
        known[strain] = found
    return known[strain]


def _animals_in(view: View, harvest: Harvest) -> float:
    """Animals taken in a harvest earlier today, from what is believed to be left."""
    if view.per_ml is None:
        return 0.0
    after = max(view.estimate.level_l, 1e-9)
    before_per_ml = view.per_ml * after / max(after - harvest.refill_l, OLD_WATER_LEAST * after)
    return before_per_ml * harvest.volume_l * 1000.0


def days_to_reach(view: View, start_per_ml: float, to_per_ml: float) -> float:
    """Days until a culture that starts so thin stands so dense, at the strain's usual pace."""
    return (
        max(math.log(to_per_ml / start_per_ml) / max(view.profile.rate_per_day, SLOWEST_PER_DAY), 0.0)
        if start_per_ml
        else 0.0
    )
