"""Log density and net growth rate of one vessel as a Gaussian that moves in continuous time.

    dx = (r - THETA (x - ceiling)) dt + noise        x  log of animals per mL
    dr = -PHI (r - usual) dt + noise                 r  growth rate apart from crowding, per day

Both revert, so that the belief stays finite over any gap. Counts enter with their own likelihood (negative binomial)
through the mode of the posterior, so a count of nothing needs no log of zero.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackview.science.state.growth import Prior

THETA = 0.05
PHI = 0.2
LEVEL_NOISE = 0.01
USUAL = 0.3
"""Share of a strain's growth that crowding and care leave over in a working culture."""
MIXING = 0.02
"""Variance of log density between the sample and the vessel: pipetting, mixing, patches."""


@dataclass(frozen=True, slots=True)
class Gauss:
    """Means of x and r with their variances and covariance."""

    x: float
    r: float
    xx: float
    xr: float
    rr: float


def fresh(prior: Prior, log_density: float, sd: float) -> Gauss:
    """A vessel freshly filled at a log density known to `sd`."""
    return Gauss(log_density, prior.rate * USUAL, sd * sd, 0.0, prior.spread**2)


def predict(state: Gauss, prior: Prior, days: float) -> Gauss:
    """The belief `days` later."""
    if days <= 0.0:
        return state
    a, b = math.exp(-THETA * days), math.exp(-PHI * days)
    c = (a - b) / (PHI - THETA)
    usual = prior.rate * USUAL
    home = prior.ceiling - 0.5
    rr = prior.spread**2
    xr = rr / (THETA + PHI)
    xx = (xr + LEVEL_NOISE / 2) / THETA
    dx, dr = state.x - home, state.r - usual
    vxx, vxr, vrr = state.xx - xx, state.xr - xr, state.rr - rr
    return Gauss(
        home + a * dx + c * dr,
        usual + b * dr,
        xx + a * a * vxx + 2 * a * c * vxr + c * c * vrr,
        xr + b * (a * vxr + c * vrr),
        rr + b * b * vrr,
    )


def shift(state: Gauss, by: float) -> Gauss:
    """The belief after the log density moved by a known amount."""
    return Gauss(state.x + by, state.r, state.xx, state.xr, state.rr)


def merge(state: Gauss, volume: float, other: Gauss, other_volume: float) -> Gauss:
    """The belief after `other_volume` of another culture was stirred into `volume` of this one."""
    top = max(state.x, other.x)
    own = volume * math.exp(state.x - top)
    their = other_volume * math.exp(other.x - top)
    w = own / (own + their)
    v = 1.0 - w
    return Gauss(
        top + math.log((own + their) / (volume + other_volume)),
        w * state.r + v * other.r,
        w * w * state.xx + v * v * other.xx,
        w * w * state.xr + v * v * other.xr,
        w * w * state.rr + v * v * other.rr + w * v * (state.r - other.r) ** 2,
    )


def update(state: Gauss, animals: int, looked_at_ml: float) -> Gauss:
    """The belief after `animals` were counted in `looked_at_ml` of culture."""
    size = 1.0 / MIXING
    m, s = state.x, state.xx
    log_ml = math.log(looked_at_ml)
    z = m if animals == 0 else 0.5 * (m + math.log(animals) - log_ml)
    for _ in range(50):
        mean = math.exp(min(z + log_ml, 600.0))
        share = mean / (mean + size)
        slope = animals - (animals + size) * share - (z - m) / s
        bend = (animals + size) * share * (1.0 - share) + 1.0 / s
        step = max(-2.0, min(2.0, slope / bend))
        z += step
        if abs(step) < 1e-12:
            break
    mean = math.exp(min(z + log_ml, 600.0))
    share = mean / (mean + size)
    information = (animals + size) * share * (1.0 - share)
    gain = information / (1.0 + information * s)
    return Gauss(
        z,
        state.r + state.xr * (z - m) / s,
        s - s * s * gain,
        state.xr - state.xr * s * gain,
        state.rr - state.xr * state.xr * gain,
    )
