"""The other future of a suggestion: what larvae would get if it were not followed."""

from __future__ import annotations

from dataclasses import dataclass

from rackview.advice.harvests import StrainDay

WORTH_SAYING = 0.15
"""How much likelier a short day must become to be worth saying."""


@dataclass(frozen=True, slots=True)
class Other:
    """A day on which larvae are likelier to go short: days from now, the share they would get, and how likely."""

    days: int
    met: float
    chance: float


def otherwise(day: StrainDay, vessel: str) -> Other | None:
    """The day that is most endangered by leaving a vessel alone; None where it makes no such difference."""
    other = day.choice.otherwise.get(vessel)
    if other is None or (day.need is None and not any(day.problem.need.millions)):
        return None
    rises = [b - a for a, b in zip(day.choice.expected.short, other.short, strict=True)]
    worst = max(range(len(rises)), key=rises.__getitem__, default=0)
    if not rises or rises[worst] < WORTH_SAYING:
        return None
    return Other(worst, other.met[worst], other.short[worst])
