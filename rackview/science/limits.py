"""Checks of what goes into a formula: one sentence with the argument, the value, the range and the unit."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import wraps
from typing import ParamSpec, TypeVar

import numpy as np
from numpy.typing import NDArray

from rackview.core.errors import InputError
from rackview.language import _

Array = NDArray[np.float64]
Number = TypeVar("Number", float, Array)
P = ParamSpec("P")
T = TypeVar("T")

ANY = float("inf")


def range_words(low: float, high: float, unit: str) -> str:
    """The words for a range, e.g. ``a number from 2 to 42 (no unit)``."""
    of = f" {unit}" if unit else ""
    if high == ANY:
        return f"a number{of}" if low == -ANY else _("a number of {low:.10g}{of} or more").format(low=low, of=of)
    return _("a number from {low:.10g} to {high:.10g}{of}").format(low=low, high=high, of=of)


def numbers(field: str, value: Number, low: float = 0.0, high: float = ANY, unit: str = "") -> Number:
    """`value` as float or float array, all of it finite and within [low, high].

    Raises `InputError` naming `field`, the first value that is wrong, and the range with its unit.
    """
    given: object = value
    if (type(given) is float or type(given) is int) and low <= given <= high and abs(given) != ANY:
        return float(given)  # type: ignore[return-value]
    if given is None or isinstance(given, str | bytes | bool):
        raise InputError(field, given, range_words(low, high, unit))
    try:
        found = np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError):
        raise InputError(field, given, range_words(low, high, unit)) from None
    good = np.isfinite(found) & (found >= low) & (found <= high)
    if not good.all():
        raise InputError(field, f"{found[~good].flat[0]:.10g}", range_words(low, high, unit))
    return float(found) if found.ndim == 0 else found  # type: ignore[return-value]


def number(field: str, value: float, low: float = 0.0, high: float = ANY, unit: str = "") -> float:
    """`value` as one finite float within [low, high]; see `numbers`."""
    found = numbers(field, value, low, high, unit)
    if not isinstance(found, float):
        raise InputError(field, value, _("a single value, {low}").format(low=range_words(low, high, unit)))
    return found


def above(field: str, value: float, floor: float = 0.0, high: float = ANY, unit: str = "") -> float:
    """`value` as one finite float above `floor` and at most `high`."""
    of = f" {unit}" if unit else ""
    upper = "" if high == ANY else _(" and at most {high:.10g}").format(high=high)
    found = number(field, value, -ANY, ANY, unit)
    if not floor < found <= high:
        raise InputError(
            field, value, _("a number above {floor:.10g}{upper}{of}").format(floor=floor, upper=upper, of=of)
        )
    return found


def whole(field: str, value: float, low: int = 0, high: float = ANY, unit: str = "") -> int:
    """`value` as a whole number within [low, high]."""
    upper = _("or more") if high == ANY else _("to {high:.10g}").format(high=high)
    of = f" {unit}" if unit else ""
    wanted = (
        _("a whole number of {low}{of} or more").format(low=low, of=of)
        if high == ANY
        else _("a whole number from {low} {upper}{of}").format(low=low, upper=upper, of=of)
    )
    try:
        found = number(field, value, low, high, unit)
    except InputError:
        raise InputError(field, value, wanted) from None
    if found != int(found):
        raise InputError(field, value, wanted)
    return int(found)


def tally(field: str, values: Iterable[float], least: int = 1) -> tuple[int, ...]:
    """Whole numbers of 0 or more, at least `least` of them."""
    wanted = _("whole numbers of 0 or more") + (
        _(", at least {least} of them").format(least=least) if least > 1 else _(", one per aliquot")
    )
    try:
        given = tuple(values)
    except TypeError:
        raise InputError(field, values, wanted) from None
    if len(given) < least:
        raise InputError(field, " ".join(map(str, given)), wanted)
    for one in given:
        try:
            if type(one) is not int or one < 0:
                whole(field, one)
        except InputError:
            raise InputError(field, one, wanted) from None
    return tuple(int(one) for one in given)


def plain_floats(function: Callable[P, T]) -> Callable[P, T]:
    """Let `function` give a Python float where numpy would give a scalar of its own; arrays pass through."""

    @wraps(function)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> T:
        result = function(*args, **kwargs)
        if isinstance(result, np.ndarray | np.generic) and result.ndim == 0:
            return float(result)  # type: ignore[return-value]
        return result

    return wrapped
