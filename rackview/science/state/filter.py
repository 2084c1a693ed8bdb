"""One filter for the log densities of many vessels at once: arrays over state, components and vessels.

The state of a component is X, the log of animals per mL, U, passing growth, A, lasting growth at the component's
reference density, and THETA, the strength of crowding, with their covariance: means and the ten different covariances
are the 14 rows of one array of shape (14, components, vessels). A sound culture grows at

    f (A - THETA h(X - ref)) + U    per day, with h(d) = (exp(eta d) - 1) / eta

where f is how growth goes with temperature. Each sound component has a twin that collapses: there X moves by U alone,
while A and THETA stay as they were learned. Functions return new arrays and never change what they are given.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state.model import ALL, SOUND, Flags, Model

X, U, A, THETA = range(4)
XX, XU, XA, XT, UU, UA, UT, AA, AT, TT = range(4, 14)
ROWS = 14
FIRST = np.array([X, X, X, X, U, U, U, A, A, THETA])
SECOND = np.array([X, U, A, THETA, U, A, THETA, A, THETA, THETA])
"""The two rows of which a covariance is, in the order of XX to TT."""
SYMMETRIC = np.array([[XX, XU, XA, XT], [XU, UU, UA, UT], [XA, UA, AA, AT], [XT, UT, AT, TT]])
"""The rows of the covariances as a matrix."""

BLOCKS = slice(0, 4), slice(4, 7), slice(7, 9), slice(9, 10)
"""Where the covariances of X, U, A and THETA with what is not before them stand among all ten."""
SMALL = 1200
"""Numbers in a row up to which fewer calls cost less than fewer copies."""
ACCOUNTS = 3
"""How many accounts there are of a count."""
THIRD, STIRLING = 1.0 / 3.0, (1.0 / 12.0, 1.0 / 360.0)
"""Of Simpson's rule over a step; of Stirling's series (Abramowitz & Stegun 1964, 6.1.40)."""
LOG_2PI = float(np.log(2.0 * np.pi))


class State(NamedTuple):
    """The belief: `s` (14, components, vessels), weights `w` and references `ref` (components, vessels)."""

    s: Array
    w: Array
    ref: Array


class Heard(NamedTuple):
    """A belief after a count, its log-likelihood, and its chances to be a slip and to follow a shift."""

    state: State
    like: Array
    slip: Array
    shift: Array


def clip(values: Array, low: float, high: float) -> Array:
    """Values held within limits: numpy's own takes twice as long for a few."""
    found: Array = np.minimum(np.maximum(values, low), high)
    return found


def where(which: Flags, one: State, other: State) -> State:
    """The one belief of some vessels, the other of the others."""
    return State(*(np.where(which, a, b) for a, b in zip(one, other, strict=True)))


def products(a: Array, b: Array) -> Array:
    """What covariances are made of: the products of row by row of two arrays (4, ...), in the order of XX to TT."""
    if b[0].size < SMALL:
        found = a.take(FIRST, 0)
        found *= b.take(SECOND, 0)
        return found
    found = np.empty((len(FIRST), *b.shape[1:]))
    for row, rows in zip(a, BLOCKS, strict=True):
        np.multiply(b[rows.start - rows.stop :], row, out=found[rows])
    return found


def times(s: Array, by: Array) -> Array:
    """The matrix of covariances times four rows `by`, (4, components, vessels)."""
    found = np.empty_like(by)
    x, u, a, theta = by
    found[X] = np.add.reduce(s[XX:UU] * by, 0)
    found[U] = s[XU] * x + np.add.reduce(s[UU:AA] * by[U:], 0)
    found[A] = s[XA] * x + s[UA] * u + s[AA] * a + s[AT] * theta
    found[THETA] = s[XT] * x + s[UT] * u + s[AT] * a + s[TT] * theta
    return found


def begin(model: Model, x: Array, var: Array, reference: float) -> State:
    """Cultures begun at log densities `x` known to `var`, with what is usual for the strain; `reference` as `x`."""
    n = len(x)
    s = np.zeros((ROWS, ALL, n))
    s[X], s[U], s[A], s[THETA] = x, model.u_mean, model.rate, model.theta
    s[XX], s[UU], s[AA], s[TT] = var, model.u_sd**2, model.rate_sd**2, model.theta_sd**2
    ref = np.where(model.own, x + model.room, reference + model.off)
    return State(s, np.repeat(model.weight, n, axis=1), ref)


