"""The rack: any order of arrival gives the same rack, and nothing recorded changes a rack that was there before."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core import events as ev
from rackview.core.clock import as_utc
from rackview.core.errors import InputError
from rackview.core.parse import event_from_row, row_of
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Settings, Stock
from rackview.core.vessel import Vessel

START = as_utc("2026-03-01T08:00")
VESSELS = [Vessel(name, "rotifer-L", "A", i, 20.0) for i, name in enumerate(("A1", "A2", "A3"), 1)]


def event(number: int, vessel: str = "A1", at: float = 0, **more: object):
    row = {"at": START + timedelta(minutes=at), "vessel": vessel, "id": f"e{number:03}", "kind": "note", "text": "n"}
    more.setdefault("entered_at", START + timedelta(minutes=number))
    if more.get("kind", "note") != "note":
        row.pop("text")
    return event_from_row(row | more)


def said(rack: Rack):
    """All that can be told apart of a rack's events: histories, their partners, and what was replaced."""
    logs = {
        name: [(n.event, n.length, n.day, None if n.partner is None else n.partner.event) for n in head.back()]
        for name, head in rack.logs.items()
    }
    return logs, dict(rack.corrections.rows), rack.corrections.targets


@st.composite
def histories(draw):
    """Up to 14 events of three vessels, some at the same moment, some that replace or take back an earlier one."""
    made = []
    for number in range(draw(st.integers(1, 14))):
        vessel = draw(st.sampled_from(("A1", "A2", "A3")))
        other = {"A1": "A2", "A2": "A3", "A3": "A1"}[vessel]
        more = draw(
            st.sampled_from(
                (
                    {"text": "n"},
                    {"kind": "count", "tallies": "3 4"},
                    {"kind": "split", "to_vessel": other, "volume_l": 2},
                    {"kind": "restart", "from_vessel": other, "volume_l": 2},
                    {"kind": "harvest", "volume_l": 4, "refill_l": 4},
                )
            )
        )
        if made and draw(st.integers(0, 2)) == 0:
            target = draw(st.sampled_from(made))
            more = dict(more, replaces=target.id)
            if draw(st.booleans()):
                more = {"kind": "withdraw", "replaces": target.id}
        made.append(event(number, vessel, draw(st.integers(0, 6)), **more))
    return made


@given(histories(), st.randoms(use_true_random=False), st.integers(1, 4))
def test_any_order_of_arrival_gives_the_same_rack(made, chance, pieces):
    whole = Rack.build(VESSELS, made)
    shuffled = list(made)
    chance.shuffle(shuffled)
    rack = Rack.build(VESSELS)
    for i in range(pieces):
        rack = rack.record(*shuffled[i::pieces])
    assert said(rack) == said(whole)
    assert said(rack.record(*made)) == said(whole)
    assert said(rack.with_history(made)) == said(whole)


@given(histories(), histories())
def test_a_rack_is_not_changed_by_what_is_recorded_after(made, later):
    rack = Rack.build(VESSELS, made)
    before = said(rack)
    rack.record(*later)
    rack.with_settings(Settings(name="other"))
    rack.with_vessels([*VESSELS, Vessel("B1", "mixed", "B", 1, 5)])
    assert said(rack) == before


@given(histories())
def test_histories_are_in_order_and_know_their_partners(made):
    rack = Rack.build(VESSELS, made)
    for name in rack.vessels:
        nodes = list(rack.log(name).back())[::-1]
        assert [n.event.order() for n in nodes] == sorted(n.event.order() for n in nodes)
        for node in nodes:
            assert (node.partner is not None) == (node.event.partner is not None)
            assert node.incoming == (node.event.vessel != name)
            if node.partner is not None and node.partner.event is not None:
                assert node.partner.event.order() < node.event.order()


def fold(head):
    """A value that depends on every event and on the partner's value: any mistake in the order changes it."""
    return head.fold(
        "test", lambda vessel: (vessel.vessel,), lambda v, node, partner: (hash((v, node.event.id, partner)),)
    )


