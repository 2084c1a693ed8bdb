"""Months as people write them, in full or short, in the languages that tables and days are understood in."""

from __future__ import annotations

BEGINNINGS = (
    ("jan", "ene", "gen"), ("feb", "fev", "fév"), ("mar", "mär", "mrz", "maer", "maa"), ("apr", "abr", "avr"),
    ("may", "mai", "maj", "mag", "mei"), ("jun", "juin", "giu"), ("jul", "juil", "lug"), ("aug", "ago", "aoû", "aou"),
    ("sep", "set"), ("oct", "okt", "ott"), ("nov",),
    ("dec", "dez", "dic", "déc"),
)  # fmt: skip
"""The three or four letters with which the names of each month begin."""
_NUMBERS = {start: n for n, starts in enumerate(BEGINNINGS, 1) for start in starts}


def month_number(name: str) -> int | None:
    """The month, 1 to 12, whose name begins as `name` does; None for no month."""
    low = name.lower()
    return _NUMBERS.get(low[:4]) or _NUMBERS.get(low[:3])
