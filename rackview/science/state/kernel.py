"""One part of the belief: a Gaussian over log density, growth, crowding and the signs' scales, moved and told.

    dx = (a + u + signs - theta h(x - ref)) dt + noise      x  log of animals per mL
    du = (-phi u - delayed theta h(x - ref)) dt + noise     u  passing part of the growth rate, per day
    du = (-phi u + delayed (a - theta h)) dt + noise        the same of a culture that swings
    h(d) = (exp(eta d) - 1) / eta                           crowding, between Gompertz (eta 0) and logistic (eta 1)

`a` is the growth rate at the reference density `ref`, `theta` the strength of crowding there, the rest the growth
per unit of each sign. For constant growth the equation has an exact solution (it is Bernoulli's), so a step may be
long; what is linearised is the spread around it, with the mean put right for the curvature. Crowding that takes its
time, by food eaten or eggs not laid, is a push on u, half of it at the start of a step and half at its end (Verlet, L.
1967, Physical Review 159:98-103), which neither damps a swing nor feeds it: where it is strong, cultures swing. About
what density they swing is learned, so there `a` pushes u as crowding does, and growth is in balance where theta h = a.
Without crowding the filter is Kalman's, to the last digit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul
from typing import NamedTuple

import numpy as np

from rackview.science.state.carrier import Carrier, Value, added
from rackview.science.state.normal import MOST_SKEW

X, U, A, THETA = range(4)
"""Rows of the state; the signs' scales follow."""
BASE = 4
Vector = Sequence[Value]
Matrix = Sequence[Sequence[Value]]
Moved = tuple[list[Value], list[list[Value]]]
"""A mean and a covariance just made."""


@dataclass(frozen=True, slots=True)
class Lapse:
    """What `dt` days do apart from the state: how much of u is kept, its mean meanwhile, and what chance adds.

    `xx`, `xu`, `uu` are the covariances of log density and u per unit of u's noise intensity; `half` is for how many
    days u is pushed before it moves log density and after, so that in the end a steady push has done all it does.
    """

    dt: Value
    keep: Value
    mean: Value
    xx: Value
    xu: Value
    uu: Value
    half: Value

    @classmethod
    def of(cls, dt: Value, phi: Value, c: Carrier) -> Lapse:
        """For a u that reverts at `phi` per day (an integrated Ornstein-Uhlenbeck process; at 0, a random walk)."""
        if c.largest(phi) <= 0.0:
            return cls(dt, 1.0, 1.0, dt * dt * dt / 3.0, dt * dt / 2.0, dt, 0.5 * dt)
        keep, g, _ = c.decays(phi, dt)
        xx = (dt - g - 0.5 * phi * g * g) / (phi * phi)
        return cls(dt, keep, g / dt, xx, 0.5 * g * g, 0.5 * g * (1.0 + keep), g / (1.0 + keep))


@dataclass(frozen=True, slots=True)
class Noise:
    """Noise per day: of u (`u`), of log density itself (`x`), and drifts of `a` and `theta`."""

    u: Value
    x: Value
    a: Value = 0.0
    theta: Value = 0.0


MOST_CROWDED = 8.0
"""exp(eta d) up to which crowding acts with delay: no culture is sixty times too dense for days."""
SWIFTEST = 1.5
"""Strength of delayed crowding, per day squared, that a filter of daily steps can follow: a cycle of five days."""
WIDE = 2.5
"""Variance of log density up to which a spread is reckoned into crowding: a wider one is no longer bell-shaped."""
NARROW = 1.0
"""The same for the lean that crowding gives to a spread."""


