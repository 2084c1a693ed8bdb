"""A keeper's whole day through the command line alone: look, count, decide, do, put right, put away."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Run

Row = dict[str, Any]
VESSELS = [
    {"vessel": "Moss", "strain": "rotifer-L", "shelf": "A", "position": 1, "volume_l": 20},
    {"vessel": "Fern", "strain": "rotifer-L", "shelf": "A", "position": 2, "volume_l": 20},
    {"vessel": "Spare", "strain": "rotifer-L", "shelf": "B", "position": 1, "volume_l": 15},
]
STOCK = [{"feed": "algae concentrate", "dry_g_per_ml": 0.08, "amount": 2000, "unit": "mL", "opened": "2026-03-01"}]
BROODS = [{"brood": "March 1", "group": "anemonefish", "hatched": "2026-03-09", "tank_l": 40, "larvae": 150}]


def history() -> list[Row]:
    """A vessel at rest, and ten mornings of two thriving ones: counted, a quarter harvested, fed, the floss rinsed."""
    rows: list[Row] = [{"at": "2026-03-01T07:00+00:00", "vessel": "Spare", "kind": "rest"}]
    for day in range(1, 11):
        at = f"2026-03-{day:02}T"
        for vessel, near in (("Moss", 180 + 3 * day), ("Fern", 150 + 4 * day)):
            tallies = f"{near - 4} {near + 6} {near - 1}"
            rows += [
                {"at": at + "07:30+00:00", "vessel": vessel, "kind": "count", "tallies": tallies, "aliquot_ml": 1}
                | {"with_eggs": 20, "females_checked": 60, "swimming": 4, "ciliates": "none", "tint": 2},
                {"at": at + "07:31+00:00", "vessel": vessel, "kind": "reading", "temperature_c": 25, "ph": 8}
                | {"sg": 1.022, "sg_reference": "25/25", "tan_mg_l": 0.5},
                {"at": at + "08:10+00:00", "vessel": vessel, "kind": "harvest", "volume_l": 5, "refill_l": 5},
                {"at": at + "08:20+00:00", "vessel": vessel, "kind": "clean", "what": "floss"},
                {"at": at + "08:25+00:00", "vessel": vessel, "kind": "feed", "feed": "algae concentrate", "amount": 18},
            ]
    return rows


class Shed:
    """The keeper at the terminal, with a folder of tables and one store."""

    def __init__(self, run: Run, folder: Path) -> None:
        self.run = run
        self.folder = folder
        self.store = folder / "rack.db"

    def table(self, name: str, rows: list[Row]) -> Path:
        columns = list(dict.fromkeys(c for row in rows for c in row))
        with (self.folder / name).open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, columns)
            writer.writeheader()
            writer.writerows(rows)
        return self.folder / name

    def take(self, *paths: Path) -> str:
        said = self.run("--store", self.store, "import", *paths)
        assert (said.status, said.err) == (0, "")
        return said.out

    def ask(self, command: str, at: str, store: Path | None = None) -> Any:
        said = self.run(command, "--json", "--at", f"2026-03-11T{at}+00:00", "--store", store or self.store)
        assert (said.status, said.err) == (0, "")
        return json.loads(said.out)

    def density(self, vessel: str, at: str) -> float | None:
        (row,) = [r for r in self.ask("status", at) if r["vessel"] == vessel]
        return row["density_per_ml"] and row["density_per_ml"]["median"]

    def actions(self, at: str) -> set[tuple[str, str]]:
        return {(s["vessel"], s["action"]) for s in self.ask("advise", at)}


@pytest.fixture
def shed(run: Run, tmp_path: Path) -> Shed:
    found = Shed(run, tmp_path)
    tables = [("vessels.csv", VESSELS), ("stock.csv", STOCK), ("broods.csv", BROODS), ("history.csv", history())]
    found.take(*(found.table(name, rows) for name, rows in tables))
    return found


def looks(shed: Shed) -> None:
    """At the door: what each vessel is in, and what the day needs."""
    states = {r["vessel"]: r["state"] for r in shed.ask("status", "07:00")}
    assert states["Moss"] in {"level", "rising"}
    assert states["Spare"] == "resting"
    (need,) = [d["demand"] for d in shed.ask("plan", "07:00")["days"] if d["date"] == "2026-03-11"]
    assert need > 0


def counts(shed: Shed) -> None:
    """The round: one tally mistyped, so nothing is taken and everything typed is still in the file."""
    rows = [
        {"at": "2026-03-11T07:30+00:00", "vessel": v, "kind": "count", "tallies": t, "aliquot_ml": 1, "swimming": 4}
        | {"with_eggs": 21, "females_checked": 60, "ciliates": "none", "tint": 2}
        for v, t in (("Moss", "214 219 21q"), ("Fern", "196 188 201"))
    ]
    said = shed.run("--store", shed.store, "import", shed.table("round.csv", rows))
    assert said.status == 1
    assert said.err.startswith("round.csv, line 2: tallies: found “214 219 21q”")
    rows[0]["tallies"] = "214 219 210"
    assert shed.take(shed.table("round.csv", rows)).startswith("2 lines taken")
    moss = shed.density("Moss", "07:40")
    assert moss == pytest.approx(214, rel=0.12)


def does_as_advised(shed: Shed) -> None:
    """Deciding and doing: what is advised is entered as it was advised."""
    advised = shed.ask("advise", "07:40")
    harvests = [s for s in advised if s["action"] == "harvest"]
    feeds = [s for s in advised if s["action"] == "feed"]
    assert harvests
    assert all(s["unit"] == "L" and 0 < s["amount"] <= 10 for s in harvests)
    assert feeds
    assert all(s["unit"] == "mL" and s["feed"] == "algae concentrate" for s in feeds)
    done = [
        {"at": "2026-03-11T08:00+00:00", "vessel": s["vessel"], "kind": "harvest", "volume_l": s["amount"]}
        | {"refill_l": s["refill_l"], "mesh_um": s["mesh_um"], "to": s["to"]}
        for s in harvests
    ]
    done += [
        {"at": "2026-03-11T08:05+00:00", "vessel": s["vessel"], "kind": "feed", "feed": s["feed"]}
        | {"amount": s["amount"], "unit": s["unit"]}
        for s in feeds
    ]
    shed.take(shed.table("done.csv", done))
    assert not {(s["vessel"], s["action"]) for s in harvests + feeds} & shed.actions("08:10")
    taken = {s["vessel"]: s["amount"] / 20 for s in harvests}
    before = shed.ask("status", "07:59")
    for row in before:
        if row["vessel"] in taken:
            after = shed.density(row["vessel"], "08:10")
            assert after == pytest.approx(row["density_per_ml"]["median"] * (1 - taken[row["vessel"]]), rel=0.03)


def splits_and_takes_back(shed: Shed) -> None:
    """A split into the spare vessel, thought better of and taken back."""
    use = {"at": "2026-03-11T08:29+00:00", "vessel": "Spare", "kind": "return"}
    split = {"at": "2026-03-11T08:30+00:00", "vessel": "Moss", "kind": "split", "to_vessel": "Spare", "volume_l": 5}
    left = shed.density("Moss", "08:29")
    shed.take(shed.table("split.csv", [use, split | {"refill_l": 5}]))
    assert shed.density("Spare", "08:31") == pytest.approx(left * 5 / 15, rel=0.1), "filled up with new water"
    shed.run("--store", shed.store, "export", shed.folder / "out")
    with (shed.folder / "out" / "events.csv").open(encoding="utf-8", newline="") as file:
        (event_id,) = [row["id"] for row in csv.DictReader(file) if row["kind"] == "split"]
    back = {"at": "2026-03-11T08:30+00:00", "vessel": "Moss", "kind": "withdraw", "replaces": event_id}
    shed.take(shed.table("back.csv", [back]))
    assert shed.density("Spare", "08:31") == 0
    assert shed.density("Moss", "08:31") == pytest.approx(left, rel=0.01)


def puts_away(shed: Shed) -> None:
    """Putting away: a copy, a look, and the same rack on the other PC."""
    assert shed.run("--store", shed.store, "backup", shed.folder / "copy.db").status == 0
    assert shed.run("--store", shed.store, "check") == (0, f"Nothing is wrong with {shed.store}.\n", "")
    shed.run("--store", shed.store, "export", shed.folder / "out")
    other = shed.folder / "other.db"
    assert shed.run("--store", other, "import", *sorted((shed.folder / "out").iterdir())).status == 0
    for store in (other, shed.folder / "copy.db"):
        assert shed.ask("status", "09:00", store) == shed.ask("status", "09:00")
        assert shed.ask("advise", "09:00", store) == shed.ask("advise", "09:00")
    assert shed.run("--store", shed.store, "merge", other).status == 0
    assert shed.ask("status", "09:00", other) == shed.ask("status", "09:00")


def test_a_day(shed: Shed) -> None:
    for part in (looks, counts, does_as_advised, splits_and_takes_back, puts_away):
        part(shed)
