"""The belief as weighted Gaussians: one for each alternative of a sound culture, and one of a failing culture.

A failing culture falls at a rate of its own, whatever the alternative; what the alternatives knew of growth and
crowding is kept for the time after. The numbers are floats for one vessel or arrays over many, see `carrier`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from operator import mul
from typing import NamedTuple

from rackview.science.state import kernel
from rackview.science.state.carrier import Carrier, Value, added
from rackview.science.state.kernel import BASE, THETA, A, Lapse, Matrix, Tally, U, Vector, X
from rackview.science.state.model import Alternative, Model

Components = tuple[Sequence[float], Sequence[float], Sequence[float], Sequence[float]]
"""Weights, means, standard deviations and skewnesses of a log density per mL."""

Scales = tuple[float, float, float, float]
"""Mean and spread beforehand of a sign's row in the state: where the sign moves growth, and where it shows it."""


class Part(NamedTuple):
    """One alternative: mean, covariance and reference log density, with its weights as sound and as failing.

    `third` is the third central moment of the log density, `stray` the variance of the departures of eggs about what
    passing growth explains, where they show it.
    """

    m: Vector
    p: Matrix
    ref: Value
    sound: Value
    failing: Value
    third: Value = 0.0
    stray: Value = 0.0


class Fall(NamedTuple):
    """A failing culture: log density and its rate, with variances and covariance."""

    x: Value
    u: Value
    xx: Value
    xu: Value
    uu: Value
    third: Value = 0.0


class Mixture(NamedTuple):
    """All alternatives and the fall. Weights sum to 1."""

    parts: tuple[Part, ...]
    fall: Fall

    @property
    def failing(self) -> Value:
        """Probability that the culture is failing."""
        return sum([part.failing for part in self.parts])


def fresh(
    model: Model, x: Value, var: Value, ref: float, rate: float, spread: float, scales: Sequence[Scales]
) -> Mixture:
    """A culture begun at log density `x`, variance `var`, of a strain that grows at `rate` at log density `ref`.

    `scales` are the priors of the signs in use.
    """
    share = model.unsound
    parts = []
    for alternative in model.alternatives:
        own, rows = alternative.own, [_scale(alternative, one) for one in scales]
        diagonal = [
            var,
            alternative.growth_sd**2,
            (alternative.a_sd if own else spread) ** 2,
            (model.theta_cv * alternative.theta) ** 2,
            *(sd * sd for _, sd in rows),
        ]
        n = len(diagonal)
        p = [[diagonal[i] if i == j else 0.0 for j in range(n)] for i in range(n)]
        m = [x, 0.0, 0.0 if own else rate, alternative.theta, *(mean for mean, _ in rows)]
        weights = alternative.weight * (1.0 - share), alternative.weight * share
        parts.append(Part(m, p, x + alternative.room if own else ref, *weights, stray=model.stray))
    return Mixture(tuple(parts), Fall(x, model.fall, var, 0.0, model.fall_sd**2))


def _scale(alternative: Alternative, scales: Scales) -> tuple[float, float]:
    return scales[2:] if alternative.shown else scales[:2]


def again(model: Model, before: Mixture, x: Value, var: Value) -> Mixture:
    """A culture begun at log density `x` in a vessel whose growth and crowding are known from before."""
    share = model.unsound
    parts = []
    for part, alternative in zip(before.parts, model.alternatives, strict=True):
        m, p = list(part.m), [list(line) for line in part.p]
        for i in range(len(m)):
            p[i][X] = p[X][i] = p[i][U] = p[U][i] = 0.0
        m[X], m[U] = x, 0.0
        p[X][X], p[U][U] = var, alternative.growth_sd**2
        weight = part.sound + part.failing
        parts.append(Part(m, p, part.ref, weight * (1.0 - share), weight * share, stray=part.stray))
    return Mixture(tuple(parts), Fall(x, model.fall, var, 0.0, model.fall_sd**2))


def referred(model: Model, mix: Mixture, x: Value) -> Mixture:
    """The belief after the first count, from which the alternatives of the vessel's own scale take their reference."""
    parts = [
        part._replace(ref=x + alternative.room if alternative.own else part.ref)
        for part, alternative in zip(mix.parts, model.alternatives, strict=True)
    ]
    return Mixture(tuple(parts), mix.fall)


