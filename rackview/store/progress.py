"""How long work on a store says what it is at."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str, float], None]
"""Told what is looked at next, and which share of the whole lies behind, from 0 to 1; the end is told with no words."""


def silent(what: str, share: float) -> None:
    """Say nothing."""
