"""What the rack's vessels teach each other: how a culture of the strain grows there, and what the signs are worth.

Each vessel learns from its own counts; a pool adds what the others have learned, each vessel being allowed to differ.
Growth and crowding are a matter of feed, water and light, which the vessels share; swimming is judged by eye and eggs
by habit, so how much a departure tells is a matter of the keeper. And which alternative a vessel follows takes months
to tell from its own counts: what most of those kept by the same hands follow, another is likelier to follow too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from rackview.science.state import alike
from rackview.science.state.alike import Array, Lesson, Usual
from rackview.science.state.belief import Belief
from rackview.science.state.growth import Prior
from rackview.science.state.held import Held, Known
from rackview.science.state.kernel import BASE, THETA, A
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import Alternative, Model
from rackview.science.state.signs import SHOWING, teaching

PRIOR_VESSELS = 10.0
"""Vessels that the prior weights of the alternatives are worth."""
ROUNDS = 12
"""Rounds after which the weights of the alternatives on a rack hardly change."""
GROWTH = "growth"


class Topic(NamedTuple):
    """Rows of the state of which vessels learn, their prior, and the parts of a belief that have them in common."""

    rows: tuple[int, ...]
    mean: tuple[float, ...]
    sd: tuple[float, ...]
    parts: tuple[int, ...]

    @property
    def usual(self) -> Usual:
        """The prior as arrays."""
        return Usual(np.array(self.mean)[:, None], np.diag(np.square(self.sd)))


class Taught(NamedTuple):
    """Of one topic: covariance of how vessels differ, what each of them says of another, and the sum of that."""

    differ: Array
    own: dict[str, Lesson]
    whole: Lesson

    def others(self, vessel: str) -> Lesson:
        """What all but one vessel say of it."""
        said, own = self.whole, self.own.get(vessel)
        if own is not None:
            said = Lesson(said.precision - own.precision, said.weighted - own.weighted)
        return alike.of_another(said, self.differ)


@dataclass(frozen=True, slots=True)
class Pool:
    """What was taught of each topic, and how many of the rack's vessels follow each alternative.

    `PRIOR_VESSELS` are included in `follow`.
    """

    topics: dict[str, Taught]
    follow: tuple[float, ...]

    def others(self, vessel: str) -> int:
        """How many vessels but this one have taught how cultures grow."""
        taught = self.topics.get(GROWTH)
        return 0 if taught is None else len(taught.own.keys() - {vessel})


Learned = tuple[Topic, float, list[float], list[list[float]]]
"""A topic with the weight of the parts that have it in common, and their mean and covariance."""


def pooled(prior: Prior, beliefs: Mapping[str, Belief]) -> Pool:
    """What these vessels of one strain have learned, by name, apart from the prior they share."""
    likelier: list[list[float]] = []
    found: dict[str, dict[str, Learned]] = {}
    for vessel, belief in beliefs.items():
        if belief.mix is not None:
            likelier.append(_likelier(prior.model, belief.mix))
            for name, topic in _topics(prior, belief):
                found.setdefault(name, {})[vessel] = _moments(belief.mix, topic)
    topics = {name: _taught(learned) for name, learned in found.items()}
    return Pool(topics, _follow(prior.model, likelier))


def _topics(prior: Prior, belief: Belief) -> list[tuple[str, Topic]]:
    """What a vessel learns of: growth and crowding on the strain's scale, and the scale of each sign."""
    alternatives = prior.model.alternatives
    found: list[tuple[str, Topic]] = []
    if prior.spread > 0.0:  # else the profile says that there is nothing to learn
        strain = next(i for i, one in enumerate(alternatives) if not one.own)
        theta = float(alternatives[strain].theta)
        sd = prior.spread, prior.model.theta_cv * theta
        found.append((GROWTH, Topic((A, THETA), (prior.usual_rate, theta), sd, (strain,))))
    for k, (name, _) in enumerate(teaching(belief.seen)):
        usual, spread = prior.scale(name)
        moved = tuple(i for i, one in enumerate(alternatives) if not _shows(one, name))
        found.append((name, Topic((BASE + k,), (usual,), (spread,), moved)))
    return found


def _shows(alternative: Alternative, name: str) -> bool:
    """Whether a sign's row is not of a growth that it brings but of what growth brings."""
    return bool(alternative.shown) and name in SHOWING


