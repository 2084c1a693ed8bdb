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
from rackview.science.state.model import ALL, SOUND, Model

X, U, A, THETA = range(4)
XX, XU, XA, XT, UU, UA, UT, AA, AT, TT = range(4, 14)
ROWS = 14
FIRST = [X, X, X, X, U, U, U, A, A, THETA]
SECOND = [X, U, A, THETA, U, A, THETA, A, THETA, THETA]
"""The two rows of which a covariance is, in the order of XX to TT."""
X_ROW, U_ROW, A_ROW, T_ROW = [XX, XU, XA, XT], [XU, UU, UA, UT], [XA, UA, AA, AT], [XT, UT, AT, TT]
BY_ROW = X_ROW, U_ROW, A_ROW, T_ROW
SYMMETRIC = np.array(BY_ROW)
"""The rows of the covariances as a matrix."""
TWIN = [*range(SOUND, ALL), *range(SOUND)]

LOWEST, HIGHEST = -12.0, 16.1
"""Logs of the least density that is told from none, an animal in two hundred litres, and of the greatest."""
WIDEST = 6.0
"""Largest variance of log density: a factor of 60 either way at 90 %; more would say nothing more."""
LEAST_WEIGHT = 1e-12
MOST_CROWDED = 4.0
"""Largest eta d that is reckoned with: no culture is fifty times too dense for days."""
LOG_2PI = float(np.log(2.0 * np.pi))
SURE = 1e-3
"""Least strength of crowding, per day."""


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


def between(values: Array, low: float, high: float) -> Array:
    """Values held within limits: numpy's own takes four times as long for a few."""
    found: Array = np.minimum(np.maximum(values, low), high)
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
    room = 1.0 + model.eta * state.s[A] / np.maximum(state.s[THETA], 0.02)
    found: Array = state.ref + np.log(np.maximum(room, 0.05)) / model.eta
    return found


def switch_regime(model: Model, state: State, dt: Array, hazard: Array) -> State:
    """The mixing step of interacting multiple models (Blom & Bar-Shalom 1988, IEEE Trans. Autom. Control 33:780-783).

    Collapses begin at `hazard` per day or, where that is below 0, at the usual rate.
    """
    hazard = np.where(hazard >= 0.0, hazard, model.fail)
    leave = 1.0 - np.exp(-dt * np.where(model.failing, model.mend, hazard))
    out = state.w * leave
    come = out[TWIN]
    w = state.w - out + come
    share = come / np.maximum(w, 1e-300)
    other = state.s[:, TWIN]
    other[U], other[XU], other[UU], other[UA:AA] = model.u_mean, 0.0, model.u_sd**2, 0.0
    gap = other[:4] - state.s[:4]
    s = state.s + share * (other - state.s)
    s[4:] += share * (1.0 - share) * (gap[FIRST] * gap[SECOND])
    return State(s, w, state.ref)


def predict(model: Model, state: State, dt: Array, warmth: Array, hazard: Array | float = -1.0) -> State:
    """The belief `dt` days later, at most one each; `warmth` is how growth goes with temperature, 1 where it is usual.

    With growth and crowding constant the equation is solved exactly; what a spread loses to the bend of crowding is
    reckoned to second order.
    """
    dt = np.maximum(dt, 1e-9)
    s, w, ref = switch_regime(model, state, dt, np.asarray(hazard))
    eta, f = model.eta, np.where(model.failing, 0.0, warmth)
    phi = model.phi
    keep = np.exp(-phi * dt)
    lag = (1.0 - keep) / phi
    crowd = np.exp(np.minimum(eta * (s[X] - ref), MOST_CROWDED))
    strength = f * np.maximum(s[THETA], SURE)
    drift = f * s[A] + model.u_mean + (s[U] - model.u_mean) * (lag / dt)
    k = eta * drift + strength
    k = np.where(np.abs(k) < 1e-6, 1e-6, k)
    decay = np.exp(between(-k * dt, -30.0, 30.0))
    g = (1.0 - decay) / k
    z = decay + strength * g * crowd
    by_x = decay / z
    by_rate = (dt * decay + strength * crowd * ((g - dt * decay) / k)) / z
    by = np.empty((4, *z.shape))
    by[X], by[U], by[A], by[THETA] = by_x, by_rate * (lag / dt), by_rate * f, f * (by_rate - g * crowd / z) / eta
    to_x, to_u, to_a, to_t = (by[0] * s[i] + by[1] * s[j] + by[2] * s[k] + by[3] * s[m] for i, j, k, m in BY_ROW)
    noise = 2.0 * phi * model.u_sd**2
    spread = noise * (dt - lag - 0.5 * phi * lag * lag) / phi**2 + model.walk**2 * dt
    found = np.empty_like(s)
    bent = eta * by_x * (1.0 - by_x)
    found[X] = between(s[X] - np.log(z) / eta - 0.5 * bent * np.minimum(s[XX], 2.5), LOWEST, HIGHEST)
    found[U] = model.u_mean + (s[U] - model.u_mean) * keep
    found[A:XX] = s[A:XX]
    found[XX] = by[0] * to_x + by[1] * to_u + by[2] * to_a + by[3] * to_t + spread * (1.0 + by_x + by_x * by_x) / 3.0
    found[XU] = keep * to_u + 0.5 * noise * lag * lag * by_x
    found[XA], found[XT] = to_a, to_t
    found[UU] = keep * keep * s[UU] + 0.5 * noise * lag * (1.0 + keep)
    found[UA], found[UT] = keep * s[UA], keep * s[UT]
    found[AA], found[AT], found[TT] = s[AA] + model.rate_walk**2 * dt, s[AT], s[TT] + model.theta_walk**2 * dt
    over = found[XX] > WIDEST
    if over.any():
        shrink = np.where(over, np.sqrt(WIDEST / found[XX]), 1.0)
        found[XX:UU] *= shrink
        found[XX] *= shrink
    return State(found, w, ref)


