"""Rules that rest on counts: crash, floor, fall, early sign, sudden fall, eggs, density, how good the counts are."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rackview.core.assessment import Severity
from rackview.rules.alarm import Alarm, Sample, judge, judge_now
from rackview.rules.catalogue import BY_CODE
from rackview.rules.findings import Finding, finding, from_alarm
from rackview.rules.signs import CLUMPED_P, CRASH_SHARE, WINDOW, Signs, present, signs_of
from rackview.rules.view import View, share_with_eggs
from rackview.science.counts import dispersion

CIRCUMSPECT = {"crash", "drop", "early", "eggs_low"}
"""Conditions for which one count is enough: waiting for a second costs more than a needless look."""


def trend_flags(view: View) -> Iterator[Finding]:
    """The findings that rest on the counts of the present culture."""
    signs = recent(view)
    if view.stocked:
        now = present(view.estimate, view.profile) if signs else {}
        yield from filter(None, (_crash(view, signs, now), _floor(view, signs, now), _drop(view, signs)))
        for code in ("falling", "early", "eggs_low", "eggs_held", "dense"):
            found = from_alarm(code, alarm(code, signs), **_values(code, view))
            if found is not None:
                yield found
        yield from filter(None, (count_old(view), clumped(view)))


def recent(view: View) -> list[Signs]:
    """The signs of the newest counts of this culture, oldest first."""
    return [signs_of(node, view.profile) for node in view.care.count_nodes[-WINDOW:]]


def alarm(code: str, signs: list[Signs]) -> Alarm:
    """The alarm state of one slow condition over the newest counts."""
    rule = BY_CODE[code]
    samples = [Sample(s.day, getattr(s, code), s.event) for s in signs]
    return judge(samples, rule.raise_at, rule.clear_at, 1 if code in CIRCUMSPECT else 2)


def _with_now(code: str, view: View, signs: list[Signs], now: dict[str, float | None]) -> Alarm:
    rule = BY_CODE[code]
    samples = [Sample(s.day, getattr(s, code), s.event) for s in signs]
    in_a_row = 1 if code in CIRCUMSPECT else 2
    return judge_now(samples, Sample(view.day, now.get(code)), rule.raise_at, rule.clear_at, in_a_row)


def _crash(view: View, signs: list[Signs], now: dict[str, float | None]) -> Finding | None:
    """Under a third of the floor, in a culture that was started thicker or never was a culture at all."""
    if not signs:
        return None
    found = _with_now("crash", view, signs, now)
    spell = latched(view, signs)
    if not found.raised and spell is not None:
        found = Alarm(raised=True, chance=1.0, since=spell[0], events=spell[1])
    limit = view.profile.floor_per_ml * CRASH_SHARE
    return from_alarm("crash", found, per_ml=_median(view), limit=limit)


def latched(view: View, signs: list[Signs]) -> tuple[float, tuple[str, ...]] | None:
    """Since when, and by which count, a crash of this culture is latched: raised and not yet handled.

    Handled is a restart or rest (a new culture), or the keeper's word (a decline of the flag).
    """
    spell = _crash_spell(signs)
    if spell is None or any(d.code == "crash" and d.day >= spell[0] for d in view.care.declines):
        return None
    return spell


def _crash_spell(signs: list[Signs]) -> tuple[float, tuple[str, ...]] | None:
    raise_at = BY_CODE["crash"].raise_at
    for sign in signs:
        if sign.crash is not None and sign.crash >= raise_at:
            return sign.day, (sign.event,) if sign.event else ()
    return None


def _floor(view: View, signs: list[Signs], now: dict[str, float | None]) -> Finding | None:
    if not signs:
        return None
    found = _with_now("floor", view, signs, now)
    return from_alarm("floor", found, per_ml=_median(view), limit=view.profile.floor_per_ml)


def _drop(view: View, signs: list[Signs]) -> Finding | None:
    """A sudden fall stands until a newer count is there."""
    if not signs:
        return None
    newest = signs[-1]
    if newest.drop is None or newest.drop < BY_CODE["drop"].raise_at:
        return None
    return finding("drop", newest.day, newest.event, chance=newest.drop, per_ml=_median(view))


def _values(code: str, view: View) -> dict[str, object]:
    values: dict[str, object] = {"per_ml": _median(view)}
    if code in {"falling", "eggs_held"} and view.estimate.net_per_day is not None:
        values["rate"] = view.estimate.net_per_day.median
    if code in {"eggs_low", "eggs_held"}:
        values["share"] = next((share_with_eggs(c) for c in reversed(view.care.eggs)), None)
        values["limit"] = view.profile.eggs_falling if code == "eggs_low" else view.profile.eggs_growing
    if code == "dense":
        values["limit"] = view.profile.band_high_per_ml
    return values


def _median(view: View) -> float | None:
    return None if view.density is None else view.density.median


def count_old(view: View) -> Finding | None:
    """No count for longer than the profile's interval and a day of grace."""
    newest = view.care.last_count
    if newest is None:
        return None
    late = view.day - newest.day - view.profile.count_days - 1.0
    if late <= 0.0:
        return None
    return finding("count_old", view.day - late, newest.id, days=view.day - newest.day)


def clumped(view: View) -> Finding | None:
    """The aliquots of the newest count differ more than a mixed sample would allow, and so much that it matters."""
    newest = view.care.last_count
    if newest is None or len(newest.tallies) < 2 or newest.animals == 0:
        return None
    test = dispersion(newest.tallies)
    mean = newest.animals / len(newest.tallies)
    error = math.sqrt(test.index / mean / len(newest.tallies))
    if test.p_clumped >= CLUMPED_P or error <= view.precision:
        return None
    return finding("clumped", newest.day, newest.id, chance=1.0 - test.p_clumped, p=test.p_clumped, error=error)


def ciliates(view: View) -> Finding | None:
    """Ciliates in the newest count that looked for them."""
    seen = view.care.ciliates
    if not view.stocked or not seen or seen[-1].ciliates == "none":
        return None
    spell = []
    for count in reversed(seen):
        if count.ciliates == "none":
            break
        spell.append(count)
    many = seen[-1].ciliates == "many"
    severity = Severity.today if many else None
    return finding(
        "ciliates",
        spell[-1].day,
        *(c.id for c in reversed(spell)),
        severity=severity,
        many=many,
        seen=seen[-1].ciliates,
    )


def swimming(view: View) -> Finding | None:
    """The animals of the newest look swim badly."""
    seen = view.care.swimming
    if not view.stocked or seen is None or seen.value > 2:
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
