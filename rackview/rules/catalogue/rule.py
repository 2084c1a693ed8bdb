"""What a rule is: all that must be written down of an alarm before it exists."""

from __future__ import annotations

from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.rules.constants import CLEAR_AT

COMMON = _("common practice, no source")
OWN = _("project choice")
TODAY, WEEK, NOTICE = Severity.today, Severity.week, Severity.notice


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `thresholds` are profile fields; `raise_at` and `clear_at` are probabilities; `within` is in days.

    `actions` are the suggestions that answer it. `trend` rules rest on counts and are suppressed after a restart or
    split until two new counts are there.
    """

    code: str
    severity: Severity | None
    short: str
    looks_at: str
    fires: str
    thresholds: tuple[str, ...]
    cause: str
    consequence: str
    response: str
    within: float
    source: str
    actions: tuple[str, ...] = ()
    raise_at: float = 0.5
    clear_at: float = CLEAR_AT
    trend: bool = False
    suspect: bool = False
