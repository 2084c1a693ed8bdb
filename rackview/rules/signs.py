"""What each count said of the slow conditions (crash, fall, density, eggs), as probabilities.

The signs of a count are a function of the history up to it, so they are remembered on its node; the alarm states are
then run over the newest few.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from rackview.core.dataclass import dataclass
from rackview.core.events import Count
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.rules.care import Care, care
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.constants import (
    COUNT_ERROR,
    COUNT_NEAR_DAYS,
    CRASH_SHARE,
    DROP_DAYS,
    EGG_LAG_DAYS,
    EXPECTED_LEAST,
    LATE_FEED,
    LEAST_FEEDS,
    LEAST_SHARE,
    MANY_CHECKED,
    NO_FALL,
    STALLED_SHARE,
    THIN_SHARE,
    Z90,
)
from rackview.rules.view import chance_under, estimate_at, least_egg_ratio
from rackview.science.counts import dispersion
from rackview.science.state.estimate import Estimate


@dataclass(frozen=True, slots=True)
class Signs:
    """Probabilities that each slow condition holds at one count; None where nothing can be said.

    `scatter_p` is the chance of aliquots at least this uneven in a mixed sample, `scatter_error` the standard error
    of their mean as a share of it.
    """

    day: float
    event: str
    crash: float | None = None
    failing: float | None = None
    floor: float | None = None
    drop: float | None = None
    eggs_held: float | None = None
    stalled: float | None = None
    misfit: float = 0.0
    scatter_p: float | None = None
    scatter_error: float = 0.0


def signs_of(node: Node, profile: StrainProfile) -> Signs:
    """The signs of the count at `node`."""
    key = ("signs", profile)
    found: Signs | None = node.memo.get(key)
    if found is None:
        found = node.memo[key] = _signs(node, node.event, profile)
    return found


def crash_at(node: Node, profile: StrainProfile) -> float | None:
    """The chance that the count at `node` found a crash."""
    key = ("crash", profile)
    if key not in node.memo:
        node.memo[key] = crash_chance(estimate_at(node, profile), profile)
    found: float | None = node.memo[key]
    return found


def unjudged(nodes: Sequence[Node], profile: StrainProfile) -> list[Node]:
    """Those of these counts that `crash_found` has yet to look at; none where it is known what it will say."""
    if not nodes or ("crashed", profile) in nodes[-1].memo:
        return []
    return [node for node in nodes if ("crash", profile) not in node.memo]


def crash_found(nodes: Sequence[Node], profile: StrainProfile) -> tuple[float, str] | None:
    """Day and event of the first of these counts that found a crash; remembered on the newest of them.

    Of an older count no more than this is always asked for. They are gone through from the oldest on, so that the
    history is walked once.
    """
    if not nodes:
        return None
    key = ("crashed", profile)
    memo = nodes[-1].memo
    if key not in memo:
        raise_at = BY_CODE["crash"].raise_at
        chances = [(node, crash_at(node, profile)) for node in nodes]
        memo[key] = next(
            ((n.day, n.event.id) for n, c in chances if n.event is not None and c is not None and c >= raise_at), None
        )
    found: tuple[float, str] | None = memo[key]
    return found


def _had(estimate: Estimate, profile: StrainProfile) -> float:
    """The floor, or the most that a culture had which never stood there: one begun thin has not fallen."""
    floor, highest = profile.floor_per_ml, estimate.highest_per_ml
    return floor if highest is None else min(max(highest, floor * LEAST_SHARE), floor)


def crash_limit(estimate: Estimate, profile: StrainProfile) -> float:
    """The density per mL under which the culture has crashed."""
    return _had(estimate, profile) * CRASH_SHARE


def floor_limit(estimate: Estimate, profile: StrainProfile) -> float:
    """The density per mL under which the culture can spare nothing and may be lost."""
    had = _had(estimate, profile)
    return had if had == profile.floor_per_ml else had * THIN_SHARE


def crash_chance(estimate: Estimate, profile: StrainProfile) -> float | None:
    """The chance of a density under the crash limit; 0 while more than half of it lies over twice that."""
    limit = crash_limit(estimate, profile)
    near = _below(estimate, 2.0 * limit, 0.0)
    return 0.0 if near is not None and near < 0.5 else _below(estimate, limit, 0.0)


def floor_chance(estimate: Estimate, profile: StrainProfile) -> float | None:
    """The chance of a density under the floor limit by tomorrow."""
    return _below(estimate, floor_limit(estimate, profile), 1.0)


def _signs(node: Node, count: object, profile: StrainProfile) -> Signs:
    if not isinstance(count, Count):
        raise TypeError("signs are of a count")
    now = estimate_at(node, profile)
    net = now.net_per_day
    warmth = min(now.prior.warmth(now.belief.temperature(now.prior)), 1.0)
    scattered = scatter(count)
    return Signs(
        day=node.day,
        event=count.id,
        crash=crash_at(node, profile),
        floor=floor_chance(now, profile),
        failing=_both(_below(now, profile.floor_per_ml, 0.0), chance_under(net, 0.0)),
        drop=_drop(node, count, profile),
        eggs_held=_eggs_held(count, chance_under(net, 0.0), profile),
        stalled=_both(
            _below(now, profile.band_low_per_ml, 0.0), chance_under(net, STALLED_SHARE * warmth * profile.rate_per_day)
        ),
        misfit=now.miscount_chance,
        scatter_p=scattered[0],
        scatter_error=scattered[1],
    )


def _both(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else min(one, other)


def _below(estimate: Estimate, per_ml: float, days: float) -> float | None:
    chance = estimate.chance_below(per_ml, days)
    return None if math.isnan(chance) else chance


def scatter(count: Count) -> tuple[float | None, float]:
    """P value of the dispersion test of the aliquots and the standard error of their mean as a share of it."""
    if len(count.tallies) < 2 or count.animals == 0:
        return None, 0.0
    test = dispersion(count.tallies)
    return test.p_clumped, math.sqrt(test.index / count.animals)


def _drop(node: Node, count: Count, profile: StrainProfile) -> float | None:
    """Probability that the count lies by `fall_per_day` or more, for each day since the last, under what was expected.

    Seldom counted, a culture may have gone down by and by, which is no sudden fall.
    """
    before = node.previous
    if before is None or before.previous is None or count.stage != "all" or count.looked_at_ml <= 0:
        return None
    earlier = [c for c in care(node).counts if c.at < count.at and c.stage == "all" and c.looked_at_ml > 0]
    days = node.day - earlier[-1].day if earlier else 1.0
    if earlier and _no_fall(count, earlier[-1], days):
        return 0.0
    expected = _expected(before, profile, node.day, count.aliquots)
    if expected is None:
        return None
    median, var = expected
    found = count.animals / count.looked_at_ml
    if found <= 0.0:
        return 1.0 if median * count.looked_at_ml >= EXPECTED_LEAST else None
    noise = math.sqrt(var + 1.0 / max(count.animals, 1) + COUNT_ERROR**2)
    fall = math.log(median / found)
    limit = -math.log(max(1.0 - profile.fall_per_day, 1e-6)) * min(max(days, 1.0), DROP_DAYS)
    return 0.5 * math.erfc((limit - fall) / (noise * math.sqrt(2.0)))


def _no_fall(count: Count, earlier: Count, days: float) -> bool:
    """Whether the count is so near the one shortly before it that no sudden fall can be meant; saves an estimate."""
    if days > COUNT_NEAR_DAYS:
        return False
    return count.animals / count.looked_at_ml >= NO_FALL * earlier.animals / earlier.looked_at_ml


def _expected(before: Node, profile: StrainProfile, day: float, aliquots: int) -> tuple[float, float] | None:
    """The density expected of a count, and the variance of its log beyond chance, as far as this vessel has shown it.

    What is believed is as wide as counts were found off what was foretold of them before.
    """
    from rackview.science.state.estimate import estimate

    believed = estimate(before, profile, day)
    found = believed.density_per_ml
    if found is None or found.median <= 0.0 or found.low90 <= 0.0:
        return None
    sd = math.log(found.high90 / found.low90) / (2.0 * Z90)
    return found.median, believed.surprise * sd * sd + believed.aliquot_cv**2 / aliquots


def went_hungry(facts: Care, day: float) -> bool:
    """Whether a feeding was left out so shortly before `day` that few eggs are what one must expect.

    Longer without food than the vessel's own habit, now or until a feeding within `EGG_LAG_DAYS`: the eggs that would
    hatch and be laid by then were never laid. Says nothing where too few feedings are recorded to know a habit.
    """
    fed = [f.day for f in facts.feeds if f.day < day]
    if len(fed) < LEAST_FEEDS:
        return False
    gaps = [b - a for a, b in pairwise(fed)]
    usual = max(sorted(gaps)[len(gaps) // 2], 1.0)
    if day - fed[-1] > LATE_FEED * usual:
        return True
    return day - fed[-1] <= EGG_LAG_DAYS and gaps[-1] > LATE_FEED * usual


def _eggs_held(count: Count, shrinking: float | None, profile: StrainProfile) -> float | None:
    per_female = least_egg_ratio(count)
    if per_female is None or shrinking is None or profile.eggs_growing <= 0.0:
        return None
    return shrinking if per_female >= profile.eggs_growing else 0.0


def looked_at_eggs(node: Node) -> bool:
    """Whether females were checked for eggs in the count at `node`."""
    return isinstance(node.event, Count) and bool(node.event.females_checked)


def chance_share_under(found: int, looked_at: int, limit: float) -> float:
    """Probability that the true share is under `limit`, `found` of `looked_at` seen, from an even prior.

    The beta(found + 1, missed + 1) distribution function at `limit`, as the binomial tail it equals.
    """
    if limit <= 0.0:
        return 0.0
    if limit >= 1.0:
        return 1.0
    n, k = looked_at + 1, found + 1
    if n > MANY_CHECKED:
        mean = k / (n + 1)
        sd = math.sqrt(mean * (1 - mean) / (n + 2))
        return 0.5 * math.erfc((mean - limit) / (sd * math.sqrt(2.0)))
    odds = limit / (1.0 - limit)
    term = n * math.log1p(-limit)
    tail = 0.0
    for i in range(k):  # P(X <= found) for X binomial(n, limit), then its complement
        tail += math.exp(term)
        term += math.log((n - i) / (i + 1)) + math.log(odds)
    return min(max(1.0 - tail, 0.0), 1.0)
