"""Tables as keepers keep them go in by at most three choices each, and none says anything else than it did."""

from __future__ import annotations

from pathlib import Path

import messy
import messy_layouts
import messy_values
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.clock import as_utc
from rackview.core.events import Event
from rackview.core.parse import row_of
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange.draft import ImportDraft, draft_of, read_all, read_bytes

MESSY = messy_layouts.LAYOUTS | messy_values.VALUES
MOST_CHOICES = 3
CELLS = (
    "Date", "Tank", "A1", "A2", "count", "density", "/ml", "temp", "3/4/26", "2026-03-04", "46085", "12, 14", "1,234",
    "~9", "", "-", "crashed", "x", "total", "8:30 PM", "notes", "harvest", "(gal)", "1.5", "Blue", "100-120", "25 C",
)  # fmt: skip


def as_csv(rows: list[list[str]]) -> str:
    return "\n".join(";".join(row) for row in rows)


def shown(event: Event) -> str:
    row = row_of(event)
    usual = {
        "aliquot_ml": 1.0,
        "dilution": 1.0,
        "fixative": 1.0,
        "stage": "all",
        "sg_reference": "unknown",
        "refill_l": 0.0,
    }
    own = [
        f"{c}={v:g}" if isinstance(v, float) else f"{c}={v}"
        for c, v in row.items()
        if c not in {"at", "vessel", "kind", "id"} and usual.get(c) != v
    ]
    return " ".join([f"{event.at:%m-%d %H:%M}", event.vessel, event.kind, *own])


def said(text: str) -> list[str]:
    """Expected lines, an aliquot of 1 mL left out as usual; columns in any order."""
    return sorted(
        " ".join(sorted(line.replace(" aliquot_ml=1 ", " ").removesuffix(" aliquot_ml=1").split(" ")))
        for line in text.splitlines()
    )


def taken(path: Path, answers: dict[str, str]) -> ImportDraft:
    return draft_of(read_all([path]), messy.RACK, messy.NOW, as_utc, {"": answers} if answers else None, good_only=True)


@pytest.mark.parametrize("name", MESSY)
def test_a_table_as_keepers_keep_it(name: str, tmp_path: Path) -> None:
    one = MESSY[name]
    path = one.write(tmp_path, name)
    asked = taken(path, {})
    assert len(one.answers) <= MOST_CHOICES
    assert {q.key for q in asked.open} <= one.answers.keys(), [q.text for q in asked.open]
    draft = taken(path, one.answers)
    assert [q.text for q in draft.open] == []
    assert said("\n".join(shown(e) for e in draft.intake.events)) == said(one.says)
    assert " ".join(str(line.line) for line in draft.intake.refused) == one.refused
    assert ", ".join(f"{v.vessel} {v.strain} {v.volume_l:g} L" for v in draft.intake.vessels) == one.vessels


def test_at_least_nine_tenths_of_forty_and_more_go_in_by_three_choices_at_most() -> None:
    """The bound is 36 of 40; every one of these does, as the test above shows for each."""
    choices = [len(one.answers) for one in MESSY.values()]
    assert len(choices) >= 40
    assert max(choices) <= MOST_CHOICES
    assert sum(not c for c in choices) > len(choices) / 2


def test_the_same_table_again_adds_nothing(tmp_path: Path) -> None:
    for name, one in MESSY.items():
        path = one.write(tmp_path, name)
        draft = taken(path, one.answers)
        intake = draft.intake
        rack = messy.RACK.with_vessels([*messy.RACK.vessels.values(), *intake.vessels]).record(*intake.events)
        again = draft_of(read_all([path]), rack, messy.NOW, as_utc, {"": one.answers}, good_only=True).intake
        assert (name, again.count("taken")) == (name, 0)


def test_vessels_are_known_by_place_and_former_name_too(tmp_path: Path) -> None:
    rack = Rack.build([
        Vessel("Limpet", "rotifer-L", "B", 1, 20.0), Vessel("Whelk", "rotifer-L", "B", 2, 20.0, formerly=("Bucket 7",)),
        Vessel("Old", "rotifer-L", "B", 3, 20.0, retired=True), Vessel("B9", "rotifer-L", "C", 1, 20.0),
    ])  # fmt: skip
    path = tmp_path / "log.csv"
    path.write_text(
        "Date,Tank,Density /mL\n2026-03-04,B1,1\n2026-03-04,b-2,2\n2026-03-04,bucket 7,3\n2026-03-04,B9,4\n"
    )
    draft = draft_of(read_all([path]), rack, messy.NOW, as_utc)
    assert [e.vessel for e in draft.intake.events] == ["Limpet", "Whelk", "Whelk", "B9"]
    path.write_text("Date,B1,B2\n2026-03-04,1,2\n")
    (asked,) = draft_of(read_all([path]), rack, messy.NOW, as_utc).open
    draft = draft_of(read_all([path]), rack, messy.NOW, as_utc, {"": {asked.key: asked.guess}})
    assert [e.vessel for e in draft.intake.events] == ["Limpet", "Whelk"]
    path.write_text("Date,Tank,Density /mL\n2026-03-04,B3,1\n")
    assert draft_of(read_all([path]), rack, messy.NOW, as_utc).open  # a vessel out of use gives its place free


def test_two_tables_on_a_sheet_are_told_apart(tmp_path: Path) -> None:
    path = tmp_path / "two.csv"
    counts, harvests = "Date,Tank,Density /mL\n2026-03-24,A1,120\n", "Date,Tank,Harvest (L)\n2026-03-25,A2,4\n"
    path.write_text(f"{counts}\nHarvests\n{harvests}2026-13-25,A2,4\n")
    draft = taken(path, {})
    assert [u.label for u in draft.foreign] == ["two.csv, from line 1", "two.csv, from line 4"]
    assert [line.line for line in draft.intake.refused] == [7]


@given(st.text(max_size=300) | st.lists(st.lists(st.sampled_from(CELLS), min_size=1, max_size=6)).map(as_csv))
def test_whatever_stands_in_a_table_it_is_read_asked_about_or_refused(text: str) -> None:
    sheets = read_bytes(text.encode("utf-8", "replace"), "any")
    answers: dict[str, str] = {}
    for _ in range(4):
        draft = draft_of(sheets, messy.RACK, messy.NOW, as_utc, {"": answers}, good_only=True)
        answers |= {q.key: q.guess or "20" for q in draft.open}
    assert all(line.sentence.isprintable() for line in draft.intake.refused)
