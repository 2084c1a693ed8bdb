"""Rules that rest on what was done: floss, feeding, age, copepod stages, expired feed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from rackview.core.assessment import Severity
from rackview.core.events import Count
from rackview.core.profile import StrainProfile
from rackview.rules.alarm import news
from rackview.rules.care import Seen
from rackview.rules.constants import (
    AGEING_CHANCE,
    CARE_GRACE_DAYS,
    CLEAR_HOURS,
    FEED_DAY,
    LEAST_G_PER_L_DAY,
    STAGES_DAYS,
    TINTS_IN_A_ROW,
)
from rackview.rules.findings import Finding, finding
from rackview.rules.signs import chance_share_under
from rackview.rules.view import View


def care_flags(view: View) -> Iterator[Finding]:
    """The findings that rest on care and on the stages counted."""
    if view.stocked:
        yield from filter(None, (rule(view) for rule in (floss, overfed, crowded, ageing, feed_expired)))


def feed_load(view: View, since: float) -> float | None:
    """Mean dry feed since `since`, g per L of culture and day; None where no feeding was recorded."""
    given = view.care.feeds_since(since)
    if not given or view.estimate.level_l <= 0.0:
        return None
    days = max(view.day - max(since, given[0].day - 0.5), 1.0)
    return sum(view.dry_g(f.event) for f in given) / view.estimate.level_l / days


def floss_due_days(p: StrainProfile, load: float | None) -> float:
    """After how many days the floss wants rinsing at this feed load, by the vessel's profile."""
    if load is None:
        return p.floss_days
    if load >= p.heavy_feed_g_per_l_day:
        return p.floss_days_heavy
    return p.floss_days if load >= 0.5 * p.heavy_feed_g_per_l_day else p.floss_days_longest


def floss_age(view: View) -> tuple[float, float, float | None] | None:
    """Days since the floss was clean, days after which it is due, and the feed load; None in a vessel without."""
    return view.once(_floss_age)


def _floss_age(view: View) -> tuple[float, float, float | None] | None:
    base = view.care.clean_base("floss")
    if base is None or not view.stocked:
        return None
    load = feed_load(view, base)
    return view.day - base, floss_due_days(view.profile, load), load


def floss(view: View) -> Finding | None:
    """The floss is a day or more overdue."""
    found = floss_age(view)
    if found is None or found[0] < found[1] + CARE_GRACE_DAYS:
        return None
    days, due, load = found
    cleaned = view.care.cleaned.get("floss")
    event = "" if cleaned is None else cleaned.event
    return finding("floss", view.day - (days - due - CARE_GRACE_DAYS), event, days=days, due=due, load=load)


def aged(view: View) -> Finding | None:
    """The culture was started anew long ago, or is at least as old as its record: a restart is due.

    No flag: the restart is suggested where it can be spared, and where it can't nobody need act.
    """
    return view.once(_aged)


def _aged(view: View) -> Finding | None:
    event = view.care.started_by
    start = view.care.started if view.care.started is not None else view.care.first_day
    if not view.stocked or start is None or view.day - start < view.profile.restart_days:
        return None
    shown_by = view.care.first_event if event is None else event.id
    since = start + view.profile.restart_days
    known = event is not None
    return finding("age", since, shown_by, severity=Severity.notice, days=view.day - start, recorded=known)


def _fed_between(view: View, early: float, late: float) -> bool:
    for fed in reversed(view.care.feeds):
        if fed.day < early:
            return False
        if fed.day < late:
            return True
    return False


def _darkness(view: View) -> list[tuple[float, bool]]:
    """The tints that tell whether the water clears, a look a day, each with whether it was dark."""
    found: list[tuple[float, bool]] = []
    for seen in view.care.tints:
        if _telling(view, seen) and (not found or seen.day - found[-1][0] >= 0.5):
            found.append((seen.day, seen.value >= view.profile.tint_dark))
    return found


def _telling(view: View, seen: Seen) -> bool:
    """Whether a tint was seen long enough after a feeding, and not too long, to tell whether the water clears."""
    late = seen.day - CLEAR_HOURS / 24.0
    return _fed_between(view, seen.day - 2.0, seen.day) and not _fed_between(view, late, seen.day)


