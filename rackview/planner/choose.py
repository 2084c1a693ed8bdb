"""The choice: the sound keeper's day and what could be done otherwise, played on the same futures; the best is taken.

Improved in rounds: how much stock and how much of today's need, then vessel by vessel, then the gains together.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from rackview.planner.candidates import Way, acts, alternatives, median_animals, openings
from rackview.planner.constants import (
    ALIKE_ERRORS,
    ALIKE_FOR,
    BAND,
    CLOSE,
    COARSE,
    COARSE_MANY,
    ENDANGERED,
    FINE,
    FINE_MANY,
    GAIN,
    LINE,
    LISTED,
    LIVES,
    MANY,
    PLANNED,
    ROUNDS,
    SIFTED,
    TOGETHER,
)
from rackview.planner.culture import Choice, Culture, NeedAhead, Outcome, Outlined, Problem
from rackview.planner.futures import Futures, days_for, sample, shares_of
from rackview.planner.replanning import replanned
from rackview.planner.rollout import Acts, Bench, Played, Starts, play

if TYPE_CHECKING:
    from rackview.planner.futures import Array


def choose(problem: Problem) -> Choice:
    """What to do today with the cultures of one strain."""
    few = len(problem.cultures) <= MANY
    futures = sample(problem, FINE if few else FINE_MANY, days_for(problem.need))
    fine = Bench.of(problem, futures)
    coarse = fine.some(COARSE if few else COARSE_MANY)
    return _told(problem, coarse, search(problem, fine, coarse))


def search(problem: Problem, fine: Bench, coarse: Bench) -> Way:
    """The best way found: sifted on the coarse bench, decided on the fine one."""
    best, value = (_thrifty if problem.need.open_m > 0.0 else _best)(
        problem, fine, sifted(problem, coarse, openings(problem))
    )
    for _ in range(ROUNDS):
        options = alternatives(problem, best)
        if not options:
            break
        base = play(coarse, acts(problem, coarse, [best, *options])).value.mean(axis=1)
        order = [int(k) for k in np.argsort(-base[1:], kind="stable") if base[k + 1] > base[0] + GAIN]
        if not order:
            break
        ways = [options[k] for k in order[:CLOSE]] + _together(best, options, order)[-TOGETHER:]
        found, played = _best(problem, fine, ways)
        gain = played - value
        if gain.mean() - GAIN - gain.std() / np.sqrt(gain.size) <= 0.0:
            break
        best, value = found, played
    return best


def sifted(problem: Problem, coarse: Bench, ways: list[Way]) -> list[Way]:
    """The ways that do best on the futures that are played first."""
    if len(ways) <= SIFTED:
        return ways
    means = play(coarse, acts(problem, coarse, ways)).value.mean(axis=1)
    return [ways[int(k)] for k in np.argsort(-means, kind="stable")[:SIFTED]]


def look_ahead(problem: Problem, choice: Choice, need: NeedAhead, days: int) -> Outlined:
    """The choice and a sound keeper's days after it, played on `PLANNED` futures."""
    told = replace(problem, need=need)
    futures = sample(told, PLANNED, days)
    bench = Bench.of(told, futures)
    done = acts(told, bench, [Way(scale=choice.scale, later=choice.later, transfers=choice.transfers)])
    done.take[:, 0] = [choice.shares.get(c.vessel, 0.0) for c in problem.cultures]
    played = play(bench, done, full=True)
    found = _outcome(played, futures)
    gives = []
    for t in range(days):
        per_ml = played.animals[t, :, 0] / np.array([c.volume_l for c in problem.cultures])
        taken = played.takes[t, :, 0]
        day = {}
        for k, c in enumerate(problem.cultures):
            if taken[k] > 0.0:
                day[c.vessel] = (float(taken[k] / max(per_ml[k], 1e-12)), float(taken[k]))
        gives.append(day)
    total = float(futures.need.sum())
    met = float((futures.need[:, 0] * played.met[:, 0]).sum()) / total if total > 0.0 else 1.0
    missed = (futures.need[:, 0] > 0.0) & (played.met[:, 0] < LINE)
    return Outlined(found.short, found.supply, tuple(gives), met, missed)


