"""The steps of many vessels reckoned side by side: one call does on arrays what would be one for every vessel.

A rack that is opened for the first time has years of rounds to be gone through. Its vessels are counted, harvested and
fed at about the same time, so that step after step is the same for most of them. The numbers are those of the
one-vessel path to 1e-9; only the order of additions differs.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from typing import Any

import numpy as np

from rackview.science.state import batch, mixture, steps
from rackview.science.state.carrier import ARRAYS
from rackview.science.state.held import Found, Held, Known, Step
from rackview.science.state.kernel import BASE, FEW, X
from rackview.science.state.mixture import Components, Fall, Mixture, Part
from rackview.science.state.model import Array, Model

LEAST = 6
"""Vessels from which on arrays take less time than one vessel after the other."""
ALIKE = 0.5
"""Days by which steps of one kind may differ and still be done together."""


class Table:
    """Numbers of several vessels: arrays, those of the parts (alternatives, vessels), those of the rest (vessels,)."""

    def __init__(self, known: Known) -> None:
        self.known = known
        self.vessels = len(known.mix.fall.x)
        self.rows = len(known.mix.parts[0].m)
        self._asked = 0

    @cached_property
    def parts(self) -> Array:
        """Mean, covariance, reference and weights, shape (n + n n + 3, alternatives, vessels)."""
        return np.array(_flat(self.known.mix.parts[0]))

    @cached_property
    def rest(self) -> Array:
        """The fall, the chance of a miscount and the highest density, shape (7, vessels)."""
        return np.array([*self.known.mix.fall, *self.known[1:]])

    def column(self, at: int) -> tuple[list[list[float]], list[float]]:
        """The same of one vessel, alternative by alternative, as plain floats; of all at once if many are asked for."""
        self._asked += 1
        if self._asked <= self.vessels / 8:
            return self.parts[:, :, at].T.tolist(), self.rest[:, at].tolist()
        parts, rest = self._lists
        return parts[at], rest[at]

    @cached_property
    def _lists(self) -> tuple[list[list[list[float]]], list[list[float]]]:
        return self.parts.transpose(2, 1, 0).tolist(), self.rest.T.tolist()

    @cached_property
    def components(self) -> list[Components]:
        """For each vessel what `mixture.components` gives."""
        part, fall = self.known.mix.parts[0], self.known.mix.fall
        weights = np.concatenate([part.sound, part.failing.sum(0)[None]])
        weights /= weights.sum(0)
        means, sds = np.concatenate([part.m[X], fall.x[None]]), np.sqrt(np.concatenate([part.p[X][X], fall.xx[None]]))
        return list(zip(weights.T.tolist(), means.T.tolist(), sds.T.tolist(), strict=True))

    @classmethod
    def of(cls, parts: Array, rest: Array) -> Table:
        """The table of such arrays."""
        n = _rows(parts)
        part = Part(list(parts[:n]), [list(parts[k : k + n]) for k in range(n, n + n * n, n)], *parts[-3:])
        *fall, miscount, stood = rest
        return cls(Known(Mixture((part,), Fall(*fall)), miscount, stood))


class Column:
    """The numbers of one vessel among several, see `held.Found`; `rows` are those of its own signs."""

    __slots__ = ("at", "rows", "table")

    def __init__(self, table: Table, at: int, rows: int) -> None:
        self.table = table
        self.at = at
        self.rows = rows

    @property
    def known(self) -> Known:
        """The numbers."""
        parts, (*fall, miscount, stood) = self.table.column(self.at)
        n = self.table.rows
        return Known(Mixture(tuple([_part(row, n, self.rows) for row in parts]), Fall(*fall)), miscount, stood)

    @property
    def components(self) -> Components:
        """Weights, means and standard deviations of the log density."""
        return self.table.components[self.at]


def _flat(part: Part) -> list[Any]:
    return [*part.m, *(value for line in part.p for value in line), *part[2:]]


def _part(row: list[float], n: int, rows: int) -> Part:
    """What `_flat` made a row of, cut to so many rows of the state."""
    return Part(tuple(row[:rows]), tuple([tuple(row[k : k + rows]) for k in range(n, n + n * rows, n)]), *row[-3:])


def _widened(parts: Array, rows: int) -> Array:
    """The same parts with as many rows of the state, the new ones being of nothing."""
    n = _rows(parts)
    if n == rows:
        return parts
    wide = np.zeros((rows + rows * rows + 3, *parts.shape[1:]))
    wide[:n], wide[-3:] = parts[:n], parts[-3:]
    shape = parts.shape[1:]
    wide[rows:-3].reshape(rows, rows, *shape)[:n, :n] = parts[n:-3].reshape(n, n, *shape)
    return wide


def _rows(parts: Sequence[Any] | Array) -> int:
    return math.isqrt(len(parts) - 2)  # n + n n + 3 numbers


class Lane:
    """The steps of one vessel that are still to be done, the next one last, and where its numbers are now."""

    __slots__ = ("source", "steps")

    def __init__(self, steps: list[Held], source: Found | None) -> None:
        self.steps = steps
        self.source = source

    def next(self) -> Held | None:
        """The next step; None at the end of the lane, or where somebody else was asked for all that is left."""
        while self.steps:
            step = self.steps[-1]
            if step.found is None:
                return step
            self.source = step.found
            self.steps.pop()
        return None

    def waits(self, step: Held) -> bool:
        """Whether the next step rests on what is still to be done in another lane."""
        if self.source is None and step.before is not None:
            self.source = step.before.found
        return self.source is None or (step.other is not None and step.other.found is None)

    def done(self, found: Found) -> None:
        """Note what the next step led to."""
        self.source = found
        self.steps.pop().put(found)


def reckon(wanted: Iterable[Held]) -> None:
    """Find the numbers of all these, side by side where they take the same steps."""
    lanes = _lanes(wanted)
    while True:
        left = [(step, lane) for lane in lanes if (step := lane.next()) is not None]
        if len(left) < LEAST:
            return  # the rest is reckoned when it is asked for
        lanes = [lane for _, lane in left]
        ready = [(step, lane) for step, lane in left if not lane.waits(step)]
        first = min((step for step, _ in ready), key=_day)
        last = first.day + ALIKE
        for group in _groups([(step, lane) for step, lane in ready if step.step is first.step and step.day <= last]):
            _take(group, lanes)


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
        steps: list[Held] = []
        at: Held | None = one
        while at is not None and at.found is None and at not in seen:
            steps.append(at)
            if at.other is not None:
                waiting.append(at.other)
            at = at.before
        if not steps:
            continue
        seen.update(steps)
        lane = ends.pop(at, None) if at is not None else None
        if lane is None:
            lane = Lane(steps, None if at is None else at.found)
            found.append(lane)
        else:
            lane.steps[:0] = steps
        ends[one] = lane
    return found


Group = list[tuple[Held, Lane]]


def _groups(alike: Group) -> list[Group]:
    """Those whose next step is one on arrays: of one model, of few animals or of many."""
    found: dict[tuple[Any, ...], Group] = defaultdict(list)
    for step, lane in alike:
        few = step.step is steps.counted and step.given[0] < FEW
        found[id(step.model), few].append((step, lane))
    return list(found.values())


def _take(group: Group, lanes: list[Lane]) -> None:
    """Do the next step of all these."""
    step = group[0][0]
    if step.step in WITHIN:
        group = _within_tables(group, lanes)
    beside = BESIDE.get(step.step)
    if beside is None or len(group) < LEAST:
        for one, lane in group:
            lane.done(one.known)
        return
    table = _gathered(group)
    made = Table(beside(step.model, table.known, [one.given for one, _ in group]))
    for at, (_, lane) in enumerate(group):
        if lane.source is not None:
            lane.done(Column(made, at, lane.source.rows))


def _by_table(group: Group) -> tuple[dict[Table, Group], Group]:
    """A group by the tables in which its numbers are, and those that are in none."""
    tables: dict[Table, Group] = defaultdict(list)
    alone: Group = []
    for pair in group:
        source = pair[1].source
        if isinstance(source, Column):
            tables[source.table].append(pair)
        else:
            alone.append(pair)
    return tables, alone


def _within_tables(group: Group, lanes: list[Lane]) -> Group:
    """Do on whole tables a step that leaves alone whom it is not for, so they stay whole; return who is in none."""
    tables, alone = _by_table(group)
    for table, pairs in tables.items():
        step = pairs[0][0].step
        made = Table(WITHIN[step](table, pairs))
        for lane in lanes:
            source = lane.source
            if isinstance(source, Column) and source.table is table:
                lane.source = Column(made, source.at, source.rows)
        for _, lane in pairs:
            source = lane.source
            if isinstance(source, Column):
                lane.done(Column(made, source.at, source.rows + 1) if step is steps.extended else source)
    return alone


def _gathered(group: Group) -> Table:
    """A table of the numbers of a group, which is put into the table's order."""
    tables, alone = _by_table(group)
    group.clear()
    parts, rest = [], []
    for table, pairs in tables.items():
        pairs.sort(key=_place)
        group += pairs
        places = [_place(pair) for pair in pairs]
        if len(tables) == 1 and not alone and places == list(range(table.vessels)):
            return table
        parts.append(table.parts[:, :, places])
        rest.append(table.rest[:, places])
    group += alone
    for _, lane in alone:
        if lane.source is not None:
            mix, *others = lane.source.known
            parts.append(np.array([_flat(part) for part in mix.parts]).T[:, :, None])
            rest.append(np.array([*mix.fall, *others])[:, None])
    rows = max(map(_rows, parts))
    return Table.of(np.concatenate([_widened(one, rows) for one in parts], 2), np.concatenate(rest, 1))


