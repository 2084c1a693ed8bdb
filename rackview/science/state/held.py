"""What is believed of the animals in a vessel, reckoned when somebody asks for it.

A history is gone through event by event, but what an event does to the numbers is only noted: as a step upon what was
believed before. So what nobody asks for is never reckoned, one vessel's steps are done when they are asked for, and
those of many vessels can be done side by side (see `together`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple, Protocol

from rackview.science.state import mixture
from rackview.science.state.carrier import Value
from rackview.science.state.mixture import Components, Mixture
from rackview.science.state.model import Model

LEAST = 6
"""Vessels from which on steps done side by side take less time than one vessel after the other."""


class Known(NamedTuple):
    """The numbers: of one vessel, or of many as arrays.

    `miscount` is the probability that the newest count of this culture was a slip. `stood` is the log of the highest
    density that it was begun or counted at, slips and empty counts left out.
    """

    mix: Mixture
    miscount: Value = 0.0
    stood: Value = -math.inf

    @property
    def known(self) -> Known:
        """These numbers."""
        return self

    @property
    def rows(self) -> int:
        """Rows of the state."""
        return len(self.mix.parts[0].m)

    @property
    def components(self) -> Components:
        """What is believed of the log density, see `mixture.Components`."""
        return mixture.components(self.mix)


class Found(Protocol):
    """Where the numbers of one vessel are: they themselves, or a column in arrays over many vessels."""

    @property
    def known(self) -> Known:
        """The numbers."""

    @property
    def rows(self) -> int:
        """Rows of the state."""

    @property
    def components(self) -> Components:
        """What is believed of the log density, see `mixture.Components`."""

    @property
    def stood(self) -> float:
        """See `Known`."""


Step = Callable[..., Known]
"""What an event does: the model, the numbers before, those of another vessel if it has a part, what else is given."""


class Held:
    """The numbers after a step, and how to come by them while they are not reckoned.

    Attributes
    ----------
    found : the numbers once they are reckoned
    before : what was held before, until then
    other : what is held of another vessel that has a part in the step
    model, step, given : what is done
    day : days since 1970-01-01T00:00Z for which it holds; by it the steps of several vessels are put side by side
    """

    __slots__ = ("__weakref__", "before", "day", "found", "given", "model", "other", "step")

    found: Found | None
    before: Held | None
    other: Held | None
    model: Model
    step: Step
    given: tuple[Any, ...]
    day: float

    @classmethod
    def of(cls, known: Known) -> Held:
        """Numbers that are known."""
        held = cls()
        held.found, held.before = known, None
        return held

    def then(self, day: float, model: Model, step: Step, *given: Any, other: Held | None = None) -> Held:
        """What is held after one more step."""
        held = Held()
        held.found, held.before, held.other, held.day = None, self, other, day
        held.model, held.step, held.given = model, step, given
        return held

    def put(self, found: Found) -> None:
        """Note what was found, and only then let go what it came from, as another thread may be asking."""
        self.found = found
        self.before = self.other = None

    @property
    def known(self) -> Known:
        """The numbers."""
        found = self.found
        if type(found) is not Known:
            found = self.found = self._reckoned().known
        return found

    @property
    def components(self) -> Components:
        """What is believed of the log density, see `mixture.Components`."""
        return self._reckoned().components

    @property
    def stood(self) -> float:
        """See `Known`."""
        return self._reckoned().stood

    def _reckoned(self) -> Found:
        """What is found once all that it rests on is; not by recursion, as a history may be long."""
        waiting = [self]
        while self.found is None:
            one = waiting[-1]
            before, other = one.before, None if one.found is not None else one.other
            if one.found is not None or before is None:
                waiting.pop()
            elif before.found is None:
                waiting.append(before)
            elif other is None:
                one.put(one.step(one.model, before.known, *one.given))
            elif other.found is None:
                waiting.append(other)
            else:
                one.put(one.step(one.model, before.known, other.known, *one.given))
        return self.found
