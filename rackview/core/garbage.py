"""Python's search for garbage, which finds none among a hundred thousand entries that all stay."""

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


@contextmanager
def kept_out() -> Iterator[None]:
    """Do without the search within the block, and leave what it made out of every later one.

    Python would make up for it right behind the block, one search through all that was made there.
    """
    with uncollected():
        yield
        pass_over()


def pass_over() -> None:
    """Leave all that is there now out of every later search.

    A search through a rack with its years takes a tenth of a second, during which a window stands still. Python makes
    several when it ends, which was a tenth of a command's time: what is there then goes with the process.
    """
    gc.freeze()
