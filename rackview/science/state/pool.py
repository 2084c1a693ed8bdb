"""What the rack's vessels teach each other: the scale of the signs.

Swimming is judged by eye and eggs by habit, so how much a departure tells about growth is a matter of the keeper. Each
vessel learns it from its own counts; a pool adds what the others have learned, each vessel being allowed to differ.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rackview.science.state import kernel, mixture
from rackview.science.state.belief import Belief
from rackview.science.state.growth import Prior
from rackview.science.state.held import Held, Known
from rackview.science.state.kernel import BASE
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import Alternative, Model
from rackview.science.state.signs import SHOWING, teaching

BETWEEN = 0.5
"""How much vessels differ in a sign's scale, as a share of the prior's standard deviation."""


@dataclass(frozen=True, slots=True)
class Pool:
    """Per sign: the vessels' means of its scale and the variances of what their own counts said."""

    scales: dict[str, tuple[tuple[float, float], ...]]


def pooled(prior: Prior, beliefs: Iterable[Belief]) -> Pool:
    """What these vessels of one strain have learned of the signs' scales, apart from the prior they share."""
    found: dict[str, list[tuple[float, float]]] = {}
    for belief in beliefs:
        for name, lesson in _lessons(prior, belief).items():
            found.setdefault(name, []).append(lesson)
    return Pool({name: tuple(sorted(lessons)) for name, lessons in found.items()})


def _lessons(prior: Prior, belief: Belief) -> dict[str, tuple[float, float]]:
    found: dict[str, tuple[float, float]] = {}
    if belief.mix is None:
        return found
    for k, (name, _) in enumerate(teaching(belief.seen)):
        mean, var = mixture.row(_moved(prior.model, belief.mix, name), BASE + k)
        usual, sd = prior.scale(name)
        before = sd * sd
        if var < 0.95 * before:
            own = 1.0 / (1.0 / var - 1.0 / before)
            found[name] = (mean / var - usual / before) * own, own
    return found


def _shows(alternative: Alternative, name: str) -> bool:
    """Whether a sign's row is not of a growth that it brings but of what growth brings."""
    return bool(alternative.shown) and name in SHOWING


def _moved(model: Model, mix: Mixture, name: str) -> Mixture:
    """The parts of a belief whose growth a sign moves."""
    pairs = zip(mix.parts, model.alternatives, strict=True)
    return mix._replace(parts=tuple(part for part, one in pairs if not _shows(one, name)))


def informed(prior: Prior, belief: Belief, pool: Pool | None) -> Belief:
    """The belief with what the other vessels of the pool have learned."""
    if pool is None or belief.mix is None:
        return belief
    own, mix = _lessons(prior, belief), belief.mix
    for k, (name, _) in enumerate(teaching(belief.seen)):
        others = list(pool.scales.get(name, ()))
        if own.get(name) in others:
            others.remove(own[name])
        if not others:
            continue
        differ = (BETWEEN * prior.scale(name)[1]) ** 2
        precision = sum(1.0 / (var + differ) for _, var in others)
        mean = sum(value / (var + differ) for value, var in others) / precision
        mix = _told(prior.model, mix, name, BASE + k, mean, 1.0 / precision + differ)
    return belief if mix is belief.mix else belief._replace(held=Held.of(Known(mix)))


def _told(model: Model, mix: Mixture, name: str, k: int, mean: float, var: float) -> Mixture:
    parts = []
    for part, one in zip(mix.parts, model.alternatives, strict=True):
        if _shows(one, name):
            parts.append(part)
            continue
        v = part.p[k][k]
        gain = v / (v + var)
        m, p = kernel.taught(part.m, part.p, k, part.m[k] + gain * (mean - part.m[k]), v * (1.0 - gain))
        parts.append(part._replace(m=m, p=p))
    return Mixture(tuple(parts), mix.fall)
