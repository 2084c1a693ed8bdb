"""A function of the filter written out straight: all its sums and products in one Python function of plain floats.

It does the operations of a tape on the same floats as the function that left the tape, in a third of the time, as
nothing is packed, looked up or called in between. (`namedtuple` makes its methods in the same way.)
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

from rackview.science.state.carrier import scalar_decays
from rackview.science.state.tape import NUMBER, REFUSAL, Tape, Term, leaves, packing, unpacking

ARITHMETIC = "+-*/"
DEEPEST = 30
"""Brackets within brackets, of which Python takes at most 200."""
KNOWN = {"exp": math.exp, "log": math.log, "sqrt": math.sqrt, "lgamma": math.lgamma, "decays": scalar_decays}


def written(tape: Tape, inputs: Sequence[Any], result: Any) -> Callable[..., Any]:
    """The function of `inputs` (shapes) that gives `result`, or None where a branch was taken that it has not."""
    writer = _Floats(tape.needed(result), set(leaves(result)))
    return compiled(inputs, writer.lines, result, writer.text, dict(KNOWN))


def compiled(
    inputs: Sequence[Any], lines: list[str], result: Any, text: dict[Term, str], space: dict[str, Any]
) -> Callable[..., Any]:
    """The function of `inputs` that does these lines and gives `result`, in which each term is known by its text."""
    bound: set[str] = set()
    names = [f"given_{i}" for i in range(len(inputs))]
    head = [f"{unpacking(one, bound)} = {name}" for one, name in zip(inputs, names, strict=True)]
    whole = [f"def straight({', '.join(names)}):", *head, *lines, f"return {packing(result, text, space)}"]
    exec(compile("\n ".join(whole) + "\n", "<straight>", "exec"), space)  # noqa: S102  (made here, of arithmetic alone)
    made: Callable[..., Any] = space["straight"]
    return made


class Writer(ABC):
    """Source lines for the terms of a tape, and the text by which each is known after them."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.text: dict[Term, str] = {}

    def write(self, term: Term) -> None:
        """Add what a term needs; all that it is done on must have been written."""
        kind, *arguments = term.operation
        if kind == "in":
            self.text[term] = arguments[0]
            return
        text = [self.text[a] if isinstance(a, Term) else repr(a) for a in arguments]
        name = self.text[term] = f"t{term.number}"
        if kind == "item":
            self.text[term] = f"{text[0]}_{text[1]}"
        elif kind == "decays":
            how = "decays" if term.rank == NUMBER else "array_decays"
            self.lines.append(f"{name}_0, {name}_1, {name}_2 = {how}({text[0]}, {text[1]})")
        elif kind == REFUSAL:
            self.lines.append(f"if {text[0]} > {text[1]}: return None")
        else:
            self.operation(term, name, text)

    @abstractmethod
    def operation(self, term: Term, name: str, text: list[str]) -> None:
        """Add an operation on what the texts say, under a name."""


class _Floats(Writer):
    def __init__(self, terms: list[Term], returned: set[Term]) -> None:
        super().__init__()
        self._depth: dict[Term, int] = {}
        uses = Counter(a for term in terms for a in term.arguments)
        by = {a: term for term in terms for a in term.arguments}
        self._inside = {t for t in terms if uses[t] == 1 and t not in returned and _plain(t) and _plain(by[t])}
        for term in terms:
            self.write(term)

    def operation(self, term: Term, name: str, text: list[str]) -> None:
        depth = 1 + max(self._depth.get(a, 0) for a in term.arguments)
        done = expression(term.operation[0], text)
        if term in self._inside and depth < DEEPEST:
            self._depth[term], self.text[term] = depth, done
        else:
            self.lines.append(f"{name} = {done}")


def _plain(term: Term) -> bool:
    """Whether a term may stand within an expression, or have one within."""
    return term.operation[0] in ARITHMETIC


def expression(kind: str, text: list[str]) -> str:
    """One operation as `carrier.SCALARS` has it."""
    if kind in ARITHMETIC:
        return f"({text[0]} {kind} {text[1]})"
    if kind == "max":
        return f"{text[1]} if {text[1]} > {text[0]} else {text[0]}"
    if kind == "min":
        return f"{text[1]} if {text[1]} < {text[0]} else {text[0]}"
    if kind == "exp":
        return f"exp({text[0]} if {text[0]} < 700.0 else 700.0)"
    return f"{kind}({text[0]})"