def _thrifty(problem: Problem, bench: Bench, ways: list[Way]) -> tuple[Way, Array]:
    """The best way to begin the day; of those that can't be told from it the one that throws least away."""
    done = acts(problem, bench, ways)
    value = play(bench, done).value
    behind = value - value[int(value.mean(axis=1).argmax())]
    mean, error = behind.mean(axis=1), behind.std(axis=1) / math.sqrt(bench.futures.size)
    alike = np.flatnonzero((mean >= -ALIKE_FOR) & (mean + ALIKE_ERRORS * error >= 0.0))
    need = problem.need.open_m * (1.0 + problem.need.margin) + problem.need.mouths_m
    spare = np.maximum(median_animals(problem) @ done.take - need, 0.0)
    k = int(min(alike, key=lambda way: (round(float(spare[way]), 2), -mean[way])))
    return ways[k], value[k]


def _best(problem: Problem, bench: Bench, ways: list[Way]) -> tuple[Way, Array]:
    value = play(bench, acts(problem, bench, ways)).value
    k = int(value.mean(axis=1).argmax())
    return ways[k], value[k]


def _together(base: Way, options: list[Way], order: list[int]) -> list[Way]:
    """The gains one on top of the other, the largest first, as far as they go together."""
    found: list[Way] = []
    way, touched = base, set[object]()
    for k in order[:LISTED]:
        option = options[k]
        marks = _marks(base, option)
        if marks & touched:
            continue
        touched |= marks
        way = _merged(way, base, option)
        found.append(way)
    return found[1:]


def _marks(base: Way, option: Way) -> set[object]:
    own: set[object] = set(option.aside ^ base.aside) | set(option.first ^ base.first) | set(option.kept ^ base.kept)
    own |= set(option.left ^ base.left) | {i for i, _ in option.cut[len(base.cut) :]}
    for t in option.transfers[len(base.transfers) :]:
        own |= {t.giver, t.taker}
    return own


def _merged(way: Way, base: Way, option: Way) -> Way:
    return replace(
        way, aside=way.aside | option.aside, first=way.first | option.first, kept=way.kept | option.kept,
        left=way.left | option.left, cut=(*way.cut, *option.cut[len(base.cut) :]),
        transfers=(*way.transfers, *option.transfers[len(base.transfers) :]),
    )  # fmt: skip


def _told(problem: Problem, bench: Bench, best: Way) -> Choice:
    """The choice with what is expected of it and of leaving each vessel alone."""
    futures = bench.futures
    done = acts(problem, bench, [best])
    touched = [k for k in range(len(problem.cultures)) if done.take[k, 0] > 0.0]
    ways = [best, *(replace(best, left=best.left | {k}) for k in touched)]
    moved = [replace(best, transfers=tuple(x for x in best.transfers if x is not t)) for t in best.transfers]
    every = acts(problem, bench, [*ways, *moved])
    for w, k in enumerate(touched, 1):  # the others do not make good what this one does not give
        every.take[:, w] = np.where(np.arange(len(problem.cultures)) == k, 0.0, done.take[:, 0])
    played = play(bench, every, full=True)
    expected, *others = _outcomes(played, futures, every.size)
    names = [problem.cultures[k].vessel for k in touched] + [t.taker for t in best.transfers]
    otherwise = dict(zip(names, others, strict=True))
    shares = {c.vessel: float(done.take[k, 0]) for k, c in enumerate(problem.cultures) if done.take[k, 0] > 0.0}
    endangered = bool(_short(played, futures, 1).max(initial=0.0) >= ENDANGERED)
    bought = _starter(problem, done, played.value[0], endangered, {t.taker for t in best.transfers})
    if bought is not None:  # the choice is made with it, and otherwise is without
        otherwise[bought[0]], expected = expected, bought[1]
    starter = None if bought is None else bought[0]
    return Choice(shares, best.transfers, starter, expected, otherwise, best.scale, best.later, strain_lost(problem))


