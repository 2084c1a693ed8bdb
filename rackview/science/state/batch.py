"""Many vessels at once: the same filter on arrays, for a whole rack's forecast or a bench of thousands of histories.

The numbers are those of the one-vessel path; only the order of additions differs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import numpy as np

from rackview.science.state import forms, mixture, normal
from rackview.science.state.belief import LONGEST, Belief, steps_of
from rackview.science.state.carrier import ARRAYS
from rackview.science.state.columns import gathered
from rackview.science.state.growth import Prior
from rackview.science.state.kernel import BASE, Tally
from rackview.science.state.mixture import Fall, Mixture, Part
from rackview.science.state.model import Array, Model
from rackview.science.state.signs import SHOWING, SIGNS, TEACHING, teaching
from rackview.science.state.straight_arrays import written
from rackview.science.state.tape import Tape, shape


def stacked(beliefs: Sequence[Belief]) -> Mixture:
    """The known beliefs of several vessels as one mixture of arrays (alternatives, vessels), a row for every sign."""
    known = [(b.mix, [name for name, _ in teaching(b.seen)]) for b in beliefs if b.mix is not None]
    used = [name for name in TEACHING if any(name in names for _, names in known)]
    mixes = [_padded(mix, names, used) for mix, names in known]
    m = np.array([[part.m for part in mix.parts] for mix in mixes])
    p = np.array([[part.p for part in mix.parts] for mix in mixes])
    rest = np.array([[part[2:] for part in mix.parts] for mix in mixes])
    n = m.shape[2]
    means = [np.ascontiguousarray(m[:, :, i].T) for i in range(n)]
    cov = [[np.ascontiguousarray(p[:, :, i, j].T) for j in range(n)] for i in range(n)]
    part = Part(means, cov, *(np.ascontiguousarray(rest[:, :, i].T) for i in range(rest.shape[2])))
    return Mixture((part,), Fall(*np.array([mix.fall for mix in mixes]).T.copy()))


def _padded(mix: Mixture, names: list[str], used: list[str]) -> Mixture:
    """The belief with its signs in the order `used`, one that the vessel lacks being a row of nothing."""
    if names == used:
        return mix
    place = [*range(BASE), *(BASE + names.index(name) if name in names else -1 for name in used)]
    parts = []
    for part in mix.parts:
        m = [part.m[i] if i >= 0 else 0.0 for i in place]
        p = [[part.p[i][j] if i >= 0 and j >= 0 else 0.0 for j in place] for i in place]
        parts.append(part._replace(m=m, p=p))
    return Mixture(tuple(parts), mix.fall)


def carried(
    model: Model, mix: Mixture, days: Array | float, push: Sequence[Array] = (), shows: Sequence[Array] = ()
) -> Mixture:
    """The belief after at most a day or so, the same for all vessels or each vessel's own."""

    def plain() -> Mixture:
        return mixture.elapsed(model.stacked, mix, days, list(push), list(shows), ARRAYS)

    key = "carried", len(push), np.ndim(days)
    write = partial(write_carried, model, mix, days, push)
    return forms.done(model.stacked, key, write, plain, mix, days, push, shows)


def write_carried(model: Model, mix: Mixture, days: Array | float, push: Sequence[Array]) -> Callable[..., Any]:
    """The straight form of `carried` for beliefs like `mix`."""
    tape = Tape()
    by, shows = [shape(tape, name, list(push)) for name in ("push", "shows")]
    before, dt = shape(tape, "mix", mix), shape(tape, "days", days)
    after = mixture.elapsed(model.stacked, before, dt, by, shows, tape.arrays())
    return written(tape, (before, dt, by, shows), after, len(model.alternatives))


