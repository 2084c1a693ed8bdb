"""Two keepers meet over a USB stick: the same store whatever the order and however often."""

from __future__ import annotations

import re
import tempfile
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.core.parse import event_from_row
from rackview.store import Store, StoreError, TableRow
from rackview.store import merge as merging
from rackview.store.merge import merge
from rackview.store.verify import check


def content(store):
    rack = store.load()
    return (
        {e.id: e for _, e in store.numbered()},
        list(rack.events()),
        rack.vessels,
        rack.stock,
        rack.settings,
    )


@pytest.fixture
def other(quick_folder, vessel_rows):
    """The other PC's store, begun from the same vessels."""
    with Store.open(quick_folder / "stick" / "other.db", "write") as made:
        made.write(rows=vessel_rows)
        yield made


def test_the_union_of_both_corrections_included(store, other, tally):
    (here,) = store.append([tally(1)])
    other.append([here, tally(2, "V2")])
    other.append([tally(3, replaces=here.id)])
    done = merge(store, other.path)
    assert len(done.written.events) == 2
    assert done.conflicts == ()
    assert [e.tallies[0] for e in store.load().events()] == [2, 3]
    assert check(store.path) == []


@pytest.mark.parametrize("alike", [0, 1, 4, 7])
def test_where_both_begin_alike_only_the_rest_is_looked_at(store, other, tally, monkeypatch, alike):
    """Also where an event says something else there, and where one side has more."""
    monkeypatch.setattr(merging, "PIECE", 2)
    both = store.append([tally(n, id=f"e{n}") for n in range(7)])
    other.append([*both[:alike], *(tally(n + 50, id=f"e{n}") for n in range(alike, 7)), tally(90, id="theirs")])
    done = merge(store, other.path)
    assert [e.id for e in done.written.events] == ["theirs"]
    assert [re.search(r" e\d ", sentence)[0].strip() for sentence in done.conflicts] == [
        f"e{n}" for n in range(alike, 7)
    ]


def test_again_adds_nothing(store, other, tally):
    other.append([tally(2)])
    merge(store, other.path)
    before = content(store)
    assert merge(store, other.path).written.events == ()
    assert content(store) == before


def test_an_event_that_was_saved_without_its_vessels_row_comes_along(store, other, tally):
    """As a damaged store leaves it: what the keeper saw is worth more than the row that went."""
    other.write([tally(1, "V9")], adopt=True)
    assert [e.vessel for e in merge(store, other.path).written.events] == ["V9"]
    assert [e.vessel for e in store.since(0).events] == ["V9"]
    assert not any(f.damage for f in check(store.path))


def test_a_row_that_the_other_pc_knew_and_changed_is_no_conflict(store, other, vessel_rows, morning):
    first = vessel_rows[0]
    other.put(first.table, first.key, {**first.row, "volume_l": 31.0}, morning + timedelta(hours=5))
    assert merge(store, other.path).conflicts == ()
    assert store.load().vessels[first.key].volume_l == 31.0


def test_both_ways_give_the_same(store, other, tally, morning):
    (both,) = store.append([tally(1)])
    other.append([both])
    store.append([tally(2, replaces=both.id)])
    other.append([tally(3, replaces=both.id), tally(4, "V3")])
    store.put("stock", "algae", {"feed": "algae", "amount": 5}, morning)
    other.put("stock", "algae", {"feed": "algae", "amount": 7}, morning + timedelta(minutes=1))
    said = merge(store, other.path).conflicts
    merge(other, store.path)
    assert content(store) == content(other)
    assert [e.tallies[0] for e in store.load().events()] == [3, 4]
    assert store.load().stock[0].amount == 7
    assert len(said) == 1
    assert "here amount “5”, there amount “7”" in said[0]
    assert "the other store's, entered last, counts" in said[0]
    assert len(store.history("stock", "algae")) == 2


def test_of_one_id_that_says_two_things_ours_stays_and_that_is_said(store, other, tally):
    (ours,) = store.append([tally(1, id="twice")])
    other.append([tally(2, id="twice"), tally(3)])
    done = merge(store, other.path)
    assert done.conflicts == ("The count twice of V1 says something else there; this store's was kept.",)
    assert [e.tallies[0] for e in done.written.events] == [3]
    assert store.event("twice") == ours


