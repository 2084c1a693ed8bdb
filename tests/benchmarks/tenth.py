"""What "a tenth more" of a constant is, for every bench that asks how far it moves what the program says."""

from __future__ import annotations

from typing import Any


def more(value: Any) -> Any:
    """A tenth more; a whole number grows by one at least, and what is under 1 goes half the way there at most.

    The last keeps shares and chances what they are. Of a tuple or a table every entry grows.
    """
    if isinstance(value, tuple):
        return tuple(more(v) for v in value)
    if isinstance(value, dict):
        return {k: more(v) for k, v in value.items()}
    if isinstance(value, int):
        return max(round(1.1 * value), value + 1)
    return min(1.1 * value, 0.5 * (1.0 + value)) if value < 1.0 else 1.1 * value
