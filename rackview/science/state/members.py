"""What foretells beside the filter: an autoregression, persistence and the culture's own usual level.

All three look at the log of what was counted. From count to count it changes by what harvests and refills do, which is
known, and by a rest. The autoregression foretells that rest from the level after the harvest and from the last two
rests, with coefficients that are learned by recursive least squares; persistence foretells none; the usual level is the
mean of what was counted. How well each of the four, the filter among them, foretold the next count, and the third from
then, is kept as evidence, and so is how wide the pool of them ought to have been. docs/estimate.md has the equations.

The numbers of a vessel are one column of an array (COUNT, vessels), its rows named below.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from rackview.science.limits import Array
from rackview.science.state.filter import FIRST, SECOND, XX, State, X, between
from rackview.science.state.model import Flags, Model

SLIP, PEAK, HABIT, LOOKS, SPREAD = range(5)
"""Chance of a slip in the newest count; highest log density; births seen when growth is nothing, looks, spread."""
Y, CUM, LAST, BEFORE, GAP, ORIGIN, SS, SN, RS, RN, LEVEL, LS, LN, LC, SEEN = range(5, 20)
"""Newest log count and log of what was left of it; last rests; usual days between counts; first log count; squares and
number of the autoregression's errors and of the rests; the usual level with its squares; counts."""
COEF, COV = slice(20, 24), slice(24, 34)
AGE, FAR_Y, FAR_CUM, FAR_LAST, FAR_BEFORE = range(34, 39)
FAR_C, FAR_COEF = slice(39, 45), slice(45, 49)
FAR_VAR, FAR_STILL, FAR_STEP, FAR_LEVEL, FAR_LEVEL_VAR = range(49, 54)
"""What was foretold at one earlier count for the `FAR`th after it, carried along without a look at what came."""
EVIDENCE, SPREADS = slice(54, 62), slice(62, 66)
"""Log scores of the four, next and far; by how much the pool's variance was found too small and on how much that rests,
next and far."""
STROKES, KEPT, COUNT = 66, 67, 68
"""Losses at a stroke so far; 1 at a count after a known harvest or refill, less with each after none; how many numbers
there are."""

FOUR = 4
FAR = 3
"""Counts ahead at which far evidence is gathered: longer, and a month of counts would tell of hardly any."""
SYMMETRIC = np.array([[0, 1, 2, 3], [1, 4, 5, 6], [2, 5, 7, 8], [3, 6, 8, 9]])
START_VAR = np.array([1.0, 0.5, 0.5, 0.5])
"""Variances of the coefficients beforehand (level, intercept and both rests), per variance of a count's error."""
DRIFT = 0.01
"""Share of that by which they drift from count to count."""
ERROR, ERROR_COUNTS = 0.2, 3.0
"""Error of a foretold log count beforehand, and for how many counts that stands."""
WIDE, WIDE_COUNTS = 0.5, 2.0
"""The same for the usual level."""
KEEP = 0.985
MOST_LEVEL, FEW = 60.0, 2
MOST_REST, MOST_LOG, MOST_COV = 3.0, 30.0, 1e3
OF_A_COUNT = 0.01
"""Variance of a log count about the density: three aliquots of sixty, and the scatter between samples."""
LEAST_VAR = 0.003
LEAST_GAP = 0.5
SOONER = 0.5
"""Share of the days between counts over which the pool comes in."""
LOG_PRIOR = np.log([[0.60, 0.12, 0.22, 0.06], [0.40, 0.20, 0.27, 0.13]])[:, :, None]
"""Logs of the weights of filter, autoregression, persistence and usual level beforehand, near and far."""
STRANGE_PRIOR = np.log([[0.40, 0.12, 0.40, 0.08], [0.20, 0.15, 0.45, 0.20]])[:, :, None]
"""The same of a culture from which nothing is taken: that it grows as its strain does is then nowhere to be seen."""
APART = np.array([[-2.0, -0.5, 0.0, 0.0], [-4.0, -2.0, 0.0, 1.0]])[:, :, None]
"""What those of such a culture gain with the log of the days between counts, in times of `CLOSE` days of the usual
rotifer: the more it could have grown meanwhile, the farther a growth that is not its own leads astray."""
CLOSE, MOST_APART = 1.5, 12.0
LEAST_SHIFT, KEPT_ON = 0.02, 0.9
"""Shift of the log density by which a culture is harvested, and how much of that is left a count later."""
FORGET = 0.97
ODD, ODD_SD = 0.15, 2.5
"""Share of counts that are odd, and their deviation against that of others, where evidence is weighed: without them one
odd count rules out for weeks whoever was sure."""
SPREAD_PRIOR, SPREAD_WORTH = np.array([1.4, 1.7]), 8.0
"""The pool's variance beforehand against what it says, near and far, and how many counts that is worth."""
SPREAD_LEAST, SPREAD_MOST = 0.15, 2.5
SQUARE_MOST, SQUARE_BACK = 4.0, 1.09
"""Squared errors count up to so many times what was expected; by what a normal error's square is too small for that."""
COOL = 0.5
LEAST = 1e-4
STROKES_WORTH = 1.0
"""How many losses at one stroke the chance of one is worth that is usual elsewhere."""


