"""Skill on cultures that swing by themselves: the delayed logistic, counted daily, no signs.

    python tests/benchmarks/estimate_cycles.py

dN/dt = r N (1 - N(t - T) / K), which swings with a period of some four T where r T is over pi / 2: Hutchinson, G.E.
1948, Annals of the New York Academy of Sciences 50:221-246; May, R.M. 1974, Stability and Complexity in Model
Ecosystems, 2nd ed. (form and limit from memory). Growth wanders, and counts scatter by a tenth on top of chance.
"""

from __future__ import annotations

import math

import numpy as np
from estimate_series import Series, score

STEPS = 100
DAYS, BURN_IN = 90, 60
CARRIED_PER_ML, ML = 20.0, 5.0
LATE_DAYS = (1.6, 2.5, 4.0)
STRENGTH = 1.75
"""r T: swings of a factor of about four from crest to trough."""


def delayed_logistic(late_days: float, seed: int) -> Series:
    """One run with crowding late by so many days."""
    rng = np.random.default_rng(seed)
    dt, back = 1.0 / STEPS, round(late_days * STEPS)
    rate, luck = STRENGTH / late_days, 0.0
    x = [math.log(CARRIED_PER_ML / 2)] * (back + 1)
    for _ in range((DAYS + BURN_IN) * STEPS):
        luck += -0.5 * luck * dt + 0.1 * rate * math.sqrt(dt) * rng.standard_normal()
        x.append(x[-1] + dt * (rate * (1.0 - math.exp(x[-1 - back]) / CARRIED_PER_ML) + luck))
    daily = np.exp(np.array(x[-DAYS * STEPS :: STEPS]))
    counts = rng.poisson(daily * ML * rng.gamma(100.0, 0.01, DAYS)).tolist()
    return Series(f"{late_days} {seed}", [float(d) for d in range(DAYS)], counts, ML)


def main() -> None:
    for late in LATE_DAYS:
        print(f"\ncrowding {late:g} days late, a cycle of some {4.1 * late:.0f} days")
        score([delayed_logistic(late, seed) for seed in range(4)])


if __name__ == "__main__":
    main()
