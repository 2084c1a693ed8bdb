"""The day book: every entry once more in plain text, and in step with the store whatever happened between the two."""

from __future__ import annotations

import json
import os
import shutil
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.events import Withdraw
from rackview.core.parse import event_from_row, identified
from rackview.demo.rack import demo
from rackview.store import Store, StoreError, journal_sync
from rackview.store.book_lines import event_lines, lines_of
from rackview.store.daybook import SPOILT, BadLine, BookLine, BookPosition, DayBook, parsed, same_owner
from rackview.store.lines import line_of, sealed
from rackview.store.rows import bodies_of, event_values
from rackview.store.verify import check


def entries(book: DayBook) -> list[object]:
    return [line.entry for line in book.lines() if isinstance(line, BookLine)]


def test_every_entry_is_a_line_of_plain_json(store, tally):
    (kept,) = store.append([tally(1, note="smells fine", entered_by="Ann")])
    text = (store.book.folder / "2026-03.jsonl").read_text(encoding="utf-8").splitlines()[-1]
    said = json.loads(text)
    assert said["event"]["tallies"] == [1, 3, 4]
    assert said["event"]["note"] == "smells fine"
    assert said["event"]["id"] == kept.id
    assert len(said["sum"]) == 16


def test_months_turn_pages_but_never_back(store, tally, morning):
    for days in (0, 40, 10):
        at = morning + timedelta(days=days)
        store.append([tally(0, at=at, entered_at=at)])
    assert [p.name for p in store.book.files()] == ["2026-02.jsonl", "2026-03.jsonl", "2026-04.jsonl"]
    assert len(entries(store.book)) == 6
    assert check(store.path) == []


words = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)


years = st.datetimes(datetime(1900, 1, 1), datetime(2199, 12, 31))  # noqa: DTZ001 - taken as they stand


@given(note=words, at=years, amount=st.floats(0, 1e6), n=st.integers(1, 10**9))
def test_a_line_says_exactly_the_entry(note, at, amount, n):
    row = {"at": at, "vessel": "V1", "kind": "feed", "feed": "paste", "amount": amount, "note": note, "id": "x"}
    event = event_from_row(row)
    assert parsed(line_of(n, event)) == BookLine(n, event)


def test_a_row_of_the_store_tells_the_very_line_that_was_written():
    events = [identified(e) for e in demo(date(2026, 3, 1), now=datetime(2026, 3, 1, 9, tzinfo=UTC)).events]
    at = events[0].at
    events += [
        Withdraw(at=at, vessel=events[0].vessel, id="w", replaces=events[0].id, entered_at=at, entered_on="shed"),
        replace(events[1], id="r", replaces=events[1].id, entered_at=at, entered_by="Ann", note="smells “fine”, 8 °C"),
    ]
    assert len({e.kind for e in events}) > 8
    rows = [event_values(e) for e in events]
    numbers = range(1, len(events) + 1)
    told = [(line.n, line.id, line.raw) for line in event_lines(numbers, rows, bodies_of(rows))]
    assert told == [(n, e.id, line_of(n, e)) for n, e in zip(numbers, events, strict=True)]
    for n, event, (_n, _id, raw) in zip(numbers, events, told, strict=True):
        said = json.loads(raw)
        del said["sum"]
        assert raw == sealed(said), "laid together otherwise than it is written anew"
        assert parsed(raw) == BookLine(n, event)


@given(st.data())
def test_a_line_with_one_other_byte_is_noticed(data):
    event = event_from_row({"at": "2026-03-01", "vessel": "V1", "kind": "note", "text": "all well", "id": "x"})
    line = bytearray(line_of(7, event).rstrip())
    place = data.draw(st.integers(0, len(line) - 1))
    line[place] ^= data.draw(st.integers(1, 255))
    assert parsed(bytes(line)) is None


@given(st.binary(max_size=200))
def test_no_bytes_upset_the_reader(raw):
    assert parsed(raw) is None


def test_an_entry_written_down_but_not_kept_is_taken_in(store, tally, path):
    """As left by a program that was ended between writing the line and committing."""
    store.append([tally(1)])
    store.close()
    with (store.book.folder / "2026-03.jsonl").open("ab") as page:
        page.write(line_of(5, tally(2, id="orphan")))
    assert "next opened" in check(path)[0].sentence
    with Store.open(path, "write") as again:
        assert [e.id for e in again.load().events()][-1] == "orphan"
    assert check(path) == []


def test_another_window_takes_it_in_before_it_writes(store, tally, path):
    store.append([tally(1)])
    with (store.book.folder / "2026-03.jsonl").open("ab") as page:
        page.write(line_of(5, tally(2, id="orphan")))
    store.append([tally(3, id="mine")])
    assert [e.id for e in store.since(4).events] == ["orphan", "mine"]
    assert check(path) == []


@pytest.mark.parametrize("known", [0, 1, 2])
def test_whole_lines_before_the_half_one_stay_whatever_was_known_of_the_book(tmp_path, known):
    folder = tmp_path / "book"
    folder.mkdir()
    lines = [b'{"a":1}\n', b'{"a":22}\n']
    (folder / "2026-03.jsonl").write_bytes(b"".join([*lines, b'{"a":3']))
    DayBook(folder).cut_torn(BookPosition("2026-03.jsonl", sum(map(len, lines[:known]))))
    assert (folder / "2026-03.jsonl").read_bytes() == b"".join(lines)


def test_a_page_that_got_no_further_than_half_a_line_is_left_empty(tmp_path):
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "2026-02.jsonl").write_bytes(b'{"a":1}\n')
    (folder / "2026-03.jsonl").write_bytes(b'{"a":2')
    DayBook(folder).cut_torn(BookPosition("2026-02.jsonl", 8))
    assert [p.read_bytes() for p in sorted(folder.iterdir())] == [b'{"a":1}\n', b""]


