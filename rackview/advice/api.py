"""The public functions: what is believed, what to do, what comes, what the days need. All pure.

What is believed is asked for at every start, so what only the others need is imported when they are first called.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from rackview.advice.beliefs import assessment, rack_flag_of
from rackview.advice.constants import FORECAST_MOST_DAYS, PLAN_DAYS, PLAN_MOST_DAYS
from rackview.advice.moment import when
from rackview.advice.situation import Situation, collapse_chance, situation, situation_of_one, situation_of_some
from rackview.core.assessment import Assessment, Flag, Plan, Suggestion
from rackview.core.events import Event
from rackview.core.parse import event_from, identified
from rackview.core.rack import Rack, check_event
from rackview.core.read import finite_numbers, required, whole_number_in
from rackview.language import _

if TYPE_CHECKING:
    from rackview.advice.choice.build import Decisions
    from rackview.science.limits import Array


def assess(rack: Rack, vessel: str, at: object) -> Assessment:
    """What is believed of one vessel at the moment `at` (datetime or ISO 8601 text); later events do not count.

    Raises `InputError` for an unknown vessel.
    """
    rack.vessel(vessel)
    return _assessment(situation(rack, when(at)), vessel)


def assess_first(rack: Rack, vessel: str, at: object) -> Assessment:
    """As `assess`, in the time that one vessel takes: right after an entry, before the others are looked at.

    It leaves out what only a neighbour's flags say, and what mornings taught of falls is as the newest look knew it.
    """
    rack.vessel(vessel)
    return assessment(situation_of_one(rack, vessel, when(at)), vessel)


def assess_some(rack: Rack, vessels: Iterable[str], at: object) -> dict[str, Assessment]:
    """As `assess_all`, of some vessels before the others are looked at; without what only the others' flags say."""
    sit = situation_of_some(rack, vessels, when(at))
    return {name: assessment(sit, name) for name in sit.views}


def assess_all(rack: Rack, at: object) -> dict[str, Assessment]:
    """What is believed of every vessel at the moment `at`, by name."""
    sit = situation(rack, when(at))
    return {name: _assessment(sit, name) for name in rack.vessels}


def advise(rack: Rack, at: object) -> list[Suggestion]:
    """What to do at the moment `at`, in the order in which to carry it out.

    An action recorded since the last midnight of `at` (in its own offset) is not suggested again.
    """
    return list(_decide(situation(rack, when(at)))[1])


def rack_flags(rack: Rack, at: object) -> tuple[Flag, ...]:
    """What is wrong with the rack as a whole: a common cause first, then reserves and places."""
    return tuple(rack_flag_of(f) for f in situation(rack, when(at)).rack_findings)


def round_order(rack: Rack, at: object) -> tuple[str, ...]:
    """Names of the vessels in use in the order in which to serve them: cleanest first, suspect last."""
    from rackview.advice.order import service_order

    return service_order(situation(rack, when(at)))


def forecast(
    rack: Rack,
    vessel: str,
    at: object,
    days: Sequence[float],
    quantiles: Sequence[float],
    actions: Iterable[Event | Mapping[str, object]] = (),
    hazard_per_day: float | None = None,
) -> Array:
    """True densities per mL, shape (len(days), len(quantiles)), `days` days after `at`.

    Given what was recorded up to `at` and the planned `actions` (events or mappings with the event table's columns).
    Actions at other vessels count where they move culture into or out of this one. `days` are 0 to 3660, `quantiles`
    above 0 and below 1. `hazard_per_day` is the rate at which falls begin, where it is known; else it is that of the
    chance of a fall which the flags rest on. Raises `InputError` for anything else, an unknown vessel, or an action
    that can't be.
    """
    from rackview.advice.what_if.vessel import forecast_with
    from rackview.science.state.forecast import project

    rack.vessel(vessel)
    moment = when(at)
    days = finite_numbers("days", days, _("a list of days ahead, each from 0 to 3660"), low=0, high=FORECAST_MOST_DAYS)
    quantiles = finite_numbers(
        "quantiles", quantiles, _("a list of shares, each above 0 and below 1"), low=1e-9, high=1 - 1e-9
    )
    planned = [identified(event_from(a)) for a in actions]
    for action in planned:
        check_event(rack.vessels, action)
    if any(a.partner is not None for a in planned):
        return forecast_with(rack, vessel, moment, days, quantiles, planned, hazard_per_day)
    own = [a for a in planned if a.vessel == vessel]
    log, profile, chance = rack.log(vessel, moment.day), rack.profile(vessel), collapse_chance(rack, vessel, moment)
    return project(log, profile, moment.day, days, quantiles, own, hazard_per_day, chance)


def plan(rack: Rack, at: object, days: int = PLAN_DAYS) -> Plan:
    """Demand, supply and who gives what for `days` days from `at` on, and the splits that would help.

    `days` is a whole number from 1 to 366; raises `InputError` for any other.
    """
    from rackview.advice.choice.schedule import make_plan

    wanted = _("a whole number of days from 1 to 366")
    days = int(
        required(
            whole_number_in({"days": days}, "days", wanted, low=1, high=PLAN_MOST_DAYS), {"days": days}, "days", wanted
        )
    )
    sit = situation(rack, when(at))
    return make_plan(sit, *_decide(sit), days)


def _decide(sit: Situation) -> tuple[Decisions, tuple[Suggestion, ...]]:
    if "decided" not in sit.memo:
        from rackview.advice.choice.build import decide
        from rackview.advice.suggest import suggestions

        decided = decide(sit)
        sit.memo["decided"] = decided, suggestions(sit, decided)
    found: tuple[Decisions, tuple[Suggestion, ...]] = sit.memo["decided"]
    return found


def _assessment(sit: Situation, vessel: str) -> Assessment:
    known: dict[str, Assessment] = sit.memo.setdefault("assessed", {})
    if vessel not in known:
        known[vessel] = assessment(sit, vessel)
    return known[vessel]
