"""What following the choice brings in the training ground, how its chances come true, and what counting by value saves.

    python tests/benchmarks/decide_worlds.py [--world all|NAME,NAME] [--seeds 3004-3005] [--room 21] [--counter poor]
    python tests/benchmarks/decide_worlds.py --counting [...]

Reads the training ground beside the repository, ../shared/gym. The first plays each season by the advice and by its
careful keeper and prints broods lost, utility, crashes, surplus and feed, paired, and in five bins how often a day fell
short against the chance that was said up to eight days before. The second plays each season twice by the advice, with
all tallies and with counts made only as far as `advice.choice.counting` asks for them, and prints animals counted.
Standard errors are over seasons.
"""

from __future__ import annotations

import argparse
import datetime as dt
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

ABOVE = [p / "shared" / "gym" for p in Path(__file__).resolve().parents[3:]]
GROUND = next((p for p in ABOVE if p.is_dir()), ABOVE[0])
sys.path.insert(0, str(GROUND))

import bridge  # noqa: E402
import follow  # noqa: E402
from baselines import ground, options, seeds_of  # noqa: E402
from policies import Careful, run  # noqa: E402
from worlds import WORLDS  # noqa: E402

from rackview.advice.choice import build  # noqa: E402
from rackview.advice.choice import counting as advised  # noqa: E402
from rackview.core.assessment import Counting  # noqa: E402
from rackview.core.rack import Rack  # noqa: E402

SHORT = 0.7
LEAST_ALIQUOTS = 2
BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.01)
KEYS = ("broods_lost_pct", "utility", "crashes", "excess_M", "algae_g_per_M")
MINUTE = dt.timedelta(minutes=1)


class Heard(follow.Advised):
    """Follows the advice and keeps the chances of falling short that were said: (day, days ahead, chance)."""

    def reset(self, env: Any, obs: Any) -> None:
        super().reset(env, obs)
        self.said: list[tuple[int, int, float]] = []

    def act(self, obs: Any) -> Any:
        choose = build.choose

        def heard(problem: Any) -> Any:
            found = choose(problem)
            chances = zip(problem.need.millions[:9], found.expected.short, strict=False)
            self.said += [(obs["day"], k, p) for k, (need, p) in enumerate(chances) if need > 0.0]
            return found

        build.choose = heard
        try:
            return super().act(obs)
        finally:
            build.choose = choose


class Counted(follow.Advised):
    """Follows the advice with all tallies, or `by_value` with those asked for; `animals` is what was counted."""

    def __init__(self, by_value: bool) -> None:
        self.by_value, self.animals = by_value, 0

    def act(self, obs: Any) -> Any:
        day, at = obs["day"], bridge.morning(obs["day"])
        self.rack = self.rack.with_demand(bridge.demand(day, obs["demand_plan_M"]))
        now, seen = at + 30 * MINUTE, self._round(obs, at)
        todo = self.advise(self.rack, now)
        again = []
        for i in sorted({int(s.vessel[1:]) - 1 for s in todo if s.action == "count" and s.vessel}):
            look = obs["vessels"][i]
            if look["counted"]:
                again += self._sight(at + 40 * MINUTE, self.env.look_again(i) if i in seen else look)
        if again:
            self.rack = self.rack.record(*again)
            todo = self.advise(self.rack, at + 55 * MINUTE)
        actions = bridge.actions_of(todo, obs)
        if rows := bridge.done(day, obs, actions):
            self.rack = self.rack.record(*rows)
        return actions

    def _counting(self, rack: Rack, at: dt.datetime) -> dict[str, Counting]:
        return {name: advised.counting(rack, name, at) for name in rack.vessels}

    def _round(self, obs: Any, at: dt.datetime) -> set[int]:
        """Count on the round; which vessels were counted."""
        looks = [v for v in obs["vessels"] if v["tallies"]]
        said = self._counting(self.rack, at) if self.by_value else {}
        left_out = {v["vessel"] for v in looks if self.by_value and said[bridge.name(v["vessel"])].code == "none"}
        before, more = self.rack, {v["vessel"] for v in looks} if not self.by_value else set()
        if self.by_value and any(len(v["tallies"]) > LEAST_ALIQUOTS for v in looks):
            said = self._counting(self._with(before, looks, left_out, set(), at), at + 30 * MINUTE)
            more = {v["vessel"] for v in looks if said[bridge.name(v["vessel"])].code == "more"}
        self.rack = self._with(before, looks, left_out, more, at)
        for v in looks:
            if v["vessel"] not in left_out:
                self.animals += sum(v["tallies"] if v["vessel"] in more else v["tallies"][:LEAST_ALIQUOTS])
        return {v["vessel"] for v in looks} - left_out

    def _with(self, rack: Any, looks: Any, left_out: set[int], more: set[int], at: dt.datetime) -> Any:
        rows = []
        for v in looks:
            taken = v if v["vessel"] in more else {**v, "tallies": v["tallies"][:LEAST_ALIQUOTS]}
            own = bridge.sight(at, taken)
            rows += [e for e in own if e["kind"] != "count"] if v["vessel"] in left_out else own
        return rack.record(*rows) if rows else rack

    def _sight(self, at: dt.datetime, look: Any) -> list[Any]:
        tallies = look["tallies"] if not self.by_value else look["tallies"][:LEAST_ALIQUOTS]
        self.animals += sum(tallies)
        return [e for e in bridge.sight(at, {**look, "tallies": tallies}) if e["kind"] == "count"]


