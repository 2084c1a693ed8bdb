"""What an autoregression, persistence and the usual level foretell of the days ahead, harvests passing through all."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state.members import BEFORE, COEF, CUM, GAP, LAST, LEVEL, ORIGIN, Y, variances, weights, width


class Pool(NamedTuple):
    """At one moment ahead: weights of the four, means and deviations of the last three, by what to stretch the pool."""

    weights: Array
    means: Array
    sds: Array
    stretch: float


class Ahead:
    """What the three foretell of one vessel in the days ahead, harvests passing through all of them."""

    def __init__(self, more: Array, pace: float, counted: float, day: float) -> None:
        own = more[:, 0]
        self._state = own[[Y, LAST, BEFORE]]
        self._coef, self._origin, self._cum = own[COEF].tolist(), float(own[ORIGIN]), float(own[CUM])
        _, level, last, before = self._coef
        self._by = np.array([[1.0 + level, last, before], [level, last, before], [0.0, 1.0, 0.0]])
        self._cov = np.zeros_like(self._by)
        self._still, self._level = float(own[Y] + own[CUM]), float(own[LEVEL])
        self._var, self._still_var, self._level_var = variances(more)[:, 0].tolist()
        gap = float(own[GAP])
        self._gap = 1.0 if math.isnan(gap) or gap <= 0.0 else max(gap, c.LEAST_GAP)
        self._counted = self._reached = counted
        self._day, self._weights = day, weights(more, pace)[:, :, 0]
        self._stretch = 0.5 * math.log(width(more)[0])

    def _step(self) -> tuple[Array, Array]:
        """Log count and the two rests before it, with their covariance, one count on."""
        y, last, before = self._state.tolist()
        y += self._cum
        intercept, by_level, by_last, by_before = self._coef
        rest = intercept + by_level * (y - self._origin) + by_last * last + by_before * before
        rest = min(max(rest, -c.MOST_REST), c.MOST_REST)
        cov = self._by @ self._cov @ self._by.T
        cov[:2, :2] += self._var
        now = np.array([min(max(y + rest, -c.MOST_FORETOLD), c.MOST_FORETOLD), rest, last])
        return now, np.clip(cov, -c.MOST_VAR, c.MOST_VAR)

    def go(self, day: float) -> None:
        """Go on to a day, count by count."""
        while self._reached + self._gap <= day:
            self._state, self._cov = self._step()
            self._cum = 0.0
            self._reached += self._gap

    def shift(self, by: float) -> None:
        """Let a harvest move the log density."""
        self._cum += by
        self._still += by

    def at(self, day: float, warmth: float = 1.0) -> Pool:
        """What they foretell of a day, not before the last; of the present the filter alone tells.

        They were taught at the usual temperature: what rises rises by less where growth, `warmth` of the usual, is
        under `COOL`.
        """
        self.go(day)
        (later, *_), cov = self._step()
        part = (day - self._reached) / self._gap
        y = (1.0 - part) * (self._state[0] + self._cum) + part * later
        var = (1.0 - part) * self._cov[0, 0] + part * cov[0, 0]
        counts = (day - self._counted) / self._gap
        far = min(max((counts - 1.0) / (c.FAR - 1.0), 0.0), 1.0)
        share = min(max((day - self._day) / (c.SOONER * self._gap), 0.0), 1.0)
        w = self._weights[0] ** (1.0 - far) * self._weights[1] ** far
        w = w / w.sum()
        w[1:] *= share
        w[0] = 1.0 - w[1:].sum()
        means = np.array([y, self._still, self._level])
        means = np.minimum(means, self._still + min(warmth / c.COOL, 1.0) * (means - self._still))
        squares = np.array([var, counts * self._still_var, self._level_var]) - c.OF_A_COUNT
        return Pool(w, means, np.sqrt(np.maximum(squares, c.LEAST_VAR)), math.exp(share * self._stretch))
