"""From what was typed to entries: checked, dated, and signed with who made them, when and on which PC."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta

from rackview.core.clock import FIRST_YEAR, LAST_YEAR
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event, Withdraw
from rackview.core.parse import but, event_from
from rackview.core.rack import check_event
from rackview.core.renames import present_names, under_present_name
from rackview.core.vessel import Vessel
from rackview.language import _
from rackview.store import Store, StoreError, TableRow

AHEAD = timedelta(minutes=10)
"""How far ahead of the clock an entry may be dated: two clocks never agree to the minute."""

MICROSECOND = timedelta(microseconds=1)

Typed = Event | Mapping[str, object]
Row = Mapping[str, object]
RowKey = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Signature:
    """Who enters something, when, and on which PC."""

    at: datetime
    by: str
    on: str

    def signed(self, event: Event) -> Event:
        """The event with this signature, unless it was signed by whoever entered it first."""
        if event.entered_by or event.entered_on:
            return event
        return but(event, entered_at=event.entered_at or self.at, entered_by=self.by, entered_on=self.on)


def validated(
    typed: Iterable[Typed], vessels: Mapping[str, Vessel], now: datetime, *, parsed: bool = False
) -> list[Event]:
    """Events that can be at these vessels and are not in the future; raises `InputError`.

    `parsed` says that they come from the parser just now, as those of an import do. Raises `StoreError` where the clock
    of this PC can't be right.
    """
    check_clock(now)
    found = []
    names = present_names(vessels)
    for one in typed:
        event = one if parsed and isinstance(one, Event) else event_from(one)
        if event.at > now + AHEAD:
            raise InputError("at", f"{event.at:%Y-%m-%d %H:%M} UTC", _("a time that is not in the future"))
        event = under_present_name(event, names)
        check_event(vessels, event)
        found.append(event)
    return found


def withdrawal(store: Store, event: Event, now: datetime) -> Withdraw:
    """The event that takes another back."""
    return Withdraw(at=event.at, vessel=event.vessel, replaces=event.id, entered_at=after_rivals(store, event, now))


def after_rivals(store: Store, event: Event, now: datetime) -> datetime:
    """Now, or just after the newest of all that was entered to replace the event, whatever became of the clock."""
    newest, waiting, seen = now.astimezone(UTC), [event.id], {event.id}
    while waiting:
        for later in store.replacing(waiting.pop()):
            if later.id not in seen:
                seen.add(later.id)
                waiting.append(later.id)
            newest = max(newest, (later.entered_at or later.at) + MICROSECOND)
    return newest


def first_version(store: Store, event: Event) -> Event:
    """The event as it was first entered: the one at which a chain of corrections begins."""
    seen = {event.id}
    while event.replaces is not None and event.replaces not in seen:
        before = store.event(event.replaces)
        if before is None:
            break
        event = before
        seen.add(event.id)
    return event


def versions(
    store: Store, rows: Mapping[RowKey, Row | None], signature: Signature
) -> tuple[list[TableRow], dict[RowKey, Row | None]]:
    """New versions of those rows that say something else than the store, and what the store said before."""
    found: list[TableRow] = []
    before: dict[RowKey, Row | None] = {}
    for i, ((table, key), row) in enumerate(rows.items()):
        known = store.history(table, key)
        old = known[-1].row if known else None
        if row == old:
            continue
        before[table, key] = old
        at = signature.at + i * MICROSECOND
        if known:  # the newest counts, so a clock that was set back must not make this one older
            at = max(at, known[-1].entered_at + MICROSECOND)
        found.append(TableRow(table, key, row, at, signature.by, signature.on))
    return found, before


def check_clock(now: datetime) -> None:
    """Raise `StoreError` where the clock of this PC is so far off that no entry could be dated by it."""
    if not FIRST_YEAR <= now.year <= LAST_YEAR:
        raise StoreError(
            "clock",
            _(
                "The clock of this PC says {now}, so entries would get a date that nothing can read; set its "
                "date and time, then try again."
            ).format(now=now.date().isoformat()),
        )


def clock_notice(store: Store, now: datetime) -> tuple[str, ...]:
    """What the keeper should know if the store's newest entry is still to come by this PC's clock."""
    newest = store.newest_entered()
    if newest is None or newest <= now + AHEAD:
        return ()
    said = _("The newest entry was made at {newest:%Y-%m-%d %H:%M}, which is still to come by the clock ").format(
        newest=newest.astimezone()
    )
    return (said + _("of this PC; check its date and time before you record anything."),)
