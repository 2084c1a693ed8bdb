"""What the surroundings do: each fault has its sentence, and nothing is half-written."""

from __future__ import annotations

import errno
import sqlite3
from contextlib import ExitStack
from pathlib import Path
from types import SimpleNamespace

import pytest

from rackview.store import Store, StoreError, connect, errors
from rackview.store.verify import check


class Cramped:
    """A file on a disk with room for so many more bytes."""

    def __init__(self, file, room: list[int]) -> None:
        self._file = file
        self._room = room

    def write(self, data: bytes) -> int:
        if not self._room[0]:
            raise OSError(errno.ENOSPC, "No space left on device")
        written = self._file.write(data[: self._room[0]])
        self._room[0] -= written
        return written

    def __getattr__(self, name: str) -> object:
        return getattr(self._file, name)

    def __enter__(self):
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()


@pytest.fixture
def room(monkeypatch) -> list[int]:
    """How many bytes the day book's disk still takes."""
    left = [10**9]
    real = Path.open

    def opened(self, mode="r", *more, **named):
        file = real(self, mode, *more, **named)
        return Cramped(file, left) if mode == "ab" and self.suffix == ".jsonl" else file

    monkeypatch.setattr(Path, "open", opened)
    return left


@pytest.mark.parametrize("left", [0, 1, 50, 200, 399])
def test_a_full_disk_under_the_day_book(store, path, tally, room, left):
    store.append([tally(1)])
    book = store.book.files()[-1].read_bytes()
    room[0] = left
    with pytest.raises(StoreError, match="is full, so nothing was written") as caught:
        store.append([tally(2), tally(3)])
    assert caught.value.kind == "full"
    assert store.book.files()[-1].read_bytes() == book
    assert len(store.load().log("V1").events()) == 1
    room[0] = 10**9
    store.append([tally(2)])
    assert check(path) == []


def refusal(store, event) -> StoreError | None:
    try:
        store.append([event])
    except StoreError as error:
        return error
    return None


@pytest.mark.parametrize("more", range(6))
def test_a_full_disk_under_the_file(store, path, tally, more):
    store.append([tally(1)])
    pages = store.connection.execute("PRAGMA page_count").fetchone()[0]
    store.connection.execute(f"PRAGMA max_page_count = {pages + more}")
    kept, said = 1, None
    while said is None:
        said = refusal(store, tally(kept + 1, note="n" * 800))
        kept += said is None
    assert said.kind == "full"
    with pytest.raises(StoreError, match="is full"):
        store.save_draft("round", {"V1": "9" * 9000})
    assert len(list(store.load().events())) == kept
    store.connection.execute("PRAGMA max_page_count = 1073741823")
    store.append([tally(999)])
    assert check(path) == []


def test_a_fault_at_the_very_commit_leaves_neither_line_nor_row(store, path, tally, monkeypatch):
    store.append([tally(1)])
    book = store.book.files()[-1].read_bytes()

    def fails(*_: object) -> None:
        raise sqlite3.OperationalError("disk I/O error")

    with monkeypatch.context() as patch:
        patch.setattr(store, "set_meta", fails)
        with pytest.raises(StoreError):
            store.append([tally(2)])
    assert store.book.files()[-1].read_bytes() == book
    assert len(list(store.load().events())) == 1
    assert check(path) == []


def test_someone_else_is_writing(store, path, tally):
    store.connection.execute("PRAGMA busy_timeout = 1")
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError, match="busy writing") as caught:
        store.append([tally(1)])
    assert caught.value.kind == "locked"
    other.execute("ROLLBACK")
    other.close()
    store.append([tally(1)])


def test_someone_holds_the_day_book(store, path, tally, monkeypatch):
    monkeypatch.setattr("rackview.store.daybook.PATIENCE", 0.01)
    with Store.open(path, "write") as other, other.book.held(), pytest.raises(StoreError) as caught:
        store.append([tally(1)])
    assert caught.value.kind == "locked"


