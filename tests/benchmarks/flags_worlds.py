"""The chance of a fall and the flags, on recorded seasons of a training ground that shares nothing with the program.

    python tests/benchmarks/flags_worlds.py record FILE          play keepers' seasons once, keep what was written
    python tests/benchmarks/flags_worlds.py fresh FILE SEED [N [KEEPERS]]   the same, N seeds from SEED on, of
                                                                 careful,poor,cool,blind
    python tests/benchmarks/flags_worlds.py fit FILE             the coefficients of rackview/science/risk/causes.py
    python tests/benchmarks/flags_worlds.py chance FILE          area under the curve, calibration and recall, each
                                                                 world also as if nobody had ever seen it
    python tests/benchmarks/flags_worlds.py flags FILE [N]       new flags per vessel-day and what followed, N seeds

Reads ../shared/gym. Seeds 0-11 teach the coefficients, 20-27 are held out. A keeper's season does not depend on what
the program says, so one record serves all.
"""

from __future__ import annotations

import pickle
import sys
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

import numpy as np

ABOVE = [p / "shared" / "gym" for p in Path(__file__).resolve().parents[3:]]
GROUND = next((p for p in ABOVE if p.exists()), ABOVE[0])
sys.path.insert(0, str(GROUND))

from bridge import done, morning, new_rack, sight  # noqa: E402
from flags_scores import Scored, beside, bins  # noqa: E402
from policies import POLICIES  # noqa: E402
from worlds import WORLDS  # noqa: E402

from rackview.core.clock import as_utc, day_number  # noqa: E402
from rackview.core.rack import Rack  # noqa: E402
from rackview.science.risk import causes, model, record  # noqa: E402
from rackview.science.risk.constants import CALM  # noqa: E402
from rackview.science.risk.model import NUMBERS, SIGNS, UNTAUGHT, logits, watch_numbers  # noqa: E402

TEACH, HELD_OUT, OTHERS = range(12), range(20, 28), range(4)
FIVE = 5 / 1440
RIDGE, RIDGE_ONE, START = 4.0, 0.5, -4.0
"""Penalty of the logistic regressions on the coefficients and on the constant, which starts at these log odds."""


@dataclass
class Season:
    """What a keeper wrote down, and which mornings were truly followed by a fall: day, vessel."""

    world: str
    seed: int
    keeper: str
    kind: str
    rack: Rack
    days: int
    in_use: np.ndarray
    fell: np.ndarray
    signs: np.ndarray
    """Raw signs of each morning's newest look: swimming, share with eggs, ciliates, ammonia, tint, log count."""
    plans: list


def play(world: str, seed: int, keeper: str, **kind) -> Season:
    env, policy = WORLDS[world](seed, **kind), POLICIES[keeper]()
    obs = env.reset()
    policy.reset(env, obs)
    first, rows, plans, signs, in_use = obs, [], [], [], []
    raw = np.full((env.vessels, 6), np.nan)
    while not obs["done"]:
        acts, day = policy.act(obs), obs["day"]
        for i, v in enumerate(obs["vessels"]):
            rows += sight(morning(day), v)
            if not v["in_use"]:
                raw[i] = np.nan
            elif v["tallies"]:
                share = v["egg_bearing"] / max(v["females_checked"], 1)
                many = ["none", "some", "many"].index(v["ciliates"])
                raw[i] = v["swimming"], share, many, v["tan_mg_L"], v["tint"], np.log(max(np.mean(v["tallies"]), 0.5))
        rows += done(day, obs, acts)
        plans.append(obs["demand_plan_M"])
        signs.append(raw.copy())
        in_use.append([v["in_use"] for v in obs["vessels"]])
        obs = env.step(acts)
    rack = new_rack(env.volume, [v["in_use"] for v in first["vessels"]]).record(*rows)
    fell = np.array([[env.fell(d, i) for i in range(env.vessels)] for d in range(env.days)])
    return Season(world, seed, keeper, "+".join(kind), rack, env.days, np.array(in_use), fell, np.array(signs), plans)


KEEPERS = {
    "careful": ("careful", {}),
    "poor": ("careful", {"counter": "poor"}),
    "cool": ("careful", {"room_c": 21}),
    "blind": ("steady", {}),
}


