"""The page after a loss as blocks: the drawing, what changed, contacts, what the rules said, every entry."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import groupby
from typing import TYPE_CHECKING

from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.language import _
from rackview.ui.paint.loss import LossChart
from rackview.ui.paint.paper import Block, CellRow, Page, Text, heading, pages
from rackview.ui.theme import fonts
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.advice.record.aftermath import Aftermath, AftermathLine, Said

WHEN, WHERE, WHAT = 1.5, 1.5, 6.0
FEW_DAYS = 3
"""Up to so many days are listed one by one."""


@dataclass(frozen=True, slots=True)
class LossPage:
    """The page of one vessel. `begin` heads it; each of `parts` is a heading with what stands under it."""

    vessel: str
    title: str
    file: str
    begin: tuple[Block, ...]
    parts: tuple[tuple[Block, ...], ...]
    told: str

    def as_text(self) -> str:
        """The drawing's numbers as lines with tabs, for a spreadsheet."""
        return next((b.as_text() for b in self.begin if isinstance(b, LossChart)), "")

    def pages(self, width: float, height: float) -> tuple[Page, ...]:
        """All of it on pages of paper."""
        return pages([*self.begin, *(b for part in self.parts for b in part)], width, height)


def loss_page(rack: Rack, vessel: str, at: datetime) -> LossPage:
    """The days before the vessel's newest crash, or before `at` (aware, in the keeper's zone) if it has none."""
    from rackview.advice.record.aftermath import aftermath
    from rackview.ui.loss.days import loss_days

    after = aftermath(rack, vessel, at)
    named = rack.vessel(vessel)
    place = vessel if named.place == vessel else f"{named.place} {vessel}"
    title = _("{vessel}: the days before").format(vessel=place)
    begins, ends = after.begins.astimezone(at.tzinfo), (after.lost_at or at).astimezone(at.tzinfo)
    if after.lost_at is None:
        words = _("No crash is on record in the last four weeks; these are the 14 days up to now.")
    else:
        words = _("Lost by the count of {day}, {time}; these are the 14 days before.").format(
            day=formats.full_date(ends.date()), time=formats.clock(ends)
        )
    profile = rack.profile(vessel)
    about = _("{strain}, {from_day} to {to_day}.").format(
        strain=profile.title, from_day=_day(begins, at), to_day=_day(ends, at)
    )
    begin: tuple[Block, ...] = (
        Text(title, 22, fonts.BOLD, below=2.0, keep=True),
        Text(words, 14, fonts.SEMIBOLD, below=2.0, keep=True),
        Text(about, 12, quiet=True, below=12.0, keep=True),
        LossChart(loss_days(rack, after, at), rack.settings),
    )
    parts = (
        *(() if after.lost_at is None else (_stood(after),)),
        _changed(after),
        _contacts(after, rack, at),
        _said(after.said, at),
        _entries(after, rack, at),
    )
    return LossPage(vessel, title, f"{vessel} {ends:%Y-%m-%d}.pdf", begin, parts, f"{title}. {words} {_told(after)}")


def _stood(after: Aftermath) -> tuple[Block, ...]:
    """What the program showed on the morning of the loss, before the count that told of it."""
    head = heading(_("What stood here on that morning"))
    return head, *(Text(words, 12, below=3.0) for words in after.stood)


def _told(after: Aftermath) -> str:
    """The page in a few words for a screen reader."""
    changed = " ".join(after.changes) or _("Nothing stood out.")
    return _("What changed: {words} Contacts: {n}.").format(words=changed, n=len(after.contacts))


def _day(when: datetime, now: datetime) -> str:
    return formats.short_date(when.date(), now.date())


def _changed(after: Aftermath) -> tuple[Block, ...]:
    head = heading(_("What changed"))
    if not after.changes:
        nothing = _("Feed, harvests, eggs, temperature and salinity held within what is usual.")
        return head, Text(nothing, quiet=True)
    lead = Text(_("The last four days against the days before:"), 12, quiet=True, keep=True)
    return head, lead, *(Text(f"• {words}") for words in after.changes)


def _contacts(after: Aftermath, rack: Rack, at: datetime) -> tuple[Block, ...]:
    head = heading(_("Contacts with other vessels"))
    if not after.contacts:
        return head, Text(_("No hand or tool came from another vessel shortly before."), quiet=True)
    words = _("What hands and tools did elsewhere within three hours before they served this vessel, by vessel:")
    return head, Text(words, 12, quiet=True, keep=True), *_lines_by_vessel(after.contacts, rack, at)


def _lines_by_vessel(lines: Sequence[AftermathLine], rack: Rack, at: datetime) -> list[Block]:
    """One row per vessel, the newest contact first: on which days it was served shortly before, and what came last."""
    groups = [list(g) for _, g in groupby(sorted(lines, key=lambda c: (c.vessel, c.at)), key=lambda c: c.vessel)]
    found: list[Block] = []
    for own in sorted(groups, key=lambda g: (g[-1].at, len(g)), reverse=True):
        days = list(dict.fromkeys(_day(c.at.astimezone(at.tzinfo), at) for c in own))
        newest = own[-1]
        listed = ", ".join(days)
        if len(days) > FEW_DAYS:
            words = _("on {n} days from {first} to {last}")
            listed = words.format(n=len(days), first=days[0], last=days[-1])
        text = _("{days}; the last time: {what}, {time}").format(
            days=listed, what=newest.text, time=formats.clock(newest.at.astimezone(at.tzinfo))
        )
        found.append(CellRow((_place(rack, own[0].vessel), text), (WHERE, WHAT + WHEN)))
    return found


def _place(rack: Rack, name: str) -> str:
    vessel = rack.vessels.get(name)
    return name if vessel is None or vessel.place == name else f"{vessel.place} {name}"


def _said(said: Sequence[Said], at: datetime) -> tuple[Block, ...]:
    head = heading(_("What the rules said"))
    if not said:
        return head, Text(_("Nothing: no flag stood in these days."), quiet=True)
    days = ((_day(one.at.astimezone(at.tzinfo), at), " ".join(one.texts)) for one in said)
    return head, *(CellRow(cells, (WHEN, WHAT + WHERE)) for cells in days)


def _entries(after: Aftermath, rack: Rack, at: datetime) -> tuple[Block, ...]:
    head = heading(_("Everything recorded"))
    if not after.lines:
        return head, Text(_("Nothing was recorded in these days."), quiet=True)
    rows: list[Block] = []
    for line in after.lines:
        here = line.at.astimezone(at.tzinfo)
        what = line.text if line.vessel == after.vessel else f"{_place(rack, line.vessel)}: {line.text}"
        rows.append(CellRow((f"{_day(here, at)} {formats.clock(here)}", what), (WHEN + 0.3, WHAT + WHERE)))
    return head, *rows
