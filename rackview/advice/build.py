"""From the situation to the day's suggestions: decide moves, then harvests, then care, and settle contradictions."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from rackview.advice import harvests, moves
from rackview.advice.moves import Move
from rackview.advice.situation import Situation
from rackview.planner.supply import lasts
from rackview.rules.due import Due, clean_due, count_due, water_test_due
from rackview.rules.findings import Finding
from rackview.rules.flags import shelf_end
from rackview.rules.ration import dry_dose_g
from rackview.rules.view import View

T = TypeVar("T")

WORTH = 0.02
"""Moves that can wait do so when they would cost the larvae more than this share of today's need."""


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
    """Everything decided for today, by vessel where it concerns one; `kept_back` are moves that wait for larvae."""

    strains: Mapping[str, harvests.StrainDay]
    takes: Mapping[str, harvests.Take]
    moves: tuple[Move, ...]
    kept_back: tuple[Move, ...]
    feeds: Mapping[str, Feeding]
    cleans: Mapping[str, Due]
    counts: Mapping[str, Due]
    tests: Mapping[str, Due]
    holds: Mapping[str, Hold]


def decide(sit: Situation) -> Decisions:
    """Decide the day."""
    no = declined(sit)
    settled, kept_back, strains = _moves_and_harvests(sit, no)
    takes = {t.vessel: t for day in strains.values() for t in day.takes}
    emptied = {m.target for m in settled if m.action == "restart"}
    out = {m.donor: m.litres for m in settled}
    crashed = {n for n in sit.views if (found := moves.in_trouble(sit, n)) is not None and found.code == "crash"}
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
        if name not in emptied and name not in crashed and not moves.unused(sit, view):
            _put(counts, name, count_due(view, findings), no["count"])
    for move in settled:
        if sit.views[move.target].care.use == "resting":
            continue  # not on the round until it is taken into use; then its feed is asked for like any other's
        _put(feeds, move.target, _first_feeding(sit.views[move.target], move), no["feed"])
    return Decisions(
        strains, takes, tuple(settled), tuple(kept_back), feeds, cleans, counts,
        _tests(sit, busy, no["test"]), _holds(sit, emptied | set(takes), no["hold"], _waiting(strains, takes)),
    )  # fmt: skip


def _put(table: dict[str, T], name: str, value: T | None, declined: set[str]) -> None:
    if value is not None and name not in declined:
        table[name] = value


def declined(sit: Situation) -> Mapping[str, set[str]]:
    """Per action the vessels at which the keeper said no to it and that still holds."""
    found: dict[str, set[str]] = defaultdict(set)
    for name, view in sit.views.items():
        for one in view.care.declines:
            if shelf_end(one, view.today) > view.day:
                found[one.action].add(name)
    return found


def _moves_and_harvests(
    sit: Situation, no: Mapping[str, set[str]]
) -> tuple[list[Move], list[Move], dict[str, harvests.StrainDay]]:
    """Moves and harvests that do not fight over the same animals.

    A vessel that failed is started anew whatever the larvae need today, as every day without it costs them more, but
    more thinly where they would go short for it; splits, and restarts for age or slow growth, wait.
    """
    names = harvests.strains_of(sit)
    plain = {s: harvests.strain_day(sit, s, no["harvest"], {}) for s in names}
    spare = frozenset(s for s, day in plain.items() if not day.ahead_short and _spares_one(sit, s))
    ahead = frozenset(s for s, day in plain.items() if day.ahead_short)
    wanted = moves.restarts(sit, no["restart"], spare)
    split_today = {n for n, v in sit.views.items() if v.care.done_since("split", v.today)}
    wanted += moves.splits(sit, no["split"], {m.donor for m in wanted} | split_today, ahead)
    settled: list[Move] = []
    kept_back: list[Move] = []
    strains: dict[str, harvests.StrainDay] = {}
    for strain in names:
        own = [m for m in wanted if sit.views[m.donor].vessel.strain == strain]
        urgent = [m for m in own if m.urgent]
        day = _with_moves(sit, strain, own, no["harvest"]) if own else plain[strain]
        if len(own) > len(urgent) and harvests.met_today(plain[strain]) - harvests.met_today(day) > WORTH:
            kept_back += [m for m in own if not m.urgent]
            own = urgent
            day = _with_moves(sit, strain, own, no["harvest"])
        if urgent and harvests.met_today(plain[strain]) - harvests.met_today(day) > WORTH:
            thin = [moves.thinner(sit, m) for m in own]
            less = _with_moves(sit, strain, thin, no["harvest"])
            if harvests.met_today(less) > harvests.met_today(day):
                own, day = thin, less
        settled += own
        strains[strain] = day
    return settled, kept_back, strains


def _with_moves(sit: Situation, strain: str, own: list[Move], declined: set[str]) -> harvests.StrainDay:
    leave = declined | {m.donor for m in own if m.action == "split"} | {m.target for m in own}
    moved = {
        m.donor: m.litres / sit.views[m.donor].estimate.level_l
        for m in own
        if m.action == "restart" and sit.views[m.donor].estimate.level_l > 0.0
    }
    splitting = {m.donor for m in own if m.action == "split"} - declined
    return harvests.strain_day(sit, strain, leave, moved, splitting)


def _spares_one(sit: Situation, strain: str) -> bool:
    """Whether the strain's healthy vessels meet all that is coming even without the best of them."""
    views = [sit.views[g.vessel] for g in harvests.givers(sit, strain, (), {})]
    if len(views) < 2:
        return False
    ahead, _ = harvests.draws(sit, strain, 0.0)
    if not any(ahead):
        return True
    views.sort(key=lambda v: v.animals)
    return lasts(harvests.pool_of(views[:-1]), ahead)


def _feeding(view: View, findings: tuple[Finding, ...], take: harvests.Take | None, moved_l: float) -> Feeding | None:
    if not view.stocked or view.per_ml is None or view.per_ml <= 0.0:
        return None
    if view.care.done_since("feed", view.today) or view.estimate.level_l <= 0.0:
        return None
    share = (take.share if take else 0.0) + moved_l / view.estimate.level_l
    dry, ration, reasons = dry_dose_g(view, findings, min(share, 0.95))
    if dry <= 0.0:
        return None
    return Feeding(dry, ration, view.animals * (1.0 - min(share, 0.95)), reasons)


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


def _waiting(strains: Mapping[str, harvests.StrainDay], takes: Mapping[str, harvests.Take]) -> dict[str, Hold]:
    """Vessels that are not thinned today because more is needed in the days ahead."""
    return {name: Hold("ahead") for day in strains.values() for name in day.waiting if name not in takes}


def _holds(sit: Situation, used: set[str], declined: set[str], waiting: Mapping[str, Hold]) -> dict[str, Hold]:
    """Vessels not to harvest: suspect ones, crashed ones without a donor, those kept for the days ahead."""
    found = {name: hold for name, hold in waiting.items() if name not in declined}
    for name in sit.views:
        if name in used or name in declined:
            continue
        suspects = sit.suspects[name]
        if suspects:
            trouble = moves.in_trouble(sit, name)
            found[name] = Hold(
                "no_donor" if trouble is not None and trouble.code == "crash" else suspects[0].code, suspects[0]
            )
    return found
