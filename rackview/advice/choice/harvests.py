"""The chosen harvests as takes: how much of each vessel, for whom, and by what reason."""

from __future__ import annotations

from collections.abc import Mapping

from rackview.advice.choice.problem import DISCARD, delivered_today, need_today, standing_left
from rackview.advice.constants import FITS, MET, RINSE_NEAR, SLACK
from rackview.advice.order import contamination_rank
from rackview.advice.situation import Situation
from rackview.core.dataclass import dataclass
from rackview.planner.culture import Choice, Problem
from rackview.planner.demand import Need


@dataclass(frozen=True, slots=True)
class Take:
    """One vessel's harvest today: share of its volume, animals in it, for whom, and why.

    `code` is one of demand, short, doubted (for larvae), rinse, dense, growth (what they get is over their need).
    `need` is what was still needed when this vessel's turn came, with margin; 0 where nothing is.
    """

    vessel: str
    share: float
    code: str
    to: str
    animals: float
    need: float = 0.0


@dataclass(frozen=True, slots=True)
class StrainDay:
    """One strain today: what is needed, what was still open, what is given, and the choice behind it."""

    strain: str
    need: Need | None
    wanted: float
    given: float
    problem: Problem
    choice: Choice

    @property
    def met(self) -> float:
        """The share of today's open need that the harvests give; 1 when nothing is needed."""
        return 1.0 if self.wanted <= 0.0 else min(self.given / self.wanted, 1.0)


def takes_of(sit: Situation, strain: str, problem: Problem, choice: Choice) -> tuple[StrainDay, Mapping[str, Take]]:
    """The takes of one strain: the cleanest and densest serve the larvae until those have enough, the rest is thinned.

    What is thinned out goes to the larvae too, up to one whole filling of their tanks a day, and what is left then to
    those of the standing needs before any is thrown away.
    """
    need, margin = need_today(sit, strain), 1.0 + sit.rack.settings.demand_margin
    wanted = max(0.0 if need is None else need.animals - delivered_today(sit, strain), 0.0)
    animals = {name: share * sit.views[name].animals for name, share in choice.shares.items()}
    food = {c.vessel for c in problem.cultures if c.food}
    given = sum(a for name, a in animals.items() if name in food)
    day = StrainDay(strain, need, wanted, given, problem, choice)
    announced = need is not None or bool(sit.rack.broods or sit.rack.demand)
    spare_to = DISCARD if announced else ""
    open_need = margin * wanted
    spared = 0.0 if need is None or need.own_word else (margin - 1.0) * wanted  # a tank may do without the margin
    room = 0.0 if need is None or need.own_word else need.full - delivered_today(sit, strain)
    mouths = {one.consumer: most for one, most in standing_left(sit, strain) if most > 0.0}
    rinsed = {c.vessel: c.rinse for c in problem.cultures}
    found: dict[str, Take] = {}
    for name in sorted(animals, key=lambda n: (contamination_rank(sit, n), -(sit.views[n].per_ml or 0.0))):
        share, view = choice.shares[name], sit.views[name]
        if need is not None and name in food and open_need > (0.0 if animals[name] <= room else spared):
            code = "doubted" if sit.suspects[name] else "short" if day.met < MET else "demand"
            found[name] = Take(name, share, code, _to(need), animals[name], open_need)
            open_need -= animals[name]
            room -= animals[name]
            continue
        dense = (view.per_ml or 0.0) > view.profile.band_high_per_ml
        code = "rinse" if rinsed[name] > 0.0 and share <= rinsed[name] + RINSE_NEAR else "dense" if dense else "growth"
        to = spare_to
        if need is not None and name in food and animals[name] <= room + SLACK * need.full:
            to = _to(need)
            room -= animals[name]
        elif name in food and not sit.suspects[name]:
            fitting = next((n for n, most in mouths.items() if most >= FITS * animals[name]), None)
            if fitting is not None:
                to = fitting
                mouths[to] -= animals[name]
        found[name] = Take(name, share, code, to, animals[name])
    return day, {name: found[name] for name in choice.shares}


def _to(need: Need) -> str:
    return need.broods[0] if len(need.broods) == 1 else "larvae"
