"""From the situation to the day's decisions: the planner's choice of every strain, then care."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from typing import TypeVar

from rackview.advice.choice.harvests import StrainDay, Take, takes_of
from rackview.advice.choice.moves import Move, moves_of
from rackview.advice.choice.problem import problem_of, restart_finding, strains_of, unused
from rackview.advice.constants import LEAST_LEFT, MOST_POURED
from rackview.advice.situation import Situation
from rackview.core.dataclass import dataclass
from rackview.planner.choose import choose
from rackview.rules.due import Due, clean_due, count_due, water_test_due
from rackview.rules.findings import Finding
from rackview.rules.flags.vessel import shelf_end
from rackview.rules.ration import dry_dose_g
from rackview.rules.view import View

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Feeding:
    """Dry feed for one vessel today, g, the ration behind it, g per million, the animals, and what moved it."""

    dry_g: float
    ration: float
    animals: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hold:
    """A vessel to leave alone, and why."""

    code: str
    finding: Finding | None = None


@dataclass(frozen=True, slots=True)
class Decisions:
    """Everything decided for today, by vessel where it concerns one."""

    strains: Mapping[str, StrainDay]
    takes: Mapping[str, Take]
    moves: tuple[Move, ...]
    starters: tuple[str, ...]
    feeds: Mapping[str, Feeding]
    cleans: Mapping[str, Due]
    counts: Mapping[str, Due]
    tests: Mapping[str, Due]
    holds: Mapping[str, Hold]


def decide(sit: Situation) -> Decisions:
    """Decide the day."""
    no = declined(sit)
    strains: dict[str, StrainDay] = {}
    takes: dict[str, Take] = {}
    moves: list[Move] = []
    starters = []
    for strain in strains_of(sit):
        problem = problem_of(sit, strain, no)
        choice = choose(problem)
        strains[strain], own = takes_of(sit, strain, problem, choice)
        takes.update(own)
        moves += moves_of(sit, choice)
        if choice.starter is not None:
            starters.append(choice.starter)
    emptied = {m.target for m in moves if m.action == "restart"}  # one that waits for a starter is cared for till then
    out = {m.donor: m.litres for m in moves}
    crashed = {n for n in sit.views if (found := restart_finding(sit, n)) is not None and found.code == "crash"}
    busy = emptied | crashed
    feeds: dict[str, Feeding] = {}
    cleans: dict[str, Due] = {}
    counts: dict[str, Due] = {}
    for name, view in sit.views.items():
        findings = sit.findings[name]
        if name not in busy:
            _put(feeds, name, _feeding(view, findings, takes.get(name), out.get(name, 0.0)), no["feed"])
            if not view.care.done_since("clean", view.today):
                _put(cleans, name, clean_due(view, findings), no["clean"])
        if name not in busy and not unused(sit, view):
            _put(counts, name, count_due(view, findings), no["count"])
    for move in moves:
        if sit.views[move.target].care.use == "resting":
            continue  # not on the round until it is taken into use; then its feed is asked for like any other's
        _put(feeds, move.target, _first_feeding(sit.views[move.target], move), no["feed"])
    return Decisions(
        strains, takes, tuple(moves), tuple(starters), feeds, cleans, counts,
        _tests(sit, busy, no["test"]), _holds(sit, emptied | set(starters) | set(takes), no["hold"]),
    )  # fmt: skip


def _put(table: dict[str, T], name: str, value: T | None, declined: set[str]) -> None:
    if value is not None and name not in declined:
        table[name] = value


def declined(sit: Situation) -> dict[str, set[str]]:
    """Per action the vessels at which the keeper said no to it and that still holds."""
    found: dict[str, set[str]] = defaultdict(set)
    for name, view in sit.views.items():
        for one in view.care.declines:
            if shelf_end(one, view.today) > view.day:
                found[one.action].add(name)
    return found


def _feeding(view: View, findings: tuple[Finding, ...], take: Take | None, moved_l: float) -> Feeding | None:
    if not view.stocked or view.per_ml is None or view.per_ml <= 0.0:
        return None
    if view.care.done_since("feed", view.today) or view.estimate.level_l <= 0.0:
        return None
    left = (1.0 - (take.share if take else 0.0)) * (1.0 - min(moved_l / view.estimate.level_l, MOST_POURED))
    dry, ration, reasons = dry_dose_g(view, findings, min(1.0 - left, MOST_POURED))
    if dry <= 0.0:
        return None
    return Feeding(dry, ration, view.animals * max(left, LEAST_LEFT), reasons)


def _first_feeding(target: View, move: Move) -> Feeding:
    """The first meal of a culture that is started today: for what is moved, at the usual ration of its strain.

    A culture that is moved into new water finds no food there, and loses its eggs within a day.
    """
    animals = move.start_per_ml * target.vessel.volume_l * 1000.0
    per_million = target.profile.ration_g_per_million
    return Feeding(per_million * animals / 1e6, per_million, animals, ("started",))


def _tests(sit: Situation, busy: set[str], declined: set[str]) -> dict[str, Due]:
    """Water tests: all that trouble asks for, and of the routine ones as many as spread them over their interval."""
    found: dict[str, Due] = {}
    routine: list[tuple[float, tuple[str, int], str, Due]] = []
    done_today = 0
    for name, view in sit.views.items():
        if view.care.done_since("test", view.today):
            done_today += 1
            continue
        if name in busy or name in declined:
            continue
        due = water_test_due(view, sit.findings[name])
        if due is None:
            continue
        if due.routine:
            late = math.inf if due.days is None else due.days
            routine.append((-late, (view.vessel.shelf, view.vessel.position), name, due))
        else:
            found[name] = due
    in_use = [v for v in sit.views.values() if v.stocked]
    if in_use:
        every = min(v.profile.test_days for v in in_use)
        room = max(0, math.ceil(len(in_use) / max(every, 1.0)) - done_today)
        found.update((name, due) for _, _, name, due in sorted(routine, key=lambda r: (r[0], r[1]))[:room])
    return found


def _holds(sit: Situation, used: set[str], declined: set[str]) -> dict[str, Hold]:
    """Suspect vessels of which nothing is taken today, and crashed ones that nothing can start anew."""
    found = {}
    for name in sit.views:
        suspects = sit.suspects[name]
        if name in used or name in declined or not suspects:
            continue
        trouble = restart_finding(sit, name)
        code = "no_donor" if trouble is not None and trouble.code == "crash" else suspects[0].code
        found[name] = Hold(code, suspects[0])
    return found
