"""The numbers held of some vessels, and how one row of an event's numbers changes them.

What an event tells a vessel is first noted as a row of plain numbers, see `Row`; only when somebody asks are the rows
gone through, those of one vessel alone or those of many side by side, by the same few functions on arrays.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

import numpy as np

from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state import members
from rackview.science.state.filter import State
from rackview.science.state.model import ALL, Flags, Model

BESIDE = 64
"""Vessels up to which what was foretold earlier goes along in the same arrays; of more, large arrays cost too much."""


class Row(NamedTuple):
    """What happened, in the order in which it is reckoned.

    `dt` days passed at growth factor `warmth`; hunger moved the log density by `starved` +- `starved_sd`; signs spoke
    of a collapse by `odds` (a log); births of `births` +- `births_sd` per day were seen; `n` animals were found in
    `ml` mL in aliquots that scatter by `cv2`, `gap` days after the count before, with the chance `slip` of a slip; the
    log density moved by `shift`. `births` and `n` below 0: nobody looked. `hazard` is the rate at which collapses begin
    meanwhile, per day, below 0 that of the model.
    """

    dt: float = 0.0
    warmth: float = 1.0
    starved: float = 0.0
    starved_sd: float = 0.0
    odds: float = 0.0
    births: float = -1.0
    births_sd: float = 1.0
    n: float = -1.0
    ml: float = 1.0
    cv2: float = c.ALIQUOT_CV2
    slip: float = c.SLIP
    gap: float = 1.0
    shift: float = 0.0
    hazard: float = -1.0


class Rows(NamedTuple):
    """The same of several vessels: one array for each field of `Row`."""

    dt: Array
    warmth: Array
    starved: Array
    starved_sd: Array
    odds: Array
    births: Array
    births_sd: Array
    n: Array
    ml: Array
    cv2: Array
    slip: Array
    gap: Array
    shift: Array
    hazard: Array


class Numbers(NamedTuple):
    """The filter `now`, what it foretold earlier, `then`, and the numbers of `members`; vessels are the last axis."""

    now: State
    then: State
    more: Array

    def part(self, which: slice) -> Numbers:
        """Some of the vessels."""
        now, then = (State(*(a[..., which] for a in state)) for state in self[:2])
        return Numbers(now, then, self.more[:, which])

    def copy(self) -> Numbers:
        """The same in arrays of their own."""
        now, then = (State(*(a.copy() for a in state)) for state in self[:2])
        return Numbers(now, then, self.more.copy())

    @classmethod
    def joined(cls, parts: Sequence[Numbers]) -> Numbers:
        """Several vessels side by side."""
        if len(parts) == 1:
            return parts[0]
        return cls(
            _side_by_side([p.now for p in parts]),
            _side_by_side([p.then for p in parts]),
            np.concatenate([p.more for p in parts], axis=-1),
        )

    def known(self) -> list[float]:
        """All numbers of one vessel in one list, for a checkpoint."""
        return np.concatenate([a.ravel() for a in (*self.now, *self.then, self.more)]).tolist()  # type: ignore[no-any-return]

    @classmethod
    def of(cls, known: Sequence[float]) -> Numbers:
        """The numbers of one vessel from such a list; raises `ValueError` for one of another length."""
        flat = np.array(known, dtype=float)
        if flat.size != _PLACES[-1][2]:
            raise ValueError(f"{flat.size} numbers of a vessel, not {_PLACES[-1][2]}")
        now_s, now_w, now_ref, s, w, ref, more = (flat[a:b].reshape(shape) for shape, a, b in _PLACES)
        return cls(State(now_s, now_w, now_ref), State(s, w, ref), more)


SHAPES = [(kalman.ROWS, ALL, 1), (ALL, 1), (ALL, 1)]


def _places(shapes: Sequence[tuple[int, ...]]) -> list[tuple[tuple[int, ...], int, int]]:
    """Each array's shape, and where its numbers begin and end in a list of all of them."""
    ends = list(accumulate(math.prod(shape) for shape in shapes))
    return list(zip(shapes, [0, *ends[:-1]], ends, strict=True))


_PLACES = _places([*SHAPES, *SHAPES, (members.COUNT, 1)])


def _side_by_side(states: Sequence[State]) -> State:
    s, w, ref = zip(*states, strict=True)
    return State(np.concatenate(s, 2), np.concatenate(w, 1), np.concatenate(ref, 1))


def new_numbers(model: Model, x: float, var: float, reference: float, peak_log_density: float) -> Numbers:
    """A culture begun at log density `x` in a vessel of which nothing is known."""
    now = kalman.begin(model, np.array([x]), np.array([var]), reference)
    more = members.new_members(1)
    more[members.PEAK], more[members.HABIT] = peak_log_density, model.births
    return Numbers(now, now, more)


def restarted_numbers(model: Model, learned: Numbers, x: float, var: float, peak_log_density: float) -> Numbers:
    """A culture begun at log density `x` in a vessel that has held others."""
    now = kalman.restarted_state(model, learned.now, np.array([x]), np.array([var]))
    return Numbers(now, now, members.renewed(learned.more, np.array([peak_log_density])))


def merged_numbers(numbers: Numbers, own: float, other: Numbers, moved: float) -> Numbers:
    """One vessel's numbers after `moved` litres of another's culture were stirred into `own` litres."""
    before = kalman.mean_and_variance(numbers.now)[0]
    now = kalman.merged_states(numbers.now, own, other.now, moved)
    by = kalman.mean_and_variance(now)[0] - before
    return Numbers(now, kalman.shifted(numbers.then, by), members.shifted_members(numbers.more, by))