def cell(values: list[float]) -> str:
    """Mean and standard error."""
    x = np.array(values, float)
    error = x.std(ddof=1) / np.sqrt(len(x)) if len(x) > 1 else float("nan")
    return f"{x.mean():.2f} +- {error:.2f}".rjust(17)


def table(worlds: list[str], seeds: list[int], kind: dict[str, Any]) -> None:
    """The advice beside the careful keeper, and how its chances came true."""
    print("".ljust(21), *[k.rjust(17) for k in KEYS])
    everything, chances = [], []
    for world in worlds:
        rows = []
        for seed in seeds:
            env, policy = WORLDS[world](seed, **kind), Heard()
            advice = run(policy, env)
            rows.append((advice, run(Careful(), WORLDS[world](seed, **kind))))
            for day, ahead, chance in policy.said:
                if day + ahead < env.days and env.need[day + ahead] > 0.0:
                    chances.append((chance, float(env.met[day + ahead] < SHORT)))
        everything += rows
        report(world, rows)
    report("all", everything)
    said = np.array(chances)
    for low, high in pairwise(BINS):
        inside = said[(said[:, 0] >= low) & (said[:, 0] < high)]
        told = f"said {inside[:, 0].mean():.2f}, came {inside[:, 1].mean():.2f}" if len(inside) else "-"
        print(f"chance {low:.1f} to {min(high, 1.0):.1f}: {len(inside)} days, {told}")


def report(label: str, rows: list[tuple[Any, Any]]) -> None:
    """Three lines: the advice, the careful keeper, and the first less the second."""
    for who, values in (
        ("advice", [[a[k] for a, _ in rows] for k in KEYS]),
        ("careful", [[c[k] for _, c in rows] for k in KEYS]),
        ("paired", [[a[k] - c[k] for a, c in rows] for k in KEYS]),
    ):
        print(label.ljust(12), who.ljust(8), *map(cell, values), flush=True)


def counting(worlds: list[str], seeds: list[int], kind: dict[str, Any]) -> None:
    """With all tallies and by value."""
    shares, lost, utility = [], [], []
    for world in worlds:
        for seed in seeds:
            full, thrifty = Counted(by_value=False), Counted(by_value=True)
            a, b = (run(p, WORLDS[world](seed, **kind)) for p in (full, thrifty))
            shares.append(thrifty.animals / max(full.animals, 1))
            lost.append(b["broods_lost_pct"] - a["broods_lost_pct"])
            utility.append(b["utility"] - a["utility"])
            told = f"{full.animals} animals, by value {shares[-1]:.2f} of them; broods lost {a['broods_lost']} and "
            print(world.ljust(12), seed, f"{told}{b['broods_lost']}, utility {utility[-1]:+.1f}", flush=True)
    print("share", cell(shares), " broods lost, %, more", cell(lost), " utility more", cell(utility))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options(parser)
    parser.add_argument("--seeds", default="3004-3005")
    parser.add_argument("--counting", action="store_true")
    asked = parser.parse_args()
    named = list(WORLDS) if asked.world == "all" else asked.world.split(",")
    (counting if asked.counting else table)(named, seeds_of(asked.seeds), ground(asked))
