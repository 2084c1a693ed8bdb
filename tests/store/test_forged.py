"""What nobody can have entered, in a row, on a line of the day book or between the two, is told from what was."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rackview.core.parse import event_from_row
from rackview.store.daybook import BookLine, parsed
from rackview.store.lines import line_of, sealed
from rackview.store.rows import DamagedRowError, bodies_of, checksum, events_of, json_text
from rackview.store.verify import check

AT = "2026-03-01T08:00:00.000000+00:00"


def row(kind: str, body: dict[str, object]) -> tuple[object, ...]:
    """A row with a good checksum, as a program of another maker could write it."""
    said = ("id", AT, "A", kind, None, None, "", "", json_text(body))
    return *said, checksum(said)


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("count", {"tallies": [1, -1]}),
        ("count", {"tallies": [1, True]}),
        ("count", {"tallies": [1.5]}),
        ("count", {"tallies": [10**12]}),
        ("harvest", {"volume_l": -0.1}),
        ("harvest", {"volume_l": 1e12}),
        ("harvest", {"volume_l": "4"}),
        ("harvest", {"volume_l": True}),
        ("harvest", {"volume_l": 4.0, "strange": 1.0}),
        ("reading", {"temperature_c": -1e12}),
        ("split", {"to_vessel": "A", "volume_l": 1.0}),
        ("restart", {"from_vessel": "A", "volume_l": 1.0}),
    ],
)
def test_a_row_that_says_what_no_entry_can_is_damage(kind, body):
    forged = row(kind, body)
    with pytest.raises(DamagedRowError):
        events_of([forged], bodies_of([forged]))


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("count", {"tallies": [0, 10**12 - 1]}),
        ("harvest", {"volume_l": 0.0}),
        ("harvest", {"volume_l": 1e12 - 1.0}),
        ("reading", {"temperature_c": -1.5}),
        ("split", {"to_vessel": "B", "volume_l": 1.0}),
    ],
)
def test_a_row_at_the_edge_of_what_an_entry_can_say_is_read(kind, body):
    sound = row(kind, body)
    (event,) = events_of([sound], bodies_of([sound]))
    assert {name: list(v) if isinstance(v := getattr(event, name), tuple) else v for name in body} == body


HARVEST = {"at": AT, "id": "h", "kind": "harvest", "vessel": "A", "volume_l": 4.0}
VERSION = {"entered_at": AT, "id": "r", "key": "A", "row": {}, "table": "vessel"}


def test_a_line_says_an_event_or_a_version_of_a_row():
    event, version = (
        parsed(sealed({"n": 7, what: dict(said)})) for what, said in (("event", HARVEST), ("row", VERSION))
    )
    assert isinstance(event, BookLine)
    assert (event.n, event.entry.id, event.entry.volume_l) == (7, "h", 4.0)
    assert isinstance(version, BookLine)
    assert (version.n, version.entry.key, version.entry.row) == (7, "A", {})
    removed = parsed(sealed({"n": 8, "row": {**VERSION, "row": None}}))
    assert removed is not None
    assert removed.entry.row is None


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"event": HARVEST},
        {"n": "seven", "event": HARVEST},
        {"n": 7, "event": {**HARVEST, "kind": "party"}},
        {"n": 7, "event": {**HARVEST, "volume_l": -4.0}},
        {"n": 7, "event": {**HARVEST, "strange": 1}},
        {"n": 7, "event": {**HARVEST, "at": "some day"}},
        {"n": 7, "event": [1]},
        {"n": 7, "row": {**VERSION, "table": "party"}},
        {"n": 7, "row": {**VERSION, "row": [1]}},
        {"n": 7, "row": {**VERSION, "entered_at": "some day"}},
        {"book": "no id"},
    ],
)
def test_a_sealed_line_that_says_what_no_entry_can_is_no_good_line(said):
    assert parsed(sealed(said)) is None


def test_an_entry_that_the_day_book_tells_otherwise_is_damage(store, path, tally):
    first, second = store.append([tally(1), tally(2)])
    page = store.book.files()[-1]
    text = page.read_bytes()
    (line,) = [x for x in text.splitlines(keepends=True) if second.id.encode() in x]
    page.write_bytes(text.replace(line, line_of(parsed(line).n, replace(second, tallies=(9, 9)))))
    (found,) = check(path)
    assert found.damage
    assert found.sentence.startswith("1 entry differs between the store and its day book.")
    assert store.event(first.id) == first


def test_entries_of_the_day_book_alone_are_damage_unless_they_were_written_down_last(store, path, tally):
    store.append([tally(1)])
    page = store.book.files()[-1]
    extra = tally(2, id="extra")
    page.write_bytes(page.read_bytes() + line_of(99, extra) + line_of(100, event_from_row({**HARVEST, "vessel": "V1"})))
    (found,) = check(path)
    assert not found.damage
    assert found.sentence.startswith("2 entries were written down just before the program was ended")
    store.set_meta("daybook", str(store.book.end()))
    (found,) = check(path)
    assert found.damage
    assert found.sentence.startswith("2 entries are in the day book but not in the store.")
