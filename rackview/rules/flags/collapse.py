"""One flag for a fall to come: raised on its chance, named by the sign or cause that speaks for it most.

Few eggs, slow swimming, a low count, crowding, ciliates and ammonia are no alarms by themselves, as each departs often
without anything following. What a look tells is weighed together in `science.risk`; where several signs have one cause,
the cause is raised alone.
"""

from __future__ import annotations

from collections.abc import Mapping

from rackview.core.assessment import Severity
from rackview.rules.alarm import Alarm, Sample, judge
from rackview.rules.catalogue.counts import FALL_CLEAR, FALL_RAISE, FALL_TODAY
from rackview.rules.constants import CAUSE_SHARE, EGGS_OF, LEAST_COUNTS
from rackview.rules.findings import Finding, from_alarm
from rackview.rules.signs import went_hungry
from rackview.rules.view import View, share_with_eggs
from rackview.science.risk.model import shares
from rackview.science.risk.record import watch

CAUSES = {"crowded": "dense", "ciliates": "ciliates", "ammonia": "ammonia"}
"""Flags by what a keeper can take away."""

CODES = frozenset({"early", "swimming", "eggs_low", "falling", *CAUSES.values()})
"""The codes under which a fall to come may be raised."""


def collapse(view: View) -> Finding | None:
    """The chance of a fall within three days as a flag."""
    if not view.stocked or view.risk is None:
        return None
    found = _alarm(view)
    now = view.risk.chance
    if not found.raised or found.since is None or now <= FALL_CLEAR:
        return None
    code = _named(_shares_at(view, found.since))
    if code == "eggs_low" and went_hungry(view.care, view.day):
        return None  # nobody fed it: few eggs are what one must expect
    severity = Severity.today if now >= FALL_TODAY else Severity.week
    raised = from_alarm(code, found, **_values(view, code))
    return None if raised is None else raised.graded(now, severity)


def _alarm(view: View) -> Alarm:
    """The alarm over the newest looks, each with the chance that this rack's lessons give it today."""
    samples: list[Sample] = []
    looks = watch(view.log, view.profile).looks
    for k, (day, events, _, by_cause) in reversed(list(enumerate(looks))):
        chance = view.taught.chance(by_cause) if k + 1 >= LEAST_COUNTS or len(looks) > LEAST_COUNTS else 0.0
        samples.append(Sample(day, chance, events[0]))
        if chance <= FALL_CLEAR:
            break
    return judge(samples[::-1], FALL_RAISE, FALL_CLEAR, in_a_row=1)


def _shares_at(view: View, since: float) -> Mapping[str, float]:
    """What each sign said at the look that raised the flag, so that a flag keeps its name while it stands."""
    for day, _, x, _ in watch(view.log, view.profile).looks:
        if day >= since:
            return shares(x, view.taught)
    return {} if view.risk is None else view.risk.signs


def _named(said: Mapping[str, float]) -> str:
    """The code of the flag: a cause where one speaks loudly enough, else the sign that says most."""
    signs = {name: said.get(name, 0.0) for name in ("eggs", "swimming", "count")}
    strongest = max(signs.values())
    cause = max(CAUSES, key=lambda name: said.get(name, 0.0))
    if said.get(cause, 0.0) > max(CAUSE_SHARE * strongest, 0.0):
        return CAUSES[cause]
    low, high = sorted((signs["eggs"], signs["swimming"]))
    if signs["count"] >= high:
        return "falling"
    if low >= EGGS_OF * high:
        return "early"
    return "eggs_low" if signs["eggs"] >= signs["swimming"] else "swimming"


def _values(view: View, code: str) -> dict[str, object]:
    """What the sentence needs: how often such mornings are followed by a fall, and what was seen."""
    found = view.risk
    assert found is not None  # noqa: S101
    values: dict[str, object] = {
        "odds": found.chance, "elsewhere": found.elsewhere, "mornings": found.mornings, "falls": found.falls,
        "per_ml": view.per_ml, "stays": False,
    }  # fmt: skip
    if view.care.eggs:
        values["share"] = share_with_eggs(view.care.eggs[-1]) or 0.0
        values["usual"] = found.usual_eggs
    if view.care.swimming is not None:
        values["score"] = int(view.care.swimming.value)
    if view.care.ciliates:
        values["many"] = view.care.ciliates[-1].ciliates == "many"
    if view.water.nh3_mg_l is not None:
        values["value"] = view.water.nh3_mg_l.value
    if view.estimate.median_net_per_day is not None:
        values["rate"] = view.estimate.median_net_per_day
    return values
