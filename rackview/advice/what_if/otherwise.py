"""The two futures of a suggestion: what larvae would get if it were followed, and if it were not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from rackview.advice.choice.harvests import StrainDay
from rackview.advice.constants import ALIKE, LOOKED_AT, MOST_DIFFERENT_DAYS, WORTH_SAYING
from rackview.advice.words.speech import chance_text, days_text, million, per_cent
from rackview.core.assessment import Expected, Suggestion
from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.planner.culture import Outcome


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


def fed(day: StrainDay) -> str:
    """Who is fed from a strain."""
    return "larvae" if day.need is None or not day.need.broods else ", ".join(day.need.broods)


def otherwise_words(other: Other | None, eaters: str) -> str:
    """The other future in a sentence, where it differs."""
    if other is None:
        return ""
    when = {0: "today", 1: "tomorrow"}.get(other.days, _("in {days}").format(days=days_text(other.days)))
    return _(" Otherwise {eaters} get {met} {when} ({chance}).").format(
        eaters=eaters, met=per_cent(other.met), when=when, chance=chance_text(other.chance)
    )


def with_futures(one: Suggestion, day: StrainDay) -> Suggestion:
    """A harvest, split or restart with its two futures; a move or a starter says the other one in its reason too."""
    key = one.other_vessel if one.action == "split" else one.vessel
    other = day.choice.otherwise.get(key or "")
    if other is None:
        return one
    why = one.why
    if one.action != "harvest":
        why += otherwise_words(otherwise(day, key or ""), fed(day))
    return replace(one, as_advised=_expected(day.choice.expected), otherwise=_expected(other), why=why)


def _expected(one: Outcome) -> Expected:
    return Expected(one.short, one.met, tuple(1e6 * middle for middle, _, _ in one.supply))


def compared(first: Expected, second: Expected, today: date) -> tuple[str, ...]:
    """Both futures as lines: the days on which larvae would fare otherwise, then the stock of some days."""
    found = []
    differ = [
        k
        for k in range(len(first.short))
        if abs(first.short[k] - second.short[k]) >= ALIKE or abs(first.met[k] - second.met[k]) >= ALIKE
    ]
    for k in differ[:MOST_DIFFERENT_DAYS]:
        shares = [
            _("{met} (short: {short})").format(met=per_cent(e.met[k]), short=chance_text(e.short[k]))
            for e in (first, second)
        ]
        found.append(
            _("{today:%d %b}: larvae get {shares}, otherwise {shares_2}").format(
                today=today + timedelta(days=k), shares=shares[0], shares_2=shares[1]
            )
        )
    if not differ:
        found.append(_("Larvae get as much either way."))
    later = [(k, million(first.supply[k]), million(second.supply[k])) for k in LOOKED_AT if k < len(first.supply)]
    stock = [
        _("{today:%d %b}: {stock} could be given, otherwise {stock_2}").format(
            today=today + timedelta(days=k), stock=one, stock_2=other
        )
        for k, one, other in later
        if one != other
    ]
    return (*found, *(stock or [_("Later as much could be given either way.")]))