def elapsed(model: Model, mix: Mixture, dt: Value, push: list[Value], shows: list[Value], c: Carrier) -> Mixture:
    """The belief `dt` days later: a change of regime may come at the start, then each part moves on its own.

    `push` are the departures of the signs meanwhile, `shows` the same of those alone that show growth where it may be.
    """
    lapses = [Lapse.of(dt, phi, c) for phi in model.phis]
    parts, fall = _switched(model, mix, dt, c)
    moved = []
    for part, noise, k, one in zip(parts, model.noises, model.fading, model.alternatives, strict=True):
        by = _moving(one, push, shows)
        m, p, third = kernel.ahead(
            part.m, part.p, part.ref, model.eta, lapses[k], noise, by, c, one.delayed, part.third, one.swings
        )
        third = _bound(m, p, third, c)
        moved.append(Part(m, p, part.ref, part.sound, part.failing, third, part.stray))
    return Mixture(tuple(moved), _fallen(model, fall, lapses[0], c))


def _moving(alternative: Alternative, push: list[Value], shows: list[Value]) -> list[Value]:
    """The departures of the signs that move growth."""
    return [every - alternative.shown * some for every, some in zip(push, shows, strict=True)]


LOWEST = -12.0
"""Log of the least density that is told from none: about one animal in two hundred litres."""
HIGHEST = math.log(1e7)
"""Log of a density that no animal large enough to be counted can reach: there would be no water left."""
WIDEST = 6.0
"""Largest variance of log density: a factor of 60 either way at 90 %; more would say nothing more."""


def _bound(m: list[Value], p: list[list[Value]], third: Value, c: Carrier) -> Value:
    """Keep mean and covariance to densities that can be, after weeks of zeros or a gap of years; return the third."""
    m[X] = c.most(c.least(m[X], LOWEST), HIGHEST)
    if c.largest(p[X][X]) > WIDEST:
        shrink = c.root(c.most(WIDEST / p[X][X], 1.0))
        p[X] = [shrink * value for value in p[X]]
        for line in p:
            line[X] = shrink * line[X]
        third = third * (shrink * shrink * shrink)
    return third


def _fallen(model: Model, fall: Fall, lapse: Lapse, c: Carrier) -> Fall:
    g = lapse.mean * lapse.dt
    q = 2.0 * model.phi * model.fall_sd**2
    rate = model.fall + (fall.u - model.fall) * lapse.mean
    xx = fall.xx + 2.0 * g * fall.xu + g * g * fall.uu + q * lapse.xx + model.fall_walk**2 * lapse.dt
    shrink = c.root(c.most(WIDEST / xx, 1.0))
    kept = shrink * (fall.xx + g * fall.xu) / fall.xx
    return Fall(
        c.least(fall.x + rate * lapse.dt, LOWEST),
        model.fall + (fall.u - model.fall) * lapse.keep,
        xx * shrink * shrink,
        shrink * (lapse.keep * (fall.xu + g * fall.uu) + q * lapse.xu),
        lapse.keep * lapse.keep * fall.uu + q * lapse.uu,
        fall.third * (kept * kept * kept),
    )


def _switched(model: Model, mix: Mixture, dt: Value, c: Carrier) -> tuple[list[Part], Fall]:
    """The mixing step of interacting multiple models (Blom and Bar-Shalom 1988, IEEE Trans. Autom. Control 33:780).

    A change may come at any time within `dt`: on average the culture spends half of it on the other side.
    """
    half = 0.5 * dt
    fail = 1.0 - c.exp(-model.fail_rate * dt)
    mend = 1.0 - c.exp(-model.mend_rate * dt)
    fall = mix.fall
    mended = fall.x + half * fall.u
    parts, came, mean, square, thirds = [], [], [], [], []
    for part, alternative in zip(mix.parts, model.alternatives, strict=True):
        go, back = part.sound * fail, part.failing * mend
        x, xx = part.m[X], part.p[X][X]
        came.append(go)
        mean.append(go * x)
        square.append(go * (xx + x * x))
        thirds.append(go * part.third)
        sound = part.sound - go + back
        parts.append(
            _mended(part, fall, mended, back / sound, sound, part.failing - back + go, alternative.growth_sd**2)
        )
    stay = c.total([part.failing for part in mix.parts]) * (1.0 - mend)
    flow = c.least(c.total(came), 1e-300)
    share = flow / (flow + stay)
    middle = c.total(mean) / flow
    var = c.total(square) / flow - middle * middle + (model.fall**2 + model.fall_sd**2) * dt * dt / 12.0
    gap = middle - half * model.fall - fall.x
    turn = model.fall - fall.u
    both = share * (1.0 - share)
    return parts, Fall(
        fall.x + share * gap,
        fall.u + share * turn,
        fall.xx + share * (var - fall.xx) + both * gap * gap,
        (1.0 - share) * fall.xu + both * gap * turn,
        fall.uu + share * (model.fall_sd**2 - fall.uu) + both * turn * turn,
        fall.third + share * (c.total(thirds) / flow - fall.third),
    )


