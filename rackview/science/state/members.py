"""What foretells beside the filter: an autoregression, persistence and the culture's own usual level.

All three look at the log of what was counted. From count to count it changes by what harvests and refills do, which is
known, and by a rest. The autoregression foretells that rest from the level after the harvest and from the last two
rests, with coefficients that are learned by recursive least squares; persistence foretells none; the usual level is the
mean of what was counted. How well each of the four, the filter among them, foretold the next count is kept as evidence,
and so is how wide the pool of them ought to have been. docs/estimate.md has the equations.

The numbers of a vessel are one column of an array (COUNT, vessels), its rows named below.
"""

from __future__ import annotations

import numpy as np

from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state.filter import SYMMETRIC as MATRIX
from rackview.science.state.filter import XX, State, X, between
from rackview.science.state.model import Flags

SLIP, PEAK, HABIT, LOOKS, SPREAD = range(5)
"""Chance of a slip in the newest count; highest log density; births seen when growth is nothing, looks, spread."""
Y, CUM, LAST, BEFORE, GAP, ORIGIN, LEVEL, SEEN, KEPT, TOLD = range(5, 15)
"""Newest log count and log of what was left of it; last rests; usual days between counts; first log count; the usual
level; counts; 1 at a count after a known harvest or refill, less with each after none; errors that tell of spreads."""
SQUARES, COEF, COV = slice(15, 18), slice(18, 22), slice(22, 32)
"""Sums of squared errors of the three, as many as `TOLD` says; coefficients of the autoregression."""
EVIDENCE, WIDTH, COUNT = slice(32, 36), slice(36, 38), 38
"""Log scores of the four; by how much the pool's variance was found too small and on how much that rests; how many
numbers there are."""

FOUR = 4
SYMMETRIC = MATRIX - XX
"""The ten covariances of the coefficients as a matrix."""
DIAGONAL = np.array([0, 4, 7, 9])
"""Where the variances are among the ten covariances of the coefficients."""
TAUGHT = np.array([GAP, TOLD, *range(SQUARES.start, COV.stop)])
"""What a count teaches only where there was one before."""
ROOT_2PI = 0.3989422804014327
"""Of a normal density: 1 / sqrt(2 pi)."""


def features(level: Array, last: Array, before: Array) -> Array:
    """What the rest is regressed on, (4, vessels)."""
    found = np.empty((FOUR, len(level)))
    found[0], found[1], found[2], found[3] = 1.0, level, last, before
    return found


def new_members(n: int) -> Array:
    """The numbers of vessels of which nothing is known."""
    more = np.zeros((COUNT, n))
    more[PEAK], more[Y], more[GAP], more[ORIGIN] = -np.inf, np.nan, np.nan, np.nan
    more[LOOKS], more[SPREAD], more[KEPT] = 1.0, c.EGGS_SD**2, 1.0  # as a rack's, until counts after no harvest
    more[TOLD], more[SQUARES] = c.ERROR_COUNTS, c.ERROR_COUNTS * c.ERROR[:, None] ** 2
    more[COV][DIAGONAL] = c.START_VAR[:, None]
    return more


def renewed(more: Array, peak_log_density: float) -> Array:
    """The numbers in a vessel that was emptied and begun again: what it taught stays, what was counted is gone."""
    more = more.copy()
    more[Y], more[SLIP], more[PEAK] = np.nan, 0.0, peak_log_density
    more[[CUM, LAST, BEFORE]] = 0.0
    return more


def shifted_members(more: Array, by: Array) -> Array:
    """The numbers after the log density moved by a known amount."""
    more = more.copy()
    more[CUM] += by
    return more


def variances(more: Array) -> Array:
    """Variances of what the three foretell of the next log count, (3, vessels)."""
    found: Array = more[SQUARES] / more[TOLD]
    found[2] *= 1.0 + 1.0 / between(more[SEEN], 1.0, c.MOST_LEVEL)
    return found


def counted(more: Array, before: State, pace: float, y: Array, ml: Array, noise: Array, gap: Array) -> Array:
    """The numbers after a log count `y` in `ml` mL, `gap` days after the one before.

    `before` is the filter without it; a count scatters about the density by the variance `noise` (components, vessels)
    and by chance.
    """
    old, more = more, more.copy()
    known = old[Y] == old[Y]
    all_known = bool(known.all())
    if not all_known:
        old = _as_if_known(old, known, y)
    left = old[Y] + old[CUM]
    f = features(left - old[ORIGIN], old[LAST], old[BEFORE])
    rest = np.add.reduce(old[COEF] * f, 0)
    ready = known & (old[SEEN] >= c.FEW)
    if ready.any():
        means = np.empty((FOUR, len(y)))
        means[1], means[2], means[3] = left + between(rest, -c.MOST_REST, c.MOST_REST), left, old[LEVEL]
        _scored(more, pace, ready, y, ml, noise, before, means, variances(old))
    _taught(more, old, y, y - left, f, rest, gap, pace)
    if not all_known:
        more[TAUGHT] = np.where(known, more[TAUGHT], old[TAUGHT])
    more[ORIGIN], more[Y], more[CUM] = old[ORIGIN], y, 0.0
    return more


def _as_if_known(old: Array, known: Flags, y: Array) -> Array:
    """The numbers as if vessels that were not counted since they were begun had been at what is counted now."""
    old = old.copy()
    old[Y], old[CUM] = np.where(known, old[Y], y), np.where(known, old[CUM], 0.0)
    old[ORIGIN] = np.where(np.isnan(old[ORIGIN]), y, old[ORIGIN])
    return old


