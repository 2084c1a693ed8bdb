"""The steps of many vessels reckoned side by side: one call does on arrays what would be one for every vessel.

A rack that is opened for the first time has years of rounds to be gone through. Its vessels are counted, harvested and
fed at about the same time, so that step after step is the same for most of them. The numbers are those of the
one-vessel path to 1e-9; only the order of additions differs.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable
from typing import Any
from weakref import ReferenceType, ref

import numpy as np

from rackview.science.state import batch, mixture, steps
from rackview.science.state.carrier import ARRAYS
from rackview.science.state.columns import Column, Table, flat, rows_of, widened
from rackview.science.state.held import LEAST, Found, Held, Known, Step
from rackview.science.state.kernel import BASE, FEW, X
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import Array, Model

FEW_STEPS = 4
"""Fewer steps a vessel are not worth putting its numbers into arrays and taking them out again."""
LATELY = 10.0
"""Of so many days most vessels' numbers are held on to, so that they may stay in their arrays."""
ALIKE = 0.5
"""Days by which steps of one kind may differ and still be done together."""


class Lane:
    """The steps of one vessel that are still to be done, the next one last, and where its numbers are now.

    `past` are those done of which somebody may still hold on to the numbers.
    """

    __slots__ = ("past", "source", "steps")

    def __init__(self, steps: list[Held], source: Found | None) -> None:
        self.steps = steps
        self.source = source
        self.past: list[ReferenceType[Held]] = []

    def ready(self) -> bool:
        """Whether nothing that the next step rests on is still to be done in another lane."""
        step = self.steps[-1]
        while step.found is not None:  # somebody else was asked for it
            self.source = step.found
            self.steps.pop()
            if not self.steps:
                return False
            step = self.steps[-1]
        if self.source is None and step.before is not None:
            self.source = step.before.found
        return self.source is not None and (step.other is None or step.other.found is not None)

    def done(self, found: Found) -> None:
        """Note what the next step led to."""
        self.source = found
        step = self.steps.pop()
        step.put(found)
        self.past.append(ref(step))

    def take_out(self) -> None:
        """Take what is still held of the past out of the arrays, which else are kept whole for a vessel or two."""
        for one in self.past:
            held = one()
            if held is not None and type(held.found) is Column:
                held.found = held.found.packed()
        self.past.clear()


Group = list[Lane]


def reckon(wanted: Iterable[Held]) -> None:
    """Find the numbers of all these, side by side where they take the same steps."""
    lanes = _lanes(wanted)
    if sum(len(lane.steps) for lane in lanes) < FEW_STEPS * len(lanes):
        return
    every, since, newest = lanes, -math.inf, max([lane.steps[0].day for lane in lanes], default=0.0)
    while True:
        lanes = [lane for lane in lanes if lane.steps]
        ready = [lane for lane in lanes if lane.ready()]
        if len(lanes) < LEAST or not ready:
            return  # the rest is reckoned when it is asked for
        first = min([lane.steps[-1] for lane in ready], key=_day)
        for group in _groups(ready, first.step, first.day + ALIKE):
            _take(group, lanes)
        if since + LATELY < first.day < newest - LATELY:
            since = first.day
            for lane in every:
                lane.take_out()


def _day(step: Held) -> float:
    return step.day


def _lanes(wanted: Iterable[Held]) -> list[Lane]:
    """The steps on which all these rest, each once: what follows upon the end of a lane is put to that lane."""
    found: list[Lane] = []
    ends: dict[Held, Lane] = {}
    seen: set[Held] = set()
    waiting = list(wanted)
    waiting.reverse()
    while waiting:
        one = waiting.pop()
        chain: list[Held] = []
        at: Held | None = one
        while at is not None and at.found is None and at not in seen:
            chain.append(at)
            if at.other is not None:
                waiting.append(at.other)
            at = at.before
        if not chain:
            continue
        seen.update(chain)
        lane = ends.pop(at, None) if at is not None else None
        if lane is None:
            lane = Lane(chain, None if at is None else at.found)
            found.append(lane)
        else:
            lane.steps[:0] = chain
        ends[one] = lane
    return found


