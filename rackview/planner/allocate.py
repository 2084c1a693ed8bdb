"""Who gives what today: growth first, then from the densest, levelling what is left, never past what is safe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

STEPS = 30


@dataclass(frozen=True, slots=True)
class Giver:
    """A vessel that may be harvested: animals per mL, litres, the share its growth gives and the largest safe one."""

    vessel: str
    per_ml: float
    level_l: float
    growth: float
    safe: float

    @property
    def animals(self) -> float:
        """Animals in the vessel."""
        return self.per_ml * self.level_l * 1000.0


def shares(givers: Sequence[Giver], wanted: float) -> dict[str, float]:
    """Share of its volume that each vessel gives so that `wanted` animals come together, or all that is safe.

    Never less than its growth share and never more than its safe share; the more is wanted, the more each gives.
    """
    least = {g.vessel: min(g.growth, g.safe) for g in givers}
    if wanted <= given(givers, least) or not givers:
        return least
    most = {g.vessel: max(g.safe, least[g.vessel]) for g in givers}
    if wanted >= given(givers, most):
        return most
    low, high = 0.0, max(g.per_ml for g in givers)
    for _ in range(STEPS):
        level = 0.5 * (low + high)
        if given(givers, _levelled(givers, level)) < wanted:
            high = level
        else:
            low = level
    return _levelled(givers, low)


def given(givers: Sequence[Giver], share: dict[str, float]) -> float:
    """Animals that these shares give together."""
    return sum(share[g.vessel] * g.animals for g in givers)


def _levelled(givers: Sequence[Giver], per_ml: float) -> dict[str, float]:
    """Shares that bring every vessel down to one density, as far as growth and safety let it."""
    found = {}
    for g in givers:
        least = min(g.growth, g.safe)
        found[g.vessel] = max(least, min(g.safe, 1.0 - per_ml / g.per_ml if g.per_ml > 0.0 else 0.0))
    return found
