"""What was seen so far, square by square, and what to say of it; no widgets."""

from __future__ import annotations

import math
from dataclasses import replace

from rackview.core.dataclass import dataclass
from rackview.language import _

ANIMAL, CARRYING, CILIATE, NEXT = "animal", "with eggs", "ciliate", "next square"

FEWEST, MOST = 12, 20
"""Animals in a square at which counting is quick and the number still says something; common practice, no source."""
SQUARES = 3
"""Squares to count at least; common practice, no source."""
TOO_MANY = 2 * MOST
TOO_FEW = FEWEST / 2
MANY_CILIATES = 10
"""Ciliates in all squares from which they are called many; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Square:
    """One square or aliquot: animals in all, those of them that carry eggs, ciliates."""

    animals: int = 0
    with_eggs: int = 0
    ciliates: int = 0


class Tally:
    """Key by key; every key can be taken back, those that closed a square too.

    Attributes
    ----------
    squares : those that are closed
    current : the one under the eyes
    """

    def __init__(self) -> None:
        self.squares: tuple[Square, ...] = ()
        self.current = Square()
        self._before: list[tuple[tuple[Square, ...], Square]] = []

    def press(self, what: str) -> None:
        """One key: an animal, an animal with eggs (an animal too), a ciliate, or on to the next square."""
        self._before.append((self.squares, self.current))
        here = self.current
        if what == ANIMAL:
            self.current = replace(here, animals=here.animals + 1)
        elif what == CARRYING:
            self.current = replace(here, animals=here.animals + 1, with_eggs=here.with_eggs + 1)
        elif what == CILIATE:
            self.current = replace(here, ciliates=here.ciliates + 1)
        elif what == NEXT:
            self.squares, self.current = (*self.squares, here), Square()
        else:
            self._before.pop()
            raise ValueError(f"{what} is no key of a tally")

    def undo(self) -> bool:
        """Take the last key back; False if there is none."""
        if not self._before:
            return False
        self.squares, self.current = self._before.pop()
        return True

    @property
    def begun(self) -> bool:
        """Whether the square under the eyes holds anything that closing it would keep."""
        return self.current != Square()

    def whole(self) -> tuple[Square, ...]:
        """All squares: one that is begun counts as it stands."""
        return (*self.squares, self.current) if self.begun else self.squares

    @property
    def tallies(self) -> tuple[int, ...]:
        """Animals of each square."""
        return tuple(s.animals for s in self.whole())

    @property
    def with_eggs(self) -> int:
        """Animals with eggs in all squares."""
        return sum(s.with_eggs for s in self.whole())

    @property
    def ciliates(self) -> str:
        """Ciliates in the words of the round: none, some or many."""
        seen = sum(s.ciliates for s in self.whole())
        return "none" if seen == 0 else "many" if seen >= MANY_CILIATES else "some"

    def advice(self, dilution: float = 1.0) -> str:
        """What to mind next: how many squares more, or another dilution; `dilution` is what the sample has now."""
        closed = [s.animals for s in self.squares]
        if self.begun and self.current.animals >= TOO_MANY and not closed:
            return _("Finish this square: a square left half counted counts too low.")
        if closed:
            mean = sum(closed) / len(closed)
            if mean > TOO_MANY:
                fold = dilution * mean / math.sqrt(FEWEST * MOST)
                return _("Many in a square: next time dilute about {n}-fold, for 12 to 20 in each.").format(
                    n=_round_fold(fold)
                )
            if mean < TOO_FEW:
                if dilution > 1.0:
                    return _("Few in a square: next time dilute less, or take a larger aliquot.")
                return _("Few in a square: take a larger aliquot, or count more of them.")
        missing = SQUARES - len(closed)
        if missing > 0:
            return _("Finish each square; {n} more for the least of three.").format(n=missing)
        return _("Enough squares for a count. Enter takes it over.")


def _round_fold(fold: float) -> str:
    """A dilution that can be made: 2, 5, 10, 20, 50 ..."""
    power = 10.0 ** math.floor(math.log10(max(fold, 1.0)))
    return f"{next(step * power for step in (1, 2, 5, 10) if step * power >= fold * 0.7):.0f}"