def restarted_state(model: Model, learned: State, x: Array, var: Array) -> State:
    """Cultures begun at log densities `x` in vessels whose growth and crowding are known from before."""
    s = learned.s.copy()
    s[[XU, XA, XT, UA, UT]] = 0.0
    s[X], s[U], s[XX], s[UU] = x, model.u_mean, var, model.u_sd**2
    both = learned.w[:SOUND] + learned.w[SOUND:]
    return State(s, np.concatenate([both * (1.0 - model.unsound), both * model.unsound]), learned.ref)


def referred(model: Model, state: State, x: Array) -> State:
    """The belief after a first count of `x`, from which the components of the vessel's own scale take their place."""
    return state._replace(ref=np.where(model.own, x + model.room, state.ref))


def ceilings(model: Model, state: State) -> Array:
    """Log densities at which growth stops, (components, vessels)."""
    room = 1.0 + model.eta * state.s[A] / np.maximum(state.s[THETA], c.LEAST_THETA)
    found: Array = state.ref + np.log(np.maximum(room, c.LEAST_ROOM)) / model.eta
    return found


def switch_regime(model: Model, state: State, dt: Array, hazard: Array) -> State:
    """The mixing step of interacting multiple models (Blom & Bar-Shalom 1988, IEEE Trans. Autom. Control 33:780-783).

    Collapses begin at `hazard` per day or, where that is below 0, at the usual rate. U is each regime's own: it comes
    to a component with its usual mean and spread, and tells nothing of the other rows.
    """
    s, w, ref = state
    rate = np.where(hazard >= 0.0, hazard, model.fail)
    sound, failing = w[:SOUND], w[SOUND:]
    come = np.empty_like(w)
    come[:SOUND] = failing * (1.0 - np.exp(-model.mend * dt))
    come[SOUND:] = sound * (1.0 - np.exp(-rate * dt))
    w = w + come
    w[:SOUND] -= come[SOUND:]
    w[SOUND:] -= come[:SOUND]
    share = come / np.maximum(w, c.TINY)
    gap = np.empty_like(s)
    np.subtract(s[:, SOUND:], s[:, :SOUND], out=gap[:, :SOUND])
    np.negative(gap[:, :SOUND], out=gap[:, SOUND:])
    gap[U], gap[XU], gap[UU] = model.u_mean - s[U], -s[XU], model.u_var - s[UU]
    np.negative(s[UA:AA], out=gap[UA:AA])
    apart = products(gap[:4], gap[:4])
    gap *= share
    gap += s
    apart *= share * (1.0 - share)
    gap[4:] += apart
    return State(gap, w, ref)


def predict(model: Model, state: State, dt: Array, warmth: Array, hazard: Array | float = -1.0) -> State:
    """The belief `dt` days later, at most one each; `warmth` is how growth goes with temperature, 1 where it is usual.

    With growth and crowding constant the equation is solved exactly; what a spread loses to the bend of crowding is
    reckoned to second order.
    """
    dt = np.maximum(dt, 1e-9)
    s, w, ref = switch_regime(model, state, dt, np.asarray(hazard))  # an array of its own, so it may be changed
    eta, f, phi = model.eta, model.grows * warmth, model.phi
    keep = np.exp(-phi * dt)
    lag = (1.0 - keep) / phi
    even = lag / dt
    passing = s[U] - model.u_mean
    crowd = np.exp(np.minimum(eta * (s[X] - ref), c.MOST_CROWDED))
    strength = f * np.maximum(s[THETA], c.SURE)
    k = eta * (f * s[A] + model.u_mean + passing * even) + strength
    np.copyto(k, 1e-6, where=np.abs(k) < 1e-6)
    decay = np.exp(clip(-k * dt, -c.MOST_DECAY, c.MOST_DECAY))
    g = (1.0 - decay) / k
    pressed = strength * crowd
    z = decay + pressed * g
    late = dt * decay
    by = np.empty((XX, *z.shape))
    by[X] = by_x = decay / z
    by_rate = (late + pressed * ((g - late) / k)) / z
    by[U], by[A], by[THETA] = by_rate * even, by_rate * f, f * (by_rate - g * crowd / z) / eta
    to = times(s, by)
    wandered = model.u_noise * (dt - lag - 0.5 * phi * lag * lag) / (phi * phi) + model.walk_var * dt
    bent = eta * by_x * (1.0 - by_x)
    s[X] = clip(s[X] - np.log(z) / eta - 0.5 * bent * np.minimum(s[XX], c.MOST_BENT), c.LOWEST, c.HIGHEST)
    s[U] = model.u_mean + passing * keep
    s[XX] = var = np.add.reduce(by * to, 0) + wandered * ((1.0 + by_x + by_x * by_x) * THIRD)
    noise = 0.5 * model.u_noise * lag
    s[XU] = keep * to[U] + noise * lag * by_x
    s[XA:UU] = to[A:]
    s[UU] = keep * keep * s[UU] + noise * (1.0 + keep)
    s[UA:AA] *= keep
    s[AA] += model.rate_var * dt
    s[TT] += model.theta_var * dt
    if var.max() > c.WIDEST:
        shrink = np.sqrt(np.minimum(c.WIDEST / var, 1.0))
        s[XX:UU] *= shrink
        s[XX] *= shrink
    return State(s, w, ref)


