"""The filter for one vessel, on plain floats."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from rackview.science.state import forms, mixture
from rackview.science.state.carrier import SCALARS
from rackview.science.state.kernel import BASE, Tally, Vector
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import Model
from rackview.science.state.straight import written
from rackview.science.state.tape import Tape, shape


def elapsed(model: Model, mix: Mixture, dt: float, push: list[float], shows: list[float]) -> Mixture:
    """See `mixture.elapsed`."""

    def plain() -> Mixture:
        return mixture.elapsed(model, mix, dt, push, shows, SCALARS)

    return forms.done(model, ("elapsed", len(push)), partial(write_elapsed, model, mix), plain, mix, dt, push, shows)


def write_elapsed(model: Model, mix: Mixture) -> Callable[..., Any]:
    """The straight form of `mixture.elapsed` for beliefs like `mix`."""
    tape = Tape()
    before, dt, (push, shows) = shape(tape, "mix", mix), shape(tape, "dt", 1.0), _departures(tape, mix)
    after = mixture.elapsed(model, before, dt, push, shows, tape.floats())
    return written(tape, (before, dt, push, shows), after)


def counted(model: Model, mix: Mixture, tally: Tally, cv2: float) -> tuple[Mixture, float, float]:
    """See `mixture.counted`; a count of few animals takes too many steps to be written out."""

    def plain() -> tuple[Mixture, float, float]:
        return mixture.counted(model, mix, tally, cv2, SCALARS)

    if tally.few:
        return plain()
    key = "counted", len(mix.parts[0].m)
    return forms.done(model, key, partial(write_counted, model, mix), plain, mix, tally[:-1], cv2)


def write_counted(model: Model, mix: Mixture) -> Callable[..., Any]:
    """The straight form of `mixture.counted` for beliefs like `mix` and a count of many animals."""
    tape = Tape()
    before, told, cv2 = shape(tape, "mix", mix), shape(tape, "tally", (1.0,) * 5), shape(tape, "cv2", 0.1)
    after = mixture.counted(model, before, Tally._make((*told, False)), cv2, tape.floats())
    return written(tape, (before, told, cv2), after)


def shown(model: Model, mix: Mixture, row: int, departed: float, var: float) -> Mixture:
    """See `mixture.shown`."""

    def plain() -> Mixture:
        return mixture.shown(model, mix, row, departed, var, SCALARS)

    key = "shown", len(mix.parts[0].m), row
    return forms.done(model, key, partial(write_shown, model, mix, row), plain, mix, departed, var)


def write_shown(model: Model, mix: Mixture, row: int) -> Callable[..., Any]:
    """The straight form of `mixture.shown` for beliefs like `mix` and the sign in a row."""
    tape = Tape()
    before, departed, var = shape(tape, "mix", mix), shape(tape, "departed", 0.1), shape(tape, "var", 0.1)
    return written(tape, (before, departed, var), mixture.shown(model, before, row, departed, var, tape.floats()))


def drifts(model: Model, mix: Mixture, push: list[float], shows: list[float]) -> tuple[Vector, Vector]:
    """See `mixture.drifts`."""

    def plain() -> tuple[Vector, Vector]:
        return mixture.drifts(model, mix, push, shows, SCALARS)

    return forms.done(model, ("drifts", len(push)), partial(write_drifts, model, mix), plain, mix, push, shows)


def write_drifts(model: Model, mix: Mixture) -> Callable[..., Any]:
    """The straight form of `mixture.drifts` for beliefs like `mix`."""
    tape = Tape()
    before, (push, shows) = shape(tape, "mix", mix), _departures(tape, mix)
    return written(tape, (before, push, shows), mixture.drifts(model, before, push, shows, tape.floats()))


def _departures(tape: Tape, mix: Mixture) -> tuple[Any, Any]:
    """Places for the departure of each sign that the belief knows, and of those that may show growth."""
    signs = [0.0] * (len(mix.parts[0].m) - BASE)
    return shape(tape, "push", signs), shape(tape, "shows", signs)