def _place(pair: tuple[Held, Lane]) -> int:
    source = pair[1].source
    return source.at if isinstance(source, Column) else 0


Given = list[tuple[Any, ...]]
"""What else is given to a step, of every vessel."""


def _elapsed(model: Model, known: Known, given: Given) -> Known:
    dt = np.array([one[0] for one in given])
    push = np.zeros((len(given), known.rows - BASE))
    for row, (_, signs) in zip(push, given, strict=True):
        row[: len(signs)] = signs
    return known._replace(mix=batch.carried(model, known.mix, dt, list(push.T.copy())))


def _counted(model: Model, known: Known, given: Given) -> Known:
    animals, ml, cv2, ratio = np.array(given).T.copy()
    mix, _, bad = batch.counted(model, known.mix, animals, ml, cv2)
    told = np.maximum(known.stood, np.log(animals + 0.5) - np.log(ml))
    stood = np.where((animals > 0.0) & (bad <= steps.SLIP), told, known.stood)
    return Known(mix if (ratio == 1.0).all() else mixture.hinted(mix, ratio, ARRAYS), bad, stood)


def _referred(model: Model, known: Known, given: Given) -> Known:
    part, fall = known.mix.parts[0], known.mix.fall
    failing = part.failing.sum(0)
    x = ((part.sound * part.m[X]).sum(0) + failing * fall.x) / (part.sound.sum(0) + failing)
    own: Array = model.stacked.alternatives[0].own
    part = part._replace(ref=np.where(own, x + model.room, part.ref))
    return known._replace(mix=Mixture((part,), fall))


