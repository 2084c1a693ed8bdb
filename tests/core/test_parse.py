"""The checked way in: one row, one event, or one clear sentence."""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core import events as ev
from rackview.core.errors import InputError
from rackview.core.parse import content, event_from_row, identified, row_of

AT = "2026-03-01T08:00"


def row(kind: str, **more: object) -> dict[str, object]:
    return {"at": AT, "vessel": "A1", "kind": kind, **more}


GOOD = {
    "count": [
        {"tallies": "98 104 101 97"},
        {"tallies": [0, 0, 1], "aliquot_ml": "0,5", "dilution": 10, "fixative": 1.02, "stage": "Nauplii"},
        {"tallies": 7, "with_eggs": 3, "females_checked": 3, "swimming": 5, "ciliates": "many", "tint": 0},
    ],
    "reading": [{"temperature_c": 24.5, "sg": 1.022}, {"ph": "8,1"}, {"sg": 1.02, "sg_reference": "25/25"}],
    "feed": [{"feed": "algae concentrate", "amount": 0}, {"feed": "yeast", "amount": 1.5, "unit": "G"}],
    "harvest": [{"volume_l": 6, "refill_l": 6, "mesh_um": 53, "to": "brood 3"}],
    "clean": [{"what": "floss"}],
    "top_up": [{"volume_l": 0.4}, {"volume_l": 0.4, "salinity": 0}],
    "split": [{"to_vessel": "A2", "volume_l": 5}],
    "restart": [{}, {"from_vessel": "A2", "volume_l": 2, "density_per_ml": 40}, {"starter": "cysts"}],
    "rest": [{}],
    "return": [{}],
    "note": [{"text": "smells of sulphur"}],
    "decline": [{"action": "harvest", "reason": "guests"}, {"code": "ammonia", "days": 3}],
    "withdraw": [{"replaces": "x"}],
}


def test_every_kind_has_an_example():
    assert set(GOOD) == set(ev.KINDS)


@pytest.mark.parametrize(("kind", "more"), [(k, m) for k, ms in GOOD.items() for m in ms])
def test_a_row_becomes_an_event_and_the_event_its_row(kind, more):
    event = event_from_row(row(kind, **more))
    assert type(event) is ev.KINDS[kind]
    assert event_from_row(row_of(event)) == event
    assert event_from_row({**dict.fromkeys(ALL), **row_of(event)}) == event  # blank cells of other kinds


ALL = {f.name for kind in ev.KINDS.values() for f in fields(kind)}


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("kind", {"kind": "explode"}),
        ("kind", {"kind": ""}),
        ("vessel", {"vessel": " "}),
        ("at", {"at": "yesterday"}),
        ("at", {"at": None}),
        ("at", {"at": "0026-03-01T08:00"}),
        ("at", {"at": "2026-02-30T08:00"}),
        ("entered_at", {"entered_at": "noon"}),
        ("tallies", {"tallies": ""}),
        ("tallies", {"tallies": "3 -1"}),
        ("tallies", {"tallies": "3 1.5"}),
        ("tallies", {"tallies": "3 1e3"}),
        ("tallies", {"tallies": "inf"}),
        ("tallies", {"tallies": [3, math.inf]}),
        ("tallies", {"tallies": "3,4,5"}),
        ("tallies", {"tallies": [9_000_000, 9_000_000]}),
        ("aliquot_ml", {"aliquot_ml": 20000}),
        ("aliquot_ml", {"aliquot_ml": 0}),
        ("aliquot_ml", {"aliquot_ml": -1}),
        ("aliquot_ml", {"aliquot_ml": "one"}),
        ("dilution", {"dilution": 0.5}),
        ("fixative", {"fixative": 0.9}),
        ("with_eggs", {"with_eggs": 4, "females_checked": 3}),
        ("with_eggs", {"with_eggs": 4}),
        ("with_eggs", {"females_checked": 30}),
        ("stage", {"stage": "eggs"}),
        ("swimming", {"swimming": 6}),
        ("swimming", {"swimming": 2.5}),
        ("ciliates", {"ciliates": "few"}),
        ("tint", {"tint": -1}),
        ("volume_l", {"volume_l": 3}),
        ("colour", {"colour": "green"}),
    ],
)
def test_a_bad_count_is_refused_by_the_name_of_its_field(field, bad):
    with pytest.raises(InputError) as caught:
        event_from_row(
            row(
                "count", tallies="3 4", **{k: v for k, v in bad.items() if k not in {"kind", "at", "vessel", "tallies"}}
            )
            | bad
        )
    assert caught.value.field == field
    said = str(caught.value)
    assert said.startswith(f"{field}: found ")
    assert said.endswith(".")
    assert "\n" not in said