def ahead(
    m: Vector,
    p: Matrix,
    ref: Value,
    eta: float,
    lapse: Lapse,
    noise: Noise,
    push: list[Value],
    c: Carrier,
    delayed: Value = 0.0,
    third: Value = 0.0,
    swings: Value = False,
) -> tuple[list[Value], list[list[Value]], Value]:
    """Mean, covariance and third moment of log density after a lapse; `push` holds the mean of each sign meanwhile.

    `third` is the third central moment of log density before it; the rest of the state leans as its regression on log
    density says. `delayed` times theta, per day squared, is how strongly crowding acts on u besides, and where it
    `swings` so does `a`. The four rows that every vessel has are written out: that is seven times as fast as loops.
    """
    dt, keep = lapse.dt, lapse.keep
    x, u, a, theta = m[X], m[U], m[A], m[THETA]
    theta = c.least(theta, 0.0)
    crowd = c.exp(c.most(eta * (x - ref), 60.0))
    late = c.largest(delayed) > 0.0
    if late:
        acting = _acting(theta, delayed, swings, c)
        m, p = _pushed(m, p, crowd, eta, acting, lapse.half, c)
        u = m[U]
    rate = a + lapse.mean * u
    if push:
        rate = rate + added(map(mul, m[BASE:], push))
    decay, g, h = c.decays(eta * rate + theta, dt)
    z = decay + theta * g * crowd
    fx = decay / z
    fa = (dt * decay + theta * crowd * h) / z
    fu = lapse.mean * fa
    ft = (fa - crowd * g / z) / eta
    p_x, p_u, p_a = p[X], p[U], p[A]
    xx, xu, xa, xt = p_x[X], p_x[U], p_x[A], p_x[THETA]
    uu, ua, ut, aa, at, tt = p_u[U], p_u[A], p_u[THETA], p_a[A], p_a[THETA], p[THETA][THETA]
    to_x = fx * xx + fu * xu + fa * xa + ft * xt
    to_u = fx * xu + fu * uu + fa * ua + ft * ut
    to_a = fx * xa + fu * ua + fa * aa + ft * at
    to_t = fx * xt + fu * ut + fa * at + ft * tt
    damp = (1.0 + fx + fx * fx) / 3.0
    chance = noise.u, (noise.u * lapse.xx + noise.x * dt) * damp
    uu = keep * keep * uu + chance[0] * lapse.uu
    ua, ut = keep * ua, keep * ut
    aa, tt = aa + noise.a * dt, tt + noise.theta * dt
    # the flow bends down: what becomes of a spread leans to the low side, with its mean below what becomes of the mean
    bent, narrow = eta * (fx * (1.0 - fx)), c.most(xx, NARROW)
    x, u = x - c.log(z) / eta - 0.5 * bent * c.most(xx, WIDE), keep * u
    moved: Moved
    if not push:
        xx = fx * to_x + fu * to_u + fa * to_a + ft * to_t + chance[1]
        xu = keep * to_u + chance[0] * lapse.xu * fx
        rest = [to_a, ua, aa, at], [to_t, ut, at, tt]
        moved = [x, u, a, m[THETA]], [[xx, xu, to_a, to_t], [xu, uu, ua, ut], *rest]
    else:
        by = [fa * value for value in push]
        to_x = to_x + added(map(mul, by, p[X][BASE:]))
        to_u = to_u + added(map(mul, by, p[U][BASE:]))
        to_a = to_a + added(map(mul, by, p[A][BASE:]))
        to_t = to_t + added(map(mul, by, p[THETA][BASE:]))
        xx = fx * to_x + fu * to_u + fa * to_a + ft * to_t + chance[1]
        xu = keep * to_u + chance[0] * lapse.xu * fx
        rows: list[list[Value]] = []
        for line, f in zip(p[BASE:], by, strict=True):
            to = fx * line[X] + fu * line[U] + fa * line[A] + ft * line[THETA] + added(map(mul, by, line[BASE:]))
            xx = xx + f * to
            rows.append([to, keep * line[U], *line[A:]])
        moved = (
            [x, u, *m[A:]],
            [
                [xx, xu, to_a, to_t, *[line[X] for line in rows]],
                [xu, uu, ua, ut, *[line[U] for line in rows]],
                [to_a, ua, aa, at, *p[A][BASE:]],
                [to_t, ut, at, tt, *p[THETA][BASE:]],
                *rows,
            ],
        )
    if late:
        moved = _pushed(*moved, crowd / z, eta, acting, lapse.half, c)
    kept = to_x / c.least(p_x[X], 1e-300)
    return *moved, kept * kept * (kept * third - 3.0 * bent * narrow * narrow)


def soon(m: Vector, p: Matrix, ref: Value, eta: float, days: Value, c: Carrier, delayed: Value, swings: Value) -> Moved:
    """Mean and covariance with passing growth as it will be in so many days by what pushes it now.

    With as many days less than none, passing growth is what it was again.
    """
    crowd = c.exp(c.most(eta * (m[X] - ref), 60.0))
    acting = _acting(c.least(m[THETA], 0.0), delayed, swings, c)
    return _pushed(m, p, crowd, eta, acting, days, c)


def _acting(theta: Value, delayed: Value, swings: Value, c: Carrier) -> tuple[Value, Value, Value]:
    """How strongly late crowding acts on passing growth, the derivative of that to theta; how lasting growth does."""
    swift = c.most(delayed, SWIFTEST / c.least(theta, 1e-9))
    return swift * theta, swift, swift * swings