def strange_plays(first: int, number: int, keepers: str = "careful,poor,blind") -> list[tuple]:
    kinds = [KEEPERS[name] for name in keepers.split(",")]
    return [(w, s, k, kind) for w in WORLDS for k, kind in kinds for s in range(first, first + number)]


def plays() -> list[tuple]:
    jobs: list[tuple] = []
    for world in WORLDS:
        jobs += [(world, s, "careful", {}) for s in (*TEACH, *HELD_OUT)]
        jobs += [(world, s, "careful", {"room_c": 21}) for s in OTHERS]
        jobs += [(world, s, "careful", {"counter": "poor"}) for s in OTHERS]
        jobs += [(world, s, "steady", {}) for s in OTHERS]
    return jobs


# --- mornings ---


@dataclass
class Mornings:
    """Numbers, truth and raw signs of the mornings of one season, in order of time; `gained` is what each taught."""

    season: Season
    x: np.ndarray
    fell: np.ndarray
    day: np.ndarray
    vessel: np.ndarray
    signs: np.ndarray


def mornings(season: Season) -> Mornings:
    found: list[tuple] = []
    for i, vessel in enumerate(season.rack.vessels):
        profile = season.rack.profile(vessel)
        for day in range(season.days):
            if not season.in_use[day, i]:
                continue
            at = day_number(as_utc(morning(day))) + FIVE
            head = season.rack.log(vessel, at)
            now = record.watch(head, profile).copy()
            now.to(at)
            x = watch_numbers(now, at)
            if x is not None and np.isfinite(season.signs[day, i, 0]):
                found.append((x, season.fell[day, i], day, i, season.signs[day, i]))
    found.sort(key=lambda row: (row[2], row[3]))
    x, fell, day, vessel, signs = (np.array(column, float) for column in zip(*found, strict=True))
    return Mornings(season, x, fell, day, vessel, signs)


def said(m: Mornings) -> np.ndarray:
    """The chance said each morning, with what the rack had taught by midnight."""
    rack = m.season.rack
    names = list(rack.vessels)
    out = np.zeros(len(m.day))
    for day in np.unique(m.day):
        midnight = day_number(as_utc(morning(int(day)))) - 1 / 3
        taught = record.taught_together([(rack.log(n, midnight), rack.profile(n)) for n in names], midnight)
        for k in np.flatnonzero(m.day == day):
            out[k] = taught.chance(logits(m.x[k].tolist()))
    return out


# --- fitting ---


