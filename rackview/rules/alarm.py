"""When a condition becomes an alarm and when it is one no longer.

A flag is raised on a probability and cleared at a lower one (the gap is the deadband), after two counts in a row or
one that is nearly certain (the on-delay is in counts, not in minutes). A missing value neither raises nor clears.
After ISA-18.2 / IEC 62682 in spirit; the numbers are this project's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rackview.core.dataclass import dataclass
from rackview.rules.constants import NEARLY_CERTAIN, ONE_ROUND, USUAL_LOOKS


@dataclass(frozen=True, slots=True)
class Sample:
    """What one observation said of a condition: its day, the probability (None if it says nothing), its event."""

    day: float
    chance: float | None
    event: str = ""


@dataclass(frozen=True, slots=True)
class Alarm:
    """The state of a condition after a run of samples; `since` is the first sample of the present spell."""

    raised: bool
    chance: float
    since: float | None
    events: tuple[str, ...] = ()


def judge(samples: Sequence[Sample], raise_at: float, clear_at: float, in_a_row: int = 2) -> Alarm:
    """Run the samples, oldest first, through deadband and on-delay."""
    raised = False
    since: float | None = None
    row = 0
    chance = 0.0
    spell: list[str] = []
    for sample in samples:
        if sample.chance is None:
            continue
        chance = sample.chance
        if chance >= raise_at:
            row += 1
            since = sample.day if since is None else since
            spell.append(sample.event)
            raised = raised or row >= in_a_row or chance >= NEARLY_CERTAIN
            continue
        row = 0
        if raised and chance > clear_at:
            spell.append(sample.event)
            continue
        raised, since, spell = False, None, []
    return Alarm(raised, chance, since if raised else None, tuple(e for e in spell if e) if raised else ())


def with_now(counted: Alarm, now: Sample, raise_at: float) -> Alarm:
    """The state at the present moment: time without a count may raise a flag, but never clears one.

    `now` holds the chance at this moment and the newest event that it rests on.
    """
    if counted.raised:
        return replace(counted, chance=max(counted.chance, now.chance or 0.0))
    if now.chance is not None and now.chance >= max(NEARLY_CERTAIN, raise_at):
        return Alarm(raised=True, chance=now.chance, since=now.day, events=(now.event,) if now.event else ())
    return counted


def news(looks: Sequence[tuple[float, bool]], usual: int = USUAL_LOOKS, one_round: float = ONE_ROUND) -> bool:
    """Whether a condition is worth saying: found now, not by one look of a round alone, and not usual here.

    `looks` are days with whether it was found, oldest first; more than `usual` of them are how the vessel is kept, and
    those up to `one_round` days apart are of one round. What the keeper's way brings about every other
    day is said for the first looks and then learned as usual; it is news again when it was gone for some time.
    """
    if not looks or not looks[-1][1]:
        return False
    if len(looks) > 1 and looks[-1][0] - looks[-2][0] <= one_round and not looks[-2][1]:
        return False
    return sum(found for _, found in looks) <= usual