def counted(
    model: Model, mix: Mixture, animals: Array, ml: Array | float, cv2: Array | float
) -> tuple[Mixture, Array, Array]:
    """The belief after one count in each vessel, its log-likelihood and the chance that it was a slip."""
    tally = Tally.of(animals, ml, ARRAYS)

    def plain() -> tuple[Mixture, Array, Array]:
        return mixture.counted(model.stacked, mix, tally, cv2, ARRAYS)

    if tally.few:
        return plain()
    key = "counted", len(mix.parts[0].m), np.ndim(ml), np.ndim(cv2)
    write = partial(write_counted, model, mix, tally, cv2)
    return forms.done(model.stacked, key, write, plain, mix, tally[:-1], cv2)


def write_counted(model: Model, mix: Mixture, tally: Tally, cv2: Array | float) -> Callable[..., Any]:
    """The straight form of `counted` for beliefs like `mix` and counts of many animals like `tally`."""
    tape = Tape()
    before, told, spread = shape(tape, "mix", mix), shape(tape, "tally", tuple(tally[:-1])), shape(tape, "cv2", cv2)
    after = mixture.counted(model.stacked, before, Tally._make((*told, False)), spread, tape.arrays())
    return written(tape, (before, told, spread), after, len(model.alternatives))


def project_all(
    prior: Prior, beliefs: Sequence[Belief], day: float, days: Sequence[float], quantiles: Sequence[float]
) -> Array:
    """Quantiles of the true densities per mL of several known vessels of one strain if nothing is done.

    `beliefs` must hold at `day` (see `Belief.at`); `days` ascend. Shape (vessels, len(days), len(quantiles)).
    """
    mix = stacked(beliefs)
    used = [name for name in TEACHING if any(name == n for b in beliefs for n, _ in b.seen)]
    seen = [dict(b.seen) for b in beliefs]
    found = np.zeros((len(beliefs), len(days), len(quantiles)))
    then = 0.0
    for k, ahead in enumerate(days):
        gap = min(ahead, LONGEST) - then
        for dt in steps_of(gap) if gap > 0.0 else ():
            push = [
                np.array([s[name].mean(SIGNS[name], day + then, dt) if name in s else 0.0 for s in seen])
                for name in used
            ]
            shows = [one * (name in SHOWING) for one, name in zip(push, used, strict=True)]
            mix = carried(prior.model, mix, dt, push, shows)
            then += dt
        found[:, k] = np.exp(_quantiles(mix, np.asarray(quantiles, dtype=float)))
    return found


def _quantiles(mix: Mixture, levels: Array) -> Array:
    """Quantiles of the log density, shape (vessels, levels): Newton's method inside a shrinking bracket."""
    from scipy.special import ndtr, ndtri

    w, m, s, skew = (one.T[:, None] for one in gathered(mix))
    sixth = np.clip(skew, -normal.MOST_SKEW, normal.MOST_SKEW) / 6.0
    probit = ndtri(levels)[:, None]
    ends, room = m + probit * s, np.where(sixth != 0.0, (1.0 + np.abs(probit)) * s, 0.0)
    low, high = (ends - room).min(-1), (ends + room).max(-1)
    x: Array = (w * ends).sum(-1)
    for _ in range(100):
        z = (x[..., None] - m) / s
        square, bell = z * z, np.exp(-0.5 * z * z) / normal.ROOT_2PI
        under = ndtr(z) - sixth * (square - 1.0) * bell
        off = (w * np.clip(under, 0.0, 1.0)).sum(-1) - levels
        low, high = np.where(off <= 0.0, x, low), np.where(off >= 0.0, x, high)
        density = np.where((under > 0.0) & (under < 1.0), bell * (1.0 + sixth * z * (square - 3.0)) / s, 0.0)
        slope = (w * density).sum(-1)
        new = x - off / np.maximum(slope, 1e-300)
        # the ends count as inside: who has arrived stands on one and must not be thrown to the middle
        new = np.where((new >= low) & (new <= high), new, 0.5 * (low + high))
        done = np.abs(new - x).max() <= normal.TOLERANCE
        x = new
        if done:
            break
    return x
