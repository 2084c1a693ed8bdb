"""What the window must expect of the store, each fault with one sentence for the keeper."""

from __future__ import annotations

from collections.abc import Callable

from rackview.store import StoreError
from rackview.store.errors import Stopped

__all__ = ["Stopped", "StoreError", "Tell"]

Tell = Callable[[str], None]
"""Says what long work is at; raises `Stopped` once stopping was asked for, also when it is told nothing."""
