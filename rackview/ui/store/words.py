"""What the window says of a store: what is wrong in a sentence, what comes next, how old a copy is."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from rackview.core.clock import calendar_days
from rackview.core.vessel import natural
from rackview.language import _
from rackview.services.copies import Copy, last_seen
from rackview.services.faults import StoreError
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.services.maintenance import Merged, Restored, StoreFinding
    from rackview.services.rescue import StepBack, StoreStatus, Trouble
    from rackview.services.sharing import Arrival, Stranger

DAY_S = 86_400.0
MOST = 8
"""Lines of one kind shown before the rest is only numbered."""


HEADINGS = {
    "damaged": _("The store is damaged"),
    "missing": _("The store is gone"),
    "away": _("The store's folder is not there"),
    "foreign": _("This file is not a rackview store"),
    "newer": _("This store needs a newer rackview"),
    "busy": _("Another program is busy with the store"),
    "unwritable": _("The store can't be written to"),
    "clock": _("The clock of this PC is wrong"),
    "failed": _("The store could not be opened"),
}
"""What is wrong, as a title."""

SENTENCES = {
    "damaged": _(
        "{file} can't be read as it should. Nothing is lost by that alone: every entry is also written down in "
        "the day book and in daily copies beside it."
    ),
    "missing": _("There is no {file} in {folder} any more. Nothing new was made in its place."),
    "away": _(
        "The folder {folder} can't be reached. If it is on a stick or a network drive, connect that; this window "
        "looks again every few seconds and goes on by itself."
    ),
    "foreign": _("{file} was made by another program, so it was left as it is."),
    "newer": _(
        "{file} was written by a newer rackview than this one. The store is sound: update rackview on this PC, "
        "then open it again."
    ),
    "busy": _(
        "{file} is being written to by another program. This window looks again every few seconds and goes on by "
        "itself."
    ),
    "unwritable": _(
        "{file} can't be read or made in {folder}. See that the disk has room and that you may write there."
    ),
    "clock": _(
        "{file} is left as it is until the date of this PC is right: what is believed and advised rests on it. "
        "Set date and time in the system's settings, then try again."
    ),
    "failed": _("rackview met something in {file} that it did not expect. The file was left as it is."),
}
"""What that means and what to do first, for a person."""


def trouble_title(trouble: Trouble) -> str:
    """What is wrong, as a title."""
    return HEADINGS[trouble.what]


def trouble_sentence(trouble: Trouble) -> str:
    """What that means and what to do first."""
    return SENTENCES[trouble.what].format(file=trouble.path.name, folder=trouble.path.parent)


WHILE_RUNNING = {
    "corrupt": _(
        "The store was found to be damaged. What was recorded stands in the day book as well, and what you type "
        "is kept. Finish the line you are at, then see what can be done."
    ),
    "gone": _(
        "The store can't be reached just now. What you type is kept on this PC and brought to it when it is back; "
        "recording waits until then."
    ),
    "locked": _("Another program is busy with the store. What you type is kept; try again in a moment."),
    "full": _("The disk with the store is full. What you type is kept on this PC; free some space to record."),
    "read_only": _("The store can't be written to. What you type is kept on this PC; see whether you may write there."),
}
"""What is wrong with a store that is open, by the kind of the `StoreError`."""


def while_running(fault: StoreError) -> str:
    """What is wrong with a store that is open; the shelves show what was last known."""
    return WHILE_RUNNING[fault.kind] if fault.kind in WHILE_RUNNING else finding_text(str(fault))


def number_of(entries: int) -> str:
    """Such as 1 entry, 1,234 entries."""
    return _("1 entry") if entries == 1 else _("{n} entries").format(n=f"{entries:,}")


def moment_with_age(at: datetime, now: datetime) -> str:
    """A moment of the past with how long ago that was: 28 Nov 07:42, yesterday."""
    local, here = at.astimezone(now.tzinfo), now
    passed = calendar_days((here - local).total_seconds() / DAY_S, here)
    said = f"{formats.short_date(local.date(), here.date())} {formats.clock(local)}"
    if passed <= 0:
        return said
    return f"{said}, {_('yesterday')}" if passed == 1 else f"{said}, {_('{n} days ago').format(n=passed)}"


def copy_place_text(copy: Copy) -> str:
    """Where a copy lies, and why it was made, in a few words."""
    if copy.path.is_dir():
        return _of(_("the day book"), copy)
    for head, words in (
        ("day-", _("daily copy")),
        ("by-hand-", _("copy by hand")),
        ("replaced-", _("before a restore")),
        ("before-merge-", _("before a merge")),
        ("damaged-", _("of a damaged store")),
    ):
        if copy.path.name.startswith(head):
            return _of(words, copy) + (_(", second folder") if copy.second else "")
    if copy.path.name.startswith("before-format-"):
        return _of(_("before an update"), copy)
    return copy.path.name


def _of(what: str, copy: Copy) -> str:
    """What a copy is, and of which store where that must be told."""
    return _("{copy}, store {whose}").format(copy=what, whose=copy.whose) if copy.whose else what


def copy_cells(copy: Copy, now: datetime) -> tuple[str, ...]:
    """A copy as a row: when it was written, what it holds, its newest entry, where it lies."""
    holds = _("can't be read") if copy.entries is None else number_of(copy.entries)
    newest = "" if copy.newest is None else moment_with_age(copy.newest, now)
    return moment_with_age(copy.made, now), holds, newest, copy_place_text(copy)


def restored(done: Restored, store: Path) -> str:
    """What a restore did."""
    said = _("The store is made anew with {entries}.").format(entries=number_of(done.entries))
    if done.bad_lines:
        said += " " + _("{n} line(s) of the day book could not be read.").format(n=done.bad_lines)
    if done.kept is not None:
        where = f"{done.kept.parent.name}/{done.kept.name}" if done.kept.parent != store.parent else done.kept.name
        said += " " + _("What was there before is kept as {place}.").format(place=where)
    return said


def undone(taken: int) -> str:
    """What going one step back did."""
    said = _("The store is again as it was before.")
    if taken:
        said += " " + _("{entries} recorded since came along.").format(entries=number_of(taken))
    return said + " " + _("The one that was in its place is kept among the backups.")


def undoable_step(back: StepBack, now: datetime) -> str:
    """What can be undone."""
    what = {"restore": _("Restored {when}."), "merge": _("Merged with another store {when}.")}[back.what]
    return what.format(when=moment_with_age(back.at, now)) + " " + _("The store as it was before is kept.")


def taken_back(between: Path | None) -> str:
    """What putting an earlier store back did."""
    said = _("The earlier store is in its place again.")
    return said if between is None else said + " " + _("The other is kept in {place}.").format(place=between.name)


def merged(done: Merged, other: str) -> str:
    """What a merge brought."""
    entries = len(done.written.events) + len(done.written.rows)
    if not entries:
        return _("Nothing new in {other}: all of its entries are here already.").format(other=other)
    vessels = sorted({e.vessel for e in done.written.events}, key=natural)
    of = _(" for {vessels}").format(vessels=listed(vessels)) if vessels else ""
    return _("{entries} of {other} taken in{of}.").format(entries=number_of(entries), other=other, of=of)


def arrival(found: Arrival, now: datetime) -> str:
    """What came in from another PC, and when."""
    said = f"{moment_with_age(found.at, now)}: {merged(found.merged, found.name)}"
    return "\n".join(filter(None, (said, conflicts(found.merged.conflicts))))


def stranger(found: Stranger) -> str:
    """A store in the shared folder that was not met before."""
    return _("{file} is new here: rack “{rack}”, {entries}, {vessels}. Nothing of it is taken in yet.").format(
        file=found.path.name,
        rack=found.rack or _("without a name"),
        entries=number_of(found.entries),
        vessels=listed(list(found.vessels)) or _("no vessels"),
    )


def store_place(path: Path, *, passing: bool) -> str:
    """Where the store is."""
    said = str(path)
    return said + "\n" + _("This is the demo rack; its store goes when its window closes.") if passing else said


def stands(path: Path, found: StoreStatus, now: datetime) -> str:
    """Where the store is, what it holds, and when it was copied last."""
    copied = (
        _("no copy yet")
        if found.copied is None
        else _("newest copy {when}").format(when=moment_with_age(found.copied, now))
    )
    return f"{path}\n{number_of(found.entries)}; {copied}"


def conflicts(both: tuple[str, ...]) -> str:
    """The first of the rows that both sides had changed."""
    lines = [f"•  {c}" for c in both[:MOST]]
    if len(both) > MOST:
        lines.append(_("and {n} more; both sides of each stay in the history.").format(n=len(both) - MOST))
    return "\n".join(lines)


def aside(folder: Path) -> str:
    """A store that was set aside."""
    return _("An earlier store was set aside as {folder}.").format(folder=folder.name)


def folder(place: Path | None, seen: datetime | None, now: datetime, *, there: bool) -> str:
    """Which folder is set, whether it is there, and when it was last seen."""
    if place is None:
        return _("None is set.")
    if there:
        return _("{place}\nIt is there now.").format(place=place)
    if seen is None:
        return _("{place}\nIt is not there, and was not since it was set.").format(place=place)
    return _("{place}\nIt is not there now; last seen {when}.").format(place=place, when=moment_with_age(seen, now))


def second(store: Path, place: Path | None, now: datetime) -> str:
    """The newest copy in the second folder."""
    newest = None if place is None else last_seen(store, place)
    return "" if newest is None else _("Newest copy there: {when}.").format(when=moment_with_age(newest, now))


def refuse_folder(folder: Path, store: Path) -> None:
    """Raise `ValueError` with a sentence for a folder that would be no second place."""
    if folder.resolve() == store.parent.resolve():
        raise ValueError(_("That is the folder of the store itself; choose one on another disk."))


def listed(names: list[str], most: int = 6) -> str:
    """Such as Brill, Dab and 3 more."""
    if len(names) <= most:
        return ", ".join(names)
    return _("{names} and {n} more").format(names=", ".join(names[:most]), n=len(names) - most)


def found(findings: list[StoreFinding]) -> str:
    """What a check found, as a line above the findings."""
    if not findings:
        return _("Nothing is wrong: the file, every entry, the rules they keep and the day book are as they should be.")
    damage = sum(f.damage for f in findings)
    if damage:
        return _("Damage was found. Restore the store; nothing that can be read is lost by it.")
    return _("No damage. {n} thing(s) to look at:").format(n=len(findings))


def finding_text(finding: str) -> str:
    """A finding as the window says it, where a button does what the sentence names a command for."""
    for command, words in (
        (_("; run “rackview check” to see what, then “rackview restore”."), "."),
        (_("; “rackview restore” brings every entry back"), _("; restoring brings every entry back")),
        (_("Run “rackview restore” to make the store anew from its day book."), _("Restore the store.")),
        (
            _("“rackview restore” makes the store anew from its day book, which holds every entry."),
            _("Restore the store: its day book holds every entry."),
        ),
        (_("“rackview backup” writes it down anew"), _("“Back up now” writes it down anew")),
        (_("“rackview backup” writes them down anew"), _("“Back up now” writes them down anew")),
        (_("merge the other PC's store, which holds it"), _("merge the other PC's store, which holds it")),
    ):
        finding = finding.replace(command, words)
    return finding
