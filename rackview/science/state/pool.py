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

from rackview.science.state.belief import Belief
from rackview.science.state.growth import Prior
from rackview.science.state.held import Held, Known
from rackview.science.state.kernel import BASE, THETA, A
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import Alternative, Array, Model
from rackview.science.state.signs import SHOWING, teaching

SIGNS_DIFFER = 0.5
"""How much vessels differ in a sign's scale, as a share of the prior's standard deviation."""
GROWTH_DIFFERS = 0.3
"""The same for growth and crowding: all stand in one room and get one feed."""
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
    differ: float
    parts: tuple[int, ...]


class Lesson(NamedTuple):
    """What vessels say of another's rows: the precision matrix and the precision times the mean."""

    precision: Array
    weighted: Array


@dataclass(frozen=True, slots=True)
class Pool:
    """By topic and vessel, what each has to tell the others, and the whole of it.

    `follow` is how many of the rack's vessels follow each alternative, `PRIOR_VESSELS` included.
    """

    lessons: dict[str, dict[str, Lesson]]
    whole: dict[str, Lesson]
    follow: tuple[float, ...]


def pooled(prior: Prior, beliefs: Mapping[str, Belief]) -> Pool:
    """What these vessels of one strain have learned, by name, apart from the prior they share."""
    told: list[list[float]] = []
    found: dict[str, dict[str, tuple[Topic, float, list[float], list[list[float]]]]] = {}
    for vessel, belief in beliefs.items():
        mix = belief.mix
        if mix is not None:
            told.append(_likelier(prior.model, mix))
            for name, topic in _topics(prior, belief):
                found.setdefault(name, {})[vessel] = topic, *_moments(mix, topic)
    lessons = {name: _lessons(learned) for name, learned in found.items()}
    return Pool(lessons, {name: _whole(one.values()) for name, one in lessons.items()}, _follow(prior.model, told))


def _topics(prior: Prior, belief: Belief) -> list[tuple[str, Topic]]:
    """What a vessel learns of: growth and crowding on the strain's scale, and the scale of each sign."""
    alternatives = prior.model.alternatives
    found: list[tuple[str, Topic]] = []
    if prior.spread > 0.0:  # else the profile says that there is nothing to learn
        strain = next(i for i, one in enumerate(alternatives) if not one.own)
        theta = float(alternatives[strain].theta)
        sd = prior.spread, prior.model.theta_cv * theta
        found.append((GROWTH, Topic((A, THETA), (prior.usual_rate, theta), sd, GROWTH_DIFFERS, (strain,))))
    for k, (name, _) in enumerate(teaching(belief.seen)):
        usual, spread = prior.scale(name)
        moved = tuple(i for i, one in enumerate(alternatives) if not _shows(one, name))
        found.append((name, Topic((BASE + k,), (usual,), (spread,), SIGNS_DIFFER, moved)))
    return found


def _shows(alternative: Alternative, name: str) -> bool:
    """Whether a sign's row is not of a growth that it brings but of what growth brings."""
    return bool(alternative.shown) and name in SHOWING


def _moments(mix: Mixture, topic: Topic) -> tuple[float, list[float], list[list[float]]]:
    """Weight of the parts that have some rows in common, with their mean and covariance over these."""
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
    return total, mean, cov


def _lessons(learned: Mapping[str, tuple[Topic, float, list[float], list[list[float]]]]) -> dict[str, Lesson]:
    """By vessel, what its counts alone say of another's rows, as far as the two are alike."""
    topics, weights, means, covs = zip(*learned.values(), strict=True)
    topic: Topic = topics[0]
    prior, usual = np.diag(1.0 / np.square(topic.sd)), np.array(topic.mean)
    after = np.linalg.inv(np.array(covs))
    weighted = after @ np.array(means)[:, :, None] - (prior @ usual)[:, None]
    level, axes = np.linalg.eigh(after - prior)
    # what drifts may be known less than before anything was counted: there the vessel has nothing to tell
    some = axes * (level > 0.0)[:, None, :] @ axes.swapaxes(1, 2)
    precision = some @ (after - prior) @ some
    lessons = _differing(precision, some @ weighted, topic)
    by = np.array(weights)[:, None, None]
    return {
        vessel: Lesson(one, two)
        for vessel, one, two in zip(learned, by * lessons.precision, (by * lessons.weighted)[:, :, 0], strict=True)
    }