@pytest.mark.parametrize("torn", [1, 20, -1])
def test_half_a_line_at_the_end_is_cut_off(store, tally, path, torn):
    store.append([tally(1)])
    store.close()
    with (store.book.folder / "2026-03.jsonl").open("ab") as page:
        page.write(line_of(5, tally(2, id="orphan")).rstrip()[:torn])
    with Store.open(path, "write") as again:
        again.append([tally(3)])
    assert check(path) == []


def test_what_is_added_begins_a_line_of_its_own_though_the_end_of_the_last_one_is_spoilt(store, tally):
    (first,) = store.append([tally(1)])
    page = store.book.files()[-1]
    page.write_bytes(page.read_bytes()[:-1] + b"?")
    (second,) = store.append([tally(2)])
    assert second in entries(store.book)
    assert first not in entries(store.book)
    assert store.complete_book() == 1
    assert all(one in entries(store.book) for one in (first, second))


@pytest.mark.parametrize("left", ["nothing", "no folder", "a part"])
def test_what_the_book_lost_is_written_anew(store, tally, path, left):
    store.append([tally(i) for i in range(5)])
    store.close()
    page = store.book.files()[-1]
    if left == "no folder":
        shutil.rmtree(store.book.folder)
    elif left == "nothing":
        page.unlink()
    else:
        os.truncate(page, page.stat().st_size // 2)
    assert any("day book" in f.sentence for f in check(path))
    with Store.open(path, "write") as again:
        assert {e.id for e in entries(again.book)} == {e.id for _, e in again.numbered()}
    assert check(path) == []


def test_a_damaged_line_is_named_and_written_anew(store, tally, path):
    store.append([tally(i) for i in range(5)])
    page = store.book.files()[-1]
    raw = bytearray(page.read_bytes())
    raw[len(raw) // 2] ^= 1
    page.write_bytes(raw)
    said = [f.sentence for f in check(path)]
    assert "is not as it was written" in said[0]
    assert page.name in said[0]
    assert store.complete_book() == 1
    assert sum(isinstance(line, BadLine) for line in store.book.lines()) == 1
    assert {e.id for e in entries(store.book)} == {e.id for _, e in store.numbered()}
    assert check(path) == []


@pytest.mark.parametrize("spoilt", ["a letter", "a line", "the month before", "what came since", "what was compared"])
def test_whatever_happens_to_a_book_that_was_compared_before_is_mended(store, tally, path, morning, spoilt):
    store.append([tally(i, entered_at=morning - timedelta(days=20)) for i in range(5)])
    store.append([tally(i) for i in range(5, 9)])
    assert store.complete_book() == 0
    since = store.append([tally(i) for i in range(9, 12)])
    first, page = store.book.files()[-2:]
    lines = page.read_bytes().splitlines(keepends=True)
    if spoilt == "a letter":
        lines[2] = lines[2].replace(b"V1", b"V2")
    elif spoilt == "a line":
        del lines[2]
    elif spoilt == "the month before":
        first.unlink()
    elif spoilt == "what came since":
        lines[-2] = lines[-2].replace(b"V1", b"V2")
    else:
        store.set_meta("compared", "7 of nothing :")
    page.write_bytes(b"".join(lines))
    store.complete_book()
    assert {e.id for e in entries(store.book)} == {e.id for _, e in store.numbered()} >= {e.id for e in since}
    assert check(path) == []
    assert store.complete_book() == 0


def test_what_was_compared_before_is_not_compared_again(store, tally, monkeypatch):
    store.append([tally(i) for i in range(5)])
    store.complete_book()
    told = []
    monkeypatch.setattr(
        journal_sync, "lines_of", lambda *words: (told.append(line.n) or line for line in lines_of(*words))
    )
    store.append([tally(i) for i in range(5, 7)])
    assert store.complete_book() == 0
    assert told == [9, 10]
    assert store.complete_book() == 0
    assert told == [9, 10]


def test_another_stores_book_is_set_aside(store, tally, tmp_path):
    store.append([tally(1)])
    store.close()
    with Store.open(tmp_path / "other.db", "write") as other:
        other.write(rows=[r for _, r in store_rows(store.path)])
        other.append([tally(9)])
    shutil.rmtree(store.book.folder)
    shutil.copytree(other.book.folder, store.book.folder)
    with Store.open(store.path, "write") as again:
        assert "another store's" in again.notices[0]
        assert len(again.since(0).events) == 1
        assert len(entries(again.book)) == 4
    assert check(store.path) == []


def store_rows(path):
    with Store.open(path) as reader:
        return [(n, e) for n, e in reader.numbered() if not hasattr(e, "kind")]


def test_a_store_that_is_gone_is_not_replaced_by_an_empty_one(store, tally, path):
    store.append([tally(1)])
    store.close()
    path.unlink()
    for mode in ("read", "write"):
        with pytest.raises(StoreError, match="rackview restore") as caught:
            Store.open(path, mode)
        assert caught.value.kind == "missing"
    assert not path.exists()


@pytest.mark.parametrize("letter", "0f")
def test_a_few_letters_of_an_id_may_be_spoilt_to_whatever_else(letter):
    whole = "7" * 32
    assert same_owner(whole, letter * SPOILT + whole[SPOILT:])
    assert not same_owner(whole, letter * (SPOILT + 1) + whole[SPOILT + 1 :])
    assert not same_owner(whole, whole[1:])
    assert not same_owner(None, whole)
