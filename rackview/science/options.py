"""Answers to one question from sources that disagree, side by side; the keeper picks, the first is the default."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Generic, TypeVar

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _

V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Option(Generic[V]):
    """One published answer: `value` in the unit its table names, over `low` to `high` of what it depends on."""

    value: V
    source: str
    low: float = 0.0
    high: float = float("inf")


def pick(options: Mapping[str, Option[V]], field: str, name: str) -> Option[V]:
    """The option called `name`; raises `InputError` listing the names for any other."""
    if name not in options:
        raise InputError(field, name, _("one of ") + ", ".join(options))
    return options[name]
