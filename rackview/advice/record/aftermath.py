"""After a loss, one page: what was done and seen in the days before, what changed, contacts, what was said when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from rackview.advice.constants import LATE_DAYS, LOSS_DAYS, MOVED_BY, MOVED_C, MOVED_SALINITY
from rackview.advice.moment import When, when
from rackview.advice.situation import view_of
from rackview.advice.words import records as record_words
from rackview.advice.words import suggestions as words
from rackview.advice.words.speech import Speech
from rackview.core.clock import from_day_number
from rackview.core.dataclass import dataclass
from rackview.core.events import Clean, Count, Event, Feed, Harvest, Reading, Restart
from rackview.core.rack import Rack
from rackview.rules.flags.vessel import flags
from rackview.rules.view import dry_g, share_with_eggs
from rackview.rules.water import reading_salinity

JUST = timedelta(seconds=1) / timedelta(days=1)
"""A second: just before an entry, in days."""


@dataclass(frozen=True, slots=True)
class AftermathLine:
    """One entry of the record: when, at which vessel, what, and its event."""

    at: datetime
    vessel: str
    text: str
    event: str


@dataclass(frozen=True, slots=True)
class Said:
    """What was shown on one day: the flags of the vessel in words."""

    at: datetime
    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Aftermath:
    """The days before a loss: `lost_at` is None if the vessel has not crashed, and the page then ends now.

    `stood` is what the program showed of the vessel just before the count by which it was lost.
    """

    vessel: str
    lost_at: datetime | None
    begins: datetime
    lines: tuple[AftermathLine, ...]
    changes: tuple[str, ...]
    contacts: tuple[AftermathLine, ...]
    said: tuple[Said, ...]
    stood: tuple[str, ...] = ()


def aftermath(rack: Rack, vessel: str, at: object, days: int = LOSS_DAYS) -> Aftermath:
    """The `days` days up to the vessel's crash (or up to `at` if none is found)."""
    rack.vessel(vessel)
    now = when(at)
    lost = lost_on(rack, vessel, now, days)
    end = now.day if lost is None else lost
    begin = end - days
    speech = Speech(rack.settings, rack.vessels)
    events = [n.event for n in rack.log(vessel, end).back(begin) if n.event is not None]
    events.reverse()
    return Aftermath(
        vessel,
        None if lost is None else from_day_number(lost),
        from_day_number(begin),
        tuple(AftermathLine(e.at, e.vessel, record_words.event_text(e, speech), e.id) for e in events),
        tuple(_changes(rack, [e for e in events if e.vessel == vessel], end, speech)),
        tuple(_contacts(rack, vessel, begin, end, speech)),
        tuple(_said(rack, vessel, now, end, days)),
        () if lost is None else tuple(_stood(rack, vessel, lost)),
    )


def newest_loss(rack: Rack, at: object, days: int = LOSS_DAYS) -> str | None:
    """The vessel that was lost last within two spans of `days`, whatever was done there since; None if none was."""
    now = when(at)
    found = {}
    for name in rack.known_vessels:
        for day in (now.day, *_restarts(rack, name, now, days)):
            crash = _crash(rack, name, now, day)
            if crash is not None:
                found[name] = crash
                break
    return max(found, key=lambda n: found[n], default=None)


def _restarts(rack: Rack, vessel: str, now: When, days: int) -> list[float]:
    """The moments just before the vessel was started anew, newest first: what was lost then is on record for good."""
    return [
        node.day - JUST
        for node in rack.log(vessel, now.day).back(now.day - 2 * days)
        if isinstance(node.event, Restart) and not node.incoming and node.day >= now.day - 2 * days
    ]


def _crash(rack: Rack, vessel: str, now: When, day: float) -> float | None:
    """Since when the vessel counts as crashed on a day, or None."""
    found = next((f for f in flags(view_of(rack, vessel, _day(now, day))) if f.code == "crash"), None)
    return None if found is None else found.since


def _stood(rack: Rack, vessel: str, lost: float) -> list[str]:
    """What was believed and suggested just before the vessel was lost."""
    from rackview.advice.api import advise, assess

    before = from_day_number(lost - JUST)
    seen = assess(rack, vessel, before)
    found = []
    if seen.density_per_ml is not None:
        n = seen.density_per_ml
        found.append(record_words.belief_text(n.median, n.low90, n.high90, seen.chance_below_floor))
    found += [flag.text for flag in seen.flags if flag.state != "suppressed"]
    asked = [s.text for s in advise(rack, before) if s.vessel == vessel and s.text]
    return [*found, record_words.suggested(asked)]