def test_someone_holds_the_day_book_for_a_moment(store, path, tally, monkeypatch):
    with Store.open(path, "write") as other, ExitStack() as held:
        held.enter_context(other.book.held())
        monkeypatch.setattr("rackview.store.daybook.time.sleep", lambda seconds: held.close())
        (kept,) = store.append([tally(1)])
        assert other.event(kept.id) == kept


def test_the_folder_is_gone(store, path, tally):
    away = path.parent.with_name("away")
    path.parent.rename(away)
    with pytest.raises(StoreError, match="check that its disk and folder are there") as caught:
        store.append([tally(1)])
    assert caught.value.kind == "gone"
    away.rename(path.parent)
    store.append([tally(1)])
    assert check(path) == []


def test_the_file_was_replaced(store, path, tally):
    copy = store.backup(path.with_name("copy.db"))
    copy.replace(path)
    with pytest.raises(StoreError, match="replaced by another file") as caught:
        store.append([tally(1)])
    assert caught.value.kind == "gone"


def said_by_sqlite(code: int) -> sqlite3.OperationalError:
    fault = sqlite3.OperationalError("said by SQLite")
    fault.sqlite_errorcode = code
    return fault


def test_on_a_full_disk_the_store_can_still_be_read(store, path, tally, monkeypatch):
    store.append([tally(1)])
    store.close()
    real = connect._connect

    def no_room_beside(where: Path, how: str) -> sqlite3.Connection:
        if "immutable" not in how:
            raise said_by_sqlite(sqlite3.SQLITE_IOERR_SHMSIZE)
        return real(where, how)

    monkeypatch.setattr(connect, "_connect", no_room_beside)
    with Store.open(path) as again:
        assert [e.tallies for e in again.load().events()] == [(1, 3, 4)]


@pytest.mark.parametrize(("free", "kind"), [(10**9, "gone"), (4096, "full")])
def test_a_disk_without_room_for_what_lies_beside_the_store_is_full(tmp_path, monkeypatch, free, kind):
    monkeypatch.setattr(errors.shutil, "disk_usage", lambda _: SimpleNamespace(free=free))
    with pytest.raises(StoreError) as caught, errors.spoken(tmp_path / "rack.db"):
        raise said_by_sqlite(sqlite3.SQLITE_IOERR_SHMSIZE)
    assert caught.value.kind == kind


def test_a_folder_that_takes_no_new_file_is_read_only(tmp_path, monkeypatch):
    monkeypatch.setattr(errors.os, "access", lambda *_: False)
    with pytest.raises(StoreError, match="check the permissions") as caught, errors.spoken(tmp_path / "rack.db"):
        raise said_by_sqlite(sqlite3.SQLITE_CANTOPEN)
    assert caught.value.kind == "read_only"


def test_a_store_that_could_not_be_made_leaves_no_empty_file(path, monkeypatch):
    real = connect._connect

    class Full(sqlite3.Connection):
        def execute(self, sql, *more):
            if "application_id" in sql:
                raise said_by_sqlite(sqlite3.SQLITE_FULL)
            return super().execute(sql, *more)

    def opened(where: Path, how: str) -> sqlite3.Connection:
        real(where, how).close()
        where.touch()
        return sqlite3.connect(where, factory=Full, isolation_level=None)

    monkeypatch.setattr(connect, "_connect", opened)
    with pytest.raises(StoreError, match="is full"):
        Store.open(path, "write")
    assert not path.exists()


@pytest.mark.parametrize(
    ("number", "kind"),
    [(errno.ENOSPC, "full"), (errno.EDQUOT, "full"), (errno.EROFS, "read_only"), (errno.EACCES, "read_only"),
     (errno.EPERM, "read_only"), (errno.EIO, "gone"), (errno.ENOENT, "gone"), (errno.ESTALE, "gone")],
)  # fmt: skip
def test_what_the_system_says_in_our_words(number, kind):
    with pytest.raises(StoreError) as caught, errors.spoken(Path("rack.db")):
        raise OSError(number, "said by the system")
    assert caught.value.kind == kind
    assert str(caught.value).endswith(".")
    assert "rack.db" in str(caught.value)


