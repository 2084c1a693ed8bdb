"""What the window must expect of the store, each fault with one sentence for the keeper."""

from __future__ import annotations

from collections.abc import Callable

from rackview.store import StoreError

__all__ = ["Stopped", "StoreError", "Tell"]

Tell = Callable[[str], None]
"""Says what long work is at; raises `Stopped` once stopping was asked for, also when it is told nothing."""


class Stopped(Exception):  # noqa: N818 - it is no error
    """The keeper stopped it; nothing came of it."""
