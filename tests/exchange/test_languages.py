"""A file that was taken in under one language is known again under another: what an import words itself is no entry."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from string import Formatter

import pytest

from rackview import translations
from rackview.core.clock import as_utc
from rackview.core.events import Note
from rackview.exchange.freeform import worded

TABLES = {
    # a density beside its tallies, about so many, a feed without an amount, animals of an unknown volume
    "kept.csv": "date,tank,rotifers/mL,count 1,count 2,harvest (L),food given,remarks\n"
    "2026-03-01,A1,~120,,,2,algae,looked fine\n2026-03-02,A1,118,117,119,,paste,\n2026-03-03,A1,118,7,9,about 2,,\n",
    "probe.csv": "Date Time,Temp (°C),Salinity\n"
    + "".join(f"2026-03-0{1 + h // 24} {h % 24:02}:00:00,{24 + h / 10:.1f},{20 + h / 10:.1f}\n" for h in range(48)),
}
IMPORT = """
import json, sys
from rackview import translations
translations.install_language([])
from datetime import UTC, datetime
from rackview.core.clock import as_utc
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.core.parse import event_from_row, row_of
from rackview.exchange.draft import draft_of, read_bytes

said = json.load(sys.stdin)
rack = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0)]).record(*map(event_from_row, said["events"]))
found = {}
for name, text in said["tables"].items():
    sheets, now, answers = read_bytes(text.encode(), name), datetime(2026, 3, 10, tzinfo=UTC), {"vessel": "A1"}
    for _ in range(9):
        draft = draft_of(sheets, rack, now, as_utc, {"": answers})
        if not draft.open:
            break
        answers |= {q.key: q.guess or q.options[0] for q in draft.open}
    assert not draft.open, [q.text for q in draft.open]
    assert not draft.intake.refused, [str(line) for line in draft.intake.refused]
    found[name] = [row_of(event) for event in draft.intake.events]
print(json.dumps({"language": translations.current(), "events": found}))
"""


def taken(language: str, rows: list[dict[str, object]] | None = None) -> dict[str, list[dict[str, object]]]:
    """What an import of the tables under a language would add to a rack with these rows, by table."""
    done = subprocess.run(
        [sys.executable, "-c", IMPORT],
        input=json.dumps({"tables": TABLES, "events": rows or []}),
        env=os.environ | {translations.VARIABLE: language},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["language"] == language
    return said["events"]


@pytest.fixture(scope="module")
def by_language() -> dict[str, dict[str, list[dict[str, object]]]]:
    return {language: taken(language) for language in translations.languages()}


def notes(rows: list[dict[str, object]]) -> list[object]:
    return [row.get("note") or row.get("text") for row in rows]


def test_each_language_words_the_notes_itself_and_makes_the_same_entries(by_language) -> None:
    english, spanish = by_language["en"], by_language["es"]
    for name in TABLES:
        assert english[name], name
        assert notes(english[name]) != notes(spanish[name])
        assert [row["id"] for row in english[name]] == [row["id"] for row in spanish[name]], "on two PCs, then merged"


@pytest.mark.parametrize(("first", "then"), [("en", "es"), ("es", "en"), ("es", "es")])
def test_the_same_file_under_another_language_adds_nothing(by_language, first: str, then: str) -> None:
    rows = [row for table in by_language[first].values() for row in table]
    assert taken(then, rows) == {name: [] for name in TABLES}


def test_what_was_taken_in_before_with_an_id_of_spanish_words_is_known_too(by_language) -> None:
    rows = [{**row, "id": f"older-{n}"} for n, row in enumerate(by_language["es"]["probe.csv"])]
    assert taken("en", rows)["probe.csv"] == []


FIELDS = {"cell": "~120 (or so)", "header": "aprox. L", "value": 2.5, "pop": 118.0, "tallies": "7 9", "get": "algas",
          "rows": 144, "times": "00:00", "times_2": "23:50"}  # fmt: skip


@pytest.mark.parametrize("template", worded.TEMPLATES)
@pytest.mark.parametrize("language", translations.catalogues(), ids=lambda c: c.info()["language"])
def test_every_note_is_told_back_into_english(language, template: str) -> None:
    words = [language.gettext(word) for word in worded.MEASURED.values()]
    parts = (language.gettext(worded.PART).format(words=w, values=24.5, values_2=1e-7) for w in words)
    own = "mirado; sin más"
    note = language.gettext(template).format(**FIELDS, parts=worded.LISTED.join(parts))
    english = (worded.PART.format(words=w, values=24.5, values_2=1e-7) for w in worded.MEASURED.values())
    meant = template.format(**FIELDS, parts=worded.LISTED.join(english))
    assert worded.in_english(f"{own}; {note}; {own}") == f"{own}; {meant}; {own}"
    assert worded.in_english(meant) == meant
    assert {name for _, name, _, _ in Formatter().parse(template) if name} <= FIELDS.keys() | {"parts"}


def test_a_keepers_own_words_are_compared_as_they_stand() -> None:
    at = as_utc("2026-03-01")
    same, other = (Note(at=at, vessel="A1", text=text) for text in ("alrededor", "about"))
    assert worded.content_in_english(same) != worded.content_in_english(other)
