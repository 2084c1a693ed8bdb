"""A function of the filter written out straight for arrays: one NumPy call an operation, into arrays used again.

It does the operations of a tape on the same arrays as the function that left the tape, what occurs twice once. What
is needed only for a while goes into a few arrays that stay in the processor's cache; new ones are made for results.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from rackview.science.state.carrier import array_decays, scalar_decays
from rackview.science.state.straight import Writer, compiled, expression
from rackview.science.state.tape import NUMBER, ROW, TABLE, Tape, Term, leaves

UFUNCS = {"+": "add", "-": "subtract", "*": "multiply", "/": "divide", "max": "maximum", "min": "minimum"}
KNOWN: dict[str, Any] = {name: getattr(np, name) for name in (*UFUNCS.values(), "exp", "log", "sqrt", "empty")}
KNOWN |= {"array_decays": array_decays, "decays": scalar_decays}


def written(tape: Tape, inputs: Sequence[Any], result: Any, alternatives: int) -> Callable[..., Any]:
    """The function of `inputs` (shapes) that gives `result`, or None where a branch was taken that it has not."""
    writer = _Arrays(tape.needed(result), set(leaves(result)), alternatives)
    wide = next(term.operation[1] for one in inputs for term in leaves(one) if term.rank != NUMBER)
    head = [f"vessels = {wide}.shape[-1]"]
    for letter, made, size in (
        ("r", writer.made[ROW], "vessels"),
        ("a", writer.made[TABLE], f"{alternatives}, vessels"),
    ):
        if made:
            head.append(f"{''.join(f'{letter}{i}, ' for i in range(made))} = empty(({made}, {size}))")
    return compiled(inputs, [*head, *writer.lines], result, writer.text, KNOWN | tape.constants)


class _Arrays(Writer):
    def __init__(self, terms: list[Term], returned: set[Term], alternatives: int) -> None:
        super().__init__()
        self.made = {ROW: 0, TABLE: 0}
        self._returned = returned
        self._alternatives = alternatives
        self._free: dict[int, list[str]] = {ROW: [], TABLE: []}
        self._held: dict[Term, str] = {}
        last = {a: term for term in terms for a in term.arguments}
        for term in terms:
            self.write(term)
            for argument in set(term.arguments):
                if last[argument] is term and argument in self._held:
                    self._free[argument.rank].append(self._held[argument])

    def operation(self, term: Term, name: str, text: list[str]) -> None:
        kind = term.operation[0]
        if kind == "largest":
            self.lines.append(f"{name} = float({text[0]}.max())")
        elif kind == "rows":
            self.lines.append(f"{name} = empty(({self._alternatives}, vessels))")
            self.lines += [f"{name}[{i}] = {text[1 + place]}" for i, place in enumerate(term.operation[1])]
        elif term.rank == NUMBER:
            self.lines.append(f"{name} = {expression(kind, text)}")
        else:
            self.lines.append(f"{name} = {_call(kind, text, self._place(term))}")

    def _place(self, term: Term) -> str:
        """Where a term's value is written to: an array that is free, or a new one for a result."""
        if term in self._returned:
            return "None"
        free = self._free[term.rank]
        if not free:
            free.append(f"{'ra'[term.rank - ROW]}{self.made[term.rank]}")
            self.made[term.rank] += 1
        self._held[term] = free.pop()
        return self._held[term]


def _call(kind: str, text: list[str], out: str) -> str:
    """One operation as `carrier.ARRAYS` has it."""
    if kind == "exp":
        return f"exp(minimum({text[0]}, 700.0, out={out}), {out})"
    if kind in ("sum", "peak"):
        return f"{'add' if kind == 'sum' else 'maximum'}.reduce({text[0]}, 0, None, {out})"
    return f"{UFUNCS.get(kind, kind)}({', '.join(text)}, out={out})"
