"""The numbers of the model: what is assumed of a culture before it has told anything.

Three sound components, each with a twin that collapses; arrays have one row for each of the six and one column, so that
they stand beside arrays over vessels. docs/estimate.md says where each number comes from and what a tenth more does.
"""

from __future__ import annotations

from dataclasses import field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from rackview.core.dataclass import dataclass
from rackview.science.limits import Array
from rackview.science.state import constants as c

Flags = NDArray[np.bool_]

SOUND, ALL = 3, 6
"""How many components are sound, and how many there are with their collapsing twins."""


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The numbers for one pace of life. Rates are per day, spreads are standard deviations.

    `pace` is that of life against the usual rotifer. `eta` bends crowding: 0 Gompertz, 1 logistic. `own` says
    that a component takes its reference from the vessel's first count, `room` above it; the others stand `off` from the
    strain's ceiling. `u_mean`,
    `u_sd` and `phi` are the level, spread and fading of passing growth, `walk` what the log density wanders by itself,
    `scatter` the coefficient of variation between sample and vessel. `rate` and `theta` are lasting growth at the
    reference and crowding, with their spreads and drifts. A collapse begins at `fail` and ends at `mend`. A slip is
    right within a log density of variance `slip_var`; `shifts` of all counts find the density moved at one stroke by
    `shift`, with variance `shift_var`. `births` are those that eggs show, per day, where nothing grows.
    """

    pace: float
    weight: Array
    failing: Flags
    own: Flags
    eta: Array
    room: Array
    off: Array
    u_mean: Array
    u_sd: Array
    phi: Array
    walk: Array
    scatter: Array
    rate: Array
    rate_sd: Array
    rate_walk: Array
    theta: Array
    theta_sd: Array
    theta_walk: Array
    fail: float
    mend: float
    unsound: float
    slip: float
    slip_var: float
    shifts: float
    shift: float
    shift_var: float
    births: float
    grows: Array = field(init=False)
    u_var: Array = field(init=False)
    u_noise: Array = field(init=False)
    walk_var: Array = field(init=False)
    scatter_var: Array = field(init=False)
    rate_var: Array = field(init=False)
    theta_var: Array = field(init=False)

    def __post_init__(self) -> None:
        """What follows from the numbers, once and not at every step: 1 where a culture grows, and variances."""
        for name, value in (
            ("grows", 1.0 - self.failing),
            ("u_var", self.u_sd**2),
            ("u_noise", 2.0 * self.phi * self.u_sd**2),
            ("walk_var", self.walk**2),
            ("scatter_var", self.scatter**2),
            ("rate_var", self.rate_walk**2),
            ("theta_var", self.theta_walk**2),
        ):
            object.__setattr__(self, name, value)


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
        failing=falls,
        own=_both(c.OWN) > 0.0,
        eta=_both(c.ETA),
        room=_both(c.ROOM),
        off=_both(c.OFF),
        u_mean=np.where(falls, c.FALL * pace**0.5, 0.0),
        u_sd=np.where(falls, c.FALL_SD, even * _both(c.GROWTH_SD)),
        phi=np.where(falls, c.FALL_PHI, _both(c.PHI)),
        walk=np.where(falls, c.FALL_WALK, pace * _both(c.WALK)),
        scatter=np.where(falls, c.FALL_SCATTER, _both(c.SCATTER)),
        rate=pace * _both(c.RATE),
        rate_sd=pace * _both(c.RATE_SD),
        rate_walk=pace * _both(c.RATE_WALK),
        theta=theta,
        theta_sd=_both(c.THETA_CV) * theta,
        theta_walk=pace * _both(c.THETA_WALK),
        fail=c.FAIL,
        mend=c.MEND,
        unsound=c.UNSOUND,
        slip=c.SLIP,
        slip_var=c.SLIP_VAR,
        shifts=c.SHIFTS,
        shift=c.SHIFT,
        shift_var=c.SHIFT_VAR,
        births=pace * c.BIRTHS,
    )


def _both(values: tuple[float, ...]) -> Array:
    """A column for the sound components and, the same, for their twins."""
    return np.array([*values, *values])[:, None]


def pace_of(rate: float) -> float:
    """How fast a strain that grows at `rate` per day lives, against the usual rotifer."""
    return min(max(rate / c.PACE, c.LEAST_PACE), c.MOST_PACE)
