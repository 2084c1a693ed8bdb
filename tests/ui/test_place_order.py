"""Vessels are listed as a keeper counts: shelf 2 before shelf 10; what is served when is another matter."""

from __future__ import annotations

from datetime import UTC, datetime

from rackview.advice.api import assess_all
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel, by_place, natural
from rackview.exchange.labels import labels
from rackview.services.printout import status_lines
from rackview.ui.forms.places import neighbour, next_free
from rackview.ui.labels import label_sheet
from rackview.ui.rack import presenter
from rackview.ui.rules.rule_words import scopes
from rackview.ui.what_if.ask import asks

AT = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
RACK = Rack.build(
    [
        Vessel("Goby", "rotifer-L", "Row 10", 1, 20.0),
        Vessel("Dab", "rotifer-L", "Row 2", 11, 20.0),
        Vessel("Brill", "rotifer-L", "Row 2", 2, 20.0),
        Vessel("Ling", "rotifer-L", "A", 1, 20.0),
    ]
)
NAMES = ["Ling", "Brill", "Dab", "Goby"]


def test_a_number_in_a_name_counts_as_a_number() -> None:
    assert sorted(["A10", "A2", "A", "10", "2", "B", "A2b", "A02", "a"], key=natural) == [
        "2", "10", "A", "A02", "A2", "A2b", "A10", "B", "a",
    ]  # fmt: skip
    letters = ["B", "A", "AB", "b", "Å", ""]
    assert sorted(letters, key=natural) == sorted(letters), "without a number nothing changes"


def test_vessels_are_listed_shelf_by_shelf_from_the_left() -> None:
    assert [v.vessel for v in by_place(RACK.vessels.values())] == NAMES
    told = status_lines(assess_all(RACK, AT).values(), RACK, AT)
    assert [n for line in told for n in NAMES if n in line] == NAMES
    assert [one.name for one in label_sheet(RACK).labels] == NAMES
    page = labels(RACK)
    assert sorted(NAMES, key=page.index) == NAMES
    assert [s.name for s in presenter.waiting(RACK, AT).shelves] == ["A", "Row 2", "Row 10"]
    assert list(scopes(RACK)[-4:]) == NAMES
    (choices,) = (a.choices for a in asks(RACK, "harvest") if a.column == "vessel")
    assert [name for name, _ in choices] == NAMES


def test_a_new_vessel_goes_to_the_last_shelf() -> None:
    assert next_free(RACK) == ("Row 10", 2)
    last = neighbour(RACK, "Row 2")
    assert last is not None
    assert last.vessel == "Dab"
