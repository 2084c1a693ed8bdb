"""The operations that a function of the filter performs, noted as it is run on terms in place of numbers.

The filter is written once, for any kind of number (see `carrier`). Handed terms it leaves a tape of its elementary
operations, what occurs twice noted once. From that `straight` and `straight_arrays` write the same function again in
a form that is done faster.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from rackview.science.state.carrier import Carrier, Pair, Value, added, log_gamma_by_series

NUMBER, ROW, TABLE = range(3)
"""What a term stands for: a number, an array over vessels, or one over alternatives and vessels."""
REFUSAL = "refuse above"
LISTS = {list, tuple}
"""Vectors, and rows of matrices; what has named fields is neither."""


class Term:
    """The value of one operation on a tape, to calculate with."""

    __slots__ = ("number", "operation", "rank", "tape")
    __array_ufunc__ = None
    """Arrays leave it to the term what they do together."""

    def __init__(self, tape: Tape, operation: tuple[Any, ...], rank: int) -> None:
        self.tape = tape
        self.operation = operation
        self.rank = rank
        self.number = len(tape.terms)

    @property
    def arguments(self) -> list[Term]:
        """The terms that its operation is done on."""
        return [a for a in self.operation[1:] if isinstance(a, Term)]

    def __add__(self, other: Value) -> Value:
        return self if _is(other, 0.0) else self.tape.put("+", self, other)

    def __radd__(self, other: Value) -> Value:
        return self.__add__(other)

    def __sub__(self, other: Value) -> Value:
        return self if _is(other, 0.0) else self.tape.put("-", self, other)

    def __rsub__(self, other: Value) -> Term:
        return self.tape.put("-", other, self)

    def __neg__(self) -> Term:
        return self.tape.put("-", 0.0, self)

    def __mul__(self, other: Value) -> Value:
        if _is(other, 0.0):
            return 0.0
        return self if _is(other, 1.0) else self.tape.put("*", self, other)

    def __rmul__(self, other: Value) -> Value:
        return self.__mul__(other)

    def __truediv__(self, other: Value) -> Term:
        return self.tape.put("/", self, other)

    def __rtruediv__(self, other: Value) -> Term:
        return self.tape.put("/", other, self)

    def __gt__(self, bound: float) -> bool:
        """A branch: the tape goes on as if it were not so, and what is written from it refuses where it is."""
        self.tape.put(REFUSAL, self, bound)
        return False


def _is(other: Value, number: float) -> bool:
    return isinstance(other, int | float) and other == number


class Tape:
    """The operations performed, each once, in order."""

    def __init__(self) -> None:
        self.terms: dict[tuple[Any, ...], Term] = {}
        self.constants: dict[str, np.ndarray[Any, Any]] = {}

    def put(self, kind: str, *arguments: Any, rank: int | None = None) -> Term:
        """The value of an operation, which is new or was there before."""
        given = [self._constant(a) if isinstance(a, np.ndarray) else a for a in arguments]
        if kind in "+*":  # the same either way round
            given.sort(key=lambda a: a.number if isinstance(a, Term) else -1)
        operation = kind, *given
        found = self.terms.get(operation)
        if found is None:
            if rank is None:
                rank = max((a.rank for a in given if isinstance(a, Term)), default=NUMBER)
            found = self.terms[operation] = Term(self, operation, rank)
        return found

    def _constant(self, array: np.ndarray[Any, Any]) -> Term:
        name = f"constant_{len(self.constants)}"
        self.constants[name] = array
        return self.put("in", name, rank=TABLE)

    def needed(self, result: Any) -> list[Term]:
        """The terms that a result needs, in order; those that refuse are needed by any."""
        found = set(leaves(result)) | {t for t in self.terms.values() if t.operation[0] == REFUSAL}
        for term in reversed(self.terms.values()):
            if term in found:
                found.update(term.arguments)
        return [term for term in self.terms.values() if term in found]

    def floats(self) -> Carrier:
        """Elementary functions as `carrier.SCALARS` has them."""

        def peak(values: list[Value]) -> Value:
            highest = values[0]
            for value in values[1:]:
                highest = self.put("max", highest, value)
            return highest

        def chosen(pairs: list[Pair], which: tuple[int, ...]) -> list[Pair]:
            return [pairs[i] for i in which]

        return self._carrier(lambda x: x, added, peak, chosen, lambda x: self.put("lgamma", x))

    def arrays(self) -> Carrier:
        """Elementary functions as `carrier.ARRAYS` has them."""

        def chosen(pairs: list[Pair], which: tuple[Any, ...]) -> list[Pair]:
            places = tuple(which[0].tolist())
            return [
                (
                    self.put("rows", places, *(pair[0] for pair in pairs), rank=TABLE),
                    self.put("rows", places, *(pair[1] for pair in pairs), rank=TABLE),
                )
            ]

        return self._carrier(
            lambda x: self.put("largest", x, rank=NUMBER) if isinstance(x, Term) else float(np.max(x)),
            lambda parts: self.put("sum", parts[0], rank=ROW),
            lambda parts: self.put("peak", parts[0], rank=ROW),
            chosen,
            lambda x: log_gamma_by_series(x, lambda y: self.put("log", y)),
        )

    def _carrier(self, largest: Any, total: Any, peak: Any, chosen: Any, log_gamma: Any) -> Carrier:
        def decays(w: Value, dt: Value) -> tuple[Value, Value, Value]:
            found = self.put("decays", w, dt)
            return self.put("item", found, 0), self.put("item", found, 1), self.put("item", found, 2)

        return Carrier(
            exp=lambda x: self.put("exp", x),
            log=lambda x: self.put("log", x),
            root=lambda x: self.put("sqrt", x),
            least=lambda x, floor: self.put("max", x, floor),
            most=lambda x, roof: self.put("min", x, roof),
            largest=largest,
            total=total,
            peak=peak,
            chosen=chosen,
            log_gamma=log_gamma,
            decays=decays,
        )


def shape(tape: Tape, name: str, like: Any) -> Any:
    """What is built like `like`, of tuples, lists and numbers, with an input in each number's place.

    What is square is a symmetric matrix: both places of a pair are one input.
    """
    if not isinstance(like, tuple | list):
        return tape.put("in", name, rank=np.ndim(like))
    if type(like) in LISTS and like and type(like[0]) in LISTS:
        n = len(like)
        return [[shape(tape, f"{name}_{min(i, j)}_{max(i, j)}", like[i][j]) for j in range(n)] for i in range(n)]
    items = [shape(tape, f"{name}_{i}", item) for i, item in enumerate(like)]
    return type(like)(*items) if hasattr(like, "_fields") else items


def leaves(one: Any) -> Iterator[Term]:
    """The terms in a structure of tuples and lists."""
    if isinstance(one, Term):
        yield one
    elif isinstance(one, tuple | list):
        for item in one:
            yield from leaves(item)


def unpacking(one: Any, bound: set[str]) -> str:
    """The target of an assignment that gives each input in a structure its name, which `bound` notes."""
    if isinstance(one, Term):
        name: str = one.operation[1]
        if name in bound:
            return "_"
        bound.add(name)
        return name
    return "(" + "".join(unpacking(item, bound) + ", " for item in one) + ")"


def packing(one: Any, text: dict[Term, str], classes: dict[str, Any]) -> str:
    """The expression that builds a structure from the `text` of its terms, with the classes that it needs.

    What is a list becomes a tuple, which takes less room and which the garbage collector need not look into.
    """
    if isinstance(one, Term):
        return text[one]
    if not isinstance(one, tuple | list):
        return repr(float(one))
    inside = "".join(packing(item, text, classes) + ", " for item in one)
    if hasattr(one, "_fields"):
        classes[type(one).__name__] = type(one)
        return f"{type(one).__name__}({inside})"
    return f"({inside})"
