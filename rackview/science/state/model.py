"""The numbers of the model: what is assumed of a culture before it has told anything.

Three sound components, each with a twin that collapses; arrays have one row for each of the six and one column, so that
they stand beside arrays over vessels. docs/estimate.md says where each number comes from and what a tenth more does.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from rackview.science.limits import Array
from rackview.science.state import constants as c

Flags = NDArray[np.bool_]

SOUND, ALL = 3, 6
"""How many components are sound, and how many there are with their collapsing twins."""


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The numbers for one pace of life. Rates are per day, spreads are variances.

    `pace` is that of life against the usual rotifer; `grows` is 1 for a sound component and 0 for its twin. `eta` bends
    crowding: 0 Gompertz, 1 logistic. `own` says that a component takes its reference from the vessel's first count,
    `room` above it; the others stand `off` from the strain's ceiling. `u_mean`, `u_var` and `phi` are the level, spread
    and fading of passing growth, `walk` what the log density wanders by itself, `scatter` that between sample and
    vessel. `rate` and `theta` are lasting growth at the reference and crowding, with their spreads and drifts.
    A collapse begins at `fail` and ends at `mend`. `births` are those that eggs show, per day, where nothing grows.
    """

    pace: float
    weight: Array
    grows: Array
    own: Flags
    eta: Array
    room: Array
    off: Array
    u_mean: Array
    u_var: Array
    phi: Array
    walk: Array
    scatter: Array
    rate: Array
    rate_var: Array
    rate_drift: Array
    theta: Array
    theta_var: Array
    theta_drift: Array
    fail: float
    mend: float
    births: float


@cache
def paced(pace: float) -> Model:
    """The model for a strain that grows `pace` times as fast as the usual rotifer: what is slow is small in a day."""
    even = pace * min(pace, 1.0) ** 0.5
    falls = np.arange(ALL)[:, None] >= SOUND
    share = np.array(c.WEIGHTS) / sum(c.WEIGHTS)
    theta = pace * _both(c.THETA)
    return Model(
        pace=pace,
        weight=np.concatenate([share * (1.0 - c.UNSOUND), share * c.UNSOUND])[:, None],
        grows=np.where(falls, 0.0, 1.0),
        own=_both(c.OWN) > 0.0,
        eta=_both(c.ETA),
        room=_both(c.ROOM),
        off=_both(c.OFF),
        u_mean=np.where(falls, c.FALL * pace**0.5, 0.0),
        u_var=np.where(falls, c.FALL_SD, even * _both(c.GROWTH_SD)) ** 2,
        phi=np.where(falls, c.FALL_PHI, _both(c.PHI)),
        walk=np.where(falls, c.FALL_WALK, pace * _both(c.WALK)) ** 2,
        scatter=np.where(falls, c.FALL_SCATTER, _both(c.SCATTER)) ** 2,
        rate=pace * _both(c.RATE),
        rate_var=(pace * _both(c.RATE_SD)) ** 2,
        rate_drift=(pace * _both(c.RATE_WALK)) ** 2,
        theta=theta,
        theta_var=(_both(c.THETA_CV) * theta) ** 2,
        theta_drift=(pace * _both(c.THETA_WALK)) ** 2,
        fail=c.FAIL,
        mend=c.MEND,
        births=pace * c.BIRTHS,
    )


def _both(values: tuple[float, ...]) -> Array:
    """A column for the sound components and, the same, for their twins."""
    return np.array([*values, *values])[:, None]


def pace_of(rate: float) -> float:
    """How fast a strain that grows at `rate` per day lives, against the usual rotifer."""
    return min(max(rate / c.PACE, c.LEAST_PACE), c.MOST_PACE)
