"""The forecast: true densities in the days ahead, as quantiles, given planned actions. One and the same everywhere.

It is a pool of what foretells: the filter, the culture's own autoregression, persistence and its usual level, weighed
and widened by how well they foretold this vessel before, see `members`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from rackview.core.events import Event
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.limits import Array
from rackview.science.risk.constants import WITHIN_DAYS
from rackview.science.state import belief as bel
from rackview.science.state import constants as c
from rackview.science.state import members, normal
from rackview.science.state.ahead import Ahead, Pool
from rackview.science.state.filter import XX, X
from rackview.science.state.growth import Prior
from rackview.science.state.held import Held, reckon
from rackview.science.state.model import SOUND

MOMENT = 1e-6
"""Days that are none."""


def project(
    log: Node,
    profile: StrainProfile,
    day: float,
    days: Sequence[float],
    quantiles: Sequence[float],
    actions: Sequence[Event] = (),
    hazard_per_day: float | None = None,
    collapse_chance: float | None = None,
) -> Array:
    """Quantiles of the true density, animals per mL, `days` days after `day`.

    `actions` are planned events at or after `day`. A vessel known to be empty gives zeros; one that was never
    counted gives what the strain's profile expects of any culture. `collapse_chance` is that of a fall within three
    days (see `science.risk`), where the signs were weighed: what of it the filter does not take to have begun begins at
    an even rate. `hazard_per_day` is that rate itself, where somebody knows it. Shape (len(days), len(quantiles)).
    """
    course = Trajectory(log, profile, day, hazard_per_day, collapse_chance)
    return in_turn(course, day, days, quantiles, actions, course.do)


def in_turn(
    course: Trajectory,
    day: float,
    days: Sequence[float],
    quantiles: Sequence[float],
    actions: Sequence[Event],
    do: Callable[[Event], None],
) -> Array:
    """What a course tells of `days` days after `day`, each action having been done when its time came."""
    planned = sorted(actions, key=Event.order)
    order = np.argsort(np.asarray(days, dtype=float), kind="stable")
    done = 0
    for row in order:
        then = day + float(days[row])
        while done < len(planned) and planned[done].day <= then:
            do(planned[done])
            done += 1
        course.look(then)
    found = np.zeros((len(days), len(quantiles)))
    found[order] = course.quantiles(quantiles)
    return found


class Trajectory:
    """The days ahead of one vessel, gone through once: it is asked and told of actions in order of time."""

    def __init__(
        self,
        log: Node,
        profile: StrainProfile,
        day: float,
        hazard_per_day: float | None = None,
        collapse_chance: float | None = None,
    ) -> None:
        self._prior = prior = Prior.of(profile)
        self._node = log.upto(day)
        now = bel.believe(self._node, profile).at(prior, day)
        hazard = -1.0 if hazard_per_day is None else hazard_per_day
        if hazard_per_day is None and collapse_chance is not None and now.numbers is not None:
            hazard = _yet_to_begin(collapse_chance, float(now.numbers.now.w[SOUND:].sum()))
        self._belief = now._replace(fed=None, hazard=hazard)  # from here on they are fed as usual
        self._start, self._since, self._shift = day, day, 0.0
        self._looks: list[tuple[bel.Belief, float, Pool | None]] = []
        self._pool: Ahead | None = None
        if now.held is None and now.state == bel.UNKNOWN:
            self._belief = self._belief._replace(held=bel.begin_culture(prior, now, prior.start, c.UNKNOWN_SD))
        if now.held is not None:
            numbers = now.held.numbers
            more = numbers.more.copy()
            more[members.AGE] = -1.0  # nothing more is learned
            self._belief = self._belief._replace(held=Held(prior.model, numbers._replace(more=more)))
            if now.last_count is not None and not math.isnan(float(more[members.Y, 0])):
                self._pool = Ahead(more, prior.model.pace, now.last_count.day, day)
        self._first = self._belief

    def belief_at(self, day: float) -> bel.Belief:
        """What is believed at a day not before the last; whole days go by, whatever else is asked."""
        while day - self._belief.day > 1.0 - MOMENT and self._belief.day - self._since < c.LONGEST:
            self._belief = self._belief.at(self._prior, self._belief.day + 1.0)
        return self._belief if day - self._belief.day < MOMENT else self._belief.at(self._prior, day)

    def do(self, action: Event, partner: bel.Belief | None = None) -> None:
        """Let an action be done when it is planned for; `partner` is what is believed of the other vessel just then."""
        self._node = Node(self._node.vessel, action, self._node)
        if self._pool is not None:
            self._pool.go(action.day)
        self.belief_at(action.day)
        self._since = action.day
        before, self._belief = self._belief.held, bel.step(self._prior, self._belief, self._node, partner)
        held = self._belief.held
        if held is before:
            return
        if held is None or held.row is None:
            self._pool, self._shift = None, math.inf
        elif held.row.shift:
            self._shift += held.row.shift
            if self._pool is not None:
                self._pool.shift(held.row.shift)

    def look(self, day: float) -> None:
        """Note a day, not before the last, of which `quantiles` is to tell."""
        belief = self.belief_at(day)
        warmth = self._prior.warmth(belief.temperature(self._prior))
        pool = None if self._pool is None else self._pool.at(day, warmth)
        self._looks.append((belief, self._shift, pool))

    def quantiles(self, levels: Sequence[float]) -> Array:
        """Quantiles of the true density per mL on the days noted, (days, levels); then they are forgotten."""
        looks, self._looks = self._looks, []
        found = np.zeros((len(looks), len(levels)))
        held = [(row, b, b.held, shift, pool) for row, (b, shift, pool) in enumerate(looks) if b.held is not None]
        if not held:
            return found
        first = self._first.held or held[0][2]
        reckon([first, *(h for _, _, h, _, _ in held)])
        parts = [_pooled(first, None), *(_pooled(h, pool) for _, _, h, _, pool in held)]
        inner = [min(max(float(q), 1e-6), 1.0 - 1e-6) for q in levels]
        *mix, stretch = zip(*parts, strict=True)
        w, m, s = (np.stack(one, axis=1) for one in mix)
        logs = normal.many_quantiles(w, m, s, [0.5, *inner])
        middle, logs = logs[:, :1], logs[:, 1:]
        logs = middle + np.array(stretch)[:, None] * (logs - middle)
        logs = np.maximum.accumulate(logs[:, np.argsort(inner)], axis=1)[:, np.argsort(np.argsort(inner))]
        peak_log_density = max(float(h.numbers.more[members.PEAK, 0]) for h in (first, *(h for _, _, h, _, _ in held)))
        top = max(peak_log_density + c.ABOVE, self._prior.ceiling + c.OVER_CEILING, float(logs[0].max()))
        for (row, belief, _, shift, _), line in zip(held, logs[1:], strict=True):
            most = logs[0] + shift + self._prior.most * (belief.day - self._start) + 1e-9
            found[row] = np.exp(np.minimum(line, np.minimum(most, top) if shift <= 0.0 else top))
        return found

    def densities(self, day: float, quantiles: Sequence[float]) -> list[float]:
        """Quantiles of the true density per mL at a day, not before the last that was asked about."""
        self.look(day)
        found: list[float] = self.quantiles(quantiles)[0].tolist()
        return found


def _yet_to_begin(chance: float, begun: float) -> float:
    """The rate per day at which falls begin so that one comes with `chance` within three days, `begun` having begun."""
    rest = max(chance - begun, 0.0) / max(1.0 - begun, 1e-9)
    return -math.log1p(-min(rest, c.MOST_CHANCE)) / WITHIN_DAYS


def _pooled(held: Held, pool: Pool | None) -> tuple[Array, Array, Array, float]:
    """Weights, means, deviations and stretch of all that foretells at one moment."""
    state = held.numbers.now
    w, m, s = state.w[:, 0], state.s[X, :, 0], np.sqrt(state.s[XX, :, 0])
    if pool is None:
        none = np.zeros(members.FOUR - 1)
        return np.concatenate([w, none]), np.concatenate([m, none + m[0]]), np.concatenate([s, none + 1.0]), 1.0
    return (
        np.concatenate([pool.weights[0] * w, pool.weights[1:]]),
        np.concatenate([m, pool.means]),
        np.concatenate([s, pool.sds]),
        pool.stretch,
    )
