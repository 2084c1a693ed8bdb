"""How long each feed lasts: what is left after what was fed and dosed since, at the rate of the last days."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, time, timedelta

from rackview.advice.constants import LASTS_MOST_DAYS, LOOK_BACK_DAYS, ONE_DAY_CV
from rackview.core.dataclass import dataclass
from rackview.core.events import Feed
from rackview.core.rack import Rack
from rackview.core.tables import Stock
from rackview.rules.constants import Z90

LOOK_BACK = timedelta(days=LOOK_BACK_DAYS)


@dataclass(frozen=True, slots=True)
class Lasting:
    """One feed: what is left and used a day in its unit, until when it lasts, whether it spoils first, order by.

    `soonest` and `latest` are the ends of the 90 % interval of `until`, as use differs from day to day; the same day
    where it spoils first.
    """

    stock: Stock
    left: float | None
    a_day: float | None
    until: date | None
    spoils: bool
    order_by: date | None
    soonest: date | None = None
    latest: date | None = None


@dataclass(frozen=True, slots=True)
class Used:
    """Feed taken out of a bottle, into a vessel or on a day into a larval tank, which counts from its midnight."""

    at: datetime
    feed: str
    amount: float
    unit: str


def lasting(rack: Rack, at: datetime) -> tuple[Lasting, ...]:
    """Every feed of the stock at the moment `at` (aware); what was dosed into larval tanks counts as well."""
    oldest = min([at - LOOK_BACK, *(_midnight(s.opened) for s in rack.stock if s.opened is not None)])
    given = [
        Used(midnight, t.feed, t.amount, t.unit)
        for t in rack.tanks
        if t.amount is not None and oldest <= (midnight := _midnight(t.date)) <= at
    ]
    for head in rack.logs.values():
        for node in head.back():
            if node.event is None or node.event.at < oldest:
                break
            if isinstance(node.event, Feed) and node.event.at <= at:
                given.append(Used(node.event.at, node.event.feed, node.event.amount, node.event.unit))
    return tuple(_lasting(stock, [f for f in given if f.feed == stock.feed], at) for stock in rack.stock)


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


def _lasting(stock: Stock, given: list[Used], at: datetime) -> Lasting:
    given = [f for f in given if f.unit == stock.unit]
    lately = [f for f in given if f.at > at - LOOK_BACK]
    days = max(1.0, (at - min(f.at for f in lately)) / timedelta(days=1)) if lately else 1.0
    a_day = sum(f.amount for f in lately) / days if lately else None
    left = stock.amount
    if left is not None and stock.opened is not None:
        left = max(0.0, left - sum(f.amount for f in given if f.at >= _midnight(stock.opened)))
    today = at.date()
    until = None
    if left is not None and a_day:
        until = today + timedelta(days=min(int(left / a_day), LASTS_MOST_DAYS))
    spoils = stock.expires is not None and (until is None or stock.expires < until)
    end = stock.expires if spoils else until
    soonest, latest = (None, None) if end is None else (end, end)
    if until is not None and left is not None and a_day:
        spread = Z90 * _spread_days(lately, at, days, a_day, left / a_day)
        soonest = min(today + timedelta(days=max(0, int(left / a_day - spread))), end or date.max)
        latest = min(
            today + timedelta(days=min(int(left / a_day + spread), LASTS_MOST_DAYS)),
            end if spoils and end else date.max,
        )
    order_by = None
    if end is not None and stock.delivery_days is not None and (a_day or spoils):
        order_by = end - timedelta(days=int(stock.delivery_days) + 1)
    return Lasting(stock, left, a_day, end, spoils, order_by, soonest, latest)


def _spread_days(lately: list[Used], at: datetime, days: float, a_day: float, lasts: float) -> float:
    """Standard deviation of the days that the rest lasts: days to come differ, and the mean rate is not well known."""
    number = max(1, round(days))
    totals = [0.0] * number
    for feed in lately:
        totals[min(number - 1, int((at - feed.at) / timedelta(days=1)))] += feed.amount
    if number < 2:
        return ONE_DAY_CV * lasts
    variance = sum((t - a_day) ** 2 for t in totals) / (number - 1)
    cv = math.sqrt(variance) / a_day
    return cv * math.hypot(math.sqrt(lasts), lasts / math.sqrt(number))