def _mended(part: Part, fall: Fall, x: Value, share: Value, sound: Value, failing: Value, u_var: float) -> Part:
    """A part after the share of its weight that has mended came in: at the fall's density, its passing growth new."""
    stay = 1.0 - share
    m, p = part.m, part.p
    gap, u = x - m[X], m[U]
    xx, xu, xa, xt = p[X][:BASE]
    _, uu, ua, ut = p[U][:BASE]
    xx = stay * xx + share * (fall.xx + stay * gap * gap)
    xu = stay * (xu - share * gap * u)
    uu = stay * uu + share * (u_var + stay * u * u)
    xa, xt, ua, ut = stay * xa, stay * xt, stay * ua, stay * ut
    x, u = m[X] + share * gap, stay * u
    third = part.third + share * (fall.third - part.third)
    if len(m) == BASE:
        at = p[A][THETA]
        cov = [[xx, xu, xa, xt], [xu, uu, ua, ut], [xa, ua, p[A][A], at], [xt, ut, at, p[THETA][THETA]]]
        return Part([x, u, m[A], m[THETA]], cov, part.ref, sound, failing, third, part.stray)
    x_row = [xx, xu, xa, xt, *[stay * value for value in p[X][BASE:]]]
    u_row = [xu, uu, ua, ut, *[stay * value for value in p[U][BASE:]]]
    rest = [[x_row[i], u_row[i], *p[i][A:]] for i in range(A, len(m))]
    return Part([x, u, *m[A:]], [x_row, u_row, *rest], part.ref, sound, failing, third, part.stray)


def shifted(mix: Mixture, by: Value) -> Mixture:
    """The belief after the log density moved by a known amount."""
    parts = [Part([m[X] + by, *m[1:]], p, *rest) for m, p, *rest in mix.parts]
    x, *rest = mix.fall
    return Mixture(tuple(parts), Fall(x + by, *rest))


def starved(mix: Mixture, by: Value, sd: Value) -> Mixture:
    """The belief after the log density of a sound culture moved by `by`, known to `sd`."""
    parts = []
    for part in mix.parts:
        (xx, *rest), *lines = part.p
        p = [[xx + sd * sd, *rest], *lines]
        parts.append(part._replace(m=[part.m[X] + by, *part.m[1:]], p=p))
    return Mixture(tuple(parts), mix.fall)


def counted(model: Model, mix: Mixture, tally: Tally, cv2: Value, c: Carrier) -> tuple[Mixture, Value, Value]:
    """The belief after a count whose aliquots scatter by `cv2` on top of Poisson.

    Returns it with the log-likelihood of the count and the probability that it was a miscount.
    """
    scatters = c.chosen([tally.scatter(cv * cv + cv2, c) for cv in model.scatters], model.which)
    heard = [
        _heard(model, part.m[X], part.p[X][X], part.third, tally, scatter, c)
        for part, scatter in zip(mix.parts, scatters, strict=True)
    ]
    f = mix.fall
    fallen = _heard(model, f.x, f.xx, f.third, tally, tally.scatter(model.failing_cv**2 + cv2, c), c)
    peak = c.least(c.peak([one.like for one in heard]), fallen.like)
    fail_like = c.exp(fallen.like - peak)
    sound = [part.sound * c.exp(one.like - peak) for part, one in zip(mix.parts, heard, strict=True)]
    failing = c.total([part.failing for part in mix.parts]) * fail_like
    total = c.total(sound) + failing
    bad = c.total([weight * one.bad for weight, one in zip(sound, heard, strict=True)]) + failing * fallen.bad
    fail_like = fail_like / total
    parts = []
    for part, one, weight in zip(mix.parts, heard, sound, strict=True):
        m, p = kernel.told(part.m, part.p, one.x, one.var)
        weights = c.least(weight / total, 1e-12), c.least(part.failing * fail_like, 1e-12)
        parts.append(Part(m, p, part.ref, *weights, one.third, part.stray))
    gain = f.xu / f.xx
    u, uu = f.u + gain * (fallen.x - f.x), f.uu - gain * gain * (f.xx - fallen.var)
    fall = Fall(fallen.x, u, fallen.var, gain * fallen.var, uu, fallen.third)
    return Mixture(tuple(parts), fall), c.log(total) + peak, bad / total


