"""What was remembered and is damaged or forged is passed over: it costs a recount and never a wrong answer."""

from __future__ import annotations

import json
import zlib

import pytest

from rackview.advice.api import advise
from rackview.services import memory
from rackview.store import Store, snapshot
from tests.services.fortnight import NOW, recent, same

pytestmark = pytest.mark.usefixtures("small_pieces")


def test_a_damaged_cut_or_memo_is_passed_over(kept):
    kept._store.connection.execute("UPDATE memos SET body = x'00'")
    assert recent(kept).logs["A1"].memo == {}
    kept._store.connection.execute("UPDATE stumps SET body = '{}'")
    assert kept._store.snapshot() is None
    same(kept)


@pytest.mark.parametrize(
    "said",
    [
        ["c", "os:system", "echo"],
        ["c", "subprocess:Popen", "echo"],
        ["c", "rackview.core.rack:check"],
        ["c", "rackview.store.store:Store", 1],
        ["E", "builtins:eval", "1"],
        ["N", "rackview.core.log:Node", 1],
        ["zz"],
        [],
        ["c", "rackview.rules.care:Nothing"],
        ["c", "rackview.rules.nothing:Nothing"],
    ],
)
def test_a_forged_memo_makes_nothing_but_our_own_records(kept, said):
    forge(kept, lines([], ["k", "whole"], said, 5))
    assert recent(kept).logs["A1"].memo == {"whole": 5}
    same(kept)


def lines(events: object, *said: object) -> bytes:
    """A memo's body that says this on its lines: keys, a value for each key, and the events that they name."""
    said = (*said, events)
    return zlib.compress("\n".join(map(json.dumps, said)).encode())


def forge(kept, body: bytes) -> None:
    """Put a body into every memo, with the checksum that belongs to it."""
    connection = kept._store.connection
    newest = "SELECT at, vessel, made_by FROM memos WHERE at = (SELECT max(at) FROM memos)"
    for at, name, made_by in connection.execute(newest).fetchall():
        total = snapshot.Memo(at, name, made_by, body).sum()
        put = "UPDATE memos SET body = ?, sum = ? WHERE at = ? AND vessel = ?"
        connection.execute(put, (body, total, at, name))


def huge() -> bytes:
    """Two hundred megabytes in two hundred kilobytes; packing them takes a second that each process would spend."""
    return zlib.compress(b" " * 200_000_000, 9)


@pytest.mark.parametrize("body", [
    zlib.compress(b"[" * 200_000), huge, b"", zlib.compress(b"[[1]]"),
    zlib.compress(b"{}"), lines([], ["k"], "".join(map(str, range(5000))))[:2000],
    lines([], ["k"], ["a", "<f8", [3], []]), lines([], ["k"], ["a", "O", [1], [1]]), lines([], ["k"]),
    lines([], ["k"], ["e", 0]), lines([], ["k"], ["g", "AAA="]), lines([], ["k"], ["g", 1]),
    zlib.compress(b'["k"]\n' + b"[" * 200_000), lines([], ["k"], ["h", 1.0, "AAAAAAAAAAA="]),
    lines([], [["l"]], 1), lines([[1]], ["k"], ["e", 0]),
], ids=["deep", "huge", "empty", "short", "other", "cut", "shape", "objects", "no value", "no event", "bits", "no bits",
        "deep value", "too few", "unhashable", "bad event"])  # fmt: skip
def test_a_memo_that_can_not_be_read_costs_a_recount(kept, body):
    forge(kept, body() if callable(body) else body)
    assert recent(kept).logs["A1"].memo == {}
    same(kept)


@pytest.mark.parametrize("table", ["memos", "stumps"])
def test_a_bad_page_of_what_is_remembered_costs_a_recount(kept, quick_folder, table):
    path = kept.backup(quick_folder / "spoilt.db")
    with Store.open(path) as sound:
        root = sound.connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()[0]
    with path.open("rb+") as file:
        file.seek(4096 * (root - 1))
        file.write(b"noise" * 800)
    with Store.open(path) as spoilt, Store.open(path) as again:
        rack, last = spoilt.read(memory.remember)
        whole, known = again.read_whole()
        assert last == known
        assert advise(rack, NOW) == advise(whole, NOW)
