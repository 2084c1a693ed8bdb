"""What is believed and advised now, kept as long as neither the rack nor the minute changes."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from rackview.core.rack import Rack

if TYPE_CHECKING:
    from rackview.core.assessment import Assessment, Flag, Plan, Suggestion


class CachedAdvice:
    """The answers for one rack at one moment, each worked out when first asked for."""

    def __init__(self, rack: Rack, at: datetime) -> None:
        self.rack = rack
        self.at = at
        self._assessments: dict[str, Assessment] | None = None
        self._suggestions: list[Suggestion] | None = None
        self._rack_flags: tuple[Flag, ...] | None = None
        self._plans: dict[int, Plan] = {}

    def assessments(self) -> dict[str, Assessment]:
        from rackview.advice.api import assess_all

        if self._assessments is None:
            self._assessments = assess_all(self.rack, self.at)
        return self._assessments

    def suggestions(self) -> list[Suggestion]:
        from rackview.advice.api import advise

        if self._suggestions is None:
            self._suggestions = list(advise(self.rack, self.at))
        return self._suggestions

    def rack_flags(self) -> tuple[Flag, ...]:
        from rackview.advice.api import rack_flags

        if self._rack_flags is None:
            self._rack_flags = rack_flags(self.rack, self.at)
        return self._rack_flags

    def plan(self, days: int) -> Plan:
        from rackview.advice.api import plan

        if days not in self._plans:
            self._plans[days] = plan(self.rack, self.at, days)
        return self._plans[days]


class AdviceCache:
    """Keeps the newest answers."""

    def __init__(self) -> None:
        self._newest: CachedAdvice | None = None

    def of(self, rack: Rack, at: datetime) -> CachedAdvice:
        """The answers for this rack and the minute of `at`."""
        kept = self._newest
        if kept is None or kept.rack is not rack or _minute(kept.at) != _minute(at):
            kept = self._newest = CachedAdvice(rack, at)
        return kept


def _minute(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)