@pytest.mark.parametrize(
    ("field", "kind", "more"),
    [
        ("temperature_c", "reading", {}),
        ("temperature_c", "reading", {"temperature_c": 99}),
        ("sg", "reading", {"sg": 1022}),
        ("sg_reference", "reading", {"sg": 1.02, "sg_reference": "4/4"}),
        ("ph", "reading", {"ph": 14}),
        ("feed", "feed", {"amount": 1}),
        ("amount", "feed", {"feed": "yeast"}),
        ("amount", "feed", {"feed": "yeast", "amount": -1}),
        ("unit", "feed", {"feed": "yeast", "amount": 1, "unit": "cups"}),
        ("volume_l", "harvest", {}),
        ("volume_l", "harvest", {"volume_l": 0}),
        ("volume_l", "harvest", {"volume_l": -3}),
        ("volume_l", "harvest", {"volume_l": math.nan}),
        ("refill_l", "harvest", {"volume_l": 3, "refill_l": -1}),
        ("what", "clean", {}),
        ("what", "clean", {"what": "hands"}),
        ("to_vessel", "split", {"volume_l": 3}),
        ("to_vessel", "split", {"volume_l": 3, "to_vessel": "A1"}),
        ("from_vessel", "restart", {"from_vessel": "A1"}),
        ("density_per_ml", "restart", {"density_per_ml": -1}),
        ("text", "note", {}),
        ("action", "decline", {}),
        ("action", "decline", {"action": "dance"}),
        ("days", "decline", {"action": "feed", "days": 0}),
        ("replaces", "withdraw", {}),
        ("tallies", "rest", {"tallies": "3"}),
    ],
)
def test_other_bad_rows(field, kind, more):
    with pytest.raises(InputError) as caught:
        event_from_row(row(kind, **more))
    assert caught.value.field == field


cells = st.one_of(
    st.none(), st.text(max_size=8), st.floats(), st.integers(), st.booleans(), st.lists(st.integers(), max_size=3),
    st.sampled_from(["3 4", "1.5", "-1", "2026-03-01", "A2", "floss", "mL", "some"]),
)  # fmt: skip


@given(kind=st.sampled_from([*ev.KINDS, "", "boom"]), more=st.dictionaries(st.sampled_from(sorted(ALL)), cells))
def test_no_row_brings_anything_but_an_event_or_a_sentence(kind, more):
    event = None
    with suppress(InputError):
        event = event_from_row({"at": AT, "vessel": "A1", **more, "kind": kind})
    assert event is None or event_from_row(row_of(event)) == event


def test_the_same_row_has_the_same_id_on_any_machine():
    a, b = (identified(event_from_row(row("note", text="one", entered_by=by))) for by in ("Ann", "Bo"))
    assert a.id == b.id
    assert content(a) == content(b)
    assert identified(a) is a
    assert identified(event_from_row(row("note", text="one")), copy=1).id != a.id


@pytest.mark.parametrize(
    ("kind", "more", "known"),
    [
        ("split", {"to_vessel": "B", "volume_l": 4}, "f5cf8b8e-561e-8fc8-b1f7-6d13db319c7c"),
        ("split", {"to_vessel": "B", "volume_l": 4, "refill_l": 4}, "04cfa7eb-d0fb-8177-baf3-d518f932df4f"),
        ("restart", {"from_vessel": "B", "volume_l": 4}, "e7489d59-2c85-80a4-8421-a683372f90ce"),
        ("count", {"tallies": "3 4"}, "d07a371b-d09a-8246-9338-b5dfa4c832b1"),
        ("harvest", {"volume_l": 4}, "a4933b6f-36b9-8031-a60d-98b97b4f2f91"),
    ],
)
def test_a_table_that_the_first_data_format_took_in_is_known_again(kind, more, known):
    """The ids are those that format 1 gave to these rows."""
    row = {"at": "2026-03-01T08:00Z", "vessel": "A", "kind": kind, **more}
    assert identified(event_from_row(row)).id == known


def test_new_water_is_presumed_where_nothing_is_said_and_taken_as_said_where_it_is():
    at = {"at": "2026-03-01T08:00Z", "vessel": "A"}
    split = event_from_row({**at, "kind": "split", "to_vessel": "B", "volume_l": 4})
    assert (split.refilled_l, split.filled_l(0.0, 15.0), split.filled_l(9.0, 15.0)) == (4.0, 11.0, 0.0)
    said = event_from_row({**at, "kind": "split", "to_vessel": "B", "volume_l": 4, "refill_l": 0, "fill_l": 2})
    assert (said.refilled_l, said.filled_l(0.0, 15.0), said.filled_l(9.0, 15.0)) == (0.0, 2.0, 2.0)
    restart = event_from_row({**at, "kind": "restart", "from_vessel": "B", "volume_l": 4})
    assert (restart.refilled_l, restart.level_l(15.0)) == (4.0, 15.0)
    said = event_from_row({**at, "kind": "restart", "from_vessel": "B", "volume_l": 4, "refill_l": 1, "fill_l": 5})
    assert (said.refilled_l, said.level_l(15.0)) == (1.0, 9.0)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"eggs": 3}, "eggs"),
        ({"eggs": 3, "with_eggs": 0, "females_checked": 10}, "eggs"),
        ({"eggs": 3, "with_eggs": 4, "females_checked": 10}, "eggs"),
        ({"eggs": 3.5, "with_eggs": 3, "females_checked": 10}, "eggs"),
    ],
)
def test_an_egg_tally_goes_with_the_females_that_carry_them(more, field):
    row = {"at": "2026-03-01T08:00Z", "vessel": "A", "kind": "count", "tallies": "3"}
    with pytest.raises(InputError) as refused:
        event_from_row({**row, **more})
    assert refused.value.field == field
    assert event_from_row({**row, "eggs": 7, "with_eggs": 4, "females_checked": 10}).eggs == 7
    assert event_from_row({**row, "eggs": 0, "with_eggs": 0, "females_checked": 10}).eggs == 0