class Walk(NamedTuple):
    """The autoregression on its way: log count, two rests, their covariance (6, vessels), and what to go by."""

    y: Array
    last: Array
    before: Array
    cov: Array
    coef: Array
    var: Array
    origin: Array

    def step(self, by: Array) -> Walk:
        """One count on, after harvests moved the log by `by`."""
        y = self.y + by
        rest = (self.coef * features(y - self.origin, self.last, self.before)).sum(0)
        rest = between(rest, -MOST_REST, MOST_REST)
        _, a, b, c = self.coef
        yy, y1, y2, one, both, two = self.cov
        r_y, r_1, r_2 = a * yy + b * y1 + c * y2, a * y1 + b * one + c * both, a * y2 + b * both + c * two
        rr = a * r_y + b * r_1 + c * r_2 + self.var
        cov = np.array([np.minimum(yy + 2.0 * r_y + rr, 25.0), r_y + rr, y1 + r_1, rr, r_1, one])
        cov = between(cov, -MOST_COV, MOST_COV)
        return Walk(between(y + rest, -MOST_LOG, MOST_LOG), rest, self.last, cov, self.coef, self.var, self.origin)


def features(level: Array, last: Array, before: Array) -> Array:
    """What the rest is regressed on, (4, vessels)."""
    found = np.ones((4, len(level)))
    found[1], found[2], found[3] = level, last, before
    return found


def new_members(n: int) -> Array:
    """The numbers of vessels of which nothing is known."""
    more = np.zeros((COUNT, n))
    more[PEAK], more[Y], more[GAP], more[ORIGIN], more[AGE] = -np.inf, np.nan, np.nan, np.nan, -1.0
    more[LOOKS], more[SPREAD] = 1.0, 0.11**2
    more[SS], more[SN] = ERROR_COUNTS * ERROR**2, ERROR_COUNTS
    more[RS], more[RN] = more[SS], more[SN]
    more[LS], more[LN] = WIDE_COUNTS * WIDE**2, WIDE_COUNTS
    more[COV][[0, 4, 7, 9]] = START_VAR[:, None]
    return more


def renewed(more: Array, peak_log_density: Array) -> Array:
    """The numbers in a vessel that was emptied and begun again: what it taught stays, what was counted is gone."""
    more = more.copy()
    more[Y], more[AGE], more[SLIP], more[PEAK] = np.nan, -1.0, 0.0, peak_log_density
    more[[CUM, LAST, BEFORE]] = 0.0
    return more


def shifted_members(more: Array, by: Array) -> Array:
    """The numbers after the log density moved by a known amount."""
    more = more.copy()
    more[[CUM, FAR_CUM, FAR_STILL]] += by
    return more


def walk(more: Array) -> Walk:
    """The autoregression as it stands at the newest count."""
    nothing = np.zeros((6, more.shape[1]))
    var = more[SS] / more[SN]
    return Walk(more[Y], more[LAST], more[BEFORE], nothing, more[COEF], var, more[ORIGIN])


