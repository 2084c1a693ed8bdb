"""Python's search for garbage, which finds none while a hundred thousand entries are read that all stay."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Do without the search within the block; it looks at all objects again and again, a fifth of the time there."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
