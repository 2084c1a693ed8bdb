"""The filter for one vessel, on plain floats."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from rackview.science.state import forms, mixture
from rackview.science.state.carrier import SCALARS
from rackview.science.state.kernel import BASE, Tally
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import Model
from rackview.science.state.straight import written
from rackview.science.state.tape import Tape, shape


def elapsed(model: Model, mix: Mixture, dt: float, push: list[float]) -> Mixture:
    """See `mixture.elapsed`."""
    made = forms.straight(model, ("elapsed", len(push)), lambda: write_elapsed(model, mix))
    found: Mixture | None = None if made is None else made(mix, dt, push)
    return mixture.elapsed(model, mix, dt, push, SCALARS) if found is None else found


def write_elapsed(model: Model, mix: Mixture) -> Callable[..., Any]:
    """The straight form of `mixture.elapsed` for beliefs like `mix`."""
    tape = Tape()
    before, dt = shape(tape, "mix", mix), shape(tape, "dt", 1.0)
    push = shape(tape, "push", [0.0] * (len(mix.parts[0].m) - BASE))
    return written(tape, (before, dt, push), mixture.elapsed(model, before, dt, push, tape.floats()))


def counted(model: Model, mix: Mixture, tally: Tally, cv2: float) -> tuple[Mixture, float, float]:
    """See `mixture.counted`; a count of few animals takes too many steps to be written out."""
    if not tally.few:
        made = forms.straight(model, ("counted", len(mix.parts[0].m)), lambda: write_counted(model, mix))
        if made is not None:
            found: tuple[Mixture, float, float] = made(mix, tally[:-1], cv2)
            return found
    return mixture.counted(model, mix, tally, cv2, SCALARS)


def write_counted(model: Model, mix: Mixture) -> Callable[..., Any]:
    """The straight form of `mixture.counted` for beliefs like `mix` and a count of many animals."""
    tape = Tape()
    before, told, cv2 = shape(tape, "mix", mix), shape(tape, "tally", (1.0,) * 5), shape(tape, "cv2", 0.1)
    after = mixture.counted(model, before, Tally._make((*told, False)), cv2, tape.floats())
    return written(tape, (before, told, cv2), after)


def drifts(model: Model, mix: Mixture, push: list[float]) -> tuple[list[float], list[float]]:
    """See `mixture.drifts`."""
    made = forms.straight(model, ("drifts", len(push)), lambda: write_drifts(model, mix))
    if made is None:
        return mixture.drifts(mix, model.eta, push, SCALARS)
    found: tuple[list[float], list[float]] = made(mix, push)
    return found


def write_drifts(model: Model, mix: Mixture) -> Callable[..., Any]:
    """The straight form of `mixture.drifts` for beliefs like `mix`."""
    tape = Tape()
    given, push = shape(tape, "mix", mix), shape(tape, "push", [0.0] * (len(mix.parts[0].m) - BASE))
    return written(tape, (given, push), mixture.drifts(given, model.eta, push, tape.floats()))