def usual_level(more: Array) -> tuple[Array, Array]:
    """Mean and variance of the log of what will be counted, by what was."""
    return more[LEVEL], more[LS] / more[LN] * (1.0 + 1.0 / np.maximum(more[LC], 1.0))


def counted(
    model: Model, more: Array, before: State, after: State, then: State, n: Array, ml: Array, cv2: Array, gap: Array
) -> tuple[Array, State]:
    """The numbers after a count, `gap` days after the one before, and what is foretold from now on for later.

    `before` and `after` are the filter without and with it, `then` what it foretold earlier, see `AGE`.
    """
    y = np.log((n + 0.5) / ml)
    known = ~np.isnan(more[Y])
    old, more = more, more.copy()
    here = walk(old)
    here = here._replace(y=np.where(known, here.y, y), origin=np.where(known, here.origin, y))
    ahead = here.step(old[CUM])
    rest_var = old[RS] / old[RN]
    level, level_var = usual_level(old)
    noise = model.scatter**2 + cv2
    told = [ahead.y, here.y + old[CUM], level], [here.var, rest_var, level_var]
    ready = known & (old[SEEN] >= FEW)
    if ready.any():
        _scored(more, model.pace, 0, ready, y, _of_filter(before, y, noise, ml), told)
    then_on = known & (old[AGE] >= 0.0)
    if then_on.any():
        far = Walk(old[FAR_Y], old[FAR_LAST], old[FAR_BEFORE], old[FAR_C], old[FAR_COEF], old[FAR_VAR], old[ORIGIN])
        far = far.step(old[FAR_CUM])
        more[[FAR_Y, FAR_LAST, FAR_BEFORE]] = far.y, far.last, far.before
        more[FAR_C], more[FAR_CUM] = far.cov, 0.0
        more[AGE] = np.where(then_on, old[AGE] + 1.0, old[AGE])
        due = then_on & (more[AGE] >= FAR)
        if due.any():
            told = [far.y, old[FAR_STILL], old[FAR_LEVEL]], [far.cov[0], FAR * old[FAR_STEP], old[FAR_LEVEL_VAR]]
            _scored(more, model.pace, 1, due, y, _of_filter(then, y, noise, ml), told)
            more[AGE] = np.where(due, -1.0, more[AGE])
    _regressed(more, old, known, y, gap)
    _levelled(more, y, known)
    start = (more[AGE] < 0.0) & (more[SEEN] >= FAR)
    if start.any():
        now = walk(more)
        for row, value in (
            (AGE, 0.0), (FAR_Y, y), (FAR_CUM, 0.0), (FAR_LAST, now.last), (FAR_BEFORE, now.before), (FAR_C, 0.0),
            (FAR_COEF, now.coef), (FAR_VAR, now.var), (FAR_STILL, y), (FAR_STEP, more[RS] / more[RN]),
            (FAR_LEVEL, usual_level(more)[0]), (FAR_LEVEL_VAR, usual_level(more)[1]),
        ):  # fmt: skip
            more[row] = np.where(start, value, more[row])
        then = after if start.all() else State(*(np.where(start, a, b) for a, b in zip(after, then, strict=True)))
    return more, then


def shifts(model: Model, more: Array) -> Array:
    """The chance of a loss at one stroke before a count, by how often there was one in this vessel (a beta prior)."""
    found: Array = (STROKES_WORTH + more[STROKES]) / (STROKES_WORTH / model.shifts + more[SEEN])
    return found


