"""Coefficients of the regressions, one row a cause, in the order of `model.NUMBERS`.

Each was fitted to one simulated world of a rack in which cultures fail for that reason, the careful keeper's seasons
and those of others, in cool rooms and with poor counting; `usual` is their mean. `tests/benchmarks/flags_worlds.py fit`
prints them anew. They are a prior: which of them a rack suffers from, its own mornings tell.
"""

from __future__ import annotations

SHIFTS = {-2.0: 1.0, -1.0: 2.0, 0.0: 3.0, 1.0: 2.0, 2.0: 1.0}
"""By how much falls may be rarer or commoner than where the coefficients are from, in log odds: its prior weight."""

CAUSES: dict[str, tuple[float, ...]] = {
    "crowding": (-4.16, 0.85, -0.55, 1.07, 0.75, 1.03, 0.49, -1.88, 1.69, 0.16, 0.39, -1.71, 4.77, 2.18, 0.15),
    "foul water": (-2.28, 0.29, -0.34, 1.19, 0.02, 0.25, 0.37, 0.12, 0.69, 0.18, 0.48, 0.09, -0.5, -3.49, 0.16),
    "sickness": (-4.1, -0.01, 0.87, 0.36, 0.17, 0.81, 0.34, 0.02, 0.83, -0.36, -1.65, 2.79, 0.46, 0.29, 0.31),
    "contaminant": (-4.44, 0.72, 0.48, -0.06, -0.11, 0.94, 0.32, 1.65, 0.16, -0.13, 1.37, 0.25, 0.34, -2.26, 0.5),
    "moods": (-3.43, -0.03, -0.11, -0.3, 0.17, -0.18, 0.71, 1.55, 0.5, 0.21, -0.45, 0.61, -1.63, -2.66, -0.06),
    "generations": (-7.65, 0.38, 0.56, -0.24, 0.33, -0.04, 0.62, 0.27, 0.15, 0.7, -0.11, -0.13, 0.07, -0.67, -0.23),
    "usual": (-4.34, 0.37, 0.15, 0.34, 0.23, 0.47, 0.48, 0.29, 0.67, 0.14, 0.05, -0.02, 0.42, -0.74, 0.15),
}
