"""What foretells beside the filter: an autoregression, persistence and the culture's own usual level.

All three look at the log of what was counted. From count to count it changes by what harvests and refills do, which is
known, and by a rest. The autoregression foretells that rest from the level after the harvest and from the last two
rests, with coefficients that are learned by recursive least squares; persistence foretells none; the usual level is the
mean of what was counted. How well each of the four, the filter among them, foretold the next count, and the third from
then, is kept as evidence, and so is how wide the pool of them ought to have been. docs/estimate.md has the equations.

The numbers of a vessel are one column of an array (COUNT, vessels), its rows named below.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state.filter import SYMMETRIC as MATRIX
from rackview.science.state.filter import XX, State, X, clip
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
SYMMETRIC = MATRIX - XX
"""The ten covariances of the coefficients as a matrix."""


DIAGONAL = np.array([0, 4, 7, 9])
"""Where the variances are among the ten covariances of the coefficients."""
PAIRS, SQUARES = np.array([SS, SN, RS, RN]), np.array([SS, RS])
TAUGHT = np.array([GAP, SS, SN, RS, RN, *range(COEF.start, COV.stop)])
"""What a count teaches only where there was one before."""
ROOT_2PI = 0.3989422804014327
"""Of a normal density: 1 / sqrt(2 pi)."""

Told = tuple[State, tuple[Array, Array, Array], tuple[Array, Array, Array]]
"""What was foretold of a count: the filter, and means and variances of the other three."""


class Walk(NamedTuple):
    """The autoregression on its way: log count, two rests, their covariance (6, vessels), and what to go by."""

    y: Array
    last: Array
    before: Array
    cov: Array
    coef: Array
    var: Array
    origin: Array

    def rest(self, left: Array) -> Array:
        """The rest that is expected on top of a log count of which `left` was left."""
        intercept, level, last, before = self.coef
        found = intercept + level * (left - self.origin) + last * self.last + before * self.before
        return clip(found, -c.MOST_REST, c.MOST_REST)

    def step(self, by: Array) -> Walk:
        """One count on, after harvests moved the log by `by`."""
        y = self.y + by
        rest = self.rest(y)
        _, a, b, b2 = self.coef
        yy, y1, y2, one, both, two = self.cov
        r_y, r_1, r_2 = a * yy + b * y1 + b2 * y2, a * y1 + b * one + b2 * both, a * y2 + b * both + b2 * two
        rr = a * r_y + b * r_1 + b2 * r_2 + self.var
        cov = np.empty_like(self.cov)
        cov[0], cov[1], cov[2] = np.minimum(yy + 2.0 * r_y + rr, c.MOST_VAR), r_y + rr, y1 + r_1
        cov[3], cov[4], cov[5] = rr, r_1, one
        cov = clip(cov, -c.MOST_COV, c.MOST_COV)
        y = clip(y + rest, -c.MOST_FORETOLD, c.MOST_FORETOLD)
        return self._replace(y=y, last=rest, before=self.last, cov=cov)


def features(level: Array, last: Array, before: Array) -> Array:
    """What the rest is regressed on, (4, vessels)."""
    found = np.empty((FOUR, len(level)))
    found[0], found[1], found[2], found[3] = 1.0, level, last, before
    return found


def new_members(n: int) -> Array:
    """The numbers of vessels of which nothing is known."""
    more = np.zeros((COUNT, n))
    more[PEAK], more[Y], more[GAP], more[ORIGIN], more[AGE] = -np.inf, np.nan, np.nan, np.nan, -1.0
    more[LOOKS], more[SPREAD], more[KEPT] = 1.0, c.EGGS_SD**2, 1.0  # as a rack's, until counts after no harvest
    more[SS], more[SN] = c.ERROR_COUNTS * c.ERROR**2, c.ERROR_COUNTS
    more[RS], more[RN] = more[SS], more[SN]
    more[LS], more[LN] = c.WIDE_COUNTS * c.WIDE**2, c.WIDE_COUNTS
    more[COV][[0, 4, 7, 9]] = c.START_VAR[:, None]
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
    nothing = np.zeros((FAR_C.stop - FAR_C.start, more.shape[1]))
    var = more[SS] / more[SN]
    return Walk(more[Y], more[LAST], more[BEFORE], nothing, more[COEF], var, more[ORIGIN])


def usual_level(more: Array) -> tuple[Array, Array]:
    """Mean and variance of the log of what will be counted, by what was."""
    return more[LEVEL], more[LS] / more[LN] * (1.0 + 1.0 / np.maximum(more[LC], 1.0))


def counted(
    model: Model, more: Array, before: State, after: State, then: State, y: Array, ml: Array, cv2: Array, gap: Array
) -> tuple[Array, State]:
    """The numbers after a log count `y` in `ml` mL, `gap` days after the one before, and what is foretold from now on.

    `before` and `after` are the filter without and with it, `then` what it foretold earlier, see `AGE`.
    """
    old, more = more, more.copy()
    known = old[Y] == old[Y]
    all_known = bool(known.all())
    if not all_known:
        old = _as_if_known(old, known, y)
    here = walk(old)
    left = old[Y] + old[CUM]
    expected = here.rest(left)
    going = known & (old[AGE] >= 0.0)
    due = going & (old[AGE] >= FAR - 1.0)
    far = _farther(more, old, going) if going.any() else None
    told = [(before, (left + expected, left, usual_level(old)[0]), (here.var, old[RS] / old[RN], usual_level(old)[1]))]
    if far is not None and due.any():
        step = FAR * old[FAR_STEP]
        told.append((then, (far.y, old[FAR_STILL], old[FAR_LEVEL]), (far.cov[0], step, old[FAR_LEVEL_VAR])))
    ready = known & (old[SEEN] >= c.FEW)
    if len(told) > 1 or ready.any():
        _scored(more, model.pace, np.array([ready, due])[: len(told)], y, ml, model.scatter_var + cv2, told)
    _regressed(more, old, y - left, left - old[ORIGIN], gap, model.pace)
    if not all_known:
        more[TAUGHT] = np.where(known, more[TAUGHT], old[TAUGHT])
    more[ORIGIN], more[Y], more[CUM] = old[ORIGIN], y, 0.0
    _levelled(more, y)
    start = (more[AGE] < 0.0) & (more[SEEN] >= FAR)
    if start.any():
        _foretold(more, start)
        then = after if start.all() else kalman.where(start, after, then)
    return more, then


def _as_if_known(old: Array, known: Flags, y: Array) -> Array:
    """The numbers as if vessels that were not counted since they were begun had been at what is counted now."""
    old = old.copy()
    old[Y], old[CUM] = np.where(known, old[Y], y), np.where(known, old[CUM], 0.0)
    old[ORIGIN] = np.where(np.isnan(old[ORIGIN]), y, old[ORIGIN])
    return old


def _farther(more: Array, old: Array, going: Flags) -> Walk:
    """Carry on by a count what the autoregression foretold earlier; three counts old, it is judged and done with."""
    far = Walk(old[FAR_Y], old[FAR_LAST], old[FAR_BEFORE], old[FAR_C], old[FAR_COEF], old[FAR_VAR], old[ORIGIN])
    far = far.step(old[FAR_CUM])
    more[FAR_Y], more[FAR_LAST], more[FAR_BEFORE] = far.y, far.last, far.before
    more[FAR_C], more[FAR_CUM] = far.cov, 0.0
    age = more[AGE]
    age += going
    age[age >= FAR] = -1.0
    return far


def _foretold(more: Array, start: Flags) -> None:
    """Note what is foretold from now on."""
    now, (level, level_var) = walk(more), usual_level(more)
    for row, value in (
        (AGE, 0.0), (FAR_Y, now.y), (FAR_CUM, 0.0), (FAR_LAST, now.last), (FAR_BEFORE, now.before), (FAR_C, 0.0),
        (FAR_COEF, now.coef), (FAR_VAR, now.var), (FAR_STILL, now.y), (FAR_STEP, more[RS] / more[RN]),
        (FAR_LEVEL, level), (FAR_LEVEL_VAR, level_var),
    ):  # fmt: skip
        np.copyto(more[row], value, where=start)


def shifts(model: Model, more: Array) -> Array:
    """The chance of a loss at one stroke before a count, by how often there was one in this vessel (a beta prior)."""
    found: Array = (c.STROKES_WORTH + more[STROKES]) / (c.STROKES_WORTH / model.shifts + more[SEEN])
    return found


def _regressed(more: Array, old: Array, change: Array, level: Array, gap: Array, pace: float) -> None:
    """Teach the autoregression, by recursive least squares, and persistence; an outlier counts up to three errors.

    `change` is that since what was left of the count before, which lay at `level`.
    """
    usual = np.where(np.isnan(old[GAP]), gap, old[GAP])
    rest = change * clip(usual / np.maximum(gap, 1e-3), c.GAP_LEAST, 1.0)
    f = features(level, old[LAST], old[BEFORE])
    off = rest - np.add.reduce(old[COEF] * f, 0)
    sure = np.minimum(1.0, c.ODD_ERROR * np.sqrt(old[SS] / old[SN]) / np.maximum(np.abs(off), 1e-9))
    to = np.add.reduce(old[COV].take(SYMMETRIC, 0) * f, 1)
    gain = to / (np.add.reduce(f * to, 0) + 1.0 / sure)
    more[COEF] += gain * off
    cov = more[COV]
    cov -= kalman.products(gain, to)
    cov[DIAGONAL] = np.minimum(cov[DIAGONAL] + c.DRIFT * c.START_VAR[:, None], c.START_VAR[:, None])
    learned = c.KEEP * old[PAIRS] + 1.0
    errors = np.empty((2, len(off)))
    errors[0], errors[1] = off, rest
    learned[0::2] += np.minimum(errors * errors, c.ODD_SQUARE * old[SQUARES] / old[SQUARES + 1]) - 1.0
    more[PAIRS] = learned
    more[LAST], more[BEFORE] = rest, old[LAST]
    more[GAP] = usual + c.GAP_LEARNED * (np.minimum(gap, c.GAP_MOST * usual) - usual)
    more[KEPT] = np.where(np.abs(more[CUM]) > c.LEAST_SHIFT, 1.0, old[KEPT] * c.KEPT_ON ** (pace * gap))


def _levelled(more: Array, y: Array) -> None:
    """Teach the usual level."""
    before = more[LC]
    n = np.minimum(before + 1.0, c.MOST_LEVEL)
    off = y - more[LEVEL]
    some = before > 0.0
    more[LS] += some * ((c.KEEP - 1.0) * more[LS] + off * off * (1.0 - 1.0 / n))
    more[LN] += some * ((c.KEEP - 1.0) * more[LN] + 1.0)
    more[LEVEL] += off / n
    more[LC] = n
    more[SEEN] += 1.0


def _of_filter(state: State, y: Array, noise: Array, ml: Array) -> tuple[Array, Array, Array, Array]:
    """The filter on a log count: density at `y`, mean and variance of the log density, variance of a count about it."""
    x, v, w = state.s[X], state.s[XX], state.w
    noise = noise + 1.0 / np.maximum(np.exp(np.minimum(x, c.HIGHEST)) * ml, 0.5)
    like = np.add.reduce(w * _density(y - x, v + noise), 0)
    mean = np.add.reduce(w * x, 0)
    return like, mean, np.add.reduce(w * (v + (x - mean) ** 2), 0), np.add.reduce(w * noise, 0)


def _scored(more: Array, pace: float, where: Flags, y: Array, ml: Array, noise: Array, told: Sequence[Told]) -> None:
    """Take in how well each of the four foretold `y`, and how wide the pool of them ought to have been.

    `told` is what was foretold near and, perhaps, far; `where` says of which vessels, (near and far, vessels).
    """
    far = len(told)
    means, variances = np.empty((2, far, FOUR, len(y)))
    like, mean, var, noises = np.empty((FOUR, far, len(y)))
    for k, (state, rest, rest_var) in enumerate(told):
        like[k], mean[k], var[k], noises[k] = _of_filter(state, y, noise, ml)
        means[k, 1:], variances[k, 1:] = rest, rest_var
    means[:, 0], variances[:, 0] = mean, var + noises
    variances = np.maximum(variances, c.LEAST_WEIGHT)
    off = y - means
    square, root = off * off / variances, ROOT_2PI / np.sqrt(variances)
    right = np.exp(-0.5 * square) * root
    right[:, 0] = like
    odd = np.exp(square * (-0.5 / c.ODD_SD**2)) * root / c.ODD_SD
    score = np.log((1.0 - c.ODD) * right + c.ODD * odd + c.LEAST_LIKELY)
    pool = weights(more, pace)[:far]
    variances = np.maximum(variances - c.OF_A_COUNT, c.LEAST_VAR)
    variances[:, 0] = var
    mean = np.add.reduce(pool * means, 1)
    var = np.add.reduce(pool * (variances + (means - mean[:, None]) ** 2), 1)
    whole = var + noises
    square = c.SQUARE_BACK * np.minimum((y - mean) ** 2, c.SQUARE_MOST * whole)
    evidence, spread = more[EVIDENCE].reshape(2, FOUR, -1)[:far], more[SPREADS].reshape(2, 2, -1)[:far]
    best = np.maximum.reduce(score, 1, keepdims=True)
    np.copyto(evidence, c.FORGET * evidence + score - best, where=where[:, None])
    per = var / (whole * whole)
    np.copyto(spread[:, 0], c.KEEP * spread[:, 0] + (square - noises) * per, where=where)
    np.copyto(spread[:, 1], c.KEEP * spread[:, 1] + var * per, where=where)


def weights(more: Array, pace: float) -> Array:
    """Weights of filter, autoregression, persistence and usual level, near and far: (2, 4, vessels)."""
    gap = np.fmax(pace * more[GAP], c.CLOSE)  # where it is not known as well
    strange = c.STRANGE_PRIOR - c.LOG_PRIOR + c.APART * np.log(np.minimum(gap, c.MOST_APART) / c.CLOSE)
    log = c.LOG_PRIOR + (1.0 - more[KEPT]) * strange + more[EVIDENCE].reshape(2, FOUR, -1)
    found: Array = np.maximum(np.exp(log - np.maximum.reduce(log, 1, keepdims=True)), c.LEAST_WEIGHT)
    found /= np.add.reduce(found, 1, keepdims=True)
    return found


def spreads(more: Array) -> Array:
    """The pool's variance against what it says, near and far, (2, vessels): an online correction of its width.

    What a count's error shows beyond the scatter of counts, as a ratio to what was expected, each count with the weight
    of what it tells (Fisher's scoring of a variance).
    """
    found, told = more[SPREADS].reshape(2, 2, -1).swapaxes(0, 1)
    ratio = (c.SPREAD_WORTH * c.SPREAD_PRIOR[:, None] + found) / (c.SPREAD_WORTH + told)
    return np.minimum(np.maximum(ratio, c.SPREAD_LEAST), c.SPREAD_MOST)


def _density(off: Array, var: Array) -> Array:
    return np.exp(-0.5 * off * off / var) * ROOT_2PI / np.sqrt(var)
