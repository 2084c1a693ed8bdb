"""The numbers held of some vessels, and how one row of an event's numbers changes them.

What an event tells a vessel is first noted as a row of plain numbers, see `Row`; only when somebody asks are the rows
gone through, those of one vessel alone or those of many side by side, by the same few functions on arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state import members
from rackview.science.state.filter import State
from rackview.science.state.model import ALL, Flags, Model

Value = Any
"""A number of one vessel, or an array of those of many."""


class Row(NamedTuple):
    """What happened to a vessel or, in arrays, to many, in the order in which it is reckoned.

    `dt` days passed at growth factor `warmth`; hunger moved the log density by `starved` +- `starved_sd`; signs spoke
    of a collapse by `odds` (a log); births of `births` +- `births_sd` per day were seen; `n` animals were found in
    `ml` mL in aliquots that scatter by `cv2`, `gap` days after the count before, with the chance `slip` of a slip; the
    log density moved by `shift`. `births` and `n` below 0: nobody looked. `hazard` is the rate at which collapses begin
    meanwhile, per day, below 0 that of the model.
    """

    dt: Value = 0.0
    warmth: Value = 1.0
    starved: Value = 0.0
    starved_sd: Value = 0.0
    odds: Value = 0.0
    births: Value = -1.0
    births_sd: Value = 1.0
    n: Value = -1.0
    ml: Value = 1.0
    cv2: Value = c.ALIQUOT_CV2
    slip: Value = c.SLIP
    gap: Value = 1.0
    shift: Value = 0.0
    hazard: Value = -1.0


class Numbers(NamedTuple):
    """The filter `now` and the numbers of `members`; vessels are the last axis."""

    now: State
    more: Array

    def part(self, which: slice) -> Numbers:
        """Some of the vessels."""
        return Numbers(State(*(a[..., which] for a in self.now)), self.more[:, which])

    def copy(self) -> Numbers:
        """The same in arrays of their own."""
        return Numbers(State(*(a.copy() for a in self.now)), self.more.copy())

    @classmethod
    def joined(cls, parts: Sequence[Numbers]) -> Numbers:
        """Several vessels side by side."""
        if len(parts) == 1:
            return parts[0]
        arrays = zip(*((*p.now, p.more) for p in parts), strict=True)
        *now, more = (np.concatenate(some, axis=-1) for some in arrays)
        return cls(State(*now), more)

    def known(self) -> list[float]:
        """All numbers of one vessel in one list, for a checkpoint."""
        return np.concatenate([a.ravel() for a in (*self.now, self.more)]).tolist()  # type: ignore[no-any-return]

    @classmethod
    def of(cls, known: Sequence[float]) -> Numbers:
        """The numbers of one vessel from such a list; raises `ValueError` for one of another length."""
        flat, (*ends, whole) = np.array(known, dtype=float), np.cumsum(SIZES).tolist()
        if flat.size != whole:
            raise ValueError(f"{flat.size} numbers of a vessel, not {whole}")
        s, w, ref, more = np.split(flat, ends)
        return cls(State(s.reshape(kalman.ROWS, ALL, 1), w[:, None], ref[:, None]), more[:, None])


SIZES = kalman.ROWS * ALL, ALL, ALL, members.COUNT


def new_numbers(model: Model, x: float, var: float, reference: float, peak_log_density: float) -> Numbers:
    """A culture begun at log density `x` in a vessel of which nothing is known."""
    more = members.new_members(1)
    more[members.PEAK], more[members.HABIT] = peak_log_density, model.births
    return Numbers(kalman.begin(model, np.array([x]), np.array([var]), reference), more)


def restarted_numbers(model: Model, learned: Numbers, x: float, var: float, peak_log_density: float) -> Numbers:
    """A culture begun at log density `x` in a vessel that has held others."""
    now = kalman.restarted_state(model, learned.now, np.array([x]), np.array([var]))
    return Numbers(now, members.renewed(learned.more, peak_log_density))


def merged_numbers(numbers: Numbers, own: float, other: Numbers, moved: float) -> Numbers:
    """One vessel's numbers after `moved` litres of another's culture were stirred into `own` litres."""
    now = kalman.merged_states(numbers.now, own, other.now, moved)
    by = kalman.level(now)[0] - kalman.level(numbers.now)[0]
    return Numbers(now, members.shifted_members(numbers.more, by))


def advance(model: Model, numbers: Numbers, rows: Array) -> Numbers:
    """The numbers after a row each, (fields of `Row`, vessels)."""
    row, least, most = Row(*rows), Row(*rows.min(1).tolist()), Row(*rows.max(1).tolist())
    if most.dt > 0.0:
        numbers = numbers._replace(now=_days_later(model, numbers.now, row, least.dt, most.dt))
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
        now, more = numbers
        numbers = Numbers(kalman.shifted(now, row.shift), members.shifted_members(more, row.shift))
    return numbers


def _where(which: Flags, one: Numbers, other: Numbers) -> Numbers:
    return Numbers(kalman.where(which, one.now, other.now), np.where(which, one.more, other.more))


def _days_later(model: Model, state: State, row: Row, least: float, most: float) -> State:
    """The filter after the days of a row, `least` to `most` of them, one after the other."""
    if least > 0.0 and most <= 1.0 + c.ROUND_DAYS:
        return kalman.predict(model, state, row.dt, row.warmth, row.hazard)
    steps = np.maximum(np.ceil(row.dt - c.ROUND_DAYS), np.sign(row.dt))
    dt = row.dt / np.maximum(steps, 1.0)
    for step in range(int(steps.max())):
        later, going = kalman.predict(model, state, dt, row.warmth, row.hazard), steps > step
        state = later if going.all() else kalman.where(going, later, state)
    return state


def _births_seen(model: Model, numbers: Numbers, row: Row) -> Numbers:
    """A look at eggs: births beyond those of a culture that stands still show growth, as far as they follow it."""
    now, more = numbers
    more = more.copy()
    habit, looks, spread = more[[members.HABIT, members.LOOKS, members.SPREAD]]
    whole = c.EGGS_NOISE * spread + row.births_sd**2
    now, expected = kalman.update_sign(model, now, row.warmth, row.births - habit, c.EGGS_SHOW, whole)
    off = row.births - habit - c.EGGS_SHOW * expected
    odds = kalman.between(c.EGGS_FALL * (off - 0.5 * c.EGGS_FALL) / whole, -c.PLAINEST, c.PLAINEST)
    now = kalman.hinted(model, now, odds)
    usual = spread + row.births_sd**2
    spread = spread + (np.minimum(off * off, c.ODD_LOOK * usual) - usual) / (looks + c.EGGS_WEIGHT)
    looks = np.minimum(looks + 1.0, c.EGGS_LOOKS)
    more[members.HABIT], more[members.LOOKS] = habit + off / looks, looks
    more[members.SPREAD] = np.maximum(spread, c.LEAST_EGGS_SD**2)
    return Numbers(now, more)


def _counted(model: Model, numbers: Numbers, row: Row) -> Numbers:
    before, more = numbers
    n, ml = np.maximum(row.n, 0.0), row.ml
    after, slip = kalman.update_count(model, before, n, ml, row.cv2, row.slip)
    seen = np.log((n + 0.5) / ml)
    first = more[members.SEEN] == 0.0
    if first.any():
        after = after._replace(ref=np.where(first & model.own, seen + model.room, after.ref))
    more = members.counted(more, before, model.pace, seen, ml, model.scatter + row.cv2, row.gap)
    more[members.SLIP] = slip
    good = (slip < 0.5) & (n > 0.0)
    peak = more[members.PEAK]
    peak = np.where(good & (more[members.SEEN] == 2.0) & (peak - seen > c.AGAINST), seen, peak)
    more[members.PEAK] = np.where(good, np.maximum(peak, seen), peak)
    return Numbers(after, more)