def _moments(mix: Mixture, topic: Topic) -> Learned:
    parts = [mix.parts[i] for i in topic.parts]
    weights = [part.sound + part.failing for part in parts]
    total = sum(weights)
    shares = [(weight / total, part) for weight, part in zip(weights, parts, strict=True)]
    mean = [sum(share * part.m[i] for share, part in shares) for i in topic.rows]
    at = list(zip(topic.rows, mean, strict=True))
    cov = [
        [sum(s * (part.p[i][j] + (part.m[i] - a) * (part.m[j] - b)) for s, part in shares) for j, b in at]
        for i, a in at
    ]
    return topic, total, mean, cov


def _taught(learned: Mapping[str, Learned]) -> Taught:
    topics, weights, means, covs = zip(*learned.values(), strict=True)
    usual = topics[0].usual
    alone = alike.learned(usual, np.array(means)[:, :, None], np.array(covs))
    by = np.array(weights)[:, None, None]
    alone = Lesson(by * alone.precision, by * alone.weighted)
    differ = alike.apart(usual, alone)
    said = alike.of_another(alone, differ)
    own = {vessel: Lesson(*one) for vessel, *one in zip(learned, *said, strict=True)}
    return Taught(differ, own, Lesson(said.precision.sum(0), said.weighted.sum(0)))


def informed(prior: Prior, belief: Belief, pool: Pool | None, vessel: str) -> Belief:
    """The belief of a vessel with what the others of the pool have learned."""
    if pool is None or belief.mix is None:
        return belief
    mix = _reweighed(prior.model, belief.mix, pool)
    told = []
    for name, topic in _topics(prior, belief):
        taught = pool.topics.get(name)
        if taught is not None and taught.own.keys() - {vessel}:
            told.append((topic, taught.others(vessel)))
    if told:
        mix = _told(mix, told)
    return belief if mix is belief.mix else belief._replace(held=Held.of(Known(mix)))


def _told(mix: Mixture, told: Sequence[tuple[Topic, Lesson]]) -> Mixture:
    """The parts of a belief after each topic's lesson."""
    m, p = np.array([part.m for part in mix.parts])[:, :, None], np.array([part.p for part in mix.parts])
    precision, weighted = np.zeros_like(p), np.zeros_like(m)
    for topic, lesson in told:
        rows = np.array(topic.rows)
        for i in topic.parts:
            precision[i][np.ix_(rows, rows)] = lesson.precision
            weighted[i][rows] = lesson.weighted
    m, p = alike.told(m, p, Lesson(precision, weighted))
    parts = zip(mix.parts, m[:, :, 0].tolist(), p.tolist(), strict=True)
    return mix._replace(parts=tuple(part._replace(m=mean, p=cov) for part, mean, cov in parts))


def _likelier(model: Model, mix: Mixture) -> list[float]:
    """How much likelier each alternative has become by a vessel's own counts."""
    pairs = zip(mix.parts, model.alternatives, strict=True)
    return [(part.sound + part.failing) / one.weight for part, one in pairs]


def _shares(follow: Iterable[float], likelier: list[float]) -> list[float]:
    """The chance that a vessel follows each alternative, of which so many others do."""
    weights = [many * likely for many, likely in zip(follow, likelier, strict=True)]
    total = sum(weights)
    return [weight / total for weight in weights]


def _before(model: Model) -> list[float]:
    return [PRIOR_VESSELS * alternative.weight for alternative in model.alternatives]


def _follow(model: Model, likelier: list[list[float]]) -> tuple[float, ...]:
    """How many vessels follow each alternative, by expectation and maximisation.

    Dempster, Laird and Rubin 1977, J. R. Stat. Soc. B 39:1-38.
    """
    before = follow = _before(model)
    for _ in range(ROUNDS):
        follow = [sum(column) for column in zip(before, *(_shares(follow, one) for one in likelier), strict=True)]
    return tuple(follow)


def _reweighed(model: Model, mix: Mixture, pool: Pool) -> Mixture:
    """The alternatives weighed by what the other vessels follow; the chance of failing stays as it was."""
    likelier, before = _likelier(model, mix), _before(model)
    shares = zip(pool.follow, _shares(pool.follow, likelier), before, strict=True)
    others = [max(many - own, least) for many, own, least in shares]
    if max(many / least for many, least in zip(others, before, strict=True)) < 1.0 + 1e-6:
        return mix  # nobody else has told anything
    weights = _shares(others, likelier)
    sound = [w * part.sound / (part.sound + part.failing) for w, part in zip(weights, mix.parts, strict=True)]
    failing = [w * part.failing / (part.sound + part.failing) for w, part in zip(weights, mix.parts, strict=True)]
    rest, fail = (1.0 - mix.failing) / sum(sound), mix.failing / sum(failing)
    parts = zip(mix.parts, sound, failing, strict=True)
    return mix._replace(parts=tuple(part._replace(sound=s * rest, failing=f * fail) for part, s, f in parts))
