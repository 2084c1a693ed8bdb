"""What the window must expect of the store, each fault with one sentence for the keeper."""

from __future__ import annotations

from rackview.store import StoreError

__all__ = ["StoreError"]
