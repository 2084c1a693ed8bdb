"""The record of every rule: how often it was raised, acted on and declined, and with which reasons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rackview.advice.constants import ANSWERED_DAYS, OFTEN, OFTEN_LEAST, RECORD_DAYS
from rackview.advice.moment import When, when
from rackview.advice.situation import view_of
from rackview.core.dataclass import dataclass
from rackview.core.events import Decline
from rackview.core.rack import Rack
from rackview.rules.care import Care
from rackview.rules.catalogue.table import BY_CODE, RULES
from rackview.rules.flags.vessel import flags

OF_THE_RACK = frozenset({"contact", "no_reserve", "one_place", "common"})
"""Rules that look at several vessels together; the log, kept vessel by vessel, doesn't hold them."""


@dataclass(frozen=True, slots=True)
class Spell:
    """One time a flag stood at a vessel: raised, cleared (None while it stands), answered, declined. Day numbers."""

    vessel: str
    code: str
    raised: float
    cleared: float | None
    severity: int
    acted_on: bool
    declined: bool


@dataclass(frozen=True, slots=True)
class RuleRecord:
    """What became of one rule's flags and suggestions over the days looked at."""

    code: str
    raised: int
    acted_on: int
    declined: int
    reasons: tuple[str, ...]
    thresholds: tuple[str, ...]

    @property
    def often_declined(self) -> bool:
        """Whether the keeper says no to it so often that its threshold should be looked at."""
        return self.declined >= OFTEN_LEAST and self.declined >= OFTEN * max(self.raised, 1)


def _evenings(now: When, days: int) -> Iterator[When]:
    for k in range(days - 1, -1, -1):
        end = min(now.today - k + 1.0 - 1e-6, now.day)
        yield When(end, now.today - k, now.date_of(now.today - k), now.offset)


def _spells_of(rack: Rack, vessel: str, now: When, days: int) -> list[Spell]:
    standing: dict[str, Spell] = {}
    found: list[Spell] = []
    for evening in _evenings(now, days):
        if rack.log(vessel, evening.day).length == 0:
            continue
        view = view_of(rack, vessel, evening)
        here = {f.code: f for f in flags(view) if f.state != "suppressed"}
        gone = [c for c in standing if c not in here]
        found += [_closed(view.care, standing.pop(c), evening.day) for c in gone]
        for code, one in here.items():
            if code not in standing:
                standing[code] = Spell(vessel, code, one.since, None, int(one.severity), acted_on=False, declined=False)
    view = view_of(rack, vessel, now)
    return found + [_closed(view.care, s, None) for s in standing.values()]


def _closed(care: Care, spell: Spell, cleared: float | None) -> Spell:
    rule = BY_CODE[spell.code]
    end = min(spell.raised + ANSWERED_DAYS, cleared if cleared is not None else float("inf"))
    acted = any(care.done_since(a, spell.raised + 1e-6) for a in rule.actions if a != "hold")
    declined = any(d.code == rule.code and spell.raised <= d.day <= end + ANSWERED_DAYS for d in care.declines)
    return Spell(spell.vessel, spell.code, spell.raised, cleared, spell.severity, acted, declined)


@dataclass(frozen=True, slots=True)
class VesselLog:
    """What was raised at one vessel and what was said no to there, over the days looked at."""

    spells: tuple[Spell, ...]
    declines: tuple[Decline, ...]


def vessel_log(rack: Rack, vessel: str, at: object, days: int = RECORD_DAYS) -> VesselLog:
    """The flag log of one vessel; the logs of all vessels make the `records`."""
    now = when(at)
    return VesselLog(tuple(_spells_of(rack, vessel, now, days)), tuple(_declines(rack, vessel, now, days)))


def records(logs: Iterable[VesselLog]) -> tuple[RuleRecord, ...]:
    """The record of each rule that was raised or declined, in the catalogue's order."""
    logs = tuple(logs)
    found = []
    for rule in RULES:
        own = [s for log in logs for s in log.spells if s.code == rule.code]
        said = [d for log in logs for d in log.declines if d.code == rule.code]
        if own or said:
            reasons = tuple(d.reason for d in said if d.reason)
            acted = sum(s.acted_on for s in own)
            found.append(RuleRecord(rule.code, len(own), acted, len(said), reasons, rule.thresholds))
    return tuple(found)


def _declines(rack: Rack, vessel: str, now: When, days: int) -> Iterator[Decline]:
    for node in rack.log(vessel, now.day).back(now.day - days):
        if isinstance(node.event, Decline) and not node.incoming:
            yield node.event
