"""A function of the filter written out straight: all its sums and products in one Python function of plain floats.

The filter is written once, for any kind of number (see `carrier`). Handed terms in place of numbers it leaves a tape
of the operations that it performs; the tape, with what occurs twice done once, becomes the source of one function
with a local variable for each value. That does the same operations on the same floats, in a third of the time, as
nothing is packed, looked up or called in between. (`namedtuple` makes its methods in the same way.)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from rackview.science.state.carrier import Carrier, Pair, Value, scalar_decays

Argument = Any
"""A Term, or a number."""
ARITHMETIC = "+-*/"
DEEPEST = 30
"""Brackets within brackets, of which Python takes at most 200."""


class Term:
    """The value of one operation on a tape, to calculate with."""

    __slots__ = ("depth", "number", "operation", "tape", "uses")

    def __init__(self, tape: Tape, operation: tuple[Any, ...]) -> None:
        self.tape = tape
        self.operation = operation
        self.number = len(tape.terms)
        self.uses: list[Term] = []
        self.depth = 0

    def __add__(self, other: Argument) -> Argument:
        return self if _is(other, 0.0) else self.tape.put("+", self, other)

    def __radd__(self, other: Argument) -> Argument:
        return self if _is(other, 0.0) else self.tape.put("+", other, self)

    def __sub__(self, other: Argument) -> Argument:
        return self if _is(other, 0.0) else self.tape.put("-", self, other)

    def __rsub__(self, other: Argument) -> Term:
        return self.tape.put("-", other, self)

    def __neg__(self) -> Term:
        return self.tape.put("-", 0.0, self)

    def __mul__(self, other: Argument) -> Argument:
        if _is(other, 0.0):
            return 0.0
        return self if _is(other, 1.0) else self.tape.put("*", self, other)

    def __rmul__(self, other: Argument) -> Argument:
        return self.__mul__(other)

    def __truediv__(self, other: Argument) -> Term:
        return self.tape.put("/", self, other)

    def __rtruediv__(self, other: Argument) -> Term:
        return self.tape.put("/", other, self)

    def __pow__(self, power: float) -> Term:
        return self.tape.put("**", self, power)

    def __gt__(self, bound: float) -> bool:
        """A branch: the tape goes on as if it were not so, and what is written refuses if it is."""
        self.tape.put("refuse above", self, bound)
        return False


def _is(other: Argument, number: float) -> bool:
    return not isinstance(other, Term) and other == number


class Tape:
    """The operations performed, each once, in order."""

    def __init__(self) -> None:
        self.terms: dict[tuple[Any, ...], Term] = {}

    def put(self, kind: str, *arguments: Argument) -> Term:
        """The value of an operation, which is new or was there before."""
        one, other = arguments[0], arguments[-1]
        if kind in "+*" and isinstance(one, Term) and isinstance(other, Term) and one.number > other.number:
            arguments = other, one
        operation = kind, *arguments
        found = self.terms.get(operation)
        if found is None:
            found = self.terms[operation] = Term(self, operation)
        return found

    def carrier(self) -> Carrier:
        """Elementary functions of terms."""

        def decays(w: Value, dt: Value) -> tuple[Value, Value, Value]:
            found = self.put("decays", w, dt)
            return self.put("item", found, 0), self.put("item", found, 1), self.put("item", found, 2)

        def peak(values: list[Value]) -> Value:
            highest = values[0]
            for value in values[1:]:
                highest = self.put("max", highest, value)
            return highest

        def chosen(pairs: list[Pair], which: tuple[int, ...]) -> list[Pair]:
            return [pairs[i] for i in which]

        return Carrier(
            exp=lambda x: self.put("exp", x),
            log=lambda x: self.put("log", x),
            least=lambda x, floor: self.put("max", x, floor),
            most=lambda x, roof: self.put("min", x, roof),
            largest=lambda x: x,
            total=sum,
            peak=peak,
            chosen=chosen,
            log_gamma=lambda x: self.put("lgamma", x),
            decays=decays,
        )


def shape(tape: Tape, name: str, like: Any, symmetric: bool = False) -> Any:
    """What is built like `like`, of tuples, lists and numbers, with an input in each number's place.

    A square list of lists is a symmetric matrix: both places of a pair are one input.
    """
    if isinstance(like, (tuple, list)):
        symmetric = isinstance(like, list) and bool(like) and isinstance(like[0], list)
        items = []
        for i, item in enumerate(like):
            if symmetric:
                items.append([tape.put("in", f"{name}_{min(i, j)}_{max(i, j)}") for j in range(len(item))])
            else:
                items.append(shape(tape, f"{name}_{i}", item))
        if isinstance(like, list):
            return items
        return type(like)(*items) if hasattr(like, "_fields") else tuple(items)
    return tape.put("in", name)


def written(tape: Tape, inputs: Sequence[Any], result: Any) -> Callable[..., Any]:
    """The function of `inputs` (shapes) that gives `result`, or None where a branch was taken that it has not."""
    writer = _Writer(tape, result)
    names = [f"given_{i}" for i in range(len(inputs))]
    bound: set[str] = set()
    unpacked = [f"{_pattern(one, bound)} = {name}" for one, name in zip(inputs, names, strict=True)]
    lines = [*unpacked, *writer.lines, f"return {writer.packed(result)}"]
    source = f"def straight({', '.join(names)}):\n " + "\n ".join(lines) + "\n"
    space: dict[str, Any] = {"exp": math.exp, "log": math.log, "lgamma": math.lgamma, "decays": scalar_decays}
    space.update(writer.classes)
    exec(compile(source, "<straight>", "exec"), space)  # noqa: S102  (made above, of arithmetic alone)
    made: Callable[..., Any] = space["straight"]
    return made


def _pattern(one: Any, bound: set[str]) -> str:
    if isinstance(one, Term):
        name: str = one.operation[1]
        if name in bound:
            return "_"
        bound.add(name)
        return name
    return "(" + "".join(_pattern(item, bound) + ", " for item in one) + ")"


class _Writer:
    """Source lines for the operations that a result needs."""

    def __init__(self, tape: Tape, result: Any) -> None:
        self.lines: list[str] = []
        self.classes: dict[str, type] = {}
        self._text: dict[Term, str] = {}
        terms = list(tape.terms.values())
        returned = set(_leaves(result))
        needed = returned | {t for t in terms if t.operation[0] == "refuse above"}
        for term in reversed(terms):
            if term in needed:
                for argument in term.operation[1:]:
                    if isinstance(argument, Term):
                        argument.uses.append(term)
                        needed.add(argument)
        for term in terms:
            if term in needed:
                self._write(term, term in returned)

    def packed(self, one: Any) -> str:
        """The expression for a result or a part of it."""
        if isinstance(one, (tuple, list)):
            inside = ", ".join(self.packed(item) for item in one)
            if isinstance(one, list):
                return f"[{inside}]"
            if hasattr(one, "_fields"):
                self.classes[type(one).__name__] = type(one)
                return f"{type(one).__name__}({inside})"
            return f"({inside},)"
        return self._text[one] if isinstance(one, Term) else repr(float(one))

    def _write(self, term: Term, returned: bool) -> None:
        kind, *arguments = term.operation
        if kind == "in":
            self._text[term] = arguments[0]
            return
        text = [self._text[a] if isinstance(a, Term) else repr(a) for a in arguments]
        name = f"t{len(self._text)}"
        if kind == "decays":
            self._text[term] = name
            self.lines.append(f"{name}_0, {name}_1, {name}_2 = decays({text[0]}, {text[1]})")
        elif kind == "item":
            self._text[term] = f"{text[0]}_{text[1]}"
        elif kind == "refuse above":
            self._text[term] = name
            self.lines.append(f"if {text[0]} > {text[1]}: return None")
        else:
            term.depth = 1 + max((a.depth for a in arguments if isinstance(a, Term)), default=0)
            expression = _expression(kind, text)
            inside = len(term.uses) == 1 and not returned and term.uses[0].operation[0] in ARITHMETIC
            if inside and kind in ARITHMETIC and term.depth < DEEPEST:
                self._text[term] = expression
            else:
                term.depth = 0
                self._text[term] = name
                self.lines.append(f"{name} = {expression}")


def _leaves(one: Any) -> list[Term]:
    if isinstance(one, Term):
        return [one]
    return [leaf for item in one for leaf in _leaves(item)] if isinstance(one, (tuple, list)) else []


def _expression(kind: str, text: list[str]) -> str:
    """One operation as `carrier.SCALARS` has it."""
    if kind in ARITHMETIC or kind == "**":
        return f"({text[0]} {kind} {text[1]})"
    if kind == "max":
        return f"{text[1]} if {text[1]} > {text[0]} else {text[0]}"
    if kind == "min":
        return f"{text[1]} if {text[1]} < {text[0]} else {text[0]}"
    if kind == "exp":
        return f"exp({text[0]}) if {text[0]} < 700.0 else 1e304"
    return f"{kind}({text[0]})"