@pytest.mark.parametrize(
    ("code", "kind"),
    [("SQLITE_BUSY", "locked"), ("SQLITE_LOCKED", "locked"), ("SQLITE_FULL", "full"), ("SQLITE_READONLY", "read_only"),
     ("SQLITE_CANTOPEN", "gone"), ("SQLITE_IOERR", "gone"), ("SQLITE_CORRUPT", "corrupt"), ("SQLITE_NOTADB", "corrupt"),
     ("SQLITE_IOERR_FSYNC", "gone"), ("SQLITE_READONLY_DBMOVED", "read_only")],
)  # fmt: skip
def test_what_sqlite_says_in_our_words(code, kind):
    with pytest.raises(StoreError) as caught, errors.spoken(Path("rack.db")):
        raise said_by_sqlite(getattr(sqlite3, code))
    assert caught.value.kind == kind


MOUNTS = """sysfs /sys sysfs rw 0 0
/dev/sda1 / ext4 rw 0 0
server:/home /mnt/far nfs4 rw 0 0
//nas/share /mnt/two\\040words cifs rw 0 0
/dev/sdb1 /mnt/far/stick vfat rw 0 0
"""


@pytest.mark.parametrize(
    ("place", "far"),
    [("/home/ann/rack.db", False), ("/mnt/far/rack.db", True), ("/mnt/far/stick/rack.db", False),
     ("/mnt/farther/rack.db", False), ("/mnt/two words/rack.db", True)],
)  # fmt: skip
def test_network_drives_are_known(place, far, tmp_path, monkeypatch):
    monkeypatch.setattr(connect, "MOUNTED", tmp_path / "mounts")
    assert not connect.on_network(Path(place)), "on a system that has no such table"
    (tmp_path / "mounts").write_text(MOUNTS, encoding="utf-8")
    assert connect.on_network(Path(place)) is far


def test_on_a_network_drive_the_log_is_refused_and_merge_offered(path, monkeypatch, tally, vessel_rows):
    monkeypatch.setattr(connect, "on_network", lambda path: True)
    with Store.open(path, "write") as store:
        store.write([tally(1)], vessel_rows)
        assert store.connection.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
        assert "rackview merge" in store.notices[0]
    assert check(path) == []


ENDLESS = "WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c) SELECT max(n) FROM c"


def test_what_takes_long_ends_as_soon_as_it_is_to_stop(store):
    asked: list[int] = []
    with (
        pytest.raises(errors.Stopped),
        connect.stoppable(store.connection, lambda: bool(asked.append(1)) or len(asked) > 3),
    ):
        store.connection.execute(ENDLESS).fetchone()
    assert len(asked) in {4, 5}, "and once more, to tell it from Ctrl+C"
    assert store.connection.execute("SELECT 1").fetchone() == (1,)


def test_a_fault_within_what_can_be_stopped_stays_what_it_is(store):
    with (
        pytest.raises(sqlite3.OperationalError, match="no such table"),
        connect.stoppable(store.connection, lambda: True),
    ):
        store.connection.execute("SELECT 1 FROM nowhere")


def test_who_looks_on_ends_a_transaction_and_nothing_behind_it(store):
    looked: list[bool] = []

    def look() -> None:
        looked.append(store.connection.in_transaction)
        if len(looked) == 3:
            raise errors.Stopped

    with connect.watched(store.connection, look):
        store.connection.execute(ENDLESS.replace("FROM c)", "FROM c LIMIT 300000)")).fetchone()
    assert looked == [], "nothing was begun that could be ended"
    store.connection.execute("BEGIN")
    with pytest.raises(errors.Stopped), connect.watched(store.connection, look):
        store.connection.execute(ENDLESS).fetchone()
    assert looked == [True] * 3
    store.connection.execute("ROLLBACK")
    with pytest.raises(ZeroDivisionError), connect.watched(store.connection, look):
        raise ZeroDivisionError