def _starter(
    problem: Problem, done: Acts, without: Array, endangered: bool, filled: set[str]
) -> tuple[str, Outcome] | None:
    """The vessel for a bought starter and what is expected with it, where one is worth it.

    Where the strain is as good as lost and nothing can seed it, its worth decides. Else, where larvae are `endangered`,
    the futures do: with a new culture in the emptiest vessel from the day on which it is there, which grows as the
    strain usually does, they must gain more than it costs over `without` (S,).
    """
    takers = [k for k, c in enumerate(problem.cultures) if c.takes and c.vessel not in filled]
    lost, worth = strain_lost(problem), problem.worth
    if not takers or not (lost or endangered):
        return None
    place = takers[0] if lost else min(takers, key=lambda k: _log_density(problem.cultures[k]))
    one, futures, played = _with_starter(problem, done, place, without.size)
    gain = played.value[0] - without - worth.starter
    if lost:
        wanted = worth.strain + worth.vessel + (worth.brood if problem.need.larvae else 0.0) > worth.starter
    else:
        wanted = bool(gain.mean() - GAIN - gain.std() / math.sqrt(gain.size) > 0.0)
    return (one.vessel, _outcome(played, futures)) if wanted else None


def _with_starter(problem: Problem, done: Acts, place: int, size: int) -> tuple[Culture, Futures, Played]:
    """The same way to act with a bought starter put into one vessel once it is there: a culture nothing is known of."""
    one = problem.cultures[place]
    cultures = tuple(replace(c, outlook=None) if k == place else c for k, c in enumerate(problem.cultures))
    told = replace(problem, cultures=cultures)
    futures = sample(told, size, days_for(problem.need))
    bench = Bench.of(told, futures)
    dead = bench.dead.copy()
    dead[place] = -1.0  # nothing on the rack starts it meanwhile
    day = min(math.ceil(problem.starter_days), futures.days - 1)
    starts = Starts(np.array([day]), np.array([place]), np.array([one.start_per_ml * one.volume_l / 1e3]))
    return one, futures, play(replace(bench, dead=dead), replace(done, starts=starts), full=True)


def _log_density(one: Culture) -> float:
    return -math.inf if one.outlook is None else one.outlook.log_density


def strain_lost(problem: Problem) -> bool:
    """Whether the strain is as good as lost: no culture of it is left that is worth the name."""
    return all(_log_density(c) <= math.log(LIVES * c.start_per_ml) for c in problem.cultures)


def _short(played: Played, futures: Futures, ways: int) -> Array:
    """Share of the futures in which each day falls short, shape (days, ways)."""
    found: Array = ((futures.need > 0.0) & (played.met[:, :ways] < LINE)).mean(axis=2)
    return found


def _outcomes(played: Played, futures: Futures, ways: int) -> list[Outcome]:
    """What came of the first so many ways."""
    need, met = futures.need[:, 0], played.met[:, :ways]
    asked = need > 0.0
    count = np.maximum(asked.sum(axis=1), 1)
    short = replanned(_short(played, futures, ways))
    mean = np.where(asked[:, None], met, 0.0).sum(axis=2) / count[:, None]
    mean[~asked.any(axis=1)] = 1.0
    wanted = tuple(map(float, need.mean(axis=1)))
    given = played.given[:, :ways].mean(axis=2)
    low, middle, high = shares_of(played.stock[:, :ways], BAND)
    value, lost = played.value[:ways].mean(axis=1).tolist(), played.lost[:ways].mean(axis=1).tolist()
    return [
        Outcome(
            value[w], tuple(short[:, w].tolist()), tuple(mean[:, w].tolist()), wanted, tuple(given[:, w].tolist()),
            tuple(zip(middle[:, w].tolist(), low[:, w].tolist(), high[:, w].tolist(), strict=True)),
            lost[w],
        )
        for w in range(ways)
    ]  # fmt: skip


def _outcome(played: Played, futures: Futures) -> Outcome:
    """What came of the first way."""
    return _outcomes(played, futures, 1)[0]