def test_a_row_removed_here_and_changed_there_is_told_both_ways(store, other, morning):
    for one, more in ((store, {"feed": "algae", "amount": 5}), (other, {"feed": "algae", "amount": 7})):
        one.put("stock", "algae", more, morning)
    store.put("stock", "algae", None, morning + timedelta(minutes=1))
    said = (
        "stock algae: here removed, there amount “7”, feed “algae”; this store's, entered last, counts, and both stay"
    )
    assert merge(store, other.path).conflicts == (f"{said} in the history.",)
    assert store.load().stock == ()
    assert merge(other, store.path).conflicts == ()
    assert other.load().stock == ()


def test_a_correction_may_come_before_what_it_corrects(store, other, tally):
    first = tally(1, id="first")
    other.append([tally(2, replaces="first", id="second")])
    merge(store, other.path)
    assert "replaces an entry that is not here" in check(store.path)[0].sentence
    store.append([first])
    assert [e.id for e in store.load().events()] == ["second"]


def test_two_vessels_put_at_one_place_are_both_there(store, other, morning):
    row = store.history("vessel", "V1")[0].row
    store.put("vessel", "W1", row | {"vessel": "W1", "position": 4}, morning)
    other.put("vessel", "W2", row | {"vessel": "W2", "position": 4}, morning + timedelta(minutes=1))
    merge(store, other.path)
    merge(other, store.path)
    for one in (store, other):
        assert {n: v.position for n, v in one.load().vessels.items() if n[0] == "W"} == {"W1": 4, "W2": 5}
    assert "W2 and another vessel" in check(store.path)[0].sentence


def test_what_is_no_store_is_refused(store, tmp_path):
    (tmp_path / "list.csv").write_text("a,b\n" * 100)
    before = content(store)
    with pytest.raises(StoreError, match="not a rackview store"):
        merge(store, tmp_path / "list.csv")
    with pytest.raises(StoreError, match="this store itself"):
        merge(store, store.path)
    assert content(store) == before


def test_a_damaged_store_is_refused_whole(store, other, tally):
    other.append([tally(i, note="n" * 100) for i in range(50)])
    other.connection.execute("DROP TRIGGER events_stay_update")
    other.connection.execute("UPDATE events SET body = replace(body, 'nnn', 'nnm') WHERE n = 40")
    before = content(store)
    with pytest.raises(StoreError, match="not as it was written"):
        merge(store, other.path)
    assert content(store) == before


steps = st.lists(st.tuples(st.integers(0, 2), st.integers(0, 5), st.integers(0, 8)), max_size=12)


@settings(max_examples=12)
@given(steps, st.permutations([(0, 1), (1, 2), (2, 0), (1, 0), (2, 1), (0, 2)]))
def test_three_pcs_in_any_order_agree(quick_root, taken, meetings):
    folder = Path(tempfile.mkdtemp(dir=quick_root))
    stores = [Store.open(folder / f"{i}.db", "write") for i in range(3)]
    vessel = {"vessel": "V1", "strain": "mixed", "shelf": "A", "position": 1, "volume_l": 9}
    start = event_from_row({"at": "2026-03-01", "vessel": "V1", "kind": "rest"}).at
    try:
        ids = ["none"]
        for number, (pc, replaced, amount) in enumerate(taken):
            stores[pc].write(rows=[TableRow("vessel", "V1", vessel, start, id="row-V1")])
            at = start + timedelta(minutes=amount)
            row = {"at": at, "entered_at": at, "vessel": "V1", "id": f"e{number}"}
            if replaced and replaced < len(ids):
                row["replaces"] = ids[replaced]
            elif amount == 8:
                stores[pc].put("setting", "name", {"value": f"rack {number}"}, at)
                continue
            kind = {"kind": "withdraw"} if amount == 0 and "replaces" in row else {"kind": "count", "tallies": [number]}
            stores[pc].append([event_from_row(row | kind)])
            ids.append(f"e{number}")
        for to, source in (*meetings, *meetings):
            merge(stores[to], stores[source].path)
        assert content(stores[0]) == content(stores[1]) == content(stores[2])
    finally:
        for one in stores:
            one.close()


def test_a_profile_removed_elsewhere_does_not_lock_the_keeper_out(store, morning):
    row = store.history("vessel", "V1")[0].row
    store.put("vessel", "V1", row | {"strain": "own"}, morning)
    assert store.load().vessels["V1"].strain == "mixed"
    assert "no profile" in check(store.path)[0].sentence


def test_a_forged_row_is_refused(store, other, morning):
    other.put("vessel", "V9", {"vessel": "V9", "strain": "mixed", "shelf": "A", "position": -4, "volume_l": 3}, morning)
    with pytest.raises(StoreError, match="position"):
        other.load()
    before = content(store)
    with pytest.raises(StoreError, match="position"):
        merge(store, other.path)
    assert content(store) == before
