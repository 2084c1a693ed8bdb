"""What an autoregression, persistence and the usual level foretell of the days ahead, harvests passing through all."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state.members import CUM, FAR, GAP, RN, RS, Y, spreads, usual_level, walk, weights


class Pool(NamedTuple):
    """At one moment ahead: weights of the four, means and deviations of the last three, by what to stretch the pool."""

    weights: Array
    means: Array
    sds: Array
    stretch: float


class Ahead:
    """What the three foretell of one vessel in the days ahead, harvests passing through all of them."""

    def __init__(self, more: Array, pace: float, counted: float, day: float) -> None:
        self._walk, self._cum = walk(more), more[CUM].copy()
        self._still = float(more[Y, 0] + more[CUM, 0])
        self._still_var = float(more[RS, 0] / more[RN, 0])
        self._level, self._level_var = (float(v[0]) for v in usual_level(more))
        gap = float(more[GAP, 0])
        self._gap = 1.0 if math.isnan(gap) or gap <= 0.0 else max(gap, c.LEAST_GAP)
        self._counted = self._reached = counted
        self._day, self._weights = day, weights(more, pace)[:, :, 0]
        self._near, self._far = (0.5 * math.log(k) for k in spreads(more)[:, 0])

    def go(self, day: float) -> None:
        """Go on to a day, count by count."""
        while self._reached + self._gap <= day:
            self._walk, self._cum = self._walk.step(self._cum), 0.0 * self._cum
            self._reached += self._gap

    def shift(self, by: float) -> None:
        """Let a harvest move the log density."""
        self._cum = self._cum + by
        self._still += by

    def at(self, day: float, warmth: float = 1.0) -> Pool:
        """What they foretell of a day, not before the last; of the present the filter alone tells.

        They were taught at the usual temperature: what rises rises by less where growth, `warmth` of the usual, is
        under `COOL`.
        """
        self.go(day)
        later, part = self._walk.step(self._cum), (day - self._reached) / self._gap
        y = (1.0 - part) * (self._walk.y + self._cum) + part * later.y
        var = (1.0 - part) * self._walk.cov[0] + part * later.cov[0]
        counts = (day - self._counted) / self._gap
        far = min(max((counts - 1.0) / (FAR - 1.0), 0.0), 1.0)
        share = min(max((day - self._day) / (c.SOONER * self._gap), 0.0), 1.0)
        w = self._weights[0] ** (1.0 - far) * self._weights[1] ** far
        w = w / w.sum()
        w[1:] *= share
        w[0] = 1.0 - w[1:].sum()
        means = np.array([float(y[0]), self._still, self._level])
        means = np.minimum(means, self._still + min(warmth / c.COOL, 1.0) * (means - self._still))
        variances = np.array([float(var[0]), counts * self._still_var, self._level_var]) - c.OF_A_COUNT
        stretch = math.exp(share * ((1.0 - far) * self._near + far * self._far))
        return Pool(w, means, np.sqrt(np.maximum(variances, c.LEAST_VAR)), stretch)
