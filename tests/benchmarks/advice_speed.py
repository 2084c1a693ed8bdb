"""How long the advice takes: one new event on a rack of six with half a year, and 48 vessels from cold.

    python tests/benchmarks/advice_speed.py [--days 180]

Processor time, the median over a round's events, and beside it what the estimate alone takes. The rack is invented.
"""

from __future__ import annotations

import argparse
import gc
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial

from rackview.advice.api import advise
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.tables import Demand, Stock
from rackview.core.vessel import Vessel
from rackview.science.state.belief import believe
from rackview.science.state.estimate import estimate
from rackview.science.state.held import Held, reckon

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
STOCK = (Stock("algae", "concentrate", 0.1, 5000.0, "mL"),)


def rack(vessels: int, days: int) -> Rack:
    """Vessels counted, harvested, rinsed and fed every day."""
    built = Rack.build((Vessel(f"V{n}", "rotifer-L", "A", n + 1, 20.0) for n in range(vessels)), stock=STOCK)
    events = (e for d in range(days) for n in range(vessels) for e in day(d, f"V{n}", 190 + (7 * d + n) % 30))
    return built.record(*events)


def day(number: int, vessel: str, per_ml: int) -> list[dict[str, object]]:
    """What is recorded of one vessel on one day."""
    at = START + timedelta(days=number)
    tallies = f"{per_ml} {per_ml + 4} {per_ml - 3}"
    signs = {"with_eggs": 16, "females_checked": 60, "swimming": 4, "ciliates": "none", "tint": 1}
    return [
        {"at": at, "vessel": vessel, "kind": "count", "tallies": tallies, **signs},
        {"at": at + timedelta(minutes=40), "vessel": vessel, "kind": "harvest", "volume_l": 5.0, "refill_l": 5.0},
        {"at": at + timedelta(minutes=41), "vessel": vessel, "kind": "clean", "what": "floss"},
        {"at": at + timedelta(minutes=42), "vessel": vessel, "kind": "feed", "feed": "algae", "amount": 12.0},
    ]


def timed(work: Callable[[], object]) -> float:
    """Processor time in ms."""
    began = time.process_time()
    work()
    return 1e3 * (time.process_time() - began)


def fed(built: Rack, days: int) -> Rack:
    """The same with larvae that need an eighth of the stock a day, from the last day on."""
    first = (START + timedelta(days=days)).date()
    return built.with_demand([Demand(first + timedelta(days=k), "rotifer-L", 3e6) for k in range(9)])


def one_new_event(days: int, vessels: int = 6, *, larvae: bool = False) -> None:
    """Advice after each event of a morning's round: asked again for the same moment, and for one a minute later.

    Beside it what the estimate alone takes for a new moment: six beliefs carried there, and each a day ahead.
    """
    same, later, alone = [], [], []
    built = rack(vessels, days)
    if larvae:
        built = fed(built, days)
    for n in range(min(vessels, 6)):
        for k, event in enumerate(day(days, f"V{n}", 190 + n)):
            at = START + timedelta(days=days, minutes=10 * n + k)
            now = at + timedelta(minutes=1)
            advise(built, now)
            built = built.record({**event, "at": at})
            same.append(timed(partial(advise, built, now)))
            now += timedelta(minutes=1)
            later.append(timed(partial(advise, built, now)))
            alone.append(timed(partial(believed, built, now)))
    alike, minute, least = (sorted(t)[len(t) // 2] for t in (same, later, alone))
    most = 40 if vessels <= 6 else 300
    who = f"{vessels} vessels, {days} days, {'a brood' if larvae else 'nobody'} to feed, one new event"
    print(f"{who}, the same moment:  {alike:5.1f} ms (wanted under {most})")
    print(f"{who}, a minute later:   {minute:5.1f} ms (wanted under {most})")
    print(f"  the estimate alone, there and a day ahead: {least:.1f} ms, so {minute / least:.1f} times that")


def believed(built: Rack, now: datetime) -> None:
    """What any advice for a new moment needs of the estimate."""
    for name in built.vessels:
        at = day_number(now)
        estimate(built.log(name, at), built.profile(name), at).chance_below(50.0, 1.0)


def from_cold(days: int) -> None:
    """Advice for 48 vessels of which nothing was worked out before, and for them again a minute later."""
    built = rack(48, days)
    now = START + timedelta(days=days - 1, minutes=50)
    gc.collect()
    gc.freeze()  # a program just started has not the bench's racks to look through for garbage
    spent = timed(partial(advise, built, now))
    print(f"48 vessels, {days} days, from cold: {spent:.0f} ms (wanted under 600)")
    again = timed(partial(advise, built, now + timedelta(minutes=1)))
    print(f"  a minute later, nothing new: {again:.0f} ms")
    beside, singly = believed_anew(days), believed_anew(days)
    print(f"  the filter's steps alone, all vessels side by side: {timed(partial(reckon, beside)):.0f} ms")
    spent = timed(lambda: [held.numbers for held in singly])
    print(f"  and one vessel after the other: {spent:.0f} ms")


def believed_anew(days: int) -> list[Held]:
    """What is held of each vessel, nothing of it reckoned."""
    fresh = rack(48, days)
    found = (believe(fresh.log(name), fresh.profile(name)).held for name in fresh.vessels)
    return [held for held in found if held is not None]


def main() -> None:
    """Parse the options, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=180)
    chosen = parser.parse_args()
    one_new_event(chosen.days)
    one_new_event(chosen.days, larvae=True)
    one_new_event(chosen.days, vessels=24, larvae=True)
    from_cold(30)


if __name__ == "__main__":
    main()
