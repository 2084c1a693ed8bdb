"""How long each feed lasts: what is left after what was fed since, at the rate of the last days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from rackview.core.events import Feed
from rackview.core.rack import Rack
from rackview.core.tables import Stock

LOOK_BACK = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Lasting:
    """One feed: what is left and used a day in its unit, until when it lasts, whether it spoils first, order by."""

    stock: Stock
    left: float | None
    a_day: float | None
    until: date | None
    spoils: bool
    order_by: date | None


def lasting(rack: Rack, at: datetime) -> tuple[Lasting, ...]:
    """Every feed of the stock at the moment `at` (aware)."""
    oldest = min([at - LOOK_BACK, *(_midnight(s.opened) for s in rack.stock if s.opened is not None)])
    given = []
    for head in rack.logs.values():
        for node in head.back():
            if node.event is None or node.event.at < oldest:
                break
            if isinstance(node.event, Feed) and node.event.at <= at:
                given.append(node.event)
    return tuple(_lasting(stock, [f for f in given if f.feed == stock.feed], at) for stock in rack.stock)


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


def _lasting(stock: Stock, given: list[Feed], at: datetime) -> Lasting:
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
        until = today + timedelta(days=min(int(left / a_day), 3650))
    spoils = stock.expires is not None and (until is None or stock.expires < until)
    end = stock.expires if spoils else until
    order_by = None
    if end is not None and stock.delivery_days is not None and (a_day or spoils):
        order_by = end - timedelta(days=int(stock.delivery_days) + 1)
    return Lasting(stock, left, a_day, end, spoils, order_by)
