"""Rows of the event table to events, each checked against the vessels and against what is there already."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import TypeVar

from rackview.core.clock import WANTED, from_text
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import KINDS, Event
from rackview.core.parse import event_from_row
from rackview.core.rack import Rack, check_event
from rackview.core.vessel import Vessel
from rackview.exchange.freeform.worded import content_in_english
from rackview.exchange.intake import KNOWN, TAKEN, LineVerdict, Report, SourceRow, clear
from rackview.exchange.ledger import Ledger, Said, ordinals
from rackview.language import _

AHEAD = timedelta(minutes=10)
"""How far the keeper's clock may be behind the one that entered."""

T = TypeVar("T")
_Line = tuple[int, LineVerdict, Event, Said]
"""A line that says an event: its part, what is said of it if it adds something, and the event."""


@dataclass(frozen=True, slots=True)
class Times:
    """The moment of the import, and how a time without an offset gets one."""

    now: datetime
    local: Callable[[datetime], datetime]

    def aware(self, cell: object, column: str) -> datetime:
        """The cell as an aware datetime; raises `InputError`."""
        try:
            if isinstance(cell, str):
                cell = from_text(cell)
            elif isinstance(cell, date) and not isinstance(cell, datetime):
                cell = datetime.combine(cell, time())
            if isinstance(cell, datetime):
                return cell if cell.tzinfo is not None else self._on_the_wall(cell, column)
        except InputError:
            raise
        except (ValueError, OverflowError, OSError):
            pass
        raise InputError(column, cell, WANTED)

    def _on_the_wall(self, cell: datetime, column: str) -> datetime:
        """The time with the offset of that day; raises `InputError` for one that the clocks were put forward over."""
        found = self.local(cell)
        shown = found  # a fixed offset that was reckoned for this time: as the clocks showed it
        if not isinstance(found.tzinfo, timezone):
            shown = found.astimezone(UTC).astimezone(found.tzinfo)
        if shown.replace(tzinfo=None) != cell:
            wanted = _("a time that the clocks showed, as they were put forward over this one, or one with its offset")
            raise InputError(column, f"{cell:%Y-%m-%d %H:%M}", wanted)
        return found


def take_events(
    rows: list[SourceRow],
    rack: Rack,
    vessels: Mapping[str, Vessel],
    broken: Collection[str],
    times: Times,
    report: Report,
) -> list[Event]:
    """The new events; `vessels` are all that will be there, `broken` names those whose own line was refused.

    The rows are let go one by one: those of a long table take more room than the events that they say.
    """
    read: list[_Line] = []
    template, kinds = _("{kind} at {vessel}, {at}{remarks}{remarks_2}"), {kind: _(kind) for kind in KINDS}
    for row in let_go(rows):
        report.looked()
        try:
            event = _event(row.cells, times)
            if event.vessel not in broken and event.partner not in broken:
                check_event(vessels, event)
        except InputError as error:
            report.refused(row, error)
            continue
        words = template.format(
            kind=kinds[event.kind],
            vessel=clear(event.vessel),
            at=clear(row.cells["at"]),
            remarks=row.remarks and ": ",
            remarks_2=row.remarks,
        )
        read.append((row.part, LineVerdict(row.file, row.line, TAKEN, words), event, content_in_english(event)))
    coming = {event.id: event for _part, _line, event, _says in read if event.id}
    ledger = Ledger(rack, frozenset(coming))
    taken: list[Event] = []
    counted: Iterable[tuple[_Line, int]]
    counted = zip(let_go(read), ordinals((part, says) for part, _line, _event, says in read), strict=True)
    if any(event.replaces is not None for _part, _line, event, _says in read):
        counted = sorted(counted, key=lambda c: _depth(c[0][2], coming))
    for (part, line, event, says), ordinal in counted:
        report.looked()
        try:
            _corrects_something(event, ledger, coming)
            fresh = ledger.take(event, says, ordinal)
        except InputError as error:
            report.refused(SourceRow(part, line.file, line.line, {}), error)
            continue
        report.add(part, replace(line, verdict=KNOWN) if fresh is None else line)
        if fresh is not None:
            taken.append(fresh)
    return taken


def let_go(listed: list[T]) -> Iterator[T]:
    """Each of a list in its order; what was gone through takes no room, and the list is empty in the end."""
    listed.reverse()
    while listed:
        yield listed.pop()


def _event(cells: Mapping[str, object], times: Times) -> Event:
    cells = dict(cells)
    for column in ("at", "entered_at"):
        if column in cells:
            cells[column] = times.aware(cells[column], column)
    event = event_from_row(cells)
    if event.at > times.now + AHEAD:
        found = times.aware(cells["at"], "at")
        now = times.now.astimezone(found.tzinfo)
        raise InputError(
            "at", f"{found:%Y-%m-%d %H:%M}", _("a time that is not after now, {now:%Y-%m-%d %H:%M}").format(now=now)
        )
    for column, said, most in (("vessel", event.vessel, 200), ("id", event.id, 100)):
        if len(said) > most:
            raise InputError(column, said, _("at most {most} characters").format(most=most))
    return event


def _depth(event: Event, coming: Mapping[str, Event]) -> int:
    """How many corrections deep an event stands: what it corrects is taken before it."""
    seen: set[str | None] = set()
    found: Event | None = event
    while found is not None and found.replaces not in seen and found.replaces is not None:
        seen.add(found.replaces)
        found = coming.get(found.replaces)
    return len(seen)


def _corrects_something(event: Event, ledger: Ledger, coming: Mapping[str, Event]) -> None:
    """Refuse a correction of an event that is nowhere, or one that in the end corrects itself."""
    seen = {event.id}
    target = event.replaces
    while target is not None and target not in ledger.ids and target not in ledger.alias:
        if target not in coming or target in seen:
            raise InputError(
                "replaces", event.replaces, _("the id of an event that is recorded or comes in these files")
            )
        seen.add(target)
        target = coming[target].replaces
