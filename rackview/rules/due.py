"""What is due by the calendar or by doubt: counts, water tests, cleaning."""

from __future__ import annotations

import math

from rackview.core.dataclass import dataclass
from rackview.rules.care import newest_since
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.constants import (
    DIRTY_DAYS,
    DOUBTED_WIDTH,
    FEW_ANIMALS,
    FIRST_TEST_DAYS,
    FLOSS_DONE_DAYS,
    TEST_AFTER_TROUBLE_DAYS,
)
from rackview.rules.findings import Finding
from rackview.rules.flags.care import floss_age
from rackview.rules.view import View

FOUL = {"ammonia", "oxygen"}
SLIPS = {"misfit", "clumped"}
"""Flags that doubt the count itself."""

TESTED = {
    "falling",
    "floor",
    "early",
    "drop",
    "swimming",
    "eggs_low",
    "eggs_held",
    "ammonia",
    "ph",
    "oxygen",
    "salinity",
}


@dataclass(frozen=True, slots=True)
class Due:
    """Something due: a code for the words, since how many days, the events behind it, what, and the flag it answers."""

    code: str
    days: float | None = None
    events: tuple[str, ...] = ()
    what: str = ""
    why: str = ""
    routine: bool = True
    sureness: float = 1.0


def whole_days(then: float, today: float) -> int:
    """How many of the keeper's midnights lie between `then` and the midnight `today`; 0 for today itself."""
    return max(0, math.ceil(today - then - 1e-9))


def count_due(view: View, findings: tuple[Finding, ...]) -> Due | None:
    """Whether a count is due: never counted, interval passed, something suspicious, or too much doubt.

    A count that raised a flag today is repeated at once.
    """
    if view.care.use not in {"stocked", "new"}:
        return None
    newest = view.care.last_count
    if newest is None:
        return _first_count(view)
    days = whole_days(newest.day, view.today)
    if days == 0:
        return _second_look(view, findings)
    interval = "unfed" if view.estimate.hungry_days >= 1.0 else "count_interval"
    asks = [f for f in findings if "count" in BY_CODE[f.code].actions and f.state not in {"shelved", "suppressed"}]
    if asks:
        first = asks[0]
        code = interval if first.code == "count_old" else "recount"
        return Due(code, days, first.events or (newest.id,), routine=False, sureness=first.chance, why=first.code)
    if days >= view.profile.count_days:
        return Due(interval, days, (newest.id,), routine=interval != "unfed")
    density = view.density
    if density is not None and density.high90 > DOUBTED_WIDTH * max(density.low90, 1e-9):
        few = newest.animals < FEW_ANIMALS
        return Due("few" if few else "doubt", days, (newest.id,), routine=False)
    return None


def _first_count(view: View) -> Due | None:
    """A count of a culture that was never counted: at once, but the next day where it is known how dense it began."""
    began, density = view.care.started_by, view.density
    if began is None or density is None:
        return Due("first_count", routine=False)
    days = whole_days(began.day, view.today)
    if days == 0 and density.high90 <= DOUBTED_WIDTH * density.low90:
        return None
    return Due("started_count", days, (began.id,), routine=False)


def _second_look(view: View, findings: tuple[Finding, ...]) -> Due | None:
    """A recount at once, where one count today is all that keeps a vessel back.

    Holding a vessel costs the larvae a day's food and harvesting a failing one costs the vessel; a second count, five
    minutes later, tells which. Only one a day, and none for what stood before today's count.
    """
    if len(list(newest_since(view.care.counts, view.today))) != 1:
        return None
    for found in findings:
        by_count = "count" in BY_CODE[found.code].actions and (found.suspect or found.code in SLIPS)
        if by_count and found.state == "active" and found.since >= view.today:
            newest = view.care.counts[-1].id
            return Due("recount", 0, found.events or (newest,), routine=False, sureness=found.chance, why=found.code)
    return None


def water_test_due(view: View, findings: tuple[Finding, ...]) -> Due | None:
    """Whether a water test is due: trouble without a reading near it, or the interval passed."""
    if not view.stocked:
        return None
    newest = view.care.readings[-1] if view.care.readings else None
    days = None if newest is None else whole_days(newest.day, view.today)
    asks = [f for f in findings if f.code in TESTED and f.state not in {"shelved", "suppressed"}]
    if asks and (days is None or days >= TEST_AFTER_TROUBLE_DAYS):
        return Due("trouble", days, asks[0].events, routine=False, sureness=asks[0].chance, why=asks[0].code)
    if newest is None:
        start = view.care.started if view.care.started is not None else view.care.first_day
        if start is None or whole_days(start, view.today) < FIRST_TEST_DAYS:
            return None
        return Due("never_tested", None, _start_events(view))
    if days is not None and days >= view.profile.test_days:
        return Due("test_interval", days, (newest.id,))
    return None


def _start_events(view: View) -> tuple[str, ...]:
    event = view.care.started_by or view.care.last_count
    return () if event is None or not event.id else (event.id,)


def _first(view: View, found: Finding) -> str:
    """What to clean when something is wrong: the air line for want of oxygen, else floss and walls in turn."""
    if found.code == "oxygen":
        return "airline"
    floss, walls = (view.care.days_since(what, view.day) for what in ("floss", "vessel"))
    return "vessel" if floss is not None and floss < FLOSS_DONE_DAYS and (walls is None or walls > floss) else "floss"


def clean_due(view: View, findings: tuple[Finding, ...]) -> Due | None:
    """What wants cleaning today: the floss by feed load and days, then air line and walls by longest interval."""
    if not view.stocked:
        return None
    dirty = [f for f in findings if (f.code in FOUL or f.suspect) and f.state not in {"shelved", "suppressed"}]
    cleaned = view.care.cleaned
    found = floss_age(view)
    base = view.care.clean_base("floss")
    since = None if base is None else whole_days(base, view.today)
    if dirty and (since is None or since >= DIRTY_DAYS):
        return Due(
            "dirty",
            since,
            dirty[0].events,
            _first(view, dirty[0]),
            dirty[0].code,
            routine=False,
            sureness=dirty[0].chance,
        )
    if found is None or since is None or since < found[1]:
        return None  # hands go in when the floss is due; what else is due is done first on that day
    for what, longest in (("airline", view.profile.airline_days), ("vessel", view.profile.vessel_days)):
        start = view.care.clean_base(what)
        if start is not None and whole_days(start, view.today) >= longest:
            events = (cleaned[what].event,) if what in cleaned else _start_events(view)
            return Due(what, whole_days(start, view.today), events, what)
    events = (cleaned["floss"].event,) if "floss" in cleaned else _start_events(view)
    code = "floss_heavy" if found[2] is not None and found[1] == view.profile.floss_days_heavy else "floss_days"
    fed = tuple(f.event.id for f in view.care.feeds_since(base or 0.0)[-3:] if f.event.id)
    return Due(code, since, events + fed, "floss")