def advance(model: Model, numbers: Numbers, rows: Array) -> Numbers:
    """The numbers after a row each, (fields of `Row`, vessels)."""
    row, least, most = Rows(*rows), Row(*rows.min(1).tolist()), Row(*rows.max(1).tolist())
    if most.dt > 0.0:
        numbers = _elapsed(model, numbers, row, least.dt, most.dt)
    if most.starved_sd > 0.0:
        numbers = numbers._replace(now=kalman.starved(model, numbers.now, row.starved, row.starved_sd))
    if least.odds or most.odds:
        numbers = numbers._replace(now=kalman.hinted(model, numbers.now, row.odds))
    if most.births >= 0.0:
        after = _births_seen(model, numbers, row)
        numbers = after if least.births >= 0.0 else _where(row.births >= 0.0, after, numbers)
    if most.n >= 0.0:
        after = _counted(model, numbers, row)
        numbers = after if least.n >= 0.0 else _where(row.n >= 0.0, after, numbers)
    if least.shift or most.shift:
        now, then, more = numbers
        now, then = kalman.shifted(now, row.shift), kalman.shifted(then, row.shift)
        numbers = Numbers(now, then, members.shifted_members(more, row.shift))
    return numbers


def _where(which: Flags, one: Numbers, other: Numbers) -> Numbers:
    now, then = (kalman.where(which, a, b) for a, b in zip(one[:2], other[:2], strict=True))
    return Numbers(now, then, np.where(which, one.more, other.more))


def _elapsed(model: Model, numbers: Numbers, row: Rows, least: float, most: float) -> Numbers:
    """Days go by, `least` to `most` of them; what was foretold earlier goes along where there is anything."""
    now, then, more = numbers
    if more[members.AGE].max() < 0.0:
        return Numbers(_days_later(model, now, row.dt, row.warmth, row.hazard, least, most), then, more)
    n = more.shape[1]
    if n > BESIDE:
        now, then = (_days_later(model, one, row.dt, row.warmth, row.hazard, least, most) for one in (now, then))
        return Numbers(now, then, more)
    dt, warmth, hazard = np.concatenate([(row.dt, row.warmth, row.hazard)] * 2, axis=1)
    s, w, ref = _days_later(model, _side_by_side([now, then]), dt, warmth, hazard, least, most)
    return Numbers(State(s[:, :, :n], w[:, :n], ref[:, :n]), State(s[:, :, n:], w[:, n:], ref[:, n:]), more)


def _days_later(
    model: Model, state: State, days: Array, warmth: Array, hazard: Array, least: float, most: float
) -> State:
    """The filter after some days, `least` to `most` of them, one after the other."""
    if least > 0.0 and most <= 1.0 + c.ROUND_DAYS:
        return kalman.predict(model, state, days, warmth, hazard)
    steps = np.maximum(np.ceil(days - c.ROUND_DAYS), np.sign(days))
    dt = days / np.maximum(steps, 1.0)
    for step in range(int(steps.max())):
        later, going = kalman.predict(model, state, dt, warmth, hazard), steps > step
        state = later if going.all() else kalman.where(going, later, state)
    return state


def _births_seen(model: Model, numbers: Numbers, row: Rows) -> Numbers:
    """A look at eggs: births beyond those of a culture that stands still show growth, as far as they follow it."""
    now, then, more = numbers
    more = more.copy()
    habit, looks, spread = more[[members.HABIT, members.LOOKS, members.SPREAD]]
    whole = c.EGGS_NOISE * spread + row.births_sd**2
    now, expected = kalman.update_sign(model, now, row.warmth, row.births - habit, c.EGGS_SHOW, whole)
    off = row.births - habit - c.EGGS_SHOW * expected
    odds = kalman.clip(c.EGGS_FALL * (off - 0.5 * c.EGGS_FALL) / whole, -c.PLAINEST, c.PLAINEST)
    now = kalman.hinted(model, now, odds)
    usual = spread + row.births_sd**2
    spread = spread + (np.minimum(off * off, c.ODD_LOOK * usual) - usual) / (looks + c.EGGS_WEIGHT)
    looks = np.minimum(looks + 1.0, c.EGGS_LOOKS)
    more[members.HABIT], more[members.LOOKS] = habit + off / looks, looks
    more[members.SPREAD] = np.maximum(spread, c.LEAST_EGGS_SD**2)
    return Numbers(now, then, more)


def _counted(model: Model, numbers: Numbers, row: Rows) -> Numbers:
    before, then, more = numbers
    n, ml = np.maximum(row.n, 0.0), row.ml
    after, _, slip, shift = kalman.update_count(model, before, n, ml, row.cv2, row.slip, members.shifts(model, more))
    seen = np.log((n + 0.5) / ml)
    first = more[members.SEEN] == 0.0
    if first.any():
        referred = kalman.referred(model, after, seen)
        after = after._replace(ref=np.where(first, referred.ref, after.ref))
    more, then = members.counted(model, more, before, after, then, seen, ml, row.cv2, row.gap)
    more[members.SLIP] = slip
    more[members.STROKES] += shift
    good = (slip < 0.5) & (n > 0.0)
    peak = more[members.PEAK]
    peak = np.where(good & (more[members.SEEN] == 2.0) & (peak - seen > c.AGAINST), seen, peak)
    more[members.PEAK] = np.where(good, np.maximum(peak, seen), peak)
    return Numbers(after, then, more)