def shifted(state: State, by: Array) -> State:
    """The belief after log densities moved by known amounts."""
    s = state.s.copy()
    s[X] += by
    return state._replace(s=s)


def starved(model: Model, state: State, by: Array, sd: Array) -> State:
    """The belief after the log densities of sound cultures moved by `by`, known to `sd`."""
    s = state.s.copy()
    s[X] += model.grows * by
    s[XX] += model.grows * (sd * sd)
    return state._replace(s=s)


def merged_states(state: State, own: float, other: State, moved: float) -> State:
    """The belief after `moved` litres of another vessel's culture were stirred into `own` litres; one vessel each.

    Densities add by volume; the log is linearised at the means, the other's as one normal distribution.
    """
    x, var = mean_and_variance(other)
    a, b = own * np.exp(state.s[X]), moved * np.exp(x)
    share = a / np.maximum(a + b, c.TINY)
    s = state.s.copy()
    s[X] = np.clip(np.log(np.maximum((a + b) / (own + moved), c.TINY)), c.LOWEST, c.HIGHEST)
    s[XX:UU] *= share
    s[XX] = s[XX] * share + (1.0 - share) ** 2 * var
    return state._replace(s=s)


def mean_and_variance(state: State) -> tuple[Array, Array]:
    """Mean and variance of the log density over all components, of each vessel."""
    x = (state.w * state.s[X]).sum(0)
    return x, (state.w * (state.s[XX] + (state.s[X] - x) ** 2)).sum(0)


def hinted(model: Model, state: State, log_odds: Array) -> State:
    """The belief after signs that are exp(log_odds) times as likely in a collapse as in a sound culture."""
    w = state.w.copy()
    w[SOUND:] *= np.exp(log_odds)
    w /= np.add.reduce(w, 0)
    return state._replace(w=w)


def growth(model: Model, state: State, warmth: Array) -> tuple[Array, Array]:
    """Growth per day of each component, and its derivatives to the four rows (4, components, vessels)."""
    s, eta = state.s, model.eta
    f = model.grows * warmth
    crowd = np.exp(np.minimum(eta * (s[X] - state.ref), c.MOST_CROWDED))
    to = np.empty((XX, *crowd.shape))
    to[X], to[U], to[A], to[THETA] = -f * s[THETA] * crowd, 1.0, f, f * (1.0 - crowd) / eta
    return f * s[A] + s[THETA] * to[THETA] + s[U], to


def spread_of(state: State, to: Array) -> Array:
    """Variance of what goes with the four rows by the derivatives `to` (4, components, vessels)."""
    found: Array = np.add.reduce(to * times(state.s, to), 0)
    return found


def update_sign(model: Model, state: State, warmth: Array, off: Array, scale: float, var: Array) -> tuple[State, Array]:
    """The belief after a look at what growth brings about: `off` = scale x growth + noise of variance `var`.

    Only sound components hear it. Returns it with the growth that was expected of a sound culture.
    """
    now, to = growth(model, state, warmth)
    s = state.s
    cov = times(s, to)
    gain = model.grows * scale / (scale * scale * np.add.reduce(to * cov, 0) + var)
    found = s.copy()
    found[:4] += gain * (off - scale * now) * cov
    found[4:] -= (scale * gain) * products(cov, cov)
    sound = state.w[:SOUND]
    return state._replace(s=found), np.add.reduce(sound * now[:SOUND], 0) / np.add.reduce(sound, 0)