def _differing(precision: Array, weighted: Array, topic: Topic) -> Lesson:
    """The same of a vessel that may differ: as much is added to the variance."""
    differ = np.diag(np.square(topic.differ * np.array(topic.sd)))
    eye = np.eye(len(topic.sd))
    return Lesson(
        *np.split(np.linalg.solve(eye + precision @ differ, np.concatenate([precision, weighted], -1)), [len(eye)], -1)
    )


def _whole(lessons: Iterable[Lesson]) -> Lesson:
    precisions, weighted = zip(*lessons, strict=True)
    return Lesson(sum(precisions), sum(weighted))


def informed(prior: Prior, belief: Belief, pool: Pool | None, vessel: str) -> Belief:
    """The belief of a vessel with what the others of the pool have learned."""
    if pool is None or belief.mix is None:
        return belief
    mix = _reweighed(prior.model, belief.mix, pool)
    told = []
    for name, topic in _topics(prior, belief):
        lessons = pool.lessons.get(name, {})
        if len(lessons) > (vessel in lessons):
            told.append((topic, _others(pool.whole[name], lessons.get(vessel), topic)))
    if told:
        mix = _told(mix, told)
    return belief if mix is belief.mix else belief._replace(held=Held.of(Known(mix)))


def _others(whole: Lesson, own: Lesson | None, topic: Topic) -> Lesson:
    """What all but one vessel say of its rows."""
    precision, weighted = whole if own is None else (whole.precision - own.precision, whole.weighted - own.weighted)
    lesson = _differing(precision, weighted[:, None], topic)
    return Lesson(lesson.precision, lesson.weighted[:, 0])


def _told(mix: Mixture, told: Sequence[tuple[Topic, Lesson]]) -> Mixture:
    """The parts of a belief after each topic's lesson."""
    m, p = (np.array([getattr(part, name) for part in mix.parts]) for name in ("m", "p"))
    precision, weighted = np.zeros_like(p), np.zeros_like(m)
    for topic, lesson in told:
        rows = np.array(topic.rows)
        for i in topic.parts:
            precision[i][np.ix_(rows, rows)] = lesson.precision
            weighted[i][rows] = lesson.weighted
    after = np.linalg.solve(np.eye(m.shape[1]) + p @ precision, p)
    after = 0.5 * (after + after.swapaxes(1, 2))
    moved = m + (after @ (weighted[:, :, None] - precision @ m[:, :, None]))[:, :, 0]
    parts = zip(mix.parts, moved.tolist(), after.tolist(), strict=True)
    return mix._replace(parts=tuple(part._replace(m=mean, p=cov) for part, mean, cov in parts))


def _likelier(model: Model, mix: Mixture) -> list[float]:
    """How much likelier each alternative has become by a vessel's own counts."""
    pairs = zip(mix.parts, model.alternatives, strict=True)
    return [(part.sound + part.failing) / one.weight for part, one in pairs]


def _shares(follow: Iterable[float], told: list[float]) -> list[float]:
    """The chance that a vessel follows each alternative, of which so many others do."""
    weights = [many * likely for many, likely in zip(follow, told, strict=True)]
    total = sum(weights)
    return [weight / total for weight in weights]


def _follow(model: Model, told: list[list[float]]) -> tuple[float, ...]:
    """How many vessels follow each alternative, by expectation and maximisation (Dempster, Laird and Rubin 1977)."""
    before = [PRIOR_VESSELS * alternative.weight for alternative in model.alternatives]
    follow = before
    for _ in range(ROUNDS):
        follow = [sum(column) for column in zip(before, *(_shares(follow, one) for one in told), strict=True)]
    return tuple(follow)


def _reweighed(model: Model, mix: Mixture, pool: Pool) -> Mixture:
    """The alternatives weighed by what the other vessels follow; the chance of failing stays as it was."""
    told = _likelier(model, mix)
    before = [PRIOR_VESSELS * alternative.weight for alternative in model.alternatives]
    shares = zip(pool.follow, _shares(pool.follow, told), before, strict=True)
    others = [max(many - own, least) for many, own, least in shares]
    if max(many / least for many, least in zip(others, before, strict=True)) < 1.0 + 1e-6:
        return mix  # nobody else has told anything
    weights = _shares(others, told)
    sound = [w * part.sound / (part.sound + part.failing) for w, part in zip(weights, mix.parts, strict=True)]
    failing = [w * part.failing / (part.sound + part.failing) for w, part in zip(weights, mix.parts, strict=True)]
    rest, fail = (1.0 - mix.failing) / sum(sound), mix.failing / sum(failing)
    parts = zip(mix.parts, sound, failing, strict=True)
    return mix._replace(parts=tuple(part._replace(sound=s * rest, failing=f * fail) for part, s, f in parts))