@given(histories(), histories(), st.integers(1, 5))
def test_a_remembered_fold_equals_one_from_the_start(made, later, asked):
    rack = Rack.build(VESSELS, made)
    for i, name in enumerate(rack.vessels):
        if i < asked:
            fold(rack.log(name))
    later = [event_from_row({"id": e.id + "x", **_again(e)}) for e in later]
    rack = rack.record(*later)
    fresh = Rack.build(VESSELS, [*made, *later])
    for name in rack.vessels:
        assert fold(rack.log(name)) == fold(fresh.log(name))


def _again(e):
    from rackview.core.parse import row_of

    row = row_of(e)
    row.pop("id")
    if "replaces" in row:
        row["replaces"] = f"{row['replaces']}x"
    return row


def test_a_fold_goes_on_from_what_it_remembers():
    steps: list[str] = []

    def step(value: int, node, partner) -> int:
        steps.append(node.event.id)
        return value + 1

    def count(rack: Rack) -> int:
        return rack.log("A1").fold("steps", lambda vessel: 0, step)

    rack = Rack.build(VESSELS, [event(i, at=i) for i in range(100)])
    assert count(rack) == 100
    assert len(steps) == 100
    steps.clear()
    rack = rack.record(event(100, at=100))
    assert count(rack) == 101
    assert steps == ["e100"]
    steps.clear()
    late = rack.record(event(101, at=70.5))  # a late entry starts from the nearest value kept before it
    assert count(late) == 102
    assert len(steps) <= 102 - 64
    steps.clear()
    assert count(rack) == 101
    assert steps == []


def test_years_of_splits_to_and_fro_do_not_run_out_of_stack():
    pairs = [("A1", "A2"), ("A2", "A1")]
    made = [event(i, pairs[i % 2][0], at=i, kind="split", to_vessel=pairs[i % 2][1], volume_l=1) for i in range(5000)]
    rack = Rack.build(VESSELS, made)
    total = rack.log("A1").fold("depth", lambda v: 0, lambda value, node, partner: 1 + max(value, partner))
    assert total == 5000


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (3, 2, 1, 0), (2, 0, 3, 1)])
def test_taking_back_a_taking_back(order):
    chain = [
        event(0),
        event(1, kind="withdraw", replaces="e000"),
        event(2, kind="withdraw", replaces="e001"),
        event(3, replaces="e000", text="corrected"),
    ]
    rack = Rack.build(VESSELS)
    for i in order:
        rack = rack.record(chain[i])
    assert [e.id for e in rack.events()] == ["e003"]
    assert [e.id for e in Rack.build(VESSELS, chain[:3]).events()] == ["e000"]
    assert list(Rack.build(VESSELS, chain[:2]).events()) == []


def test_of_two_corrections_the_one_entered_last_counts():
    made = [event(0), event(2, replaces="e000", text="late"), event(1, replaces="e000", text="early")]
    assert [e.text for e in Rack.build(VESSELS, made).events()] == ["late"]


def test_a_correction_may_be_corrected():
    chain = [
        event(0),
        event(1, replaces="e000", text="first try"),
        event(2, replaces="e001", text="second try"),
        event(3, kind="withdraw", replaces="e002"),
        event(4, kind="withdraw", replaces="e001"),
    ]
    told = [[e.text for e in Rack.build(VESSELS, chain[:k]).events()] for k in range(1, 6)]
    assert told == [["n"], ["first try"], ["second try"], ["first try"], ["n"]]


def test_a_correction_of_a_correction_outdoes_a_rival_entered_between():
    made = [event(0), event(1, replaces="e000"), event(2, replaces="e000"), event(3, replaces="e001")]
    assert [e.id for e in Rack.build(VESSELS, made).events()] == ["e003"]