def update_count(model: Model, state: State, n: Array, ml: Array, cv2: Array, slip: Array, shifts: Array) -> Heard:
    """The belief after `n` animals were counted in `ml` mL, in aliquots that scatter by `cv2` on top of Poisson.

    Three accounts of a count are weighed: it is right; it is a slip, with chance `slip` and right within a broad factor
    only; or, with chance `shifts`, the density has shifted at one stroke, by a harvest that nobody wrote down or a
    spill, which tells nothing of growth. Each component is then one normal distribution again (moment matching).
    """
    s = state.s
    x, v = s[X], s[XX]
    some, log_ml = n + 0.5, np.log(ml)
    log_some = np.log(some)
    off = log_some - log_ml - x
    noise = model.scatter_var + cv2
    means, variances, log = (np.empty((ACCOUNTS, *x.shape)) for _ in range(ACCOUNTS))
    means[0], variances[0], log[0] = hear(x, v, n, log_ml, 1.0 / noise)
    log[0] += np.log(1.0 - slip - shifts)
    broad = model.slip_var + 1.0 / some
    wide = v + broad
    means[1], variances[1] = x + off * v / wide, v * broad / wide
    log[1] = _bell(off, wide) + (np.log(slip) - log_some)
    noise, moved = noise + 1.0 / some, v + model.shift_var
    wide, off = moved + noise, off - model.shift
    means[2], variances[2] = log_some - log_ml - off * noise / wide, moved * noise / wide
    log[2] = _bell(off, wide) + (np.log(shifts) - log_some)
    peak = np.maximum.reduce(log, 0)
    log -= peak
    chances = np.exp(log, out=log)
    total = np.add.reduce(chances, 0)
    chances /= total
    parts = chances * means
    known = chances[0] + chances[1]
    told = parts[0] + parts[1]
    mean = told + parts[2]
    told = told / np.maximum(known, c.TINY)
    means -= mean
    means *= means
    variances += means
    parts = np.multiply(chances, variances, out=variances)
    var = np.add.reduce(parts, 0)
    left = parts[0] + parts[1] - known * (told - mean) ** 2  # about `told`, of the accounts that tell of growth
    step = known * (told - x)
    left += known * (told - x - step) ** 2 + (1.0 - known) * (v + step * step)
    by = s[XX:UU] / v
    found = s.copy()
    found[:4] += by * step
    by_all = products(by, by)
    by_all *= v - left
    found[4:] -= by_all
    found[X], found[XX] = mean, var
    found[XU:UU] = by[U:] * np.minimum(np.minimum(var, v), np.sqrt(var * left))  # no more, or it were no covariance
    like = peak + np.log(total)
    best = np.maximum.reduce(like, 0)
    w = state.w * np.exp(like - best)
    total = np.add.reduce(w, 0)
    w = np.maximum(w / total, c.LEAST_CHANCE)
    odd = np.add.reduce(w * chances[1:], 1)
    return Heard(State(found, w / np.add.reduce(w, 0), state.ref), np.log(total) + best, odd[0], odd[1])


def _bell(off: Array, var: Array) -> Array:
    """Log of a normal density."""
    return -0.5 * (off * off / var + np.log(var) + LOG_2PI)


def hear(x: Array, v: Array, n: Array, log_ml: Array, size: Array) -> tuple[Array, Array, Array]:
    """Mode, variance and log-likelihood of a log density (x, v) after a negative-binomial count of exponent `size`.

    Laplace's approximation; Newton's method finds the mode, so a count of nothing needs no logarithm of zero.
    """
    some, sure, both, there = n + 0.5, 1.0 / v, n + size, x + log_ml
    heard = some * size / (some + size)
    off = heard / (heard + sure) * (np.log(some) - there)
    for _ in range(c.NEWTON_STEPS):
        mean = np.exp(np.minimum(there + off, c.MOST_LOG))
        share = mean / (size + mean)
        seen = both * share
        step = (n - seen - off * sure) / (seen * (1.0 - share) + sure)
        off = off + clip(step, -c.NEWTON_MOST, c.NEWTON_MOST)
    eta = there + off
    mean = np.exp(np.minimum(eta, c.MOST_LOG))
    whole = size + mean
    share = mean / whole
    s2 = 1.0 / (both * share * (1.0 - share) + sure)
    like = stirling(both) - stirling(size) - log_gamma(n + 1.0) + n * (eta - 1.0) + both * np.log(both / whole)
    like += 0.5 * (np.log(size * sure * s2 / both) - off * off * sure)
    return x + off, s2, like


def log_gamma(x: Array) -> Array:
    """Logarithm of the gamma function by Stirling's series, from 1 on within 6e-4.

    Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 6.1.40.
    """
    return (x - 0.5) * np.log(x) - x + (0.5 * LOG_2PI) + stirling(x)


def stirling(x: Array) -> Array:
    """What Stirling's series adds to his formula."""
    part = 1.0 / x
    return part * (STIRLING[0] - part * part * STIRLING[1])
