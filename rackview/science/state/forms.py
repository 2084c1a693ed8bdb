"""The straight forms of the filter's functions, written when a function has been asked for often enough."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from rackview.science.state.model import Model

T = TypeVar("T")

OFTEN = 250
"""Uses after which a function is written out, which takes about as long as so many uses save."""


class Form:
    """How often a function was wanted, and its straight form once there is one."""

    __slots__ = ("made", "wanted")

    def __init__(self) -> None:
        self.wanted = 0
        self.made: Callable[..., Any] | None = None


def done(
    model: Model, key: Hashable, write: Callable[[], Callable[..., Any]], plain: Callable[[], T], *given: Any
) -> T:
    """What a function says of `given`: by its straight form, which `write` makes, or the plain way.

    The form is kept with the model under `key`. The plain way is gone while the function was not yet wanted often,
    and where the form refuses.
    """
    form: Form | None = model.forms.get(key)
    if form is None:
        form = model.forms[key] = Form()
    if form.made is None:
        form.wanted += 1
        if form.wanted > OFTEN:
            form.made = write()
    found: T | None = None if form.made is None else form.made(*given)
    return plain() if found is None else found