def _regressed(more: Array, old: Array, known: Array, y: Array, gap: Array) -> None:
    """Teach the autoregression, by recursive least squares, and persistence; an outlier counts up to three errors."""
    usual = np.where(np.isnan(old[GAP]), gap, old[GAP])
    pace = between(usual / np.maximum(gap, 1e-3), 0.2, 1.0)
    left = np.where(known, old[Y] + old[CUM], y)
    rest = (y - left) * pace
    f = features(left - np.where(known, old[ORIGIN], y), old[LAST], old[BEFORE])
    off = rest - (old[COEF] * f).sum(0)
    var = old[SS] / old[SN]
    sure = np.minimum(1.0, 3.0 * np.sqrt(var) / np.maximum(np.abs(off), 1e-9))
    to = (old[COV][SYMMETRIC] * f).sum(1)
    gain = to / ((f * to).sum(0) + 1.0 / sure)
    fresher = old[COV] - gain[FIRST] * to[SECOND]
    diagonal = [0, 4, 7, 9]
    fresher[diagonal] = np.minimum(fresher[diagonal] + DRIFT * START_VAR[:, None], START_VAR[:, None])
    more[COEF] += known * (gain * off)
    more[COV] = np.where(known, fresher, old[COV])
    pairs, errors = [SS, SN, RS, RN], np.array([off, rest]) ** 2
    learned = KEEP * old[pairs] + 1.0
    learned[0::2] += np.minimum(errors, 16.0 * old[[SS, RS]] / old[[SN, RN]]) - 1.0
    more[pairs] = np.where(known, learned, old[pairs])
    more[LAST], more[BEFORE] = rest, np.where(known, old[LAST], 0.0)
    more[GAP] = np.where(known, usual + 0.1 * (np.minimum(gap, 3.0 * usual) - usual), old[GAP])
    more[ORIGIN] = np.where(np.isnan(old[ORIGIN]), y, old[ORIGIN])
    more[KEPT] = np.where(np.abs(old[CUM]) > LEAST_SHIFT, 1.0, KEPT_ON * old[KEPT])
    more[Y], more[CUM] = y, 0.0


def _levelled(more: Array, y: Array, known: Array) -> None:
    """Teach the usual level."""
    n = np.minimum(more[LC] + 1.0, MOST_LEVEL)
    off = y - more[LEVEL]
    some = more[LC] > 0.0
    more[LS] = np.where(some, KEEP * more[LS] + off * off * (1.0 - 1.0 / n), more[LS])
    more[LN] = np.where(some, KEEP * more[LN] + 1.0, more[LN])
    more[LEVEL] += off / n
    more[LC], more[SEEN] = n, more[SEEN] + 1.0


def _of_filter(state: State, y: Array, noise: Array, ml: Array) -> tuple[Array, Array, Array, Array]:
    """The filter on a log count: density at `y`, mean and variance of the log density, variance of a count about it."""
    x, w = state.s[X], state.w
    noise = noise + 1.0 / np.maximum(np.exp(np.minimum(x, 16.0)) * ml, 0.5)
    mean = (w * x).sum(0)
    var = (w * (state.s[XX] + (x - mean) ** 2)).sum(0)
    return (w * _density(y - x, state.s[XX] + noise)).sum(0), mean, var, (w * noise).sum(0)


def _scored(
    more: Array,
    pace: float,
    far: int,
    where: Flags,
    y: Array,
    of_filter: tuple[Array, Array, Array, Array],
    told: tuple[Sequence[Array], Sequence[Array]],
) -> None:
    """Take in how well each of the four foretold `y`, and how wide the pool of them ought to have been."""
    like, mean, var, noise = of_filter
    means, variances = np.array([mean, *told[0]]), np.maximum(np.array([var + noise, *told[1]]), LEAST)
    off = y - means
    right = _density(off, variances)
    right[0] = like
    score = np.log((1.0 - ODD) * right + ODD * _density(off, ODD_SD**2 * variances) + 0.01 * LEAST)
    pool = weights(more, pace)[far]
    variances = np.maximum(variances - OF_A_COUNT, LEAST_VAR)
    variances[0] = var
    mean = (pool * means).sum(0)
    var = (pool * (variances + (means - mean) ** 2)).sum(0)
    whole = var + noise
    square = SQUARE_BACK * np.minimum((y - mean) ** 2, SQUARE_MOST * whole)
    evidence, spread = more[EVIDENCE].reshape(2, FOUR, -1)[far], more[SPREADS].reshape(2, 2, -1)[far]
    evidence[:] = np.where(where, FORGET * evidence + score - score.max(0), evidence)
    new = np.array([(square - noise) * var, var * var]) / (whole * whole)
    spread[:] = np.where(where, KEEP * spread + new, spread)