def shifted(state: State, by: Array) -> State:
    """The belief after log densities moved by known amounts."""
    s = state.s.copy()
    s[X] += by
    return state._replace(s=s)


def starved(model: Model, state: State, by: Array, sd: Array) -> State:
    """The belief after the log densities of sound cultures moved by `by`, known to `sd`."""
    s, sound = state.s.copy(), np.logical_not(model.failing)
    s[X] += np.where(sound, by, 0.0)
    s[XX] += np.where(sound, sd * sd, 0.0)
    return state._replace(s=s)


def merged_states(state: State, own: float, other: State, moved: float) -> State:
    """The belief after `moved` litres of another vessel's culture were stirred into `own` litres; one vessel each.

    Densities add by volume; the log is linearised at the means, the other's as one normal distribution.
    """
    x, var = level(other)
    a, b = own * np.exp(state.s[X]), moved * np.exp(x)
    share = a / np.maximum(a + b, 1e-300)
    s = state.s.copy()
    s[X] = np.clip(np.log(np.maximum((a + b) / (own + moved), 1e-300)), LOWEST, HIGHEST)
    s[XX:UU] *= share
    s[XX] = s[XX] * share + (1.0 - share) ** 2 * var
    return state._replace(s=s)


def level(state: State) -> tuple[Array, Array]:
    """Mean and variance of the log density over all components, of each vessel."""
    x = (state.w * state.s[X]).sum(0)
    return x, (state.w * (state.s[XX] + (state.s[X] - x) ** 2)).sum(0)


def hinted(model: Model, state: State, log_odds: Array) -> State:
    """The belief after signs that are exp(log_odds) times as likely in a collapse as in a sound culture."""
    w = np.where(model.failing, state.w * np.exp(log_odds), state.w)
    return state._replace(w=w / w.sum(0))


def growth(model: Model, state: State, warmth: Array) -> tuple[Array, Array]:
    """Growth per day of each component, and its derivatives to the four rows (4, components, vessels)."""
    s, eta = state.s, model.eta
    f = np.where(model.failing, 0.0, warmth)
    crowd = np.exp(np.minimum(eta * (s[X] - state.ref), MOST_CROWDED))
    h = (crowd - 1.0) / eta
    return f * (s[A] - s[THETA] * h) + s[U], np.stack([-f * s[THETA] * crowd, np.ones_like(h), f + 0.0 * h, -f * h])


def spread_of(state: State, to: Array) -> Array:
    """Variance of what goes with the four rows by the derivatives `to` (4, components, vessels)."""
    found: Array = np.einsum("ikv,ijkv,jkv->kv", to, state.s[SYMMETRIC], to)
    return found


