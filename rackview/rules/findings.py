"""What a rule hands back: the code, how sure, since when, the values for the words and the events behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace

from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass
from rackview.rules.alarm import Alarm
from rackview.rules.catalogue.table import BY_CODE


@dataclass(frozen=True, slots=True)
class Finding:
    """One condition found at one vessel. `values` are what the sentence needs; `since` is a day number."""

    code: str
    severity: Severity
    chance: float
    since: float
    values: Mapping[str, object] = field(default_factory=dict)
    events: tuple[str, ...] = ()
    state: str = "active"
    until: float | None = None

    @property
    def suspect(self) -> bool:
        """Whether the condition makes the vessel suspect: served last, and no donor while a clean one stands."""
        return BY_CODE[self.code].suspect

    def standing(self, state: str, until: float | None = None) -> Finding:
        """The same condition in an alarm state; `dataclasses.replace` takes twice as long."""
        return Finding(self.code, self.severity, self.chance, self.since, self.values, self.events, state, until)

    def graded(self, chance: float, severity: Severity) -> Finding:
        """The same condition with the chance and severity of this moment."""
        return Finding(self.code, severity, chance, self.since, self.values, self.events, self.state, self.until)


def finding(
    code: str,
    since: float,
    *events: str,
    chance: float = 1.0,
    severity: Severity | None = None,
    **values: object,
) -> Finding:
    """A finding with the severity of its rule unless another is given."""
    found = severity or BY_CODE[code].severity
    if found is None:
        raise ValueError(f"{code} is a state, not a flag")
    return Finding(code, found, chance, since, values, tuple(e for e in events if e))


def from_alarm(code: str, alarm: Alarm, **values: object) -> Finding | None:
    """A finding from a raised alarm, or None."""
    if not alarm.raised or alarm.since is None:
        return None
    return replace(finding(code, alarm.since, *alarm.events, chance=alarm.chance), values=values)