def stays_dark(view: View) -> bool:
    """Whether the newest looks in a row found dark water and that is news here.

    The ration follows each tint by itself; this is what that does not mend, and it cuts the ration further.
    """
    newest = view.care.tints[-TINTS_IN_A_ROW:]
    dark = view.profile.tint_dark
    if len(newest) < TINTS_IN_A_ROW or not all(s.value >= dark and _telling(view, s) for s in newest):
        return False
    if any(b.day - a.day < 0.5 for a, b in pairwise(newest)):
        return False
    return news(_darkness(view), TINTS_IN_A_ROW + 1)


def overfed(view: View) -> Finding | None:
    """A ration beyond all published ones, and not the least that the thinnest culture is fed."""
    if last_fed_g(view) <= LEAST_G_PER_L_DAY * view.estimate.level_l:
        return None
    ration, most = last_ration(view), view.profile.ration_most_g_per_million
    if ration is not None and ration > most and _ration_as_known(view) > most:
        newest = view.care.feeds[-1]
        return finding("overfed", newest.day, newest.event.id, ration=ration)
    return None


def last_ration(view: View) -> float | None:
    """Dry feed of the newest day of feeding over the animals believed to be there now, g per million."""
    return view.once(_last_ration)


def _last_ration(view: View) -> float | None:
    if not view.care.feeds or view.animals <= 0.0:
        return None
    if view.day - view.care.feeds[-1].day > 2.0:
        return None
    return last_fed_g(view) / (view.animals / 1e6)


def _ration_as_known(view: View) -> float:
    """The same by the newest count before that feeding: who fed what was counted is not told that it fell since."""
    fed = view.care.feeds[-1].day
    known = [c for c in view.care.counts if c.day < fed and c.stage == "all" and c.animals]
    if not known:
        return math.inf
    per_ml = known[-1].animals / known[-1].looked_at_ml
    return last_fed_g(view) / (per_ml * 1e-3 * view.estimate.level_l)


def last_fed_g(view: View) -> float:
    """Dry feed of the newest day of feeding, g; 0 where none was recorded."""
    if not view.care.feeds:
        return 0.0
    return sum(view.dry_g(f.event) for f in view.care.feeds_since(view.care.feeds[-1].day - FEED_DAY))


def stages(view: View) -> dict[str, Count]:
    """The newest count of each stage, counted together."""
    found: dict[str, Count] = {}
    for count in reversed(view.care.counts):
        if count.stage != "all" and view.care.counts[-1].day - count.day <= STAGES_DAYS:
            found.setdefault(count.stage, count)
    return found


def crowded(view: View) -> Finding | None:
    """Copepods: too many adults in a millilitre."""
    if view.profile.animal != "copepod":
        return None
    adults = stages(view).get("adults")
    if adults is None or adults.looked_at_ml <= 0:
        return None
    per_ml = adults.animals / adults.looked_at_ml
    if per_ml < view.profile.crowded_adults_per_ml:
        return None
    return finding("crowded", adults.day, adults.id, per_ml=per_ml, limit=view.profile.crowded_adults_per_ml)


def ageing(view: View) -> Finding | None:
    """Copepods: few nauplii among all that was counted by stage."""
    if view.profile.animal != "copepod":
        return None
    found = stages(view)
    if "nauplii" not in found or "adults" not in found:
        return None
    volume = found["nauplii"].looked_at_ml
    if volume <= 0 or any(c.looked_at_ml <= 0 for c in found.values()):
        return None
    total = round(sum(c.animals / c.looked_at_ml * volume for c in found.values()))
    nauplii = found["nauplii"].animals
    chance = chance_share_under(nauplii, max(total, nauplii), view.profile.nauplii_share_low)
    if chance < AGEING_CHANCE:
        return None
    events = tuple(c.id for c in found.values())
    return finding("ageing", found["nauplii"].day, *events, chance=chance, share=nauplii / max(total, 1))


def feed_expired(view: View) -> Finding | None:
    """The feed given last is past its date."""
    if not view.care.feeds:
        return None
    newest = view.care.feeds[-1].event
    for stock in view.stock:
        if stock.feed == newest.feed and stock.expires is not None:
            over = newest.at.date() - stock.expires
            if over.days > 0:
                return finding("feed_expired", newest.day, newest.id, feed=stock.feed, days=over.days)
    return None