class Heard(NamedTuple):
    """A log density after a count: mean, variance, third moment; the log-likelihood and the chance of a slip."""

    x: Value
    var: Value
    third: Value
    like: Value
    bad: Value


def _heard(
    model: Model, x: Value, v: Value, third: Value, tally: Tally, scatter: tuple[Value, Value], c: Carrier
) -> Heard:
    """A log density (x, v, third) after a count, which as a miscount is right only within a broad factor."""
    z, s2, now, like = kernel.hear(x, v, third, tally, scatter, c)
    noise = model.miscount_var + 1.0 / tally.some
    spread = v + noise
    off = tally.log_n - tally.log_ml - x
    slipped = model.slip - 0.5 * (off * off / spread + c.log(spread)) - tally.log_n
    ratio = c.exp(c.most(slipped - like, 600.0))
    bad = ratio / (1.0 + ratio)
    step = x + off * v / spread - z
    var = s2 + bad * (v * noise / spread - s2) + bad * (1.0 - bad) * step * step
    keep = noise / spread
    now = now + bad * (third * (keep * keep * keep) - now)
    return Heard(z + bad * step, var, now, model.good + like + c.log(1.0 + ratio), bad)


def hinted(model: Model, mix: Mixture, steady: Value, swings: Value, c: Carrier) -> Mixture:
    """The belief after signs that are so many times as likely in a failing culture as in a sound one, see `signs`.

    Which alternatives are likelier is left to the counts.
    """
    parts = []
    for part, one in zip(mix.parts, model.alternatives, strict=True):
        ratio = one.swings * swings + (1.0 - one.swings) * steady
        failing = part.failing * ratio
        rest = (part.sound + part.failing) / (part.sound + failing)
        parts.append(part._replace(sound=part.sound * rest, failing=failing * rest))
    return Mixture(tuple(parts), mix.fall)


def shown(model: Model, mix: Mixture, k: int, departed: Value, var: Value, c: Carrier, told: Value = 1.0) -> Mixture:
    """The belief after a look, of error variance `var`, at a sign that may show growth; row `k` is its scale.

    Which alternatives are likelier is left to the counts. `told` is 0 where there was no look.
    """
    parts = []
    for part, one in zip(mix.parts, model.alternatives, strict=True):
        if one.shown is not False:
            here = told * one.shown
            way = one.delayed, one.swings
            m, p = kernel.soon(part.m, part.p, part.ref, model.eta, here * model.lead, c, *way)
            m, p, noise = kernel.shown(m, p, k, departed, var + part.stray, here)
            m, p = kernel.soon(m, p, part.ref, model.eta, -here * model.lead, c, *way)
            stray = part.stray + here * (model.stray_gain * (noise - var - part.stray))
            part = part._replace(m=m, p=p, stray=c.least(stray, model.least_stray))
        parts.append(part)
    return Mixture(tuple(parts), mix.fall)


def extended(model: Model, mix: Mixture, scales: Scales) -> Mixture:
    """The belief with one more sign, of a scale not yet told by any count."""
    parts = []
    for part, alternative in zip(mix.parts, model.alternatives, strict=True):
        n = len(part.m)
        scale, scale_sd = _scale(alternative, scales)
        p = [[*line, 0.0] for line in part.p]
        p.append([0.0] * n + [scale_sd * scale_sd])
        parts.append(part._replace(m=[*part.m, scale], p=p))
    return Mixture(tuple(parts), mix.fall)


def level(mix: Mixture) -> tuple[float, float]:
    """Mean and variance of the log density over the whole belief."""
    weights, means, variances = levels(mix)
    mean = sum(w * m for w, m in zip(weights, means, strict=True))
    return mean, sum(w * (v + (m - mean) ** 2) for w, m, v in zip(weights, means, variances, strict=True))


def levels(mix: Mixture) -> tuple[list[Value], list[Value], list[Value]]:
    """Weights (summing to 1), means and variances of the log density."""
    parts, fall = mix
    weights = [part.sound for part in parts]
    weights.append(mix.failing)
    total = sum(weights)
    means, variances = [part.m[X] for part in parts], [part.p[X][X] for part in parts]
    return [w / total for w in weights], [*means, fall.x], [*variances, fall.xx]