def regression(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Logistic regression with a ridge, by Newton's method."""
    ridge = np.full(x.shape[1], RIDGE)
    ridge[0] = RIDGE_ONE
    middle = np.zeros(x.shape[1])
    middle[0] = START
    beta = np.zeros(x.shape[1])
    for _ in range(30):
        p = 1 / (1 + np.exp(-np.clip(x @ beta, -30, 30)))
        move = np.linalg.solve(
            (x * (p * (1 - p))[:, None]).T @ x + np.diag(ridge), x.T @ (y - p) - ridge * (beta - middle)
        )
        beta = beta + move
        if abs(move).max() < 1e-6:
            break
    return beta


NAMED = {
    "crowding": "crowding",
    "water": "foul water",
    "infection": "sickness",
    "rivals": "contaminant",
    "moods": "moods",
    "ages": "generations",
}


LOUD = {
    "signs": ("eggs", "swimming"),
    "signs and counts": ("eggs", "swimming", "count"),
    "signs and crowding": ("eggs", "swimming", "crowded"),
}
TIMES = 2.0


def loud(usual: np.ndarray, signs: tuple[str, ...]) -> np.ndarray:
    """A cause that these signs alone speak of, `TIMES` as loudly as usual, as frequent in a calm culture as usual."""
    calm = np.array([CALM[name] for name in NUMBERS])
    heard = [NUMBERS.index(name) for sign in signs for name in SIGNS[sign]]
    found = np.zeros(len(NUMBERS))
    found[heard] = TIMES * usual[heard]
    found[0] = usual @ calm - found @ calm
    return found


def completed(taught: dict[str, np.ndarray]) -> dict[str, tuple[float, ...]]:
    """The causes that worlds taught, their mean, and the causes that nobody taught."""
    usual = np.mean(list(taught.values()), axis=0)
    found = {**taught, "usual": usual, **{name: loud(usual, signs) for name, signs in LOUD.items()}}
    return {k: tuple(round(float(b), 2) for b in v) for k, v in found.items()}


def fitted(all_: list[Mornings]) -> dict[str, tuple[float, ...]]:
    """Coefficients by cause, each from one world's teaching seeds."""
    found = {}
    for world, cause in NAMED.items():
        own = [m for m in all_ if m.season.world == world and m.season.seed in TEACH]
        found[cause] = regression(np.concatenate([m.x for m in own]), np.concatenate([m.fell for m in own]))
    return completed(found)


def elsewhere(table: dict[str, tuple[float, ...]], world: str) -> dict[str, tuple[float, ...]]:
    """The same causes had nobody ever seen this world: each was taught by one world alone."""
    return completed({k: np.array(table[k]) for w, k in NAMED.items() if w != world})


def use(table: dict[str, tuple[float, ...]]) -> None:
    """Put other causes in the place of the shipped ones and forget what was worked out with those."""
    causes.CAUSES.clear()
    causes.CAUSES.update(table)
    total = sum(causes.SHIFTS.values()) * len(table)
    model.PRIOR[:] = [float(np.log(w / total)) for _ in table for w in causes.SHIFTS.values()]
    UNTAUGHT.__dict__.pop("weights", None)


def forget(season: Season) -> None:
    for vessel in season.rack.vessels:
        node = season.rack.log(vessel, np.inf)
        while node is not None:
            node.memo.clear()
            node = node.previous


def load(path: str, seeds: int | None = None) -> list[Season]:
    """The seasons of a record, or of each world, keeper and kind so many that were held out."""
    with Path(path).open("rb") as file:
        seasons, racks = pickle.load(file)  # noqa: S301
    found: list[Season] = []
    for season, (vessels, events, stock) in zip(seasons, racks, strict=True):
        if seeds is not None:
            kind = (season.world, season.keeper, season.kind)
            taught = season.seed in TEACH and kind[1:] == ("careful", "")
            if taught or sum((s.world, s.keeper, s.kind) == kind for s in found) >= seeds:
                continue
        season.rack = Rack.build(vessels, events, stock=stock)
        found.append(season)
    return found


def save(path: str, seasons: list[Season]) -> None:
    racks = [(list(s.rack.vessels.values()), list(s.rack.events()), s.rack.stock) for s in seasons]
    for season in seasons:
        season.rack = None  # type: ignore[assignment]
    with Path(path).open("wb") as file:
        pickle.dump((seasons, racks), file)


def command(name: str, path: str, *more: str) -> None:
    if name == "record":
        save(path, [play(w, s, k, **kind) for w, s, k, kind in plays()])
    elif name == "fresh":
        first, number = int(more[0]), int(more[1]) if more[1:] else 1
        save(path, [play(w, s, k, **kind) for w, s, k, kind in strange_plays(first, number, *more[2:])])
    elif name == "fit":
        table = fitted([mornings(s) for s in load(path)])
        print("# " + ", ".join(NUMBERS))
        for cause, beta in table.items():
            print(f"    {cause!r}: ({', '.join(f'{b:g}' for b in beta)}),")
    elif name == "chance":
        chance(load(path))
    elif name == "flags":
        from flags_replay import table as flags_table

        flags_table(load(path, int(more[0]) if more else 3))


def chance(seasons: list[Season]) -> None:
    all_ = [mornings(s) for s in seasons]
    shipped = dict(causes.CAUSES)
    kinds = list(dict.fromkeys((m.season.keeper, m.season.kind) for m in all_))
    for strange in (False, True):
        print("had nobody seen this world" if strange else "as shipped")
        every: dict[tuple, list] = defaultdict(list)
        for world in WORLDS:
            use(elsewhere(shipped, world) if strange else shipped)
            for keeper, kind in kinds:
                own = [m for m in all_ if (m.season.world, m.season.keeper, m.season.kind) == (world, keeper, kind)]
                own = [m for m in own if m.season.seed not in TEACH or kind or keeper != "careful"]
                if not own:
                    continue
                for m in own:
                    forget(m.season)
                found = [Scored(said(m), m.fell, m.signs) for m in own]
                print(f"{world:10} {keeper:8} {kind:8}", beside(found), flush=True)
                every[keeper, kind] += found
        for label, rows in every.items():
            print(*label, "all worlds:", bins(rows), flush=True)


if __name__ == "__main__":
    command(*sys.argv[1:])