def _groups(ready: list[Lane], kind: Step, until: float) -> list[Group]:
    """Those whose next step is of a kind and soon enough, by model and for counts by whether animals are few."""
    found: dict[tuple[Model, bool], Group] = defaultdict(list)
    for lane in ready:
        step = lane.steps[-1]
        if step.step is kind and step.day <= until:
            found[step.model, kind is steps.counted and step.given[0] < FEW].append(lane)
    return list(found.values())


def _take(group: Group, lanes: list[Lane]) -> None:
    """Do the next step of all these."""
    kind = group[0].steps[-1].step
    if kind in WITHIN:
        group = _within_tables(group, lanes)
    beside = BESIDE.get(kind)
    if beside is None or len(group) < LEAST:
        for lane in group:
            lane.done(lane.steps[-1].known)
        return
    table, group = _gathered(group)
    made = Table(beside(group[0].steps[-1].model, table.known, [lane.steps[-1].given for lane in group]))
    for at, lane in enumerate(group):
        lane.done(Column(made, at, _rows(lane)))


def _within_tables(group: Group, lanes: list[Lane]) -> Group:
    """Do on whole tables a step that leaves alone whom it is not for, so they stay whole; return who is in none."""
    tables, alone = _by_table(group)
    for table, all_own in tables.items():
        by_column = {_at(lane): lane for lane in all_own}  # where a culture was divided, two lanes begin in one column
        own = list(by_column.values())
        alone += [lane for lane in all_own if by_column[_at(lane)] is not lane]
        kind = own[0].steps[-1].step
        made = Table(WITHIN[kind](table, own))
        more = 1 if kind is steps.extended else 0
        for lane in lanes:
            source = lane.source
            if type(source) is Column and source.table is table and source.at not in by_column:
                lane.source = Column(made, source.at, source.rows)
        for lane in own:
            lane.done(Column(made, _at(lane), _rows(lane) + more))
    return alone


def _by_table(group: Group) -> tuple[dict[Table, Group], Group]:
    """A group by the tables in which its numbers are, in their order, and those that are in none."""
    tables: dict[Table, Group] = defaultdict(list)
    alone: Group = []
    for lane in group:
        source = lane.source
        if type(source) is Column:
            tables[source.table].append(lane)
        else:
            alone.append(lane)
    for own in tables.values():
        own.sort(key=_at)
    return tables, alone


def _gathered(group: Group) -> tuple[Table, Group]:
    """A table of the numbers of a group, and the group in the table's order."""
    tables, alone = _by_table(group)
    group, parts, rest = [], [], []
    for table, own in tables.items():
        places = [_at(lane) for lane in own]
        if len(tables) == 1 and not alone and places == list(range(table.vessels)):
            return table, own
        group += own
        parts.append(table.parts[:, :, places])
        rest.append(table.rest[:, places])
    for lane in alone:
        if lane.source is not None:
            mix, *others = lane.source.known
            parts.append(np.array([flat(part) for part in mix.parts]).T[:, :, None])
            rest.append(np.array([*mix.fall, *others])[:, None])
    rows = max(map(rows_of, parts))
    return Table.of(np.concatenate([widened(one, rows) for one in parts], 2), np.concatenate(rest, 1)), group + alone


def _at(lane: Lane) -> int:
    source = lane.source
    return source.at if type(source) is Column else 0


def _rows(lane: Lane) -> int:
    return 0 if lane.source is None else lane.source.rows


Given = list[tuple[Any, ...]]
"""What else is given to a step, of every vessel."""