BESIDE: dict[Step, Callable[[Model, Known, Given], Known]] = {
    steps.elapsed: _elapsed,
    steps.counted: _counted,
    steps.referred: _referred,
}
"""Steps of several vessels as one on arrays. What is in no list is rare and is done one vessel after the other."""


def _spread(table: Table, pairs: Group, usual: float) -> Array:
    """The number given to each vessel of a table, `usual` for whom the step is not."""
    given = np.full(table.vessels, usual)
    given[[_place(pair) for pair in pairs]] = [step.given[0] for step, _ in pairs]
    return given


def _shifted(table: Table, pairs: Group) -> Known:
    return table.known._replace(mix=mixture.shifted(table.known.mix, _spread(table, pairs, 0.0)))


def _hinted(table: Table, pairs: Group) -> Known:
    return table.known._replace(mix=mixture.hinted(table.known.mix, _spread(table, pairs, 1.0), ARRAYS))


def _extended(table: Table, pairs: Group) -> Known:
    mix = table.known.mix
    part = mix.parts[0]
    m, p = list(part.m), [list(line) for line in part.p]
    none = np.zeros_like(part.ref)
    for step, lane in pairs:
        k = 0 if lane.source is None else lane.source.rows
        if k == len(m):
            m.append(none)
            p = [*([*line, none] for line in p), [none] * len(m)]
        scale, sd = step.given
        m[k], p[k][k] = m[k].copy(), p[k][k].copy()
        m[k][:, _place((step, lane))], p[k][k][:, _place((step, lane))] = scale, sd * sd
    return table.known._replace(mix=Mixture((part._replace(m=m, p=p),), mix.fall))


WITHIN: dict[Step, Callable[[Table, Group], Known]] = {
    steps.shifted: _shifted,
    steps.hinted: _hinted,
    steps.extended: _extended,
}
"""Steps that can be done on a whole table though they are only for some of its vessels."""
