"""Text that a spreadsheet would take for a formula, made harmless on the way out and exact again on the way back.

A cell that begins with = + - @ or a tab or carriage return is written with an apostrophe before it. A text that
already looks guarded gets one apostrophe more, so that taking one off always gives back what was there.

Source of the list of characters: OWASP, "CSV Injection" (from memory, unverified).
"""

from __future__ import annotations

import re

RISKY = frozenset("'=+-@\t\r")
"""What a text that needs a second look begins with."""
_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_GUARDED = re.compile(r"''*[=+\-@\t\r]")


def guarded(text: str) -> str:
    """`text` as it is written to a CSV cell."""
    return "'" + text if text[:1] in RISKY and _FORMULA.match(text) else text


def unguarded(text: str) -> str:
    """What `guarded` was given; text that it would not have written comes back as it is."""
    return text[1:] if text.startswith("'") and _GUARDED.match(text) else text
