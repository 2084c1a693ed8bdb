"""What is believed of one vessel, put together for the window and the command line."""

from __future__ import annotations

import math

from rackview.advice.constants import FALLING_PER_DAY, INTERVAL, RISING_PER_DAY, SURE_FALLING
from rackview.advice.situation import Situation
from rackview.advice.words import suggestions as words
from rackview.advice.words.speech import Speech
from rackview.core.assessment import Assessment, Evidence, Flag, Interval, Measured, Severity
from rackview.core.clock import from_day_number
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.findings import Finding
from rackview.rules.flags.care import feed_load
from rackview.rules.flags.rack import RackFinding
from rackview.rules.flags.trend import clumped
from rackview.rules.view import View, chance_under, recent_egg_ratio, share_with_eggs


def assessment(sit: Situation, vessel: str) -> Assessment:
    """The assessment of one vessel of the situation."""
    view = sit.views[vessel]
    v, care, est, day = view.vessel, view.care, view.estimate, view.day
    net = est.net_per_day if view.stocked else None
    known = view.stocked and view.density is not None
    speech = Speech(sit.rack.settings, sit.rack.vessels)
    newest = care.last_count
    base = care.clean_base("floss")
    ciliates = care.ciliates[-1].ciliates if care.ciliates else ""
    return Assessment(
        vessel=vessel,
        strain=v.strain,
        shelf=v.shelf,
        position=v.position,
        volume_l=v.volume_l,
        state=state(view, sit.findings[vessel]),
        density_per_ml=est.density_per_ml if care.use != "resting" else None,
        net_rate_per_day=net,
        birth_rate_per_day=est.birth_per_day if view.stocked else None,
        loss_rate_per_day=est.loss_per_day if view.stocked else None,
        ovigerous_share=est.ovigerous_share if view.stocked else None,
        egg_ratio=recent_egg_ratio(care.eggs, day) if view.stocked else None,
        days_since_count=_days(care.days_since("count", day)),
        days_since_cleaning=_days(care.days_since("clean", day)),
        days_since_restart=_days(care.days_since("restart", day)),
        flags=tuple(flag_of(f, speech) for f in sit.findings[vessel]),
        reserve=v.reserve,
        level_l=est.level_l,
        doubling_days=None if net is None or net.median <= 0.0 else math.log(2.0) / net.median,
        ceiling_per_ml=est.ceiling_per_ml,
        chance_below_floor=view.below(view.profile.floor_per_ml, 1.0) if known else None,
        last_count_per_ml=None if newest is None else Interval(*est.counted(newest, INTERVAL)),
        counted_animals=0 if newest is None else newest.seen,
        clumped=clumped(view) is not None,
        counts_so_far=est.counts_so_far,
        swimming=None if care.swimming is None else int(care.swimming.value),
        ciliates=ciliates,
        tint=int(care.tints[-1].value) if care.tints else None,
        water=view.water,
        feed_g_per_l_day=None if base is None else feed_load(view, base),
        days_since_floss=_days(care.days_since("floss", day)),
        days_since_harvest=_days(care.days_since("harvest", day)),
        resting_days=day - care.use_since if care.use == "resting" and care.use_since is not None else None,
        eggs_seen=_eggs(view),
        females_checked=(care.eggs[-1].females_checked or 0) if care.eggs else 0,
        aliquot_cv=est.aliquot_cv,
    )


def _eggs(view: View) -> Measured | None:
    newest = view.care.eggs[-1] if view.care.eggs else None
    share = None if newest is None else share_with_eggs(newest)
    if newest is None or share is None:
        return None
    return Measured(share, view.day - newest.day, newest.id)


def _days(value: float | None) -> float | None:
    """Days to a tenth, and 0 within the first hours, so that what was done this morning reads as today."""
    return None if value is None else round(value, 1)


def state(view: View, findings: tuple[Finding, ...]) -> str:
    """resting, empty, unknown, crashed, falling, level or rising."""
    if view.care.use == "resting":
        return "resting"
    if view.care.use == "empty":
        return "empty"
    if not view.stocked or view.density is None:
        return "unknown"
    codes = {f.code for f in findings if f.state != "shelved"}
    if "crash" in codes:
        return "crashed"
    net = view.estimate.net_per_day
    if net is None:
        return "unknown"
    if net.median < FALLING_PER_DAY and (chance_under(net, 0.0) or 0.0) >= SURE_FALLING:
        return "falling"
    return "rising" if net.median > RISING_PER_DAY else "level"


def flag_of(found: Finding, speech: Speech) -> Flag:
    """A finding in words."""
    text = words.flag(found.code, found.values, speech)
    return Flag(
        code=found.code,
        severity=found.severity,
        text=text,
        short=BY_CODE[found.code].short,
        probability=min(max(found.chance, 0.0), 1.0),
        since=from_day_number(found.since),
        state=found.state,
        evidence=(Evidence(text, found.events),),
    )


def rack_flag_of(found: RackFinding) -> Flag:
    """A finding of the whole rack in words."""
    rule = BY_CODE[found.code]
    text = words.rack_flag(found.code, found.values)
    return Flag(
        code=found.code,
        severity=rule.severity or Severity.notice,
        text=text,
        short=rule.short,
        evidence=(Evidence(text, found.events),),
    )
