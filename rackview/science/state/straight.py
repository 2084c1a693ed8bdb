"""A function of the filter written out straight: all its sums and products in one Python function of plain floats.

It does the operations of a tape on the same floats as the function that left the tape, in a third of the time, as
nothing is packed, looked up or called in between. (`namedtuple` makes its methods in the same way.)
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

from rackview.science.state.carrier import scalar_decays
from rackview.science.state.tape import REFUSAL, Tape, Term, leaves, packing, unpacking

ARITHMETIC = "+-*/"
DEEPEST = 30
"""Brackets within brackets, of which Python takes at most 200."""
KNOWN = {"exp": math.exp, "log": math.log, "lgamma": math.lgamma, "decays": scalar_decays}


def written(tape: Tape, inputs: Sequence[Any], result: Any) -> Callable[..., Any]:
    """The function of `inputs` (shapes) that gives `result`, or None where a branch was taken that it has not."""
    bound: set[str] = set()
    head = [f"{unpacking(one, bound)} = given_{i}" for i, one in enumerate(inputs)]
    writer = Writer(tape.needed(result), set(leaves(result)))
    space: dict[str, Any] = dict(KNOWN)
    return compiled(len(inputs), [*head, *writer.lines, f"return {packing(result, writer.text, space)}"], space)


def compiled(inputs: int, lines: list[str], space: dict[str, Any]) -> Callable[..., Any]:
    """The function of so many inputs with these lines."""
    source = f"def straight({', '.join(f'given_{i}' for i in range(inputs))}):\n " + "\n ".join(lines) + "\n"
    exec(compile(source, "<straight>", "exec"), space)  # noqa: S102  (made here, of arithmetic alone)
    made: Callable[..., Any] = space["straight"]
    return made


class Writer:
    """Source lines for terms that are numbers, and the text by which each is known after them."""

    def __init__(self, terms: list[Term], returned: set[Term]) -> None:
        self.lines: list[str] = []
        self.text: dict[Term, str] = {}
        self._depth: dict[Term, int] = {}
        self._uses = Counter(a for term in terms for a in term.arguments)
        inside_of = {a: term for term in terms for a in term.arguments}
        for term in terms:
            by = inside_of.get(term)
            self._write(term, self._uses[term] == 1 and term not in returned and by is not None and _plain(by))

    def _write(self, term: Term, inside: bool) -> None:
        kind, *arguments = term.operation
        if kind == "in":
            self.text[term] = arguments[0]
            return
        text = [self.text[a] if isinstance(a, Term) else repr(a) for a in arguments]
        name = self.text[term] = f"t{term.number}"
        if kind == "decays":
            self.lines.append(f"{name}_0, {name}_1, {name}_2 = decays({text[0]}, {text[1]})")
        elif kind == "item":
            self.text[term] = f"{text[0]}_{text[1]}"
        elif kind == REFUSAL:
            self.lines.append(f"if {text[0]} > {text[1]}: return None")
        else:
            depth = 1 + max(self._depth.get(a, 0) for a in term.arguments)
            if inside and _plain(term) and depth < DEEPEST:
                self._depth[term], self.text[term] = depth, expression(kind, text)
            else:
                self.lines.append(f"{name} = {expression(kind, text)}")


def _plain(term: Term) -> bool:
    """Whether a term may stand within an expression, or have one within."""
    return term.operation[0] in ARITHMETIC


def expression(kind: str, text: list[str]) -> str:
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