def _pushed(m: Vector, p: Matrix, crowd: Value, eta: float, by: Sequence[Value], days: Value, c: Carrier) -> Moved:
    """Mean and covariance after crowding and lasting growth have pushed passing growth for so many days.

    Crowding is that where exp(eta d) is `crowd` at the mean of d, up to `MOST_CROWDED`. `by` is how strongly it acts,
    the derivative of that to theta, and how strongly lasting growth acts.
    """
    first, second, third, last = p[X], p[U], p[A], p[THETA]
    strong, swift, about = by
    crowd = c.most(crowd, MOST_CROWDED)
    curved = crowd * (1.0 + 0.5 * eta * eta * c.most(first[X], WIDE))
    h = days * ((curved - 1.0) / eta)
    by_x, by_a, by_t = days * strong * crowd, about * days, swift * h
    row = [u - by_x * x + by_a * a - by_t * t for u, x, a, t in zip(second, first, third, last, strict=True)]
    row[U] = row[U] - by_x * row[X] + by_a * row[A] - by_t * row[THETA]
    mean = [m[X], m[U] + by_a * m[A] - strong * h, *m[A:]]
    cov = [[line[X], value, *line[A:]] for line, value in zip(p, row, strict=True)]
    cov[U] = row
    return mean, cov


def told(m: Vector, p: Matrix, x: Value, var: Value) -> Moved:
    """Mean and covariance after the log density turned out to have mean `x` and variance `var`."""
    first = p[X]
    xx, xu, xa, xt = first[:BASE]
    keep = var / xx
    step, less = (x - m[X]) / xx, (1.0 - keep) / xx
    by_u, by_a, by_t = less * xu, less * xa, less * xt
    ua, ut = p[U][A] - by_u * xa, p[U][THETA] - by_u * xt
    at = p[A][THETA] - by_a * xt
    new_u, new_a, new_t = keep * xu, keep * xa, keep * xt
    uu, aa, tt = p[U][U] - by_u * xu, p[A][A] - by_a * xa, p[THETA][THETA] - by_t * xt
    mean = [x, m[U] + step * xu, m[A] + step * xa, m[THETA] + step * xt]
    if len(m) == BASE:
        return mean, [[var, new_u, new_a, new_t], [new_u, uu, ua, ut], [new_a, ua, aa, at], [new_t, ut, at, tt]]
    rest = first[BASE:]
    mean += [scale + step * value for scale, value in zip(m[BASE:], rest, strict=True)]
    rows: list[list[Value]] = []
    for line, value in zip(p[BASE:], rest, strict=True):
        by = less * value
        tail = [a - less * (value * b) for a, b in zip(line[BASE:], rest, strict=True)]
        rows.append([keep * value, line[U] - by * xu, line[A] - by * xa, line[THETA] - by * xt, *tail])
    return mean, [
        [var, new_u, new_a, new_t, *[line[X] for line in rows]],
        [new_u, uu, ua, ut, *[line[U] for line in rows]],
        [new_a, ua, aa, at, *[line[A] for line in rows]],
        [new_t, ut, at, tt, *[line[THETA] for line in rows]],
        *rows,
    ]


def shown(
    m: Vector, p: Matrix, k: int, departed: Value, var: Value, told: Value
) -> tuple[list[Value], list[list[Value]], Value]:
    """Mean and covariance after a look at what passing growth brings about: `departed` = m[k] u + noise of `var`.

    With them, the mean square of the noise in hindsight. `told` is 0 where there was no look. The product is
    linearised; what that leaves out of its spread counts as known. So a look against expectation makes the scale
    doubtful sooner than it turns growth about, which does less harm where a sign tells nothing.
    """
    scale, u, uu, both = m[k], m[U], p[U][U], p[U][k]
    to = [scale * a + u * b for a, b in zip(p[U], p[k], strict=True)]
    known = scale * to[U] + u * to[k] + uu * p[k][k] + both * both
    off, whole = departed - scale * u - both, known + var
    step, less = told * (off / whole), told / whole
    mean = [a + step * b for a, b in zip(m, to, strict=True)]
    cov: list[list[Value]] = []
    for i, (line, by) in enumerate(zip(p, to, strict=True)):
        cov.append([*[row[i] for row in cov], *[a - less * (by * b) for a, b in zip(line[i:], to[i:], strict=True)]])
    left = var / whole
    return mean, cov, left * (left * (off * off) + known)