def test_corrections_in_a_circle_do_not_hang():
    made = [event(0, replaces="e001"), event(1, replaces="e000"), event(2)]
    assert "e002" in [e.id for e in Rack.build(VESSELS, made).events()]


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("vessel", {"vessel": "Z9"}),
        ("to_vessel", {"kind": "split", "to_vessel": "Z9", "volume_l": 1}),
        ("from_vessel", {"kind": "restart", "from_vessel": "Z9"}),
        ("volume_l", {"kind": "harvest", "volume_l": 21}),
        ("refill_l", {"kind": "harvest", "volume_l": 2, "refill_l": 21}),
    ],
)
def test_what_cannot_have_happened_is_refused(field, bad):
    with pytest.raises(InputError) as caught:
        Rack.build(VESSELS, [event(0, **bad)])
    assert caught.value.field == field


def test_what_a_store_hands_back_is_not_checked_again():
    made = event(0, kind="harvest", volume_l=19)
    smaller = [Vessel("A1", "rotifer-L", "A", 1, 5.0)]
    rack = Rack.build(smaller).with_history([made, event(1, "A2"), event(2, kind="split", to_vessel="A3", volume_l=1)])
    assert list(rack.events()) == [made]


def test_vessels_stand_at_places_of_their_own_and_stay_while_used():
    with pytest.raises(InputError, match="a free place"):
        Rack.build([VESSELS[0], Vessel("B1", "mixed", "A", 1, 5)])
    with pytest.raises(InputError, match="only once"):
        Rack.build([VESSELS[0], VESSELS[0]])
    with pytest.raises(InputError, match="strain"):
        Rack.build([Vessel("B1", "unicorn", "A", 1, 5)])
    with pytest.raises(InputError, match="events are recorded"):
        Rack.build(VESSELS, [event(0)]).with_vessels(VESSELS[1:])
    assert list(Rack.build(VESSELS, [event(0)]).with_vessels(VESSELS[:2]).vessels) == ["A1", "A2"]


def test_frames_and_lists_make_the_same_rack():
    import pandas as pd

    vessels = pd.DataFrame([v.row() for v in VESSELS])
    events = pd.DataFrame(
        [{"at": "2026-03-01T08:00", "vessel": "A1", "kind": "count", "tallies": "3 4", "volume_l": None}]
    )
    broods = pd.DataFrame([{"brood": "No 1", "hatched": "2026-03-01", "larvae": 100.0}])
    stock = pd.DataFrame([{"feed": "yeast", "expires": pd.Timestamp("2026-05-01")}])
    rack = Rack.from_frames(vessels, events, broods=broods, stock=stock)
    assert list(rack.vessels) == ["A1", "A2", "A3"]
    assert rack.broods == (Brood("No 1", hatched=date(2026, 3, 1), larvae=100),)
    assert rack.stock == (Stock("yeast", expires=date(2026, 5, 1)),)
    again = rack.record(*events.to_dict("records"))
    assert said(again) == said(rack)


def test_two_equal_rows_at_once_are_two_events():
    row = {"at": "2026-03-01T08:00", "vessel": "A1", "kind": "count", "tallies": "3 4"}
    assert len(list(Rack.build(VESSELS).record(row, row).events())) == 2


def test_a_threshold_of_the_keepers_own_holds_for_rack_or_vessel():
    settings = Settings(overrides={("", "floor_per_ml"): 10.0, ("A2", "floor_per_ml"): 12.0})
    rack = Rack.build(VESSELS, settings=settings)
    assert (rack.profile("A1").floor_per_ml, rack.profile("A2").floor_per_ml) == (10.0, 12.0)
    assert rack.profile("A1").sources["floor_per_ml"] == "the keeper's own setting"
    assert Rack.build(VESSELS).profile("A1") is Rack.build(VESSELS).profile("A2")


