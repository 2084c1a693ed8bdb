"""All findings of one vessel, with the alarm states that keep them quiet when nobody can or need act."""

from __future__ import annotations

from dataclasses import replace

from rackview.core.assessment import Severity
from rackview.core.events import Decline
from rackview.rules.catalogue.care import CARE
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.constants import COUNTS_AFTER_MOVE, STALE_DAYS
from rackview.rules.findings import Finding
from rackview.rules.flags.care import care_flags
from rackview.rules.flags.collapse import CODES as FALLS
from rackview.rules.flags.collapse import collapse
from rackview.rules.flags.trend import ciliates, mixed_strain, swimming, trend_flags
from rackview.rules.flags.water import water_flags
from rackview.rules.view import View

LATCHING = {"crash"}
TAKEN_AWAY = {"ciliates", "ammonia"}
"""What a keeper can see and take away: where it stands beside a fall to come, it is named as the cause."""
SAID_BY_FAILING = {"floor", "drop", "eggs_held"} | (FALLS - TAKEN_AWAY)
"""Flags that say less than a culture that is failing or gone."""
SAID_BY_FALL = {"eggs_held", "drop", "misfit", "overfed", *FALLS}
"""Flags that say no more than the chance of a fall, which was made from the same looks."""
UPKEEP = {rule.code for rule in CARE}
"""Flags that rest on what was done or left undone, not on what was found in the water."""


def flags(view: View) -> tuple[Finding, ...]:
    """The findings of one vessel, the most urgent first."""
    if view.care.use in {"resting", "new", "empty"}:
        return ()
    found = [*trend_flags(view), *care_flags(view), *water_flags(view)]
    found += [f for f in (ciliates(view), swimming(view), mixed_strain(view)) if f is not None]
    coming = collapse(view)
    if coming is not None:
        cause = next((f for f in found if f.code in TAKEN_AWAY and f.severity > Severity.notice), None)
        if cause is not None:
            coming = replace(cause.graded(coming.chance, coming.severity), values={**coming.values, **cause.values})
        found = [*(f for f in found if f.code not in SAID_BY_FALL), coming]
    found = _without_lesser(found)
    return tuple(sorted((settled(view, f) for f in found), key=urgency))


def urgency(found: Finding) -> tuple[bool, int, int, float, float, str]:
    """Sort key: flags that want a hand first, then the more severe; among equals by what stands to be lost.

    What may end the culture comes before what else was found in it, upkeep last; then what leaves less time, then the
    older. A tile has room for one flag, and a floss that is due must not hide a fall to come.
    """
    quiet = found.state in {"shelved", "suppressed", "stale"}
    return quiet, -int(found.severity), _harm(found), BY_CODE[found.code].within, found.since, found.code


def _harm(found: Finding) -> int:
    """0 where the culture itself may be lost, 2 for upkeep, 1 for all else."""
    if found.suspect or found.code in FALLS:
        return 0
    return 2 if found.code in UPKEEP else 1


def _without_lesser(found: list[Finding]) -> list[Finding]:
    """Drop what a graver flag already says: a crash is also falling, thin and short of eggs."""
    if len(found) < 2:
        return found
    codes = {f.code for f in found}
    drop: set[str] = set()
    if "crash" in codes:
        drop |= SAID_BY_FAILING | {"failing", "stalled", "overfed", "misfit"}
    elif "failing" in codes:
        drop |= SAID_BY_FAILING | {"stalled"}
    elif "floor" in codes:
        drop |= {"drop", "eggs_held"}
    elif "drop" in codes:
        drop |= {"misfit", "overfed"}  # the ration was that of the animals expected
    if "dense" in codes:
        drop.add("stalled")  # what stands as full as it ever did has no room to grow
    return [f for f in found if f.code not in drop]


def settled(view: View, found: Finding) -> Finding:
    """The finding with its alarm state: shelved, suppressed, latched, acknowledged, stale or active."""
    until = shelved_until(view, found.code, found.since)
    if until is not None:
        return found.standing("shelved", until)
    rule = BY_CODE[found.code]
    if rule.trend and moved(view) and view.care.counts_since_move < COUNTS_AFTER_MOVE:
        return found.standing("suppressed")
    if found.code in LATCHING:
        return found.standing("latched")
    base = max(found.since, view.care.counts[-1].day if rule.trend and view.care.counts else found.since)
    if any(view.care.done_since(action, base + 1e-6) for action in rule.actions if action != "hold"):
        return found.standing("acknowledged")
    if view.day - found.since > STALE_DAYS and found.severity < BY_CODE["crash"].severity:  # type: ignore[operator]
        return found.standing("stale")
    return found


def moved(view: View) -> bool:
    """Whether the culture was started, split or added to within its recorded history."""
    care = view.care
    return care.started_by is not None or bool(care.splits_out) or care.last_in is not None


def shelved_until(view: View, code: str, since: float) -> float | None:
    """The day number until which the keeper shelved this flag, if that is not over."""
    ends = [shelf_end(d, view.today) for d in view.care.declines if d.code == code and not d.action]
    later = [end for end in ends if end > view.day]
    return max(later, default=None)


def shelf_end(decline: Decline, today: float) -> float:
    """When a decline ends: at the keeper's midnight after its last whole day, so that one day means today."""
    midnight = today + (decline.day - today) // 1.0
    return midnight + max(1.0, round(decline.days))


def suspect(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings that make the vessel suspect."""
    return tuple(f for f in findings if f.suspect and f.state not in {"shelved", "suppressed"})