def weights(more: Array, pace: float) -> Array:
    """Weights of filter, autoregression, persistence and usual level, near and far: (2, 4, vessels)."""
    apart = np.log(between(pace * np.nan_to_num(more[GAP]), CLOSE, MOST_APART) / CLOSE)
    strange = STRANGE_PRIOR - LOG_PRIOR + APART * apart
    log = LOG_PRIOR + (1.0 - more[KEPT]) * strange + more[EVIDENCE].reshape(2, FOUR, -1)
    found = np.maximum(np.exp(log - log.max(1, keepdims=True)), LEAST)
    return found / found.sum(1, keepdims=True)  # type: ignore[no-any-return]


def spreads(more: Array) -> Array:
    """The pool's variance against what it says, near and far, (2, vessels): an online correction of its width.

    What a count's error shows beyond the scatter of counts, as a ratio to what was expected, each count with the weight
    of what it tells (Fisher's scoring of a variance).
    """
    found, told = more[SPREADS].reshape(2, 2, -1).swapaxes(0, 1)
    ratio = (SPREAD_WORTH * SPREAD_PRIOR[:, None] + found) / (SPREAD_WORTH + told)
    return np.minimum(np.maximum(ratio, SPREAD_LEAST), SPREAD_MOST)


def _density(off: Array, var: Array) -> Array:
    return np.exp(-0.5 * off * off / var) * 0.3989422804014327 / np.sqrt(var)


class Pool(NamedTuple):
    """At one moment ahead: weights of the four, means and deviations of the last three, by what to stretch the pool."""

    weights: Array
    means: Array
    sds: Array
    stretch: float


class Ahead:
    """What the three foretell of one vessel in the days ahead, harvests passing through all of them."""

    def __init__(self, more: Array, pace: float, counted: float, day: float) -> None:
        self._walk, self._cum = walk(more), more[CUM].copy()
        self._still = float(more[Y, 0] + more[CUM, 0])
        self._still_var = float(more[RS, 0] / more[RN, 0])
        self._level, self._level_var = (float(v[0]) for v in usual_level(more))
        gap = float(more[GAP, 0])
        self._gap = 1.0 if math.isnan(gap) or gap <= 0.0 else max(gap, LEAST_GAP)
        self._counted = self._reached = counted
        self._day, self._weights = day, weights(more, pace)[:, :, 0]
        self._near, self._far = (0.5 * math.log(k) for k in spreads(more)[:, 0])

    def go(self, day: float) -> None:
        """Go on to a day, count by count."""
        while self._reached + self._gap <= day:
            self._walk, self._cum = self._walk.step(self._cum), 0.0 * self._cum
            self._reached += self._gap

    def shift(self, by: float) -> None:
        """Let a harvest move the log density."""
        self._cum = self._cum + by
        self._still += by

    def at(self, day: float, warmth: float = 1.0) -> Pool:
        """What they foretell of a day, not before the last; of the present the filter alone tells.

        They were taught at the usual temperature: what rises rises by less where growth, `warmth` of the usual, is
        under `COOL`.
        """
        self.go(day)
        later, part = self._walk.step(self._cum), (day - self._reached) / self._gap
        y = (1.0 - part) * (self._walk.y + self._cum) + part * later.y
        var = (1.0 - part) * self._walk.cov[0] + part * later.cov[0]
        counts = (day - self._counted) / self._gap
        far = min(max((counts - 1.0) / (FAR - 1.0), 0.0), 1.0)
        share = min(max((day - self._day) / (SOONER * self._gap), 0.0), 1.0)
        w = self._weights[0] ** (1.0 - far) * self._weights[1] ** far
        w = w / w.sum()
        w[1:] *= share
        w[0] = 1.0 - w[1:].sum()
        means = np.array([float(y[0]), self._still, self._level])
        means = np.minimum(means, self._still + min(warmth / COOL, 1.0) * (means - self._still))
        variances = np.array([float(var[0]), counts * self._still_var, self._level_var]) - OF_A_COUNT
        stretch = math.exp(share * ((1.0 - far) * self._near + far * self._far))
        return Pool(w, means, np.sqrt(np.maximum(variances, LEAST_VAR)), stretch)