def _taught(more: Array, old: Array, y: Array, change: Array, f: Array, told: Array, gap: Array, pace: float) -> None:
    """Teach the autoregression, by recursive least squares, persistence and the usual level.

    `change` is that since what was left of the count before, `told` what the regression on `f` expected of it. An
    outlier counts up to three errors.
    """
    usual = np.where(np.isnan(old[GAP]), gap, old[GAP])
    rest = change * between(usual / np.maximum(gap, 1e-3), c.GAP_LEAST, 1.0)
    off = rest - told
    spread = old[SQUARES] / old[TOLD]
    sure = np.minimum(1.0, c.ODD_ERROR * np.sqrt(spread[0]) / np.maximum(np.abs(off), 1e-9))
    to = np.add.reduce(old[COV].take(SYMMETRIC, 0) * f, 1)
    gain = to / (np.add.reduce(f * to, 0) + 1.0 / sure)
    more[COEF] += gain * off
    cov = more[COV]
    cov -= kalman.products(gain, to)
    cov[DIAGONAL] = np.minimum(cov[DIAGONAL] + c.DRIFT * c.START_VAR[:, None], c.START_VAR[:, None])
    n = np.minimum(old[SEEN] + 1.0, c.MOST_LEVEL)
    errors = np.empty_like(spread)
    errors[0], errors[1], errors[2] = off, rest, y - old[LEVEL]
    more[LEVEL] += errors[2] / n
    errors *= errors
    errors[2] *= 1.0 - 1.0 / n
    more[SQUARES] = c.KEEP * old[SQUARES] + np.minimum(errors, c.ODD_SQUARE * spread)
    more[TOLD] = c.KEEP * old[TOLD] + 1.0
    more[SEEN] += 1.0
    more[LAST], more[BEFORE] = rest, old[LAST]
    more[GAP] = usual + c.GAP_LEARNED * (np.minimum(gap, c.GAP_MOST * usual) - usual)
    more[KEPT] = np.where(np.abs(more[CUM]) > c.LEAST_SHIFT, 1.0, old[KEPT] * c.KEPT_ON ** (pace * gap))


def _scored(
    more: Array, pace: float, where: Flags, y: Array, ml: Array, noise: Array, state: State, means: Array, three: Array
) -> None:
    """Take in how well each of the four foretold `y`, and how wide the pool of them ought to have been.

    `means` are those of the four but for the filter's, which comes from `state`, and `three` the variances of the last
    three; `where` says of which vessels.
    """
    x, v, w = state.s[X], state.s[XX], state.w
    noise = noise + 1.0 / np.maximum(np.exp(np.minimum(x, c.HIGHEST)) * ml, 0.5)
    noises = np.add.reduce(w * noise, 0)
    means[0], var = kalman.level(state)
    within = np.empty_like(means)
    within[0], within[1:] = var + noises, three
    off = y - means
    square, root = off * off / within, ROOT_2PI / np.sqrt(within)
    right = np.exp(-0.5 * square) * root
    right[0] = np.add.reduce(w * np.exp(-0.5 * (y - x) ** 2 / (v + noise)) * ROOT_2PI / np.sqrt(v + noise), 0)
    odd = np.exp(square * (-0.5 / c.ODD_SD**2)) * root / c.ODD_SD
    score = np.log((1.0 - c.ODD) * right + c.ODD * odd + c.LEAST_LIKELY)
    score -= np.maximum.reduce(score, 0)
    pool = weights(more, pace)[0]
    within = np.maximum(within - c.OF_A_COUNT, c.LEAST_VAR)
    within[0] = var
    mean = np.add.reduce(pool * means, 0)
    var = np.add.reduce(pool * (within + (means - mean) ** 2), 0)
    whole = var + noises
    square = c.SQUARE_BACK * np.minimum((y - mean) ** 2, c.SQUARE_MOST * whole)
    told = np.empty((2, len(y)))
    told[0], told[1] = square - noises, var
    told *= var / (whole * whole)
    np.copyto(more[EVIDENCE], c.FORGET * more[EVIDENCE] + score, where=where)
    np.copyto(more[WIDTH], c.KEEP * more[WIDTH] + told, where=where)


def weights(more: Array, pace: float) -> Array:
    """Weights of filter, autoregression, persistence and usual level, near and far: (2, 4, vessels)."""
    gap = np.fmax(pace * more[GAP], c.CLOSE)  # where it is not known as well
    idle = 1.0 - more[KEPT]
    strange = c.STRANGE_PRIOR - c.LOG_PRIOR + c.APART * np.log(np.minimum(gap, c.MOST_APART) / c.CLOSE)
    log = c.LOG_PRIOR + idle * strange + (1.0 - c.UNTOLD * idle) * more[EVIDENCE]
    found: Array = np.maximum(np.exp(log - np.maximum.reduce(log, 1, keepdims=True)), c.LEAST_WEIGHT)
    found /= np.add.reduce(found, 1, keepdims=True)
    return found


def width(more: Array) -> Array:
    """The pool's variance against what it says, of each vessel: an online correction of its width.

    What a count's error shows beyond the scatter of counts, as a ratio to what was expected, each count with the weight
    of what it tells (Fisher's scoring of a variance).
    """
    found, told = more[WIDTH]
    return between((c.SPREAD_WORTH * c.SPREAD_PRIOR + found) / (c.SPREAD_WORTH + told), c.SPREAD_LEAST, c.SPREAD_MOST)