def lost_on(rack: Rack, vessel: str, now: When, days: int = LOSS_DAYS) -> float | None:
    """The day number of the count that raised the newest crash within two spans of `days`, or None."""
    looked_at = [*(now.day - k for k in range(2 * days)), *_restarts(rack, vessel, now, days)]
    for day in sorted(looked_at, reverse=True):
        crash = _crash(rack, vessel, now, day)
        if crash is not None:
            return crash
    return None


def _day(now: When, day: float) -> When:
    """The moment `day`, with the keeper's midnight before it."""
    midnight = now.today + (day - now.today) // 1.0
    return When(day, midnight, now.date_of(midnight), now.offset)


def _contacts(rack: Rack, vessel: str, begin: float, end: float, speech: Speech) -> list[AftermathLine]:
    """What hands and tools did at other vessels in the hours before they did something here."""
    hands = ("count", "harvest", "clean", "split", "restart")
    own = [n.day for n in rack.log(vessel, end).back(begin) if n.event and n.event.kind in hands]
    found: dict[str, AftermathLine] = {}
    reach = rack.profile(vessel).contact_hours / 24.0
    for name in rack.vessels:
        if name == vessel:
            continue
        for node in rack.log(name, end).back():
            if node.day < begin - reach:
                break
            event = node.event
            if event is None or event.kind not in hands or node.incoming:
                continue
            if event.partner == vessel or any(0.0 < day - node.day <= reach for day in own):
                found[event.id] = AftermathLine(event.at, name, record_words.event_text(event, speech), event.id)
    return sorted(found.values(), key=lambda line: (line.at, line.vessel, line.event))


def _said(rack: Rack, vessel: str, now: When, end: float, days: int) -> list[Said]:
    speech = Speech(rack.settings, rack.vessels)
    found = []
    for k in range(days, -1, -1):
        shown = flags(view_of(rack, vessel, _day(now, end - k)))
        texts = tuple(words.flag(f.code, f.values, speech) for f in shown if f.state != "suppressed")
        if texts:
            found.append(Said(from_day_number(end - k), texts))
    return found


def _changes(rack: Rack, events: Sequence[Event], end: float, speech: Speech) -> list[str]:
    """What differs between the last days and the days before them."""
    late = end - LATE_DAYS
    found = []

    def pair(kind: type[Event], value: Callable[[Event], float | None]) -> tuple[float, float] | None:
        known = [(e.day, v) for e in events if isinstance(e, kind) and (v := value(e)) is not None]
        before = [v for day, v in known if day < late]
        after = [v for day, v in known if day >= late]
        return (sum(before) / len(before), sum(after) / len(after)) if before and after else None

    full = next((rack.vessel(e.vessel).volume_l for e in events), 1.0)
    for code, two in (
        ("feed", pair(Feed, lambda e: dry_g(e, rack.stock) if isinstance(e, Feed) else None)),
        ("harvest", pair(Harvest, lambda e: e.volume_l / full if isinstance(e, Harvest) else None)),
        ("eggs", pair(Count, lambda e: share_with_eggs(e) if isinstance(e, Count) else None)),
    ):
        if two is not None and abs(two[1] - two[0]) >= MOVED_BY * max(two[0], 1e-9):
            found.append(record_words.change_text(code, two, speech))
    for code, two, limit in (
        ("temperature", pair(Reading, lambda e: e.temperature_c if isinstance(e, Reading) else None), MOVED_C),
        ("salinity", pair(Reading, lambda e: reading_salinity(e) if isinstance(e, Reading) else None), MOVED_SALINITY),
    ):
        if two is not None and abs(two[1] - two[0]) >= limit:
            found.append(record_words.change_text(code, two, speech))
    feeds = [e.feed for e in events if isinstance(e, Feed)]
    if len(set(feeds)) > 1:
        found.append(record_words.feed_changed(tuple(dict.fromkeys(feeds))))
    rinsed = [e.day for e in events if isinstance(e, Clean)]
    if not rinsed or end - rinsed[-1] > LATE_DAYS:
        found.append(record_words.not_cleaned(None if not rinsed else end - rinsed[-1]))
    ciliates = next((e for e in events if isinstance(e, Count) and e.ciliates in {"some", "many"}), None)
    if ciliates is not None:
        found.append(record_words.first_ciliates(end - ciliates.day))
    return found
