"""Numbers of several vessels of one model as arrays, and the column of one of them in these."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np

from rackview.science.state.held import Known
from rackview.science.state.kernel import X
from rackview.science.state.mixture import Components, Fall, Mixture, Part
from rackview.science.state.model import Array

REST = len(Part._fields) - 2
"""Numbers of a part beside its mean and covariance."""


class Table:
    """Numbers of several vessels: arrays, those of the parts (alternatives, vessels), those of the rest (vessels,)."""

    def __init__(self, known: Known) -> None:
        self.known = known
        self.vessels = len(known.mix.fall.x)
        self.rows = len(known.mix.parts[0].m)

    @cached_property
    def parts(self) -> Array:
        """Mean, covariance, reference, weights and third moment, shape (n + n n + REST, alternatives, vessels)."""
        return np.array(flat(self.known.mix.parts[0]))

    @cached_property
    def rest(self) -> Array:
        """The fall, the chance of a miscount and the highest density, shape (8, vessels)."""
        return np.array([*self.known.mix.fall, *self.known[1:]])

    @cached_property
    def components(self) -> list[Components]:
        """For each vessel what `mixture.components` gives."""
        return list(zip(*(one.T.tolist() for one in gathered(self.known.mix)), strict=True))

    @cached_property
    def stood(self) -> list[float]:
        """For each vessel how high its culture stood."""
        found: list[float] = self.known.stood.tolist()
        return found

    @classmethod
    def of(cls, parts: Array, rest: Array) -> Table:
        """The table of such arrays."""
        n = rows_of(parts)
        part = Part(list(parts[:n]), [list(parts[k : k + n]) for k in range(n, n + n * n, n)], *parts[n + n * n :])
        *fall, miscount, stood = rest
        return cls(Known(Mixture((part,), Fall(*fall)), miscount, stood))


class Column:
    """The numbers of one vessel among several, see `held.Found`; `rows` are those of its own signs."""

    __slots__ = ("at", "rows", "table")

    def __init__(self, table: Table, at: int, rows: int) -> None:
        self.table = table
        self.at = at
        self.rows = rows

    def packed(self) -> Packed:
        """The same by itself."""
        return Packed(self.table.parts[:, :, self.at].copy(), self.table.rest[:, self.at].copy(), self.rows)

    @property
    def known(self) -> Known:
        """The numbers."""
        return _known(self.table.parts[:, :, self.at], self.table.rest[:, self.at], self.rows)

    @property
    def components(self) -> Components:
        """What is believed of the log density, see `mixture.Components`."""
        return self.table.components[self.at]

    @property
    def stood(self) -> float:
        """See `Known`."""
        return self.table.stood[self.at]


class Packed:
    """The numbers of one vessel in little room, see `held.Found`: as plain floats they take four times as much."""

    __slots__ = ("parts", "rest", "rows")

    def __init__(self, parts: Array, rest: Array, rows: int) -> None:
        self.parts = parts
        self.rest = rest
        self.rows = rows

    @property
    def known(self) -> Known:
        """The numbers."""
        return _known(self.parts, self.rest, self.rows)

    @property
    def components(self) -> Components:
        """What is believed of the log density, see `mixture.Components`."""
        return self.known.components

    @property
    def stood(self) -> float:
        """See `Known`."""
        return float(self.rest[-1])


def _known(parts: Array, rest: Array, rows: int) -> Known:
    """What `flat` and the rest say of one vessel, cut to its rows of the state."""
    n = rows_of(parts)
    *fall, miscount, stood = rest.tolist()
    return Known(Mixture(tuple([_part(row, n, rows) for row in parts.T.tolist()]), Fall(*fall)), miscount, stood)


def gathered(mix: Mixture) -> tuple[Array, Array, Array, Array]:
    """What `mixture.components` gives, of several vessels: shape (alternatives and the fall, vessels) each."""
    part, fall = mix.parts[0], mix.fall
    weights = np.concatenate([part.sound, part.failing.sum(0)[None]])
    weights /= weights.sum(0)
    means, variances = (np.concatenate(one) for one in ([part.m[X], fall.x[None]], [part.p[X][X], fall.xx[None]]))
    sds = np.sqrt(variances)
    return weights, means, sds, np.concatenate([part.third, fall.third[None]]) / (sds * variances)


def flat(part: Part) -> list[Any]:
    """The numbers of a part in a row, its matrix line by line."""
    return [*part.m, *(value for line in part.p for value in line), *part[2:]]


def _part(row: list[float], n: int, rows: int) -> Part:
    """What `flat` made a row of, cut to so many rows of the state."""
    p = tuple([tuple(row[k : k + rows]) for k in range(n, n + n * rows, n)])
    return Part(tuple(row[:rows]), p, *row[n + n * n :])


def widened(parts: Array, rows: int) -> Array:
    """The same parts with as many rows of the state, the new ones being of nothing."""
    n = rows_of(parts)
    if n == rows:
        return parts
    wide = np.zeros((rows + rows * rows + REST, *parts.shape[1:]))
    wide[:n], wide[-REST:] = parts[:n], parts[-REST:]
    shape = parts.shape[1:]
    wide[rows:-REST].reshape(rows, rows, *shape)[:n, :n] = parts[n:-REST].reshape(n, n, *shape)
    return wide


def rows_of(parts: Sequence[Any] | Array) -> int:
    """Rows of the state of a part that `flat` put in a row."""
    return math.isqrt(len(parts) - REST)
