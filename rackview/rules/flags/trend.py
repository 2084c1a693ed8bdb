"""Rules that rest on counts: crash, floor, fall, early sign, sudden fall, eggs, density, how good the counts are."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from rackview.core.assessment import Severity
from rackview.rules.alarm import Alarm, Sample, judge, news, with_now
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.constants import (
    CLUMPED_USUAL,
    COUNT_GRACE_DAYS,
    COUNTS_IN_A_ROW,
    LEAST_GAPS,
    LONG_GAP,
    POOR_SWIMMING,
    SEEN_ROUND,
    UNUSUAL_SCATTER,
    WORST_SWIMMING,
)
from rackview.rules.findings import Finding, finding, from_alarm
from rackview.rules.signs import (
    Signs,
    crash_chance,
    crash_found,
    crash_limit,
    floor_chance,
    floor_limit,
    looked_at_eggs,
    scatter,
    signs_of,
)
from rackview.rules.view import View, least_egg_ratio, share_with_eggs

CIRCUMSPECT = {"crash", "failing"}
"""Conditions for which one count is enough: waiting for a second costs more than a needless look."""

OF_EGGS = {"eggs_held"}


COUNTED = ("crash", "failing", "floor", "eggs_held", "stalled")


def trend_flags(view: View) -> Iterator[Finding]:
    """The findings that rest on the counts of the present culture."""
    if not view.stocked:
        return
    if view.count_nodes:
        alarms = _alarms(view)
        yield from filter(None, (_crash(view, alarms), _floor(view, alarms), _drop(view)))
        for code in ("failing", "eggs_held", "stalled"):
            if alarms[code].raised:
                yield from filter(None, [from_alarm(code, alarms[code], **_values(code, view))])
    yield from filter(None, (count_old(view), clumped(view), misfit(view)))


def _alarms(view: View) -> dict[str, Alarm]:
    """The alarm states after the newest count, remembered on its node."""
    memo = view.count_nodes[-1].memo
    key = ("alarms", view.profile)
    if key not in memo:
        memo[key] = {code: alarm(code, _telling(code, view)) for code in COUNTED}
    found: dict[str, Alarm] = memo[key]
    return found


def _telling(code: str, view: View) -> list[Signs]:
    """The signs of the newest counts, oldest first, from the last one that cleared the alarm on.

    What was before that makes no difference, so in a vessel that is well one count is looked at and not eight.
    """
    found: list[Signs] = []
    for node in reversed(view.count_nodes):
        if code in OF_EGGS and not looked_at_eggs(node):
            continue
        found.append(signs_of(node, view.profile))
        chance = getattr(found[-1], code)
        if chance is not None and chance <= BY_CODE[code].clear_at:
            break
    return found[::-1]


def alarm(code: str, signs: list[Signs]) -> Alarm:
    """The alarm state of one slow condition over the newest counts."""
    rule = BY_CODE[code]
    samples = [Sample(s.day, getattr(s, code), s.event) for s in signs]
    return judge(samples, rule.raise_at, rule.clear_at, 1 if code in CIRCUMSPECT else COUNTS_IN_A_ROW.get(code, 2))


def _with_now(code: str, view: View, alarms: dict[str, Alarm], chance: float | None) -> Alarm:
    newest = view.care.counts[-1].id
    return with_now(alarms[code], Sample(view.day, chance, newest), BY_CODE[code].raise_at)


def _crash(view: View, alarms: dict[str, Alarm]) -> Finding | None:
    """Under a third of the floor."""
    found = _with_now("crash", view, alarms, crash_chance(view.estimate, view.profile))
    if not found.raised:
        spell = latched(view)
        if spell is None:
            return None
        found = Alarm(raised=True, chance=1.0, since=spell[0], events=spell[1])
    return from_alarm("crash", found, per_ml=view.per_ml, limit=crash_limit(view.estimate, view.profile))


def latched(view: View) -> tuple[float, tuple[str, ...]] | None:
    """Since when, and by which count, a crash of this culture is latched: raised and not yet handled.

    Handled is a restart or rest (a new culture), or the keeper's word (a decline of the flag).
    """
    found = crash_found(view.count_nodes, view.profile)
    if found is None or any(d.code == "crash" and d.day >= found[0] for d in view.care.declines):
        return None
    return found[0], (found[1],) if found[1] else ()


def _floor(view: View, alarms: dict[str, Alarm]) -> Finding | None:
    found = _with_now("floor", view, alarms, floor_chance(view.estimate, view.profile))
    if not found.raised:
        return None
    limit = floor_limit(view.estimate, view.profile)
    under = view.per_ml is not None and view.per_ml < limit
    return from_alarm("floor", found, per_ml=view.per_ml, limit=limit, under=under)


def _drop(view: View) -> Finding | None:
    """A sudden fall stands until a newer count is there."""
    newest = signs_of(view.count_nodes[-1], view.profile)
    if newest.drop is None or newest.drop < BY_CODE["drop"].raise_at:
        return None
    return replace(finding("drop", newest.day, newest.event, chance=newest.drop), values={"per_ml": view.per_ml})


def _values(code: str, view: View) -> dict[str, object]:
    values: dict[str, object] = {"per_ml": view.per_ml}
    if code == "eggs_held":
        if view.estimate.median_net_per_day is not None:
            values["rate"] = view.estimate.median_net_per_day
        looks = [c for c in view.care.eggs if share_with_eggs(c) is not None]
        if looks and looks[-1].eggs is not None:
            values["per_female"] = least_egg_ratio(looks[-1])
        values["share"] = share_with_eggs(looks[-1]) if looks else 0.0
        values["limit"] = view.profile.eggs_growing
    if code == "failing":
        values["limit"] = view.profile.floor_per_ml
    if code == "stalled":
        values["limit"] = view.profile.band_low_per_ml
    return values


def count_old(view: View) -> Finding | None:
    """No count for longer than the profile's interval and a day's grace, nor than is usual here."""
    newest = view.care.last_count
    if newest is None:
        return None
    late = view.day - newest.day - max(view.profile.count_days + COUNT_GRACE_DAYS, LONG_GAP * _usual_gap(view))
    if late <= 0.0:
        return None
    return finding("count_old", view.day - late, newest.id, days=view.day - newest.day)


def _usual_gap(view: View) -> float:
    """Days that this vessel is usually left between counts, the median of the newest; 0 where too few tell."""
    gaps = sorted(b.day - a.day for a, b in pairwise(view.care.counts))
    return gaps[len(gaps) // 2] if len(gaps) >= LEAST_GAPS else 0.0


def misfit(view: View) -> Finding | None:
    """The newest count is more likely a slip than a surprise."""
    if not view.count_nodes:
        return None
    newest = signs_of(view.count_nodes[-1], view.profile)
    if newest.misfit <= BY_CODE["misfit"].raise_at:
        return None
    return finding("misfit", newest.day, newest.event, chance=newest.misfit)


def clumped(view: View) -> Finding | None:
    """The aliquots of the newest count differ more than a mixed sample would allow, and so much that it matters."""
    if not view.count_nodes:
        return None
    newest = signs_of(view.count_nodes[-1], view.profile)
    if newest.scatter_p is None or newest.scatter_p >= view.profile.clumped_p:
        return None
    if newest.scatter_error <= view.profile.scattered_times * view.precision:
        return None
    if newest.scatter_error <= UNUSUAL_SCATTER * _usual_error(view) or _often_clumped(view):
        return None  # this keeper's aliquots differ so by habit: the estimate knows
    values = {"p": newest.scatter_p, "error": newest.scatter_error}
    return replace(finding("clumped", newest.day, newest.event, chance=1.0 - newest.scatter_p), values=values)


def _often_clumped(view: View) -> bool:
    """Whether so many of the newest counts were clumped that it is how this keeper's samples are."""
    most = view.profile.scattered_times * view.precision
    found = [scatter(count) for count in view.care.counts]
    return sum(p is not None and p < view.profile.clumped_p and error > most for p, error in found) > CLUMPED_USUAL


