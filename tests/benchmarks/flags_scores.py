"""How well a chance ranks the mornings before a fall, beside sums of raw signs, with standard errors over seasons."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import rankdata

LABELS = ("swimming", "eggs", "ciliates", "ammonia", "tint", "count")
TOWARDS = np.array([-1, -1, 1, 1, 1, 1.0])
"""The raw signs of a morning, and which way each speaks for a fall."""
SUMS = [c for r in (1, 2, 3, 4) for c in itertools.combinations(range(6), r)]
TWO = (0, 1)
"""Slow swimming and few eggs."""
FALSE_ALARMS = 0.01
LEAST_FALLS, LEAST_MORNINGS = 20, 20
EDGES = (0, 0.02, 0.05, 0.1, 0.2, 0.4, 1.0)


@dataclass
class Scored:
    """The mornings of one season: the chance said, whether a fall followed, raw signs in the order of `LABELS`."""

    chance: np.ndarray
    fell: np.ndarray
    signs: np.ndarray


def area(score: np.ndarray, fell: np.ndarray) -> float:
    """Area under the curve of finds against false alarms."""
    hit = fell > 0.5
    n, rest = hit.sum(), (~hit).sum()
    return (rankdata(score)[hit].sum() - n * (n + 1) / 2) / (n * rest) if n and rest else float("nan")


def recall(score: np.ndarray, fell: np.ndarray) -> float:
    """Share of the mornings before a fall that are found at one false alarm per 100 vessel-days."""
    hit = fell > 0.5
    return float(np.mean(score[hit] > np.quantile(score[~hit], 1.0 - FALSE_ALARMS))) if hit.any() else float("nan")


def towards(signs: np.ndarray, like: np.ndarray) -> np.ndarray:
    """Signs in standard deviations of `like`, each so that more speaks for a fall."""
    return TOWARDS * (signs - like.mean(0)) / np.maximum(like.std(0), 1e-9)


def best_sum(signs: np.ndarray, fell: np.ndarray) -> tuple[int, ...]:
    """The sum of up to four raw signs with the largest area."""
    z = towards(signs, signs)
    return max(SUMS, key=lambda c: np.nan_to_num(area(z[:, c].sum(1), fell)))


def chosen_elsewhere(rows: Sequence[Scored]) -> list[np.ndarray]:
    """Per season the sum of raw signs that was best on the other half of the seasons."""
    chosen = []
    for half in (0, 1):
        others = rows[1 - half :: 2]
        like = _all(others, "signs")
        chosen.append((like, best_sum(like, _all(others, "fell"))))
    found = []
    for k, row in enumerate(rows):
        like, which = chosen[k % 2]
        found.append(towards(row.signs, like)[:, which].sum(1))
    return found


def _all(rows: Sequence[Scored], name: str) -> np.ndarray:
    return np.concatenate([getattr(r, name) for r in rows])


Score = Callable[[np.ndarray, np.ndarray], float]


def against(by: Score, one: list[np.ndarray], other: list[np.ndarray], fell: list[np.ndarray]) -> str:
    """The score of `other`, and by how much `one` is better, with the jackknife's standard error over seasons."""

    def both(left_out: int) -> tuple[float, float]:
        keep = [k for k in range(len(fell)) if k != left_out]
        f = np.concatenate([fell[k] for k in keep])
        return by(np.concatenate([one[k] for k in keep]), f), by(np.concatenate([other[k] for k in keep]), f)

    ours, theirs = both(-1)
    gains = np.array([np.subtract(*both(k)) for k in range(len(fell))])
    error = np.sqrt((len(fell) - 1) * np.mean((gains - gains.mean()) ** 2))
    return f"{theirs:.3f} ({ours - theirs:+.3f} ± {error:.3f})"


def beside(rows: Sequence[Scored]) -> str:
    """Area and recall of the chance, and how much more that is than of raw signs."""
    fell, signs, p = _all(rows, "fell"), _all(rows, "signs"), _all(rows, "chance")
    head = f"falls {100 * fell.mean():5.2f} % of {len(fell)} in {len(rows)} seasons"
    if fell.sum() < LEAST_FALLS or len(rows) < 2:
        return head
    ours, truth = [r.chance for r in rows], [r.fell for r in rows]
    best = best_sum(signs, fell)
    hindsight = [towards(r.signs, signs)[:, best].sum(1) for r in rows]
    two = [towards(r.signs, signs)[:, TWO].sum(1) for r in rows]
    return (
        f"{head}; area {area(p, fell):.3f}, best sum in hindsight {against(area, ours, hindsight, truth)}"
        f" {'+'.join(LABELS[k] for k in best)}, chosen on other seasons"
        f" {against(area, ours, chosen_elsewhere(rows), truth)};"
        f" recall {recall(p, fell):.3f}, swimming+eggs {against(recall, ours, two, truth)},"
        f" best sum {against(recall, ours, hindsight, truth)}\n    {bins(rows)}"
    )


def bins(rows: Sequence[Scored]) -> str:
    """In bins of the chance: the chance said, and how many were followed by a fall, in %."""
    p, fell, parts = _all(rows, "chance"), _all(rows, "fell"), []
    for low, high in itertools.pairwise(EDGES):
        k = (p >= low) & (p < high)
        if k.sum() > LEAST_MORNINGS:
            parts.append(f"{100 * p[k].mean():.1f}: {100 * fell[k].mean():.1f} of {k.sum()}")
    return ", ".join(parts)
