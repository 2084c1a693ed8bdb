"""The filter for one vessel, on plain floats: written out straight once it has been asked for often enough to pay."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from rackview.science.state import mixture, straight
from rackview.science.state.carrier import SCALARS
from rackview.science.state.kernel import BASE, Tally
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import Model

OFTEN = 60
"""Uses after which a function is written out, which takes as long as two or three times as many uses save."""

Write = Callable[[Model, Mixture], Callable[..., Any]]


class Form:
    """A function for one model and number of signs: how often it was wanted, and the straight one once there is one."""

    __slots__ = ("made", "wanted")

    def __init__(self) -> None:
        self.wanted = 0
        self.made: Callable[..., Any] | None = None

    @classmethod
    def of(cls, write: Write, model: Model, mix: Mixture) -> Form:
        """The form of `write` for beliefs like `mix`, kept with the model."""
        key = write, len(mix.parts[0].m)
        form: Form | None = model.forms.get(key)
        if form is None:
            form = model.forms[key] = cls()
        if form.made is None:
            form.wanted += 1
            if form.wanted > OFTEN:
                form.made = write(model, mix)
        return form


def elapsed(model: Model, mix: Mixture, dt: float, push: list[float]) -> Mixture:
    """See `mixture.elapsed`."""
    made = Form.of(_elapsed, model, mix).made
    found: Mixture | None = None if made is None else made(mix, dt, push)
    return mixture.elapsed(model, mix, dt, push, SCALARS) if found is None else found


def _elapsed(model: Model, mix: Mixture) -> Callable[..., Any]:
    tape = straight.Tape()
    before, dt = straight.shape(tape, "mix", mix), straight.shape(tape, "dt", 0.0)
    push = straight.shape(tape, "push", [0.0] * (len(mix.parts[0].m) - BASE))
    return straight.written(tape, (before, dt, push), mixture.elapsed(model, before, dt, push, tape.carrier()))


def counted(model: Model, mix: Mixture, tally: Tally, cv2: float) -> tuple[Mixture, float, float]:
    """See `mixture.counted`; a count of few animals takes too many steps to be written out."""
    if not tally.few:
        made = Form.of(_counted, model, mix).made
        if made is not None:
            found: tuple[Mixture, float, float] = made(mix, tally[:-1], cv2)
            return found
    return mixture.counted(model, mix, tally, cv2, SCALARS)


def _counted(model: Model, mix: Mixture) -> Callable[..., Any]:
    tape = straight.Tape()
    before, told = straight.shape(tape, "mix", mix), straight.shape(tape, "tally", (0.0,) * 5)
    cv2 = straight.shape(tape, "cv2", 0.0)
    after = mixture.counted(model, before, Tally._make((*told, False)), cv2, tape.carrier())
    return straight.written(tape, (before, told, cv2), after)
