"""Copies of the store: made online, verified, renamed into place whole, and thinned out with age."""

from __future__ import annotations

import os
import re
import sqlite3
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import date, timedelta
from pathlib import Path

from rackview.language import _
from rackview.store import beside, connect, errors, files, pictures
from rackview.store.beside import short
from rackview.store.copies_made import clear_abandoned, digest_of, remember_copy
from rackview.store.damaged_copy import MARK, DamagedCopyError, damage_of, damaged_copy, damaged_place

DAILY, WEEKLY, MONTHLY = 7, 4, 12
ID = "SELECT value FROM meta WHERE name = 'id'"
NAME = re.compile(rf"({MARK})?day-(?P<day>\d{{4}}-\d{{2}}-\d{{2}})(?:-(?P<whose>[0-9a-f]{{8}}))?\.db\Z")
WHOSE = re.compile(r"-([0-9a-f]{8})\.db")
"""Where the id stands in the name of a copy."""

STEP = 256
"""Pages that are copied between two looks whether to stop is asked for: a megabyte."""

UNSAFE = re.compile(r"[^\w.-]+")


def folder_of(store: Path, store_id: str | None) -> Path:
    """The folder beside a store of the copies that are made of it by themselves."""
    return beside.folder_of_store(store, beside.COPIES, store_id)


def folders_of(store: Path, store_id: str | None) -> list[Path]:
    """The folders beside a store in which copies of it may lie; those of every store of its name if no id is known."""
    if not store_id:
        return beside.folders(store, beside.COPIES)
    both = (folder_of(store, store_id), beside.older_folder(store, beside.COPIES))
    return [folder for folder in both if folder.is_dir()]


def id_of(connection: sqlite3.Connection) -> str | None:
    """The id of an open store; None if it has none yet."""
    found = connection.execute(ID).fetchone()
    return None if found is None else str(found[0])


def copy_place(connection: sqlite3.Connection, store: Path, what: str) -> Path:
    """The place of a copy beside its store: what it is, with the store's id behind."""
    mine = id_of(connection)
    return folder_of(store, mine) / f"{what}-{short(mine)}.db"


def never() -> bool:
    """Of what goes on to its end."""
    return False


def copy_to(
    connection: sqlite3.Connection, target: Path, stop: connect.Stop = never, *, keep_damaged: bool = False
) -> Path:
    """Copy an open store to `target` while others may write; the copy is whole and sound, or not there at all.

    An older copy of the same store is replaced, and nothing else is: raises `StoreError` if anything other stands
    there, if the copy can't be written or if it would be damaged, and `Stopped` if `stop` said so. With
    `keep_damaged` a copy in which rows are not as they were written is kept under a name that says so, and
    `DamagedCopyError` raised; what stands at `target` stays as it is.
    """
    _free(connection, target)
    own = connection.execute("PRAGMA database_list").fetchone()[2]
    store = Path(own or target)
    with errors.spoken(target):
        files.make_folder(target.parent)
        part = target.with_name(f".{target.name}.{os.getpid()}-{threading.get_native_id()}.part")
        try:
            files.make_file(part)
            clear_abandoned(target.parent, part)
            with closing(sqlite3.connect(part, isolation_level=None)) as copy, _one_moment(connection):
                connection.backup(copy, pages=STEP, progress=_halt(stop))
                copy.execute("PRAGMA journal_mode = DELETE")
                found = damage_of(connection, copy, store, target, stop)
            files.sync_file(part)
            if found and not keep_damaged:
                raise errors.corrupt(store, found)
            if found:
                target = damaged_place(target)
                _free(connection, target)
            made = "" if found else digest_of(part, _halt(stop))
            part.replace(target)
            files.sync_folder(target.parent)
            if found:
                raise damaged_copy(store, found, target)
            if own:
                remember_copy(folder_of(store, id_of(connection)), made, target.name)
        finally:
            for rest in (part, Path(f"{part}-journal"), Path(f"{part}-wal"), Path(f"{part}-shm")):
                rest.unlink(missing_ok=True)
    return target


@contextmanager
def _one_moment(connection: sqlite3.Connection) -> Iterator[None]:
    """Hold the store as it is now: a copy that is made step by step would begin anew whenever somebody writes."""
    if connection.in_transaction:
        yield
        return
    connection.execute("BEGIN")
    try:
        connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
        yield
    finally:
        connection.execute("ROLLBACK")


def _halt(stop: connect.Stop) -> Callable[..., None]:
    def look(*_: int) -> None:
        if stop():
            raise errors.Stopped

    return look


def _free(connection: sqlite3.Connection, target: Path) -> None:
    """Raise `StoreError` if a copy written to `target` would take the place of what is no copy of this store."""
    if target.is_dir():
        raise errors.StoreError(
            "refused", _("{target} is a folder; name a file in it for the copy.").format(target=target)
        )
    if not target.exists():
        return
    own = connection.execute("PRAGMA database_list").fetchone()[2]
    if own and target.samefile(own):
        raise errors.StoreError(
            "refused", _("{target} is the store itself; name another file for the copy.").format(target=target)
        )
    left = _("so it was left as it is; name another file for the copy.")
    try:
        with closing(connect.open_reader(target)) as there:
            theirs = id_of(there)
    except errors.StoreError as error:
        if error.kind != "corrupt" or isinstance(error, errors.StrangeStoreError):
            raise errors.StoreError(
                "refused", _("{target} is no copy of this store, {left}").format(target=target, left=left)
            ) from error
        return
    ours = id_of(connection)
    if theirs != ours:
        which = _("{target} is another store ({theirs}) and no copy of this one ({ours})").format(
            target=target, theirs=short(theirs), ours=short(ours)
        )
        raise errors.StoreError("refused", f"{which}, {left}")


