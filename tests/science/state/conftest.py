"""A culture that swings by itself."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

Swings = Callable[..., tuple[np.ndarray, np.ndarray]]


@pytest.fixture(scope="session")
def late_logistic() -> Swings:
    """Animals per mL and growth per day, daily after sixty days, of dN/dt = r N (1 - N(t - T) / K + luck).

    With r T = 1.75 it swings by itself. Luck fades in a day and a half. Hutchinson, G.E. 1948, Annals of the New York
    Academy of Sciences 50:221-246 (from memory).
    """

    def played(late_days: float, days: int, luck: float = 0.0, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
        rng = np.random.default_rng(seed)
        steps, now = 100, 0.0
        back, rate = round(late_days * steps), 1.75 / late_days
        x, growth = [math.log(10.0)], [0.0]
        for i in range((days + 60) * steps):
            now += (-0.7 * now + luck * math.sqrt(steps) * rng.standard_normal()) / steps
            growth.append(rate * (1.0 - math.exp(x[max(i - back, 0)]) / 20.0) + now)
            x.append(x[-1] + growth[-1] / steps)
        return np.exp(np.array(x[60 * steps :: steps])), np.array(growth[60 * steps :: steps])

    return played