AT = as_utc("2026-03-01T08:00")


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("tallies", ev.Count(at=AT, vessel="A1", tallies=())),
        ("tallies", ev.Count(at=AT, vessel="A1", tallies=(-5,))),
        ("aliquot_ml", ev.Count(at=AT, vessel="A1", tallies=(5,), aliquot_ml=0.0)),
        ("volume_l", ev.Harvest(at=AT, vessel="A1", volume_l=math.nan)),
        ("volume_l", ev.Harvest(at=AT, vessel="A1", volume_l=-4.0)),
        ("to_vessel", ev.Split(at=AT, vessel="A1", to_vessel="A1", volume_l=4.0)),
        ("event", 5),
        ("event", None),
    ],
)
def test_an_event_built_by_hand_is_checked_like_a_row(field, bad):
    with pytest.raises(InputError) as caught:
        Rack.build(VESSELS).record(bad)
    assert caught.value.field == field


def test_an_event_without_an_offset_is_taken_as_it_stands():
    plain = ev.Rest(at=datetime(2026, 3, 1, 8), vessel="A1")  # noqa: DTZ001 - what a caller may well hand in
    (kept,) = Rack.build(VESSELS).record(plain).events()
    assert kept.at == AT


def test_numbers_of_numpy_become_plain_ones_and_give_the_same_event():
    made = ev.Count(at=AT, vessel="A1", tallies=tuple(np.array([4, 5])), aliquot_ml=np.float64(0.5))
    row = {"at": AT, "vessel": "A1", "kind": "count", "tallies": "4 5", "aliquot_ml": "0,5"}
    (kept,), (meant,) = (Rack.build(VESSELS).record(one).events() for one in (made, row))
    assert kept == meant
    assert {type(n) for n in kept.tallies} == {int}
    assert type(kept.aliquot_ml) is float


@given(histories())
def test_recording_an_event_again_as_an_object_or_a_row_says_the_same(made):
    rack = Rack.build(VESSELS, made)
    again = Rack.build(VESSELS).record(*map(row_of, made))
    assert said(again) == said(rack)


@pytest.mark.parametrize("table", ["abc", 5, {"vessel": "A1"}, [None], ["abc"]])
def test_what_is_no_table_is_refused_in_a_sentence(table):
    for frames in ((table, []), ([], table)):
        with pytest.raises(InputError, match="needs a"):
            Rack.from_frames(*frames)


@pytest.mark.parametrize("name", ["Z9", None, 5, ["A1"]])
def test_a_name_that_no_vessel_has_is_refused(name):
    with pytest.raises(InputError, match="needs one of A1, A2, A3"):
        Rack.build(VESSELS).vessel(name)


def test_a_vessel_is_found_by_its_name_then_a_former_one_then_its_place():
    rack = Rack.build(
        [
            Vessel("B2", "rotifer-L", "A", 1, 20.0),
            Vessel("Limpet", "rotifer-L", "B", 2, 20.0, formerly=("bucket", "A1")),
            Vessel("Old", "rotifer-L", "C", 1, 20.0, retired=True),
        ]
    )
    called = {"limpet": "Limpet", " Bucket ": "Limpet", "b2": "B2", "a1": "Limpet", "old": "Old"}
    assert {text: rack.find_vessel(text).vessel for text in called} == called
    for strange in ("C1", "", "Limpe"):
        with pytest.raises(InputError, match="one of B2, Limpet"):
            rack.find_vessel(strange)


def test_a_racks_extent_is_its_vessels_its_events_once_each_and_the_newest_moment():
    assert Rack.build(VESSELS[:1]).extent == "1 vessel, no events"
    one = Rack.build(VESSELS, [event(1)])
    assert one.extent == "3 vessels, 1 event up to 2026-03-01 08:00"
    moved = event(3, "A2", at=90, kind="split", to_vessel="A3", volume_l=2)
    assert Rack.build(VESSELS, [event(1, at=60), event(2, at=5), moved]).extent == (
        "3 vessels, 3 events up to 2026-03-01 09:30"
    )


def test_a_count_of_which_only_the_density_is_known_stands_for_as_many_animals_at_any_density():
    for density in (5, 40, 800):
        only = event(1, kind="count", density_per_ml=density)
        assert only.looked_at_ml * density == pytest.approx(ev.PRESUMED_ANIMALS)
        assert only.aliquots == 1
    assert event(1, kind="count", density_per_ml=0).looked_at_ml == ev.PRESUMED_ML
