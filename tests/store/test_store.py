"""The store: what goes in comes out, nothing else goes in, and nothing is changed or erased."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.parse import event_from_row
from rackview.core.rack import Rack
from rackview.store import Store, StoreError, TableRow, connect, walk
from rackview.store.rows import EVENT_COLUMNS, event_values, events_of, stamp
from rackview.store.verify import check


def test_what_goes_in_comes_out(store, path, tally, morning):
    rows = [
        {"kind": "count", "tallies": "0 0 1", "aliquot_ml": 0.5, "with_eggs": 1, "females_checked": 9, "tint": 3},
        {"kind": "reading", "temperature_c": 24.5, "sg": 1.022, "note": "“quoted”, ß, 🐟"},
        {"kind": "feed", "feed": "algae concentrate", "amount": 4.25, "unit": "g"},
        {"kind": "harvest", "volume_l": 6, "refill_l": 6, "mesh_um": 53, "to": "discard"},
        {"kind": "clean", "what": "airline"},
        {"kind": "top_up", "volume_l": 0.3},
        {"kind": "split", "to_vessel": "V2", "volume_l": 5},
        {"kind": "restart", "from_vessel": "V3", "volume_l": 2, "reason": "crashed"},
        {"kind": "rest"},
        {"kind": "return"},
        {"kind": "note", "text": "two\nlines"},
        {"kind": "decline", "action": "harvest", "days": 2.5},
    ]
    events = [event_from_row({**r, "at": morning + timedelta(hours=i), "vessel": "V1"}) for i, r in enumerate(rows)]
    kept = store.append(events)
    assert [e.kind for e in kept] == [r["kind"] for r in rows]
    with Store.open(path) as again:
        assert list(again.since(0).events) == kept
        assert list(again.load().events()) == kept


def test_a_rack_from_the_store_equals_one_built_from_the_same_events(store, tally, vessel_rows):
    first = store.append([tally(i, f"V{i % 3 + 1}") for i in range(30)])
    store.append(
        [tally(40, "V1", replaces=first[0].id), tally(41, "V2", kind="withdraw", tallies="", replaces=first[1].id)]
    )
    loaded = store.load()
    built = Rack.build(loaded.vessels.values(), store.since(0).events)
    assert list(loaded.events()) == list(built.events())
    assert loaded.corrections.rows == built.corrections.rows


def test_a_known_id_adds_nothing(store, tally):
    (kept,) = store.append([tally(1)])
    assert store.append([kept, kept]) == []
    assert len(store.since(0).events) == 1


def test_a_batch_goes_in_whole_or_not_at_all(store, tally):
    stranger = tally(2, "V9")
    with pytest.raises(StoreError, match="nothing was written") as caught:
        store.append([tally(1), stranger])
    assert caught.value.kind == "refused"
    assert store.since(0).events == ()
    assert sum(1 for _ in store.book.lines()) == 3


@pytest.mark.parametrize(
    "statement", ["UPDATE events SET vessel = 'V2'", "DELETE FROM events", "DELETE FROM table_rows"]
)
def test_not_even_an_editor_changes_an_entry_by_the_way(store, path, tally, statement):
    store.append([tally(1)])
    with sqlite3.connect(path) as editor, pytest.raises(sqlite3.IntegrityError, match="never changed or erased"):
        editor.execute(statement)
    editor.close()


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("kind", "explode"), ("at", "yesterday"), ("at", None), ("vessel", "V9"), ("vessel", None), ("id", ""),
        ("body", "{"), ("body", "[1]"), ("entered_by", None), ("sum", "many"), ("replaces", "itself"),
    ],
)  # fmt: skip
def test_the_tables_refuse_what_no_entry_can_be(store, tally, column, value):
    row = dict(zip(EVENT_COLUMNS, event_values(tally(1, id="itself")), strict=True)) | {column: value}
    insert = f"INSERT INTO events ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})"  # noqa: S608 - our own names
    with pytest.raises(sqlite3.Error):
        store.connection.execute(insert, tuple(row.values()))


def test_the_newest_version_of_a_row_counts_and_all_stay(store, morning):
    for amount in (300, 200, 250):
        at = morning + timedelta(minutes=amount)
        store.put("stock", "algae", {"feed": "algae", "amount": amount}, at, by="Ann", on="shed")
    assert store.load().stock[0].amount == 300
    assert [r.row["amount"] for r in store.history("stock", "algae")] == [200, 250, 300]
    store.put("stock", "algae", None, morning + timedelta(days=1))
    assert store.load().stock == ()


def test_rows_keep_the_order_in_which_they_first_came(store, morning):
    for i, feed in enumerate(["yeast", "algae", "paste", "yeast"]):
        store.put("stock", feed, {"feed": feed}, morning + timedelta(minutes=i))
    assert [s.feed for s in store.load().stock] == ["yeast", "algae", "paste"]


def test_two_vessels_at_one_place_stand_side_by_side(store, morning):
    row = store.history("vessel", "V1")[0].row
    store.put("vessel", "W", {**row, "vessel": "W"}, morning)
    places = {name: v.position for name, v in store.load().vessels.items()}
    assert places == {"V1": 1, "V2": 2, "V3": 3, "W": 4}


def test_drafts_are_kept_as_typed(store, path):
    store.save_draft("round", {"V1": {"tallies": "98 1o4"}, "row": 2})
    store.save_draft("round", {"V1": {"tallies": "98 1o4 "}})
    with Store.open(path) as other:
        assert other.draft("round") == {"V1": {"tallies": "98 1o4 "}}
    store.drop_draft("round")
    assert store.draft("round") is None


def test_reading_makes_no_file(tmp_path):
    with pytest.raises(StoreError, match="There is no store") as caught:
        Store.open(tmp_path / "none.db")
    assert caught.value.kind == "missing"
    assert list(tmp_path.iterdir()) == []


def test_another_programs_file_is_left_alone(tmp_path):
    for name, content in (("a.db", b"hello"), ("b.db", b"x" * 5000)):
        (tmp_path / name).write_bytes(content)
    other = sqlite3.connect(tmp_path / "c.db")
    other.execute("CREATE TABLE t (x)")
    other.close()
    for name in ("a.db", "b.db", "c.db"):
        before = (tmp_path / name).read_bytes()
        for mode in ("read", "write"):
            with pytest.raises(StoreError, match="not a rackview store") as caught:
                Store.open(tmp_path / name, mode)
            assert caught.value.kind == "not_ours"
        assert (tmp_path / name).read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.db", "b.db", "c.db"]


def test_a_file_is_known_for_a_store_by_its_mark_and_so_is_what_lies_beside_it(store, path, tmp_path):
    assert connect.is_store(path)
    assert connect.is_store(path.with_name(f"{path.name}-wal"))
    (tmp_path / "list.csv").write_text("vessel,kind\n")
    with closing(sqlite3.connect(tmp_path / "other.db")) as other:
        other.execute("CREATE TABLE songs (name TEXT)")
    assert not any(connect.is_store(tmp_path / name) for name in ("list.csv", "other.db", "away.db"))


def test_a_folder_is_no_store(tmp_path):
    for mode in ("read", "write"):
        with pytest.raises(StoreError) as caught:
            Store.open(tmp_path, mode)
        assert caught.value.kind == "not_ours"


def test_a_newer_store_is_refused_with_the_version_needed(store, path):
    store.connection.execute(f"PRAGMA user_version = {connect.VERSION + 1}")
    store.close()
    before = path.read_bytes()
    for mode in ("read", "write"):
        with pytest.raises(StoreError, match="newer rackview") as caught:
            Store.open(path, mode)
        assert caught.value.kind == "newer"
    assert path.read_bytes() == before


def test_the_file_is_set_up_to_be_safe(store):
    def ask(pragma: str) -> object:
        return store.connection.execute(f"PRAGMA {pragma}").fetchone()[0]

    assert ask("journal_mode") == "wal"
    assert ask("synchronous") == 2  # FULL
    assert ask("foreign_keys") == 1
    assert ask("busy_timeout") == connect.BUSY_MS
    assert ask("application_id") == connect.APPLICATION_ID
    assert ask("user_version") == connect.VERSION
    strict = store.connection.execute("SELECT name FROM pragma_table_list WHERE strict = 0 AND type = 'table'")
    assert {name for (name,) in strict} <= {"sqlite_schema", "sqlite_temp_schema", "_sqlite_migrations"}


def test_one_changed_letter_in_a_row_is_noticed(store, path, tally):
    store.append([tally(1, note="as typed")])
    store.connection.execute("DROP TRIGGER events_stay_update")
    store.connection.execute("UPDATE events SET body = replace(body, 'as typed', 'as tipped')")
    with pytest.raises(StoreError, match="not as it was written") as caught:
        store.load()
    assert caught.value.kind == "corrupt"


def test_a_read_only_folder_can_be_read(store, path, tally):
    (kept,) = store.append([tally(1)])
    store.close()
    path.parent.chmod(0o500)
    try:
        with Store.open(path) as reader:
            assert list(reader.load().events()) == [kept]
            assert reader.draft("round") is None
            with pytest.raises(StoreError) as caught:
                reader.append([tally(2)])
        assert caught.value.kind == "read_only"
    finally:
        path.parent.chmod(0o700)


@pytest.mark.parametrize(
    "use", ["Store.open(sys.argv[1]).load()", "Store.open(sys.argv[1], 'write').save_draft('round', {'a': 1})"]
)
def test_neither_reading_nor_writing_loads_pandas_or_sqlite_utils(store, path, use):
    code = (
        f"import sys; from rackview.store import Store; {use};"
        "print([m for m in ('sqlite_utils', 'pandas', 'numpy', 'scipy', 'PySide6') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


words = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)


@given(
    note=words, by=words, tallies=st.lists(st.integers(0, 10**6), min_size=1, max_size=10), aliquot=st.floats(1e-6, 1e3)
)
def test_any_text_and_number_survives(note, by, tallies, aliquot):
    event = event_from_row(
        {"at": "2026-03-01T08:00:00.000001", "vessel": "V1", "kind": "count", "tallies": tallies, "aliquot_ml": aliquot,
         "note": note, "entered_by": by, "id": "x"}
    )  # fmt: skip
    assert events_of([event_values(event)]) == [event]


@given(st.datetimes(), st.datetimes())
def test_stamps_sort_like_moments(a, b):
    from datetime import UTC

    a, b = a.replace(tzinfo=UTC), b.replace(tzinfo=UTC)
    assert (stamp(a) < stamp(b)) == (a < b)


def test_table_rows_are_ordered_by_entry(morning):
    old, new = TableRow("stock", "a", {}, morning, id="b"), TableRow("stock", "a", {}, morning, id="c")
    assert max([new, old], key=TableRow.order) is new


@pytest.mark.parametrize(("litres", "found"), [(19.5, 0), (20.0, 0), (20.5, 1)])
def test_check_names_a_harvest_of_more_than_the_vessel_holds(store, path, morning, litres, found):
    row = {"at": morning, "vessel": "V2", "kind": "harvest", "volume_l": litres, "refill_l": 0.0}
    store.append([event_from_row({**row, "entered_at": morning})])
    said = [finding.sentence for finding in check(path)]
    assert len(said) == found
    assert all("harvest of 20.5 L at V2" in sentence and "more than its 20 L" in sentence for sentence in said)


def test_check_says_how_far_it_is(store, path, tally, monkeypatch):
    monkeypatch.setattr(walk, "PIECE", 1)
    store.append([tally(i) for i in range(3)])
    told: list[tuple[str, float]] = []
    assert check(path, lambda what, share: told.append((what, share))) == []
    assert [share for _, share in told] == sorted(share for _, share in told)
    assert (told[0][1], told[-1]) == (0.0, ("", 1.0))
    assert {"the file", "the entries", "the day book"} <= {what for what, _ in told}
    entries = [share for what, share in told if what == "the entries"]
    assert len({round(share, 2) for share in entries}) == 3, "one step for each piece"
    assert all(0.2 <= share <= 0.85 for share in entries)
