"""Both futures of an act before it is done: what each vessel becomes if it is, and if it is not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from rackview.advice.constants import FAN_DAYS, FLOOR_DAYS, QUANTILES
from rackview.advice.moment import When, when
from rackview.advice.situation import collapse_chance, view_of
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.parse import event_from, identified
from rackview.core.rack import Rack
from rackview.language import _
from rackview.rules.harvest import remainder_per_ml, safe_share

if TYPE_CHECKING:
    from rackview.science.limits import Array

MEDIAN = QUANTILES.index(0.5)


@dataclass(frozen=True, slots=True)
class Future:
    """One vessel's days ahead: `fan[day][quantile]` in animals per mL, for `days` and `quantiles`.

    `chances` are those of a density under the floor on each of `FLOOR_DAYS`, empty where nothing is known.
    """

    vessel: str
    days: tuple[float, ...]
    quantiles: tuple[float, ...]
    fan: tuple[tuple[float, ...], ...]
    chances: tuple[float, ...]
    per_ml: float
    level_l: float


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The futures of every vessel that the act touches, without it and with it, in the same order.

    `most_l` is what the acting vessel can safely spare, L; `remainder_per_ml` the density that should stay.
    """

    without: tuple[Future, ...]
    with_act: tuple[Future, ...]
    most_l: float
    remainder_per_ml: float


def what_if(
    rack: Rack, at: object, actions: Iterable[Event | Mapping[str, object]], days: Sequence[float] = FAN_DAYS
) -> WhatIf:
    """Compare the days after `actions` (recorded at `at` or later) with the days after leaving all as it is.

    Raises `InputError` if there is no action, or one that can't be (more than a vessel holds, an unknown vessel).
    """
    now = when(at)
    acts = [identified(event_from(a)) for a in actions]
    if not acts:
        raise InputError("action", None, _("a harvest, split or restart to look at"))
    before = known_at(rack, now)
    after = before.record(*acts)
    latest = max(now.day, *(a.day for a in acts))
    touched = dict.fromkeys(n for a in acts for n in (_giver(a), a.vessel, a.partner) if n is not None)
    giver = view_of(before, next(iter(touched)), now)
    return WhatIf(
        tuple(future(before, name, now, latest, days) for name in touched),
        tuple(future(after, name, now, latest, days) for name in touched),
        safe_share(giver) * giver.estimate.level_l,
        remainder_per_ml(giver),
    )


def _giver(act: Event) -> str | None:
    """The vessel that gives culture: the donor of a restart, else the vessel itself."""
    return act.partner if act.kind == "restart" else act.vessel


def known_at(rack: Rack, now: When) -> Rack:
    """The rack with nothing later than the moment in it."""
    return replace(rack, logs={name: head.upto(now.day) for name, head in rack.logs.items()})


def future(rack: Rack, vessel: str, now: When, start: float, days: Sequence[float] = FAN_DAYS) -> Future:
    """The days ahead of one vessel of a rack, from the day number `start` on."""
    from rackview.science.state.forecast import project

    view = view_of(rack, vessel, replace(now, day=start))
    chance = None if view.risk is None else view.risk.chance
    fan = project(view.log, view.profile, start, days, QUANTILES, collapse_chance=chance)
    rows = tuple(tuple(float(q) for q in row) for row in fan)
    density = view.density
    chances = tuple(c for d in FLOOR_DAYS if (c := view.below(view.profile.floor_per_ml, d)) is not None)
    return Future(
        vessel,
        tuple(float(d) for d in days),
        QUANTILES,
        rows,
        chances,
        0.0 if density is None else density.median,
        view.estimate.level_l,
    )


def forecast_with(
    rack: Rack,
    vessel: str,
    now: When,
    days: Sequence[float],
    quantiles: Sequence[float],
    acts: Sequence[Event],
    hazard_per_day: float | None = None,
) -> Array:
    """Quantiles of the true density when some acts move culture between vessels: numpy array, days by quantiles."""
    from rackview.science.state.forecast import Trajectory, in_turn

    names = dict.fromkeys([vessel, *(name for a in acts for name in (a.vessel, a.partner) if name is not None)])
    courses = {
        name: Trajectory(
            rack.log(name, now.day), rack.profile(name), now.day, hazard_per_day, collapse_chance(rack, name, now)
        )
        for name in names
    }

    def do(act: Event) -> None:
        before = {name: courses[name].belief_at(act.day) for name in (act.vessel, act.partner) if name is not None}
        for name in before:
            courses[name].do(act, next((b for other, b in before.items() if other != name), None))

    return in_turn(courses[vessel], now.day, days, quantiles, acts, do)
