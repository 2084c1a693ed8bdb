"""A timer for what is shown anew every minute."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QObject, QTimer

MINUTE_MS = 60_000
LATE_MS = 200
"""So long after a minute began: a timer may come a little early."""


class MinuteTimer(QTimer):
    """Times out whenever a minute of a clock has begun.

    What is advised is of a minute. As it is worked out anew when the minute begins, an entry made within it finds the
    other vessels looked at already.
    """

    def __init__(self, clock: Callable[[], datetime], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._clock = clock
        self.timeout.connect(self.begin)

    def begin(self) -> None:
        """Run from now on."""
        now = self._clock()
        self.start(MINUTE_MS - 1_000 * now.second - now.microsecond // 1_000 + LATE_MS)
