"""The days ahead of each brood: how likely it falls short, and the last day on which one more culture would help it.

One more culture is started in a vessel that stands free, or in a vessel more, at the strain's usual density; the days
on which it may be started are so many ways to act, played on the same futures as the plan.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.planner.candidates import Way, acts
from rackview.planner.constants import (
    LINE,
    PLANNED,
    SAFE,
)
from rackview.planner.culture import Culture, Outlined
from rackview.planner.futures import sample
from rackview.planner.replanning import replanned
from rackview.planner.rollout import Bench, Starts, play

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from rackview.planner.culture import Choice, NeedAhead, Problem
    from rackview.planner.futures import Array

MORE = _("one more")
"""The name of a vessel that the rack does not have yet."""


@dataclass(frozen=True, slots=True)
class Prospect:
    """A brood's chance of falling short on any of its days, and the last day from now on which a start makes it safe.

    The chance is as the mornings in between leave it (`planner.replanning`). The day is what the futures say without
    them, as starting is what they would do: None where the brood is safe without or no start helps enough.
    """

    chance: float
    last_start: int | None = None

    @property
    def state(self) -> str:
        """`safe`, `start` or `late`."""
        return "safe" if self.chance <= SAFE else "late" if self.last_start is None else "start"


def prospects(
    problem: Problem, choice: Choice, need: NeedAhead, outlined: Outlined, spans: Mapping[str, Sequence[int]]
) -> dict[str, Prospect]:
    """The prospects of broods, each given by the days from now (0 is today) on which it eats; days may be empty."""
    found, endangered = {}, {}
    for brood, days in spans.items():
        # never less than the chance of any of its days, as each is as likely or less
        chance = float(replanned(_by_day(outlined.missed, days)).max(initial=0.0))
        found[brood] = Prospect(chance)
        if chance > SAFE:
            endangered[brood] = days
    if endangered:
        missed = _with_a_start(problem, choice, need, len(outlined.short))
        for brood, days in endangered.items():
            chances = [_chance(missed[:, d], days) for d in range(missed.shape[1])]
            helps = [d for d, chance in enumerate(chances) if chance <= SAFE]
            found[brood] = Prospect(found[brood].chance, max(helps, default=None))
    return found


def _chance(missed: Array, days: Sequence[int]) -> float:
    """Share of the futures in which any of the days is missed; `missed` has the shape (days, futures)."""
    return float(_by_day(missed, days).max(initial=0.0))


def _by_day(missed: Array, days: Sequence[int]) -> Array:
    """Share of the futures that missed any of the days up to each of them, shape (days,); 0 on other days."""
    found = np.zeros(len(missed))
    if len(days) and missed.size:
        found[list(days)] = np.logical_or.accumulate(missed[list(days)]).mean(axis=1)
    return found


def _with_a_start(problem: Problem, choice: Choice, need: NeedAhead, days: int) -> Array:
    """Days missed, shape (days, days on which the one more culture is started, futures)."""
    place, told = _place(replace(problem, need=need), {t.taker for t in choice.transfers})
    futures = sample(told, PLANNED, days)
    bench = Bench.of(told, futures)
    if told.cultures[place].vessel == MORE:  # nobody fills it before it is there
        dead = bench.dead.copy()
        dead[place] = -1.0
        bench = replace(bench, dead=dead)
    done = acts(told, bench, [Way(scale=choice.scale, later=choice.later, transfers=choice.transfers)] * days)
    done.take[:] = np.array([choice.shares.get(c.vessel, 0.0) for c in told.cultures])[:, None]
    one = told.cultures[place]
    millions = np.full(days, one.start_per_ml * one.volume_l / 1e3)
    starts = Starts(np.arange(days), np.full(days, place), millions)
    played = play(bench, replace(done, starts=starts), full=True)
    missed: Array = (futures.need > 0.0) & (played.met < LINE)
    return missed


def _place(problem: Problem, filled: Collection[str]) -> tuple[int, Problem]:
    """The largest vessel that stands free, or a vessel more as large as the largest of the rack."""
    free = [k for k, c in enumerate(problem.cultures) if c.takes and c.outlook is None and c.vessel not in filled]
    if free:
        return max(free, key=lambda k: problem.cultures[k].volume_l), problem
    like = max(problem.cultures, key=lambda c: c.volume_l)
    more = Culture(MORE, like.volume_l, like.volume_l, None, least_per_ml=like.least_per_ml,
                   start_per_ml=like.start_per_ml, most=like.most, ration=like.ration)  # fmt: skip
    return len(problem.cultures), replace(problem, cultures=(*problem.cultures, more))
