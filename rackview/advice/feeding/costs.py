"""What a million animals delivered takes of feed and money, by strain and month."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from rackview.advice.choice.problem import DISCARD
from rackview.advice.constants import COST_MONTHS, FEW_DELIVERED
from rackview.advice.moment import when
from rackview.core.dataclass import dataclass
from rackview.core.events import Feed, Harvest
from rackview.core.log import Node
from rackview.core.rack import Rack
from rackview.rules.view import dry_g
from rackview.science.state.estimate import Estimate, estimate
from rackview.science.state.held import reckon


@dataclass(frozen=True, slots=True)
class MonthCost:
    """One strain in one month of the keeper's calendar: dry feed given, its cost, animals delivered and thrown away.

    `cost` is in the keeper's currency, None where a feed has no price. `delivered` went to larvae or to those of the
    standing needs; where a harvest was not said to go anywhere it counts as delivered.
    """

    strain: str
    month: date
    fed_g: float
    cost: float | None
    delivered: float
    thrown: float

    @property
    def g_per_million(self) -> float | None:
        """Dry feed per million delivered, g; None where next to nothing was."""
        return 1e6 * self.fed_g / self.delivered if self.delivered >= FEW_DELIVERED else None

    @property
    def cost_per_million(self) -> float | None:
        """Cost of the feed per million delivered; None where it is not known or next to nothing was delivered."""
        return None if self.cost is None or self.delivered < FEW_DELIVERED else 1e6 * self.cost / self.delivered


def costs(rack: Rack, at: object, months: int = COST_MONTHS) -> tuple[MonthCost, ...]:
    """Every strain and month with feed or harvests, strain by strain, the newest month last.

    `at` is a datetime or ISO 8601 text; the month of its day is the last of the `months` looked at.
    """
    now = when(at)
    first = _months_back(now.date.replace(day=1), months - 1)
    begin = now.today - (now.date - first).days
    found: dict[tuple[str, date], MonthCost] = {}
    harvests: list[tuple[str, Node, Estimate]] = []
    for vessel in rack.known_vessels.values():
        profile = rack.strains[vessel.strain] if vessel.vessel not in rack.vessels else rack.profile(vessel.vessel)
        nodes = [n for n in rack.logs[vessel.vessel].upto(now.day).back(begin) if n.day >= begin and not n.incoming]
        for node in reversed(nodes):
            if isinstance(node.event, Feed):
                _add(found, vessel.strain, now.date_of(node.day).replace(day=1), _fed(rack, node.event))
            elif isinstance(node.event, Harvest):
                harvests.append((vessel.strain, node, estimate(node.previous or node, profile, node.day)))
    reckon([e.held_in(0.0) for _, _, e in sorted(harvests, key=lambda h: -h[1].day)])  # side by side, the newest first
    for strain, node, before in harvests:
        if isinstance(node.event, Harvest):
            _add(found, strain, now.date_of(node.day).replace(day=1), _taken(node.event, before))
    strains = list(dict.fromkeys(v.strain for v in rack.known_vessels.values()))
    wanted = [k for k, one in found.items() if one.fed_g or one.delivered or one.thrown]
    return tuple(found[k] for k in sorted(wanted, key=lambda k: (strains.index(k[0]), k[1])))


@dataclass(frozen=True, slots=True)
class _Part:
    """What one entry adds to its month."""

    fed_g: float = 0.0
    cost: float | None = 0.0
    delivered: float = 0.0
    thrown: float = 0.0


def _add(found: dict[tuple[str, date], MonthCost], strain: str, month: date, part: _Part) -> None:
    one = found.get((strain, month), MonthCost(strain, month, 0.0, 0.0, 0.0, 0.0))
    found[strain, month] = replace(
        one, fed_g=one.fed_g + part.fed_g, delivered=one.delivered + part.delivered, thrown=one.thrown + part.thrown,
        cost=None if one.cost is None or part.cost is None else one.cost + part.cost,
    )  # fmt: skip


def _fed(rack: Rack, event: Feed) -> _Part:
    return _Part(fed_g=dry_g(event, rack.stock), cost=price_of(rack, event))


def _taken(event: Harvest, before: Estimate) -> _Part:
    animals = (before.median_per_ml or 0.0) * min(event.volume_l, before.level_l) * 1000.0
    return _Part(thrown=animals) if event.to == DISCARD else _Part(delivered=animals)


def price_of(rack: Rack, fed: Feed) -> float | None:
    """What a feeding cost, None where its feed has no price."""
    for one in rack.stock:
        if one.feed == fed.feed and one.unit == fed.unit and one.price is not None and one.amount:
            return fed.amount * one.price / one.amount
    return None


def _months_back(first: date, months: int) -> date:
    for _ in range(months):
        first = (first - timedelta(days=1)).replace(day=1)
    return first