def _elapsed(model: Model, known: Known, given: Given) -> Known:
    dt = np.array([one[0] for one in given])
    departures = np.zeros((2, known.rows - BASE, len(given)))
    for i, (_, *signs) in enumerate(given):
        departures[:, : len(signs[0]), i] = signs
    push, shows = map(list, departures)
    return known._replace(mix=batch.carried(model, known.mix, dt, push, shows))


def _counted(model: Model, known: Known, given: Given) -> Known:
    animals, ml, cv2, steady, swings, place, departed, var = np.array(given).T.copy()
    mix, _, bad = batch.counted(model, known.mix, animals, ml, cv2)
    told = np.maximum(known.stood, np.log(animals + 0.5) - np.log(ml))
    stood = np.where((animals > 0.0) & (bad <= steps.SLIP), told, known.stood)
    if not (steady == 1.0).all():
        mix = mixture.hinted(model.stacked, mix, steady, swings, ARRAYS)
    for at in set(place[place >= 0.0]):
        mix = mixture.shown(model.stacked, mix, BASE + int(at), departed, var, ARRAYS, 1.0 * (place == at))
    return Known(mix, bad, stood)


def _referred(model: Model, known: Known, given: Given) -> Known:
    part, fall = known.mix.parts[0], known.mix.fall
    failing = part.failing.sum(0)
    x = ((part.sound * part.m[X]).sum(0) + failing * fall.x) / (part.sound.sum(0) + failing)
    every = model.stacked.alternatives[0]
    part = part._replace(ref=np.where(every.own, x + every.room, part.ref))
    return known._replace(mix=Mixture((part,), fall))


BESIDE: dict[Step, Callable[[Model, Known, Given], Known]] = {
    steps.elapsed: _elapsed,
    steps.counted: _counted,
    steps.referred: _referred,
}
"""Steps of several vessels as one on arrays. What is in no list is rare and is done one vessel after the other."""


def _spread(table: Table, own: Group, usual: float, which: int = 0) -> Array:
    """The number given to each vessel of a table, `usual` for whom the step is not."""
    given = np.full(table.vessels, usual)
    given[[_at(lane) for lane in own]] = [lane.steps[-1].given[which] for lane in own]
    return given


def _shifted(table: Table, own: Group) -> Known:
    return table.known._replace(mix=mixture.shifted(table.known.mix, _spread(table, own, 0.0)))


def _starved(table: Table, own: Group) -> Known:
    by, sd = (_spread(table, own, 0.0, which) for which in (0, 1))
    return table.known._replace(mix=mixture.starved(table.known.mix, by, sd))


def _hinted(table: Table, own: Group) -> Known:
    steady, swings = (_spread(table, own, 1.0, which) for which in (0, 1))
    model = own[0].steps[-1].model.stacked
    return table.known._replace(mix=mixture.hinted(model, table.known.mix, steady, swings, ARRAYS))


def _extended(table: Table, own: Group) -> Known:
    mix = table.known.mix
    part = mix.parts[0]
    m, p = list(part.m), [list(line) for line in part.p]
    none, shown = np.zeros_like(part.ref), own[0].steps[-1].model.stacked.alternatives[0].shown[:, 0]
    for lane in own:
        k, at = _rows(lane), _at(lane)
        if k == len(m):
            m.append(none)
            p = [*([*line, none] for line in p), [none] * len(m)]
        scale, sd = np.where(shown, *np.array(lane.steps[-1].given[0]).reshape(2, 2)[::-1, :, None])
        m[k], p[k][k] = m[k].copy(), p[k][k].copy()
        m[k][:, at], p[k][k][:, at] = scale, sd * sd
    return table.known._replace(mix=Mixture((part._replace(m=m, p=p),), mix.fall))


WITHIN: dict[Step, Callable[[Table, Group], Known]] = {
    steps.shifted: _shifted,
    steps.hinted: _hinted,
    steps.starved: _starved,
    steps.extended: _extended,
}
"""Steps that can be done on a whole table though they are only for some of its vessels."""
