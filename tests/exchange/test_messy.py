"""Tables as keepers keep them go in by at most three choices each, and none says anything else than it did."""

from __future__ import annotations

from pathlib import Path

import messy
import pytest

from rackview.core.clock import as_utc
from rackview.core.events import Event
from rackview.core.parse import row_of
from rackview.exchange.draft import Draft, draft_of, read_all

MOST_CHOICES = 3


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


def taken(path: Path, answers: dict[str, str]) -> Draft:
    return draft_of(read_all([path]), messy.RACK, messy.NOW, as_utc, {"": answers} if answers else None, good_only=True)


@pytest.mark.parametrize("name", messy.MESSY)
def test_a_table_as_keepers_keep_it(name: str, tmp_path: Path) -> None:
    one = messy.MESSY[name]
    path = one.write(tmp_path, name)
    asked = taken(path, {})
    assert len(one.answers) <= MOST_CHOICES
    assert {q.key for q in asked.open} <= one.answers.keys(), [q.text for q in asked.open]
    draft = taken(path, one.answers)
    assert [q.text for q in draft.open] == []
    assert said("\n".join(shown(e) for e in draft.intake.events)) == said(one.says)
    assert " ".join(str(line.line) for line in draft.intake.refused) == one.refused
    assert ", ".join(f"{v.vessel} {v.strain} {v.volume_l:g} L" for v in draft.intake.vessels) == one.vessels


def test_there_are_forty_of_them_and_most_need_no_choice() -> None:
    assert len(messy.MESSY) >= 40
    assert sum(not one.answers for one in messy.MESSY.values()) > len(messy.MESSY) / 2
