"""Tables of another form at the command line: questions, the mapping file, good lines alone, standard input, record."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.store import Store

if TYPE_CHECKING:
    from tests.cli.conftest import Run

LOG = "Date,Tank,Density\n3/4/26,A1,120\n3/5/26,A1,130\n"


def rack(store: Path) -> Rack:
    with Store.open(store, "read") as opened:
        return opened.load()


def densities(store: Path) -> list[tuple[str, float | None]]:
    return [
        (f"{e.at.astimezone():%m-%d}", e.density_per_ml)
        for e in rack(store).events()
        if isinstance(e, ev.Count) and not e.tallies
    ]


def test_an_open_question_is_named_and_a_mapping_file_answers_it(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    said = run("--store", store, "import", tmp_path / "log.csv")
    assert said.status == 1
    assert "Which comes first in days such as “3/4/26”? (day first, month first; likely month first)" in said.out
    assert said.err.startswith("Nothing was taken in, as 1 question is open")
    answers = tmp_path / "answers.json"
    assert run("--store", store, "import", "--map", answers, tmp_path / "log.csv").status == 1
    written = json.loads(answers.read_text(encoding="utf-8"))
    (table,) = written["tables"]
    assert table["answers"] | {} == {
        "column Date": "date",
        "column Tank": "vessel",
        "column Density": "density /mL",
        "date order": "month first",
    }
    assert densities(store) == []
    assert run("--store", store, "import", "--map", answers, tmp_path / "log.csv").status == 0
    assert densities(store) == [("03-04", 120.0), ("03-05", 130.0)]
    (tmp_path / "more.csv").write_text("Date,Tank,Density\n3/6/26,A2,99\n", encoding="utf-8")
    assert run("--store", store, "import", tmp_path / "more.csv").status == 0  # remembered by its header
    assert densities(store)[-1] == ("03-06", 99.0)


def test_a_mapping_file_that_is_none_is_a_sentence(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    (tmp_path / "bad.json").write_text("[1, 2", encoding="utf-8")
    said = run("--store", store, "import", "--map", tmp_path / "bad.json", tmp_path / "log.csv")
    assert said.status == 1
    assert said.err.startswith("map: found “bad.json”, but needs a mapping file")


def test_good_lines_alone_and_the_others_with_reasons(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text("Date,Tank,Temp (C)\n2026-03-04,A1,24\n2026-03-05,A1,240\n", encoding="utf-8")
    refused = tmp_path / "refused.csv"
    words = ("--store", store, "import", tmp_path / "log.csv", "--refused", refused)
    assert run(*words).status == 1
    assert refused.read_text(encoding="utf-8").splitlines()[0] == "why_not_taken,Date,Tank,Temp (C)"
    said = run(*words, "--good")
    assert said.status == 0
    assert said.out.endswith(f"1 line taken into {store}, 0 there already, 1 left out.\n")
    mended = refused.read_text(encoding="utf-8").replace(",240", ",24.5")
    refused.write_text(mended, encoding="utf-8")
    assert run("--store", store, "import", refused).status == 0
    readings = [e.temperature_c for e in rack(store).events() if isinstance(e, ev.Reading) and e.vessel == "A1"]
    assert readings[-2:] == [24.0, 24.5]


def test_of_many_refused_lines_the_first_and_their_number(run: Run, store: Path, tmp_path: Path) -> None:
    rows = "".join(f"2026-03-04,A9,rest,{n}\n" for n in range(500))
    (tmp_path / "many.csv").write_text("at,vessel,kind,note\n" + rows, encoding="utf-8")
    said = run("--store", store, "import", tmp_path / "many.csv")
    assert said.err.count("\n") == 22
    assert "… and 480 more; --refused FILE saves them all" in said.err
    assert run("--store", store, "import", "--dry-run", "--quiet", tmp_path / "many.csv").out.count("\n") == 500


def test_a_table_from_standard_input(run: Run, store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = b"at,vessel,kind,what\n2026-03-04T08:00,A1,clean,vessel\n"
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text)))
    assert run("--store", store, "import", "-").status == 0
    assert any(isinstance(e, ev.Clean) and e.what == "vessel" for e in rack(store).events())


def test_one_event_is_recorded(run: Run, store: Path) -> None:
    at = ("--at", "2026-03-04T08:00+00:00")
    assert (
        run("--store", store, "record", "count", "--vessel", "A1", *at, "tallies=98 104", "aliquot_ml=0.5").status == 0
    )
    newest = rack(store).events()[-1] if isinstance(rack(store).events(), list) else list(rack(store).events())[-1]
    assert isinstance(newest, ev.Count)
    assert (newest.tallies, newest.aliquot_ml) == ((98, 104), 0.5)
    assert newest.entered_on


def test_a_vessel_may_be_called_by_its_place_in_any_case(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text("vessel,strain,shelf,position,volume_l\nLimpet,rotifer-L,Q,7,20\n")
    assert run("--store", store, "import", tmp_path / "more.csv").status == 0
    for name in ("q7", "limpet", "Q7", "Limpet"):
        assert run("--store", store, "record", "note", "--vessel", name, f"text={name}").status == 0
        assert "Limpet" in run("--store", store, "--vessel", name, "status").out
    assert [e.vessel for e in rack(store).events() if isinstance(e, ev.Note)] == ["Limpet"] * 4


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["count", "--vessel", "A1", "tallies=x"], "tallies: found “x”"),
        (["count", "--vessel", "A9", "tallies=3"], "vessel: found “A9”"),
        (["tally", "--vessel", "A1"], "kind: found “tally”"),
        (["note", "--vessel", "A1", "text"], "COLUMN=VALUE: found “text”"),
        (["note", "--vessel", "A1", "vessel=A2"], "vessel: found “A2”, but needs each column once"),
    ],
)
def test_an_event_that_can_not_be_is_a_sentence(run: Run, store: Path, words: list[str], says: str) -> None:
    said = run("--store", store, "record", *words)
    assert (said.status, said.out) == (1, "")
    assert says in said.err


def test_the_file_of_a_logger_is_thinned_and_kept_beside_the_store(run: Run, store: Path, tmp_path: Path) -> None:
    text = "Date Time,Temp (C)\n" + "".join(
        f"2026-03-0{d} {h:02}:00,{24 + h / 10}\n" for d in (1, 2) for h in range(24)
    )
    (tmp_path / "A1.csv").write_text(text, encoding="utf-8")
    said = run("--store", store, "import", tmp_path / "A1.csv")
    assert (said.status, said.out.splitlines()[-1]) == (0, f"2 lines taken into {store}, 0 there already.")
    (kept,) = store.parent.glob("rack-loggers-????????/A1.csv")
    assert kept.read_text(encoding="utf-8") == text
    assert run("--store", store, "import", tmp_path / "A1.csv").status == 0
    assert list(kept.parent.iterdir()) == [kept]


def test_an_export_as_a_workbook_comes_back_and_days_go_to_a_calendar(run: Run, store: Path, tmp_path: Path) -> None:
    assert run("--store", store, "export", tmp_path / "out", "--xlsx").status == 0
    again = tmp_path / "again.db"
    assert run("--store", again, "import", tmp_path / "out" / "rack.xlsx").status == 0
    at = ("--at", "2026-03-03T09:00+00:00")
    assert run("--store", again, "status", "--json", *at) == run("--store", store, "status", "--json", *at)
    assert run("--store", store, "export", tmp_path / "out", "--ics").status == 0
    assert (tmp_path / "out" / "rack.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
