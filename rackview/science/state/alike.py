"""What many say of one, where all are alike but not the same: normal distributions in information form.

Each of the many has learned of a few numbers from its own observations. A common value is unknown, and each one is off
from it; by how much is learned as well. Arrays: r numbers, and in front of them, where there are many, one axis for
these.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]

DIFFER = ((0.2, 0.6), (0.6, 0.25), (2.0, 0.15))
"""How far one may be off, as a share of the prior's standard deviation, and how likely that is beforehand."""


class Usual(NamedTuple):
    """The prior that all have in common: mean (r, 1) and covariance (r, r)."""

    mean: Array
    var: Array


class Lesson(NamedTuple):
    """A likelihood of the numbers: precision (r, r), and precision times mean (r, 1); zeros say nothing."""

    precision: Array
    weighted: Array


def learned(usual: Usual, means: Array, covs: Array) -> Lesson:
    """What the observations of each say, where they led from the prior to these means (n, r, 1) and covariances."""
    before, after = np.linalg.inv(usual.var), np.linalg.inv(covs)
    told = after - before
    # what drifts may be known less than before anything was observed: there is nothing to tell then
    level, axes = np.linalg.eigh(told)
    some = axes * (level > 0.0)[:, None, :] @ axes.swapaxes(1, 2)
    return Lesson(some @ told @ some, some @ (after @ means - before @ usual.mean))


def of_another(lesson: Lesson, differ: Array) -> Lesson:
    """What is said of one who is off by as much besides: covariance `differ`."""
    wider = np.eye(len(differ)) + lesson.precision @ differ
    return Lesson(np.linalg.solve(wider, lesson.precision), np.linalg.solve(wider, lesson.weighted))


def apart(usual: Usual, lessons: Lesson) -> Array:
    """Covariance of how far each is off from the common value, by the likelihood of all that they say."""
    before = np.linalg.inv(usual.var)
    odds = []
    for share, prior in DIFFER:
        differ = share * share * usual.var
        common = of_another(lessons, differ)
        precision = before + common.precision.sum(0)
        weighted = before @ usual.mean + common.weighted.sum(0)
        own = np.linalg.solve(lessons.precision + before / (share * share), lessons.weighted)
        fits = (weighted * np.linalg.solve(precision, weighted)).sum() + (lessons.weighted * own).sum()
        freedom = np.linalg.slogdet(np.eye(len(differ)) + differ @ lessons.precision)[1].sum()
        odds.append(0.5 * (fits - freedom - np.linalg.slogdet(precision)[1]) + np.log(prior))
    weights = np.exp(np.array(odds) - max(odds))
    shares = np.array([share for share, _ in DIFFER])
    return float(weights @ shares**2 / weights.sum()) * usual.var


def told(means: Array, covs: Array, lessons: Lesson) -> tuple[Array, Array]:
    """Means (n, r, 1) and covariances after each has heard its lesson."""
    after = np.linalg.solve(np.eye(covs.shape[-1]) + covs @ lessons.precision, covs)
    after = 0.5 * (after + after.swapaxes(1, 2))
    return means + after @ (lessons.weighted - lessons.precision @ means), after