def components(mix: Mixture) -> Components:
    """What is believed of the log density."""
    weights, means, variances = levels(mix)
    thirds = [*[part.third for part in mix.parts], mix.fall.third]
    sds = [math.sqrt(v) for v in variances]
    return weights, means, sds, [t / (s * v) for t, s, v in zip(thirds, sds, variances, strict=True)]


def merged(mix: Mixture, volume: float, other: Mixture, other_volume: float) -> Mixture:
    """The belief after `other_volume` of another culture was stirred into `volume` of this one."""
    x, var = level(other)

    def mixed(own: float) -> tuple[float, float]:
        top = max(own, x)
        mine, theirs = volume * math.exp(own - top), other_volume * math.exp(x - top)
        return top + math.log((mine + theirs) / (volume + other_volume)), mine / (mine + theirs)

    parts = []
    for part in mix.parts:
        at, share = mixed(part.m[X])
        p = [list(line) for line in part.p]
        for i in range(len(p)):
            p[X][i] *= share
        for i in range(len(p)):
            p[i][X] *= share
        p[X][X] += (1.0 - share) ** 2 * var
        parts.append(part._replace(m=[at, *part.m[1:]], p=p, third=share**3 * part.third))
    f = mix.fall
    at, share = mixed(f.x)
    fall = Fall(at, f.u, share * share * f.xx + (1.0 - share) ** 2 * var, share * f.xu, f.uu, share**3 * f.third)
    return Mixture(tuple(parts), fall)


def drifts(model: Model, mix: Mixture, push: list[Value], shows: list[Value], c: Carrier) -> tuple[Vector, Vector]:
    """Means and variances of the net growth rate now, per day, in the order of `levels`; departures as in `elapsed`."""
    eta, means, variances = model.eta, [], []
    for part, alternative in zip(mix.parts, model.alternatives, strict=True):
        m, by = part.m, _moving(alternative, push, shows)
        crowd = c.exp(c.most(eta * (m[X] - part.ref), 60.0))
        h = (crowd - 1.0) / eta
        theta = c.least(m[THETA], 0.0)
        f = [-theta * crowd, 1.0, 1.0, -h, *by]
        means.append(m[U] + m[A] - theta * h + added(map(mul, m[BASE:], by)))
        row = [added(map(mul, f, line)) for line in part.p]
        variances.append(added(map(mul, f, row)))
    return (*means, mix.fall.u), (*variances, mix.fall.uu)


LEAST_THETA = 0.25
"""Share of the usual strength of crowding below which it is not taken, or cultures would grow for ever."""
FARTHEST = 1.6
"""Log of the factor, five, up to which a vessel's ceiling may be told from the strain's usual one."""


def standstill(model: Model, part: Part, alternative: Alternative) -> tuple[float, float, float]:
    """Log of the density at which one alternative's growth would stop, or about which it swings.

    With it, by how much it moves for each unit of `a` and of `theta`.
    """
    theta, a = max(part.m[THETA], LEAST_THETA * alternative.theta), part.m[A]
    whole = theta * alternative.in_time
    crowd = max(1.0 + model.eta * a / whole, 0.1)
    by_a = 1.0 / (whole * crowd)
    return part.ref + math.log(crowd) / model.eta, by_a, -by_a * a / theta


def possible(at: float, usual: float) -> float:
    """The log of a ceiling, `FARTHEST` from the strain's usual one at most."""
    return min(max(at, usual - FARTHEST), usual + FARTHEST)


def turn(model: Model, part: Part, alternative: Alternative) -> tuple[float, float, float]:
    """Log of the days that a small swing takes from crest to crest, with the same of it, in an alternative that swings.

    There delayed crowding pulls density back, and about its balance `delayed (theta + eta a)` times as much as it is
    off: an oscillator without damping.
    """
    theta = max(part.m[THETA], LEAST_THETA * alternative.theta)
    crowding = max(theta + model.eta * part.m[A], 0.1 * theta)
    at = math.log(2.0 * math.pi) - 0.5 * math.log(alternative.delayed * crowding)
    return at, -0.5 * model.eta / crowding, -0.5 / crowding


def ceiling(model: Model, mix: Mixture, usual: float) -> float:
    """Log of the density at which growth would stop, over all alternatives."""
    total = sum(part.sound for part in mix.parts)
    pairs = zip(mix.parts, model.alternatives, strict=True)
    return float(sum(part.sound * possible(standstill(model, part, one)[0], usual) for part, one in pairs) / total)