def _usual_error(view: View) -> float:
    """Standard error of the newest count's mean, as a share of it, for aliquots that differ as they usually do here."""
    count = view.care.counts[-1]
    return math.sqrt(view.estimate.aliquot_cv**2 / count.aliquots + 1.0 / max(count.animals, 1))


def ciliates(view: View) -> Finding | None:
    """Many ciliates in the newest count that looked for them, or some where they are news."""
    seen = view.care.ciliates
    if not view.stocked or not seen or seen[-1].ciliates == "none":
        return None
    many = seen[-1].ciliates == "many"
    if not many and not news([(c.day, c.ciliates != "none") for c in seen], one_round=SEEN_ROUND):
        return None
    spell = []
    for count in reversed(seen):
        if count.ciliates == "none":
            break
        spell.append(count)
    severity = None if many else Severity.notice
    events = (c.id for c in reversed(spell))
    stays = many and len(spell) > 1 and spell[1].ciliates == "many"
    return finding("ciliates", spell[-1].day, *events, severity=severity, many=many, stays=stays)


def swimming(view: View) -> Finding | None:
    """The animals of the newest look hardly swim, or swim badly where nothing is known yet of how they usually do."""
    seen = view.care.swimming
    if not view.stocked or seen is None:
        return None
    if seen.value > (POOR_SWIMMING if view.care.counts_since_move < 2 else WORST_SWIMMING):
        return None
    return finding("swimming", seen.day, seen.event, score=int(seen.value))


def mixed_strain(view: View) -> Finding | None:
    """The culture came from a vessel of another strain."""
    other = view.care.other_strain
    if not view.stocked or other is None or "mixed" in {other, view.vessel.strain}:
        return None
    event = view.care.last_in if view.care.last_in is not None else view.care.started_by
    since = view.day if event is None else event.day
    return finding("mixed_strain", since, "" if event is None else event.id, other=other)
