"""Both futures of the whole rack: acting as advised, and the same after something was done, lost, added or missed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from rackview.advice import api
from rackview.advice.constants import (
    ALIKE_BROODS,
    ALIKE_STOCK,
    AWAY_DAYS,
    AWAY_LEAST_DAYS,
    AWAY_MOST_DAYS,
    LONGEST_AWAY,
)
from rackview.advice.moment import When, when
from rackview.advice.what_if.vessel import known_at
from rackview.advice.words.speech import chance_text, million
from rackview.core.assessment import Interval, Plan, PlanDay
from rackview.core.clock import from_day_number
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event, Harvest
from rackview.core.rack import Rack
from rackview.core.read import required, whole_number_in
from rackview.core.tables import Brood
from rackview.language import _

NOBODY = Interval(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class BothDays:
    """One strain on one day: animals needed, chance of falling short and animals that can be given, in both futures."""

    date: date
    strain: str
    demand: tuple[float, float]
    chance_short: tuple[float, float]
    supply: tuple[Interval, Interval]


@dataclass(frozen=True, slots=True)
class BothBroods:
    """One brood's chance of falling short in both futures; None in one in which it does not eat within the days."""

    brood: str
    strain: str
    chance_short: tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class RackWhatIf:
    """The days and the broods in both futures: first as it stands, then with what is asked about.

    Up to `back` nobody is there, if that was asked about.
    """

    days: tuple[BothDays, ...]
    broods: tuple[BothBroods, ...]
    back: date | None = None

    @property
    def lines(self) -> tuple[str, ...]:
        """The difference in sentences: broods first, then the strain whose stock changes most."""
        found = [line for one in self.broods if (line := _brood_words(one))]
        if not found:
            found.append(_("No brood fares otherwise."))
        return (*found, *_stock_words([d for d in self.days if self.back is None or d.date >= self.back]))


def rack_what_if(
    rack: Rack,
    at: object,
    days: int = AWAY_DAYS,
    *,
    events: Iterable[Event | Mapping[str, object]] = (),
    lost: Iterable[str] = (),
    broods: Iterable[Brood] = (),
    away_days: int = 0,
) -> RackWhatIf:
    """Compare the days ahead, acting as advised, with those after something else came first.

    `events` are done at `at` or later; vessels that are `lost` are empty from then on; `broods` are added, or take the
    place of those of their name; for `away_days` days nobody is there, nothing is fed, harvested or delivered. `days`
    is 3 to 60. Raises `InputError` if nothing is asked about or it can't be.
    """
    now, span = when(at), _whole("days", days, AWAY_LEAST_DAYS, AWAY_MOST_DAYS)
    away = _whole("away_days", away_days, 0, LONGEST_AWAY)
    acts, gone, more = list(events), list(lost), list(broods)
    if not (acts or gone or more or away):
        raise InputError("action", None, _("something to look at: an act, a vessel lost, a brood, or days away"))
    before = known_at(rack, now)
    after = before.record(*acts, *(_emptied(before, name, now) for name in gone))
    if more:
        names = {b.brood for b in more}
        after = replace(after, broods=(*(b for b in before.broods if b.brood not in names), *more))
    as_it_is = api.plan(before, at, span)
    with_it = _away(after, at, now, away, span) if away else api.plan(after, at, span)
    back = now.date + timedelta(days=away) if away else None
    return RackWhatIf(_days(as_it_is, with_it), _broods(as_it_is, with_it, now.date, away), back)


def _whole(field: str, value: int, low: int, high: int) -> int:
    wanted = _("a whole number of days from {low} to {high}").format(low=low, high=high)
    return int(
        required(whole_number_in({field: value}, field, wanted, low=low, high=high), {field: value}, field, wanted)
    )


def _emptied(rack: Rack, vessel: str, now: When) -> Harvest:
    """All that a vessel holds, thrown away."""
    litres = rack.vessel(vessel).volume_l
    return Harvest(at=from_day_number(now.day), vessel=vessel, volume_l=litres, to="discard")


def _away(rack: Rack, at: object, now: When, away: int, span: int) -> Plan:
    """Days on which nobody is there, then the plan of a rack that was left alone so long."""
    back = now.local(from_day_number(now.day + away)) if now.offset else from_day_number(now.day + away)
    then = api.plan(rack, back, max(span - away, 1))
    wanted = api.plan(rack, at, min(away, span))
    alone = tuple(replace(d, supply=NOBODY, chance_short=1.0 if d.demand > 0.0 else 0.0, gives=()) for d in wanted.days)
    first = now.date + timedelta(days=away)
    later = tuple(d for d in then.days if first <= d.date < now.date + timedelta(days=span))
    return Plan((*alone, *later), broods=then.broods)


def _days(one: Plan, other: Plan) -> tuple[BothDays, ...]:
    with_it = {(d.date, d.strain): d for d in other.days}
    found = []
    for day in one.days:
        then = with_it.pop((day.date, day.strain), None) or _none(day)
        found.append(_both(day, then))
    found += [_both(_none(day), day) for day in with_it.values()]
    return tuple(sorted(found, key=lambda d: (d.date, d.strain)))


def _both(day: PlanDay, then: PlanDay) -> BothDays:
    return BothDays(
        day.date, day.strain, (day.demand, then.demand), (day.chance_short, then.chance_short),
        (day.supply, then.supply),
    )  # fmt: skip


def _none(day: PlanDay) -> PlanDay:
    return PlanDay(day.date, day.strain, 0.0, NOBODY, 0.0)


def _broods(one: Plan, other: Plan, today: date, away: int) -> tuple[BothBroods, ...]:
    first = {b.brood: b for b in one.broods}
    second = {b.brood: b for b in other.broods}
    found = []
    for name in dict.fromkeys((*first, *second)):
        then = None if name not in second else second[name].chance_short
        if away and name in first and first[name].first < today + timedelta(days=away):
            then = 1.0  # it eats while nobody is there
        strain = (first.get(name) or second[name]).strain
        found.append(BothBroods(name, strain, (first[name].chance_short if name in first else None, then)))
    return tuple(found)


def _brood_words(one: BothBroods) -> str:
    as_it_is, with_it = one.chance_short
    if with_it is None:
        return "" if as_it_is is None else _("{brood}: no longer eats within these days.").format(brood=one.brood)
    if as_it_is is None:
        return _("{brood}: chance of a shortfall {with_it}.").format(brood=one.brood, with_it=chance_text(with_it))
    if abs(with_it - as_it_is) < ALIKE_BROODS:
        return ""
    return _("{brood}: chance of a shortfall {with_it}, as it stands {as_it_is}.").format(
        brood=one.brood, with_it=chance_text(with_it), as_it_is=chance_text(as_it_is)
    )


def _stock_words(days: Sequence[BothDays]) -> tuple[str, ...]:
    """By strain the day on which most more or less can be given."""
    worst: dict[str, BothDays] = {}
    for one in days:
        if _gap(one) > _gap(worst.get(one.strain)) and _gap(one) > ALIKE_STOCK * one.supply[0].median:
            worst[one.strain] = one
    return tuple(
        _("{strain}: on {date:%d %b} {median} can be given, as it stands {median_2}.").format(
            strain=one.strain,
            date=one.date,
            median=million(one.supply[1].median),
            median_2=million(one.supply[0].median),
        )
        for one in worst.values()
    )


def _gap(one: BothDays | None) -> float:
    return 0.0 if one is None else abs(one.supply[1].median - one.supply[0].median)
