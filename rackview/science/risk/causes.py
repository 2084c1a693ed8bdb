"""Coefficients of the regressions, one row a cause, in the order of `model.NUMBERS`.

Each was fitted to one simulated world of a rack in which cultures fail for that reason, the careful keeper's seasons
and those of others, in cool rooms and with poor counting; `usual` is their mean. The mean speaks softly of each sign,
as in some worlds none tells. So the last three are causes that nobody taught: eggs and swimming alone, with low counts
or with crowding, twice as loud as in the mean. `tests/benchmarks/flags_worlds.py fit` prints them anew. They are a
prior: which of them a rack suffers from, its own mornings tell.
"""

from __future__ import annotations

SHIFTS = {-2.0: 1.0, -1.0: 2.0, 0.0: 3.0, 1.0: 2.0, 2.0: 1.0}
"""By how much falls may be rarer or commoner than where the coefficients are from, in log odds: its prior weight."""

CAUSES: dict[str, tuple[float, ...]] = {
    "crowding": (-3.54, 0.76, -0.49, 0.98, 0.83, 0.92, 0.45, -1.19, 1.69, 0.19, -0.16, -1.11, 3.45, 2.33, 0.22),
    "foul water": (-2.64, 0.28, -0.33, 1.23, -0.27, 0.47, 0.33, 0.63, 0.33, 0.28, 0.72, 0.03, -0.36, -1.65, 0.13),
    "sickness": (-3.85, -0.03, 0.84, 0.3, 0.16, 0.82, 0.45, -0.37, 1.1, -0.5, -0.47, 1.55, 0.42, 0.16, 0.31),
    "contaminant": (-4.54, 0.65, 0.52, 0.29, -0.06, 0.93, 0.44, 0.61, 0.44, -0.09, 0.98, 0.82, 0.56, -1.8, 0.48),
    "moods": (-3.85, -0.13, -0.09, -0.33, 0.07, -0.19, 0.82, 0.6, 0.53, 0.26, 0.1, 0.3, -0.85, -1.53, -0.21),
    "generations": (-8.12, 0.57, 0.55, -0.65, 0.4, 0.27, 0.59, 0.02, 0.24, 0.83, -0.04, -0.05, -0.24, -0.29, -0.37),
    "usual": (-4.42, 0.35, 0.17, 0.3, 0.19, 0.54, 0.51, 0.05, 0.72, 0.16, 0.19, 0.26, 0.5, -0.46, 0.09),
    "signs": (-4.67, 0.7, 0.34, 0.6, 0.38, 1.08, 0, 0, 0, 0, 0, 0, 0, 0, 0),
    "signs and counts": (-4.67, 0.7, 0.34, 0.6, 0.38, 1.08, 1.02, 0.1, 0, 0, 0, 0, 0, 0, 0),
    "signs and crowding": (-3.66, 0.7, 0.34, 0.6, 0.38, 1.08, 0, 0, 1.44, 0.32, 0, 0, 0, 0, 0),
}
