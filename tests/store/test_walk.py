"""Long work walks through stores and day books in pieces, and asks the parser once of what says the same."""

from __future__ import annotations

import json
from collections import Counter
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.core.events import KINDS
from rackview.core.parse import MOST_ANIMALS
from rackview.store.daybook import SEAL, checked
from rackview.store.lines import event_line, line_sum, sealed
from rackview.store.rows import DamagedRowError, bodies_of, checksum, event_values, events_of, json_text
from rackview.store.taking import RowCheck
from rackview.store.walk import symmetric_difference

UNFIT = (ValueError, TypeError, KeyError, AttributeError, OverflowError)
WORDS = st.sampled_from(["", " ", "A", "A ", "algae", "mL", "g", "floss", "all", "harvest", "some", "25/25"])
NUMBERS = st.sampled_from([0, 1, 1.0, 0.5, 3, 7.0, 24.5, 1e6, 1e9, -1.5, MOST_ANIMALS])
BODIES = {
    word: st.fixed_dictionaries(
        {},
        optional={
            name: WORDS | NUMBERS | st.lists(st.sampled_from([0, 3, MOST_ANIMALS - 2]), max_size=3)
            for name in kind.__dataclass_fields__
            if name not in {"at", "id", "vessel", "replaces", "entered_at", "entered_by", "entered_on"}
        },
    )
    for word, kind in KINDS.items()
}
MOMENTS = st.sampled_from(
    ["2026-03-01T08:00:00.000000+00:00", "2026-03-01 08:00:00.000000+00:00", "1850-03-01T08:00:00.000000+00:00"]
)


@st.composite
def rows(draw):
    """A row that a disk did not spoil, and that anyone may have written."""
    kind = draw(st.sampled_from(sorted(KINDS)))
    wanted = draw(BODIES[kind])
    said = (
        "id", draw(MOMENTS), draw(st.sampled_from(["A", "B", " "])), kind, draw(st.sampled_from([None, "other", " "])),
        draw(st.none() | MOMENTS), "Ann", "shed", json.dumps(wanted) if draw(st.booleans()) else json_text(wanted),
    )  # fmt: skip
    return *said, checksum(said)


@settings(max_examples=80)
@given(st.lists(rows(), max_size=25))
def test_what_says_the_same_needs_the_parser_once_and_gets_its_answer(listed):
    check = RowCheck()
    for row in listed:
        try:
            (body,) = bodies_of([row])
            (event,) = events_of([row], [dict(body)])
        except (*UNFIT, DamagedRowError):
            continue
        try:
            checked(event)
        except UNFIT:
            with pytest.raises(UNFIT):
                check.values(row, body)
            continue
        taken = check.values(row, body)
        assert events_of([taken]) == [event]
        if row[8] == json_text(body) and "T" in row[1] + (row[5] or "T"):
            assert taken[:5] == event_values(event)[:5]
        else:
            assert taken == event_values(event)


NAMES = st.sampled_from(
    sorted({f for kind in KINDS.values() for f in kind.__dataclass_fields__} | {"", "zz", ',"id":'})
)
SAID = (
    st.text(st.sampled_from('ab,":{}[]\\\n\x1f\u2028ñ'), max_size=9) | NUMBERS | st.lists(st.integers(0, 9), max_size=3)
)


@given(st.dictionaries(NAMES, SAID, max_size=6), st.lists(st.text(max_size=5), min_size=8, max_size=8), st.booleans())
def test_the_line_of_a_row_is_what_json_makes_of_it(body, said, plain):
    event_id, at, vessel, kind, replaces, entered, by, on = said
    body = dict(sorted(body.items())) if plain else body
    text = json_text(body) if plain else json.dumps(body)
    line = event_line(7, (event_id, at, vessel, kind, replaces, entered or None, by, on, text, 0), body)
    shared = {"at": at, "id": event_id, "kind": kind, "vessel": vessel}
    may_be = {"replaces": replaces, "entered_at": entered, "entered_by": by, "entered_on": on}
    wanted = sealed({"n": 7, "event": {**body, **shared, **{k: v for k, v in may_be.items() if v}}})
    if plain:
        assert line == wanted
    seal = SEAL.search(line.rstrip())
    assert seal[1].decode() == line_sum(line.rstrip()[: seal.start()] + b"}")
    said_there, said_wanted = (json.loads(one) | {"sum": ""} for one in (line, wanted))
    assert said_there == said_wanted


def test_moments_and_bodies_are_written_as_we_do():
    said = ("id", "2026-03-01 08:00:00.000000+00:00", "A", "feed", None, None, "", "", '{"feed":"algae", "amount":1.0}')
    (body,) = bodies_of([(*said, checksum(said))])
    taken = RowCheck().values((*said, checksum(said)), body)
    assert taken[1] == "2026-03-01T08:00:00.000000+00:00"
    assert taken[8] == '{"amount":1.0,"feed":"algae"}'
    assert taken[9] == checksum(taken[:9])


@given(st.lists(st.integers(0, 9), unique=True), st.lists(st.integers(0, 9)))
def test_apart_is_what_only_one_of_two_lists_has(ours, theirs):
    mine, other = symmetric_difference(((n, f"our {n}") for n in ours), ((n, i) for i, n in enumerate(theirs)))
    assert mine == {n: f"our {n}" for n in ours if n not in theirs}
    left = Counter(theirs) - Counter(ours)
    assert {n: len(places) for n, places in other.items()} == left
    assert all(theirs[i] == n for n, places in other.items() for i in places)


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
)


@given(values)
def test_json_is_written_as_the_library_writes_it(value):
    assert json_text(value) == json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), datetime(2026, 3, 1, tzinfo=UTC), {(1, 2): 3}])
def test_what_json_can_not_say_is_refused(value):
    with pytest.raises((ValueError, TypeError)):
        json_text({"value": value})


def row_at(moment: str, body: dict[str, object], kind: str = "harvest", entered: str | None = None):
    """A sound row as it stands in the store."""
    said = ("id", moment, "A", kind, None, entered, "Ann", "shed", json_text(body))
    return *said, checksum(said)


NOW, ELSEWHERE = "2026-03-01T08:00:00.000000+00:00", "2026-03-01T08:00:00.000000-05:00"


@pytest.mark.parametrize("never", ["1899-12-31T23:59:59.999999+00:00", "2200-01-01T00:00:00.000000+00:00"])
def test_a_moment_that_nobody_can_enter_is_refused_though_the_same_was_taken_of_another_day(never):
    check, body = RowCheck(), {"volume_l": 4.0}
    for first, last in (("1900-01-01T00:00:00.000000+00:00", None), (NOW, "2199-12-31T23:59:59.999999+00:00")):
        assert check.values(row_at(first, body, entered=last), dict(body))
    with pytest.raises(InputError, match=r"^at"):
        check.values(row_at(never, body), dict(body))
    with pytest.raises(InputError, match=r"^entered_at"):
        check.values(row_at(NOW, body, entered=never), dict(body))


def test_a_row_may_say_nothing_of_something_and_its_moments_stand_in_universal_time():
    zero = {"volume_l": 4.0, "refill_l": 0.0}
    (body,) = bodies_of([row_at(NOW, zero)])
    (event,) = events_of([row_at(NOW, zero)], [dict(body)])
    assert event.refill_l == 0.0
    for row in (row_at(ELSEWHERE, zero), row_at(NOW, zero, entered=ELSEWHERE)):
        with pytest.raises(DamagedRowError):
            events_of([row], bodies_of([row]))
