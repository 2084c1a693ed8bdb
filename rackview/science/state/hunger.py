"""What it does to a culture when nobody comes to feed it.

Feed is not measured and its strength seldom known, but who has fed a vessel day by day and then leaves no entry there
for longer than ever was away. The algae last a day or so; then no more eggs are laid, and the animals die the faster
the longer it goes on. How fast is known poorly, and somebody else may have fed them: the spread is as wide as the fall.
"""

from __future__ import annotations

from typing import NamedTuple

LEAST_FEEDS = 4
"""Feedings from which there is a habit."""
LATE = 1.5
"""Without anybody there for so many times the usual time between feedings, at least a day, the food is gone."""
SOONEST = LATE
"""Days before which nobody goes hungry, whatever the habit."""
FALL = 0.05
"""Log density lost to hunger and to eggs not laid, per square of the days since: common practice, no source."""
SPREAD = 1.0
"""Standard deviation of that loss, as a share of it."""
MOST_DAYS = 7.0
"""Days of hunger after which no more is reckoned: somebody fed them, or the width says all there is to say."""
SAME_ROUND = 0.1
"""Days within which two feeds are one feeding."""
FORGETS = 8
"""The habit is that of about so many feedings."""


class FeedingRhythm(NamedTuple):
    """When a vessel was fed last, days since 1970-01-01T00:00Z, every how many days it usually is, how often so far."""

    day: float
    usual: float = 0.0
    feeds: int = 1

    def again(self, day: float) -> FeedingRhythm:
        """After one more feeding; a gap far from the habit counts as three times it."""
        gap = day - self.day
        if gap < SAME_ROUND:
            return FeedingRhythm(day, self.usual, self.feeds)
        if not self.usual:
            return FeedingRhythm(day, gap, self.feeds + 1)
        step = min(gap, 3.0 * self.usual) - self.usual
        return FeedingRhythm(day, self.usual + step / min(self.feeds + 1, FORGETS), self.feeds + 1)


def hungry_days(fed: FeedingRhythm | None, visited: float, day: float) -> float:
    """Days that a vessel has been without food at `day`, nobody having been there since `visited`."""
    if fed is None or fed.feeds < LEAST_FEEDS:
        return 0.0
    gone = day - max(fed.day, visited) - max(LATE * fed.usual, SOONEST)
    return min(gone, MOST_DAYS) if gone > 0.0 else 0.0


def lost(before: float, after: float) -> tuple[float, float]:
    """By how much the log density falls, and its standard deviation, from so many days of hunger to so many."""
    fall = FALL * (after * after - before * before)
    return -fall, SPREAD * fall


def rate(days: float) -> tuple[float, float]:
    """What hunger adds to the net rate, per day, after so many days of it, and its standard deviation."""
    fall = 2.0 * FALL * days if days < MOST_DAYS else 0.0
    return -fall, SPREAD * fall