LEAST_LEANT = 0.05
"""Share of a bell that is left of it at least, however it leans."""
FEW = 30
"""Counts below this get quadrature nodes; above it the correction is below a hundredth of a standard deviation."""
NODES, WEIGHTS = (v.tolist() for v in np.polynomial.hermite_e.hermegauss(9))
WEIGHTS = [w / math.sqrt(2.0 * math.pi) for w in WEIGHTS]


class Tally(NamedTuple):
    """A count made ready: animals, log of mL looked at, and what its likelihood needs whatever the belief."""

    n: Value
    log_ml: Value
    some: Value
    log_n: Value
    log_factorial: Value
    few: bool

    @classmethod
    def of(cls, n: Value, ml: Value, c: Carrier) -> Tally:
        """The count of `n` animals in `ml` mL."""
        some = n + 0.5
        few = -c.largest(-n) < FEW
        return cls(n, c.log(ml), some, c.log(some), c.log_gamma(n + 1.0), few)

    def scatter(self, cv2: Value, c: Carrier) -> tuple[Value, Value]:
        """The negative binomial's exponent for scatter `cv2` on top of Poisson, and the log of its constant part."""
        size = 1.0 / cv2
        return size, size * c.log(size) + c.log_gamma(self.n + size) - c.log_gamma(size) - self.log_factorial


Posterior = tuple[Value, Value, Value, Value]
"""Mean, variance and third moment of a log density after a count, and the log-likelihood of the count."""


def hear(x: Value, v: Value, third: Value, tally: Tally, scatter: tuple[Value, Value], c: Carrier) -> Posterior:
    """Mean, variance and third moment of log density (x, v, third) after a negative-binomial count, its log-likelihood.

    Newton's method finds the mode of the posterior, so a count of nothing needs no logarithm of zero; where few
    animals leave the posterior skew, Gauss-Hermite nodes around the mode give its moments.
    """
    n, log_ml, some = tally.n, tally.log_ml, tally.some
    size, constant = scatter
    heard = some * size / (some + size)
    sure = 1.0 / v
    total = n + size
    off = heard / (heard + sure) * (tally.log_n - log_ml - x)
    for _ in range(8 if tally.few else 1):
        share = 1.0 / (1.0 + size * c.exp(-(x + off + log_ml)))
        seen = total * share
        step = (n - seen - off * sure) / (seen * (1.0 - share) + sure)
        off = off + c.least(c.most(step, 1.5), -1.5)
    eta = x + off + log_ml
    mean = c.exp(eta)
    share = mean / (size + mean)
    s2 = 1.0 / (total * share * (1.0 - share) + sure)
    at_mode = n * eta - total * c.log(size + mean) - 0.5 * off * off * sure
    log_like = constant + at_mode + 0.5 * c.log(s2 * sure)
    shrunk = s2 * sure
    smooth = x + off, s2, third * (shrunk * shrunk * shrunk), log_like
    return _nodes(x, sure, third, tally, size, smooth, at_mode, c) if tally.few else smooth


def _nodes(
    x: Value, sure: Value, third: Value, tally: Tally, size: Value, smooth: Posterior, at_mode: Value, c: Carrier
) -> Posterior:
    """What `hear` says where animals are few; elsewhere `smooth`, that is, by the mode of the posterior alone."""
    n, log_ml = tally.n, tally.log_ml
    z, s2, many, log_like = smooth
    s, root = c.root(s2), c.root(sure)
    sixth = c.most(c.least(third * sure * root, -MOST_SKEW), MOST_SKEW) / 6.0
    mass = first = second = cubed = 0.0
    for node, weight in zip(NODES, WEIGHTS, strict=True):
        t = z + s * node
        off = (t - x) * root
        bent = n * (t + log_ml) - (n + size) * c.log(size + c.exp(t + log_ml)) - 0.5 * off * off
        leant = c.least(1.0 + sixth * off * (off * off - 3.0), LEAST_LEANT)
        w = weight * leant * c.exp(bent - at_mode + 0.5 * node * node)
        mass = mass + w
        first = first + w * node
        second = second + w * (node * node)
        cubed = cubed + w * (node * node * node)
    off, second, cubed = first / mass, second / mass, cubed / mass
    few = (n < FEW) * 1.0
    return (
        z + few * s * off,
        s2 * (1.0 + few * (second - off * off - 1.0)),
        many + few * (s * s2 * (cubed - off * (3.0 * second - 2.0 * off * off)) - many),
        log_like + few * c.log(mass),
    )
