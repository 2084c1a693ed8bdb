"""What is held of a vessel: its numbers, or the steps by which they are to be reckoned once somebody asks.

A look at a rack asks of many vessels at once: their steps are gone through side by side, the first step of each, the
second of each, and so on. Which vessels are reckoned together changes no digit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from rackview.science.state import filter as kalman
from rackview.science.state import numbers as num
from rackview.science.state.model import Model, paced
from rackview.science.state.numbers import Numbers, Row

Make = Callable[[], Numbers]
ONLY_DAYS = Row()[2:-1]
"""All of a row but days, warmth and hazard, where nothing happened but that days passed."""


class Held:
    """The numbers of one vessel after an event, or what they are to be reckoned from.

    `before` with `row` is one step on from there; `make` begins a culture from what the `needs` say. `kept` says that
    the numbers are to stay when a later one of the same vessel is reckoned.
    """

    __slots__ = ("__weakref__", "_numbers", "before", "kept", "make", "model", "needs", "row")

    def __init__(
        self,
        model: Model,
        numbers: Numbers | None = None,
        before: Held | None = None,
        row: Row | None = None,
        make: Make | None = None,
        needs: Sequence[Held] = (),
    ) -> None:
        self.model = model
        self._numbers = numbers
        self.before = before
        self.row = row
        self.make = make
        self.needs = needs
        self.kept = False

    @classmethod
    def of(cls, pace: float, known: Sequence[float]) -> Held:
        """Numbers that are known, as `pace` and the list of `Numbers.known` say; raises `ValueError` for others."""
        return cls(paced(pace), Numbers.of(known))

    @property
    def pace(self) -> float:
        """The pace of the model, see `paced`."""
        return self.model.pace

    def then(self, row: Row) -> Held:
        """What is held after one more step; days that only passed go into the same step."""
        before, mine = self.before, self.row
        if before is not None and mine is not None and row.dt == 0.0 and mine[2:-1] == ONLY_DAYS:
            return Held(self.model, before=before, row=Row._make((*mine[:2], *row[2:-1], mine.hazard)))
        return Held(self.model, before=self, row=row)

    @property
    def done(self) -> bool:
        """Whether the numbers are there."""
        return self._numbers is not None

    @property
    def numbers(self) -> Numbers:
        """The numbers, reckoned now if they were not."""
        while (found := self._numbers) is None:
            reckon([self])
        return found

    def put(self, numbers: Numbers) -> None:
        """Note what was found, and only then let go what it came from, as another thread may be asking."""
        self._numbers = numbers
        self.before, self.make, self.needs = None, None, ()


def begun(
    model: Model, reference: float, learned: Held | None, x: float, var: float, seen: bool, donor: Held | None = None
) -> Held:
    """A culture begun at log density `x` known to `var` or, with a donor, that far from the donor's.

    `learned` is what was held in the vessel before; `seen` says that the density counts as one that was held.
    """

    def make() -> Numbers:
        at, spread = x, var
        if donor is not None:
            moved, more = kalman.mean_and_variance(donor.numbers.now)
            at, spread = at + float(moved[0]), spread + float(more[0])
        peak_log_density = at if seen else -math.inf
        if learned is None:
            return num.new_numbers(model, at, spread, reference, peak_log_density)
        return num.restarted_numbers(model, learned.numbers, at, spread, peak_log_density)

    return Held(model, make=make, needs=[one for one in (donor, learned) if one is not None])


def mixed_with_donor(own: Held, litres: float, donor: Held, moved: float) -> Held:
    """A culture into whose `litres` some of a donor's, `moved` litres, were stirred."""

    def make() -> Numbers:
        return num.merged_numbers(own.numbers, litres, donor.numbers, moved)

    return Held(own.model, make=make, needs=(own, donor))


def reckon(wanted: Iterable[Held]) -> None:
    """Reckon all that is wanted, those of one model side by side."""
    todo = [one for one in wanted if not one.done]
    while todo:
        waiting: list[Held] = []
        ready: dict[int, list[tuple[Held, list[Held]]]] = {}
        claimed: set[Held] = set()
        for target in todo:
            if target in claimed:
                target.kept = True
                continue
            base, chain = _back(target, claimed)
            missing = [one for one in base.needs if not one.done]
            if base in claimed:  # reckoned in this round on the way to another
                base.kept = True
                waiting.append(target)
            elif missing:
                waiting += [*missing, target]
            else:
                make = base.make
                if make is not None:
                    base.put(make())
                claimed.update(chain)
                ready.setdefault(id(target.model), []).append((base, chain))
        for tracks in ready.values():
            _side_by_side(tracks)
        todo = [one for one in dict.fromkeys(waiting) if not one.done]


def _back(target: Held, claimed: set[Held]) -> tuple[Held, list[Held]]:
    """The nearest before a target that is there, claimed or begun anew, and the steps from there, in order of time."""
    chain = []
    one = target
    while not one.done and one not in claimed and one.row is not None:
        before = one.before  # looked at once, as another thread may just be putting its numbers there
        if before is None:
            break
        chain.append(one)
        one = before
    chain.reverse()
    return one, chain


def _side_by_side(tracks: list[tuple[Held, list[Held]]]) -> None:
    """Go through the steps of several vessels of one model together."""
    tracks = sorted((t for t in tracks if t[1]), key=lambda t: -len(t[1]))
    if not tracks:
        return
    model = tracks[0][0].model
    now = Numbers.joined([base.numbers for base, _ in tracks])
    many = len(tracks)
    for step in range(len(tracks[0][1])):
        while len(tracks[many - 1][1]) <= step:
            many -= 1
        now = now.part(slice(0, many)) if now.more.shape[1] != many else now
        rows = np.array([chain[step].row for _, chain in tracks[:many]]).T
        now = num.advance(model, now, rows)
        for i, (_, chain) in enumerate(tracks[:many]):
            if chain[step].kept or step + 1 == len(chain):
                chain[step].put(now if many == 1 else now.part(slice(i, i + 1)).copy())