def update_sign(model: Model, state: State, warmth: Array, off: Array, scale: float, var: Array) -> tuple[State, Array]:
    """The belief after a look at what growth brings about: `off` = scale x growth + noise of variance `var`.

    Only sound components hear it. Returns it with the growth that was expected of a sound culture.
    """
    now, to = growth(model, state, warmth)
    s = state.s
    cov = np.einsum("ijkv,jkv->ikv", s[SYMMETRIC], to)
    whole = scale * scale * (to * cov).sum(0) + var
    gain = np.where(model.failing, 0.0, scale / whole)
    found = s.copy()
    found[:4] += gain * (off - scale * now) * cov
    found[4:] -= (scale * gain) * (cov[FIRST] * cov[SECOND])
    sound = state.w[:SOUND]
    return state._replace(s=found), (sound * now[:SOUND]).sum(0) / sound.sum(0)


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
    size = 1.0 / (model.scatter**2 + cv2)
    mode, own, like = hear(x, v, n, log_ml, size)
    noise = model.slip_var + 1.0 / some
    wide = v + noise
    slipped, slip_var = x + off * v / wide, v * noise / wide
    as_slip = np.log(slip) + _bell(off, wide) - log_some
    noise, moved = 1.0 / size + 1.0 / some, v + model.shift_var
    wide, off = moved + noise, off - model.shift
    jumped, jump_var = log_some - log_ml - off * noise / wide, moved * noise / wide
    as_jump = np.log(shifts) + _bell(off, wide) - log_some
    as_right = np.log(1.0 - slip - shifts) + like
    peak = np.maximum(as_right, np.maximum(as_slip, as_jump))
    right, as_slip, as_jump = np.exp(as_right - peak), np.exp(as_slip - peak), np.exp(as_jump - peak)
    total = right + as_slip + as_jump
    right, as_slip, as_jump = right / total, as_slip / total, as_jump / total
    known = right + as_slip
    told = right * mode + as_slip * slipped
    mean = told + as_jump * jumped
    told = told / np.maximum(known, 1e-300)
    left = right * (own + (mode - told) ** 2) + as_slip * (slip_var + (slipped - told) ** 2)
    var = left + known * (told - mean) ** 2 + as_jump * (jump_var + (jumped - mean) ** 2)
    step = known * (told - x)
    left = left + known * (told - x - step) ** 2 + (1.0 - known) * (v + step * step)
    by = s[XX:UU] / v
    found = s.copy()
    found[:4] += by * step
    found[4:] -= (v - left) * (by[FIRST] * by[SECOND])
    found[X] = mean
    found[XU:UU] = s[XU:UU] * np.minimum(var / v, 1.0)
    found[XX] = var
    like = peak + np.log(total)
    best = like.max(0)
    w = state.w * np.exp(like - best)
    total = w.sum(0)
    w = np.maximum(w / total, LEAST_WEIGHT)
    after = State(found, w / w.sum(0), state.ref)
    return Heard(after, np.log(total) + best, (w * as_slip).sum(0), (w * as_jump).sum(0))


def _bell(off: Array, var: Array) -> Array:
    """Log of a normal density."""
    return -0.5 * (off * off / var + np.log(var) + LOG_2PI)


def hear(x: Array, v: Array, n: Array, log_ml: Array, size: Array) -> tuple[Array, Array, Array]:
    """Mode, variance and log-likelihood of a log density (x, v) after a negative-binomial count of exponent `size`.

    Laplace's approximation; Newton's method finds the mode, so a count of nothing needs no logarithm of zero.
    """
    some, sure, both = n + 0.5, 1.0 / v, n + size
    heard = some * size / (some + size)
    off = heard / (heard + sure) * (np.log(some) - log_ml - x)
    for _ in range(3):
        share = 1.0 / (1.0 + size * np.exp(np.minimum(-(x + off + log_ml), 60.0)))
        seen = both * share
        off = off + between((n - seen - off * sure) / (seen * (1.0 - share) + sure), -1.5, 1.5)
    eta = x + off + log_ml
    mean = np.exp(np.minimum(eta, 60.0))
    share = mean / (size + mean)
    s2 = 1.0 / (both * share * (1.0 - share) + sure)
    constant = size * np.log(size) + log_gamma(both) - log_gamma(size) - log_gamma(n + 1.0)
    like = constant + n * eta - both * np.log(size + mean) - 0.5 * off * off * sure + 0.5 * np.log(s2 * sure)
    return x + off, s2, like


def log_gamma(x: Array) -> Array:
    """Logarithm of the gamma function by Stirling's series, from 1 on within 6e-4.

    Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 6.1.40.
    """
    return (x - 0.5) * np.log(x) - x + 0.5 * LOG_2PI + 1.0 / (12.0 * x) - 1.0 / (360.0 * x**3)