def second_home(connection: sqlite3.Connection, store: Path, second: Path, pc: str) -> Path:
    """The folder within a second folder for the copies that one PC makes of one store: no other uses it."""
    return second / home_name(store, id_of(connection), pc)


def home_name(store: Path, store_id: str | None, pc: str) -> str:
    """What the folder for one PC's copies of one store is called."""
    name = f"{store.stem}-{short(store_id)}"
    return f"{name}-{UNSAFE.sub('-', pc)[:40]}" if pc else name


def daily(
    connection: sqlite3.Connection,
    store: Path,
    today: date,
    second: Path | None = None,
    pc: str = "",
    stop: connect.Stop = never,
) -> tuple[str, ...]:
    """Make today's copy if there is none, thin out the old ones, and do the same in a second folder if one is set.

    Returns sentences for the keeper: a second folder that is not there is no fault. Raises `StoreError` if the copy
    beside the store can't be made, `DamagedCopyError` if it is one of a damaged store, and `Stopped` if `stop` said
    so: it is made the next time then.
    """
    damage: list[DamagedCopyError] = []
    try:
        keep_daily_copy(connection, folder_of(store, id_of(connection)), today, stop)
    except DamagedCopyError as error:
        damage.append(error)  # the second folder, on another disk perhaps, is to have one all the same
    said = _second_copy(connection, store, today, second, pc, stop)
    if damage:
        raise damage[0]
    return said


def _second_copy(
    connection: sqlite3.Connection, store: Path, today: date, second: Path | None, pc: str, stop: connect.Stop
) -> tuple[str, ...]:
    """The day's copy in the second folder, if one is set; sentences for the keeper."""
    if second is None:
        return ()
    if not second.is_dir():
        return (
            _("The second backup folder {second} is not there today; today's copy is only beside the store.").format(
                second=second
            ),
        )
    home = second_home(connection, store, second, pc)
    try:
        keep_daily_copy(connection, home, today, stop)
        pictures.copy_missing(pictures.pictures_folder(store, id_of(connection)), home / pictures.PICTURES)
    except errors.StoreError as error:
        return (_("No copy was made in the second backup folder: {error}").format(error=error),)
    return ()


def keep_daily_copy(connection: sqlite3.Connection, folder: Path, today: date, stop: connect.Stop = never) -> Path:
    """Today's copy in a folder, made if it is not there; this store's older ones are thinned out."""
    mine = short(id_of(connection))
    target = folder / f"day-{today.isoformat()}-{mine}.db"
    if not target.exists():
        with errors.spoken(folder):
            _claim(folder, id_of(connection))
        try:
            copy_to(connection, target, stop, keep_damaged=True)
        except DamagedCopyError:
            _thin(folder, mine, damaged=True)  # no sound copy goes for one of a damaged store
            raise
        _thin(folder, mine, damaged=False)
    return target


def _thin(folder: Path, mine: str, *, damaged: bool) -> None:
    """Clear away a store's daily copies that are not kept any more; sound ones and damaged ones each by themselves."""
    with errors.spoken(folder):
        found = [(match, p) for p in folder.iterdir() if (match := NAME.match(p.name))]
        by_day = {date.fromisoformat(m["day"]): p for m, p in found if m["whose"] == mine and bool(m[1]) == damaged}
        for day in by_day.keys() - kept_days(by_day):
            by_day[day].unlink()


def _claim(folder: Path, store_id: str | None) -> None:
    """Put the id into the names of this store's copies that were made before names had one."""
    if not folder.is_dir():
        return
    for path in folder.iterdir():
        match = NAME.match(path.name)
        if match is not None and match["whose"] is None and not match[1]:
            with suppress(errors.StoreError, sqlite3.Error), closing(connect.open_reader(path)) as there:
                if id_of(there) == store_id:
                    path.rename(folder / f"day-{match['day']}-{short(store_id)}.db")


def take_over(connection: sqlite3.Connection, store: Path) -> None:
    """Bring the copies that an older program made into the folder with the store's id; another store's stay there.

    What can't be moved just now is found where it is, and moved the next time.
    """
    old, mine = beside.older_folder(store, beside.COPIES), id_of(connection)
    if mine is None or not old.is_dir():
        return
    new = folder_of(store, mine)
    with suppress(OSError):
        names = [p.name for p in old.iterdir()]
        if not new.exists() and not any(m[1] != short(mine) for n in names if (m := WHOSE.search(n))):
            old.rename(new)
            return
        files.make_folder(new)
        for name in (n for n in names if n.endswith(".db") and _ours(old / n, mine)):
            for part in (n for n in names if n == name or n.startswith((f"{name}-", f"{name}."))):
                if not (new / part).exists():
                    (old / part).rename(new / part)
        old.rmdir()


def _ours(copy: Path, mine: str) -> bool:
    """Whether a copy is one of the store with this id, by its name or else by what is in it."""
    whose = WHOSE.search(copy.name)
    if whose is not None:
        return whose[1] == short(mine)
    with suppress(errors.StoreError, sqlite3.Error), closing(connect.open_reader(copy)) as there:
        return id_of(there) == mine
    return False


def kept_days(days: Iterable[date]) -> set[date]:
    """Of the days of copies, those to keep: the newest of each of the last 7 days, 4 weeks and 12 months that have one.

    Weeks are ISO 8601 weeks. Days after the newest but one year do not exist for a clock that was set back.
    """
    listed = sorted(set(days), reverse=True)
    kept = set(listed[:DAILY])
    for most, group in ((WEEKLY, _week), (MONTHLY, _month)):
        newest: dict[date, date] = {}
        for day in listed:
            newest.setdefault(group(day), day)
        kept.update(list(newest.values())[:most])
    return kept


def _week(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _month(day: date) -> date:
    return day.replace(day=1)
