"""What a suggestion rests on, as short phrases: the last count, the trend, what stays, what is needed, what is due."""

from __future__ import annotations

from collections.abc import Sequence

from rackview.advice.speech import (
    animals_seen,
    days_text,
    million,
    per_ml,
)

NOTHING_RECORDED = "nothing counted yet"


def counted(found_per_ml: float, animals: int | None, days: int) -> str:
    """A count as evidence."""
    when = "today" if days == 0 else f"{days_text(days)} ago"
    return f"counted {per_ml(found_per_ml)} from {animals_seen(animals)}, {when}"


def started(days: int) -> str:
    """A start as evidence."""
    return "started today" if days == 0 else f"started {days_text(days)} ago"


def growing(rate: float, low: float, high: float) -> str:
    """A net rate with its 90 % interval as evidence."""
    word = "rising" if rate > 0.02 else "falling" if rate < -0.02 else "level"
    return f"{word} {abs(rate):.2f} a day ({low:.2f} to {high:.2f})"


def staying(left_per_ml: float) -> str:
    """What a harvest leaves, as evidence."""
    return f"{per_ml(left_per_ml)} remain"


def needed(animals: float, strain: str, broods: Sequence[str], own_word: bool, *, by_tanks: bool = False) -> str:
    """A demand as evidence; `by_tanks` says that it was corrected by what was left in the larval tanks."""
    if own_word:
        return f"you announced {million(animals)} {strain} for today"
    left = ", by what was left in their tanks" if by_tanks else ""
    return f"{', '.join(broods)} need {million(animals)} {strain} today{left}"


LAST_DONE = {"count": "counted", "test": "tested", "clean": "cleaned"}


def due_evidence(action: str, days: float | None) -> str:
    """When something due was last done, as evidence."""
    done = LAST_DONE[action]
    if days is None:
        return f"never {done}"
    return f"{done} today" if round(days) <= 0 else f"last {done} {days_text(days)} ago"
