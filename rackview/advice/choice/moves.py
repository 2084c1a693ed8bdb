"""The chosen transfers as moves: litres, how dense the new culture starts, what stays, and why."""

from __future__ import annotations

from rackview.advice.choice.problem import days_to_reach, restart_finding
from rackview.advice.situation import Situation
from rackview.core.dataclass import dataclass
from rackview.planner.culture import Choice, Transfer
from rackview.rules.findings import Finding
from rackview.rules.flags.care import aged
from rackview.rules.harvest import aim_per_ml

WAITS = {"age", "stalled", "thin"}
"""Reasons for a restart that are no emergency."""


@dataclass(frozen=True, slots=True)
class Move:
    """Culture from `donor` to `target`: litres, the density it starts at when filled up, what stays, and why.

    A move without a donor is a start from a bought starter.
    """

    action: str
    code: str
    donor: str
    target: str
    litres: float
    start_per_ml: float
    left_per_ml: float
    ready_days: float
    finding: Finding | None = None

    @property
    def urgent(self) -> bool:
        """Whether it replaces a culture that failed."""
        return self.action == "restart" and self.code not in WAITS

    @property
    def vessel(self) -> str:
        """The vessel that the suggestion stands at: the donor of a split, the target of a restart."""
        return self.donor if self.action == "split" else self.target


def moves_of(sit: Situation, choice: Choice) -> tuple[Move, ...]:
    """The moves of a choice, in its order."""
    return tuple(_move(sit, t, choice.shares.get(t.giver, 0.0)) for t in choice.transfers)


def _move(sit: Situation, one: Transfer, taken: float) -> Move:
    donor, target = sit.views[one.giver], sit.views[one.taker]
    per_ml = (donor.per_ml or 0.0) * (1.0 - taken)
    litres = min(one.share * donor.vessel.volume_l, target.vessel.volume_l)
    start = litres * per_ml / target.vessel.volume_l
    left = per_ml * donor.fill * (1.0 - litres / donor.vessel.volume_l)
    ready = days_to_reach(target, start, aim_per_ml(target))
    code, finding = _reason(sit, one)
    return Move(one.action, code, one.giver, one.taker, litres, start, left, ready, finding)


def _reason(sit: Situation, one: Transfer) -> tuple[str, Finding | None]:
    donor, target = sit.views[one.giver], sit.views[one.taker]
    if one.action == "split":
        dense = donor.per_ml is not None and donor.per_ml > donor.profile.band_high_per_ml
        return ("dense" if dense else "room"), None
    trouble = restart_finding(sit, one.taker)
    if trouble is not None:
        return trouble.code, trouble
    slow = next((f for f in sit.findings[one.taker] if f.code == "stalled"), None)
    if slow is not None:
        return "stalled", slow
    if target.per_ml is not None and target.per_ml < 0.5 * target.profile.start_per_ml:
        return "thin", None
    old = aged(target)
    return ("age", old) if old is not None else ("thin", None)
