"""The numbers of the model: what is assumed of a culture before it has told anything.

Three sound components, each with a twin that collapses; arrays have one row for each of the six and one column, so that
they stand beside arrays over vessels. docs/estimate.md says where each number comes from and what a tenth more does.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from rackview.science.limits import Array

Flags = NDArray[np.bool_]

SOUND, ALL = 3, 6
"""How many components are sound, and how many there are with their collapsing twins."""
PACE = 0.35
"""Growth per day of the usual rotifer, for which the numbers hold."""
ALIQUOT_CV2 = 0.015
"""Squared coefficient of variation between aliquots beyond Poisson, before the keeper's own have told."""


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


WEIGHTS = (4.55, 2.69, 0.4)
ETA = (1.6, 1.6, 0.158)
OWN = (0.0, 0.0, 1.0)
ROOM = (0.831, 0.125, 0.0198)
OFF = (-0.899, -0.326, -0.362)
GROWTH_SD = (0.0881, 0.162, 0.0812)
PHI = (0.19, 0.146, 1.5)
WALK = (0.0198, 0.0266, 0.0199)
SCATTER = (0.0725, 0.0429, 0.0622)
RATE = (0.349, 0.262, -0.113)
RATE_SD = (0.165, 0.115, 1.61)
RATE_WALK = (0.00229, 0.0058, 0.0103)
THETA = (0.31, 0.569, 0.498)
THETA_CV = (0.427, 0.591, 0.409)
THETA_WALK = (0.00172, 0.0108, 0.00502)
FAIL = 0.004
MEND = 0.412
UNSOUND = 0.025
FALL = -0.6
FALL_SD = 0.4
FALL_PHI = 1.17
FALL_WALK = 0.234
SLIP = 0.025
SLIP_VAR = 0.6
SHIFTS = 0.03
SHIFT = -0.35
SHIFT_VAR = 0.3
FALL_SCATTER = 0.15
BIRTHS = 0.366
EGGS_SHOW = 0.246
EGGS_NOISE = 1.07
EGGS_FALL = -0.132
SWIMMING_FALL = -1.1


@cache
def paced(pace: float) -> Model:
    """The model for a strain that grows `pace` times as fast as the usual rotifer: what is slow is small in a day."""
    even = pace * min(pace, 1.0) ** 0.5
    falls = np.arange(ALL)[:, None] >= SOUND
    share = np.array(WEIGHTS) / sum(WEIGHTS)
    theta = pace * _both(THETA)
    return Model(
        pace=pace,
        weight=np.concatenate([share * (1.0 - UNSOUND), share * UNSOUND])[:, None],
        failing=falls,
        own=_both(OWN) > 0.0,
        eta=_both(ETA),
        room=_both(ROOM),
        off=_both(OFF),
        u_mean=np.where(falls, FALL * pace**0.5, 0.0),
        u_sd=np.where(falls, FALL_SD, even * _both(GROWTH_SD)),
        phi=np.where(falls, FALL_PHI, _both(PHI)),
        walk=np.where(falls, FALL_WALK, pace * _both(WALK)),
        scatter=np.where(falls, FALL_SCATTER, _both(SCATTER)),
        rate=pace * _both(RATE),
        rate_sd=pace * _both(RATE_SD),
        rate_walk=pace * _both(RATE_WALK),
        theta=theta,
        theta_sd=_both(THETA_CV) * theta,
        theta_walk=pace * _both(THETA_WALK),
        fail=FAIL,
        mend=MEND,
        unsound=UNSOUND,
        slip=SLIP,
        slip_var=SLIP_VAR,
        shifts=SHIFTS,
        shift=SHIFT,
        shift_var=SHIFT_VAR,
        births=pace * BIRTHS,
    )


def _both(values: tuple[float, ...]) -> Array:
    """A column for the sound components and, the same, for their twins."""
    return np.array([*values, *values])[:, None]


def pace_of(rate: float) -> float:
    """How fast a strain that grows at `rate` per day lives, against the usual rotifer."""
    return min(max(rate / PACE, 0.2), 2.0)
