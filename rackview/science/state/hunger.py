"""What it does to a culture when nobody comes to feed it.

Feed is not measured and its strength seldom known, but who has fed a vessel day by day and then leaves no entry there
for longer than ever was away. The algae last a day or so; then no more eggs are laid, and the animals die the faster
the longer it goes on. How fast is known poorly, and somebody else may have fed them: the spread is as wide as the fall.
"""

from __future__ import annotations

from typing import NamedTuple

from rackview.science.state import constants as c


class FeedingRhythm(NamedTuple):
    """When a vessel was fed last, days since 1970-01-01T00:00Z, every how many days it usually is, how often so far."""

    day: float
    usual: float = 0.0
    feeds: int = 1

    def again(self, day: float) -> FeedingRhythm:
        """After one more feeding; a gap far from the habit counts as three times it."""
        gap = day - self.day
        if gap < c.SAME_FEEDING:
            return FeedingRhythm(day, self.usual, self.feeds)
        if not self.usual:
            return FeedingRhythm(day, gap, self.feeds + 1)
        step = min(gap, c.LONG_GAP * self.usual) - self.usual
        return FeedingRhythm(day, self.usual + step / min(self.feeds + 1, c.FEEDINGS), self.feeds + 1)


def hungry_days(fed: FeedingRhythm | None, visited: float, day: float) -> float:
    """Days that a vessel has been without food at `day`, nobody having been there since `visited`."""
    if fed is None or fed.feeds < c.LEAST_FEEDS:
        return 0.0
    gone = day - max(fed.day, visited) - max(c.LATE * fed.usual, c.LATE)
    return min(gone, c.MOST_HUNGRY) if gone > 0.0 else 0.0


def hunger_fall(before: float, after: float) -> tuple[float, float]:
    """By how much the log density falls, and its standard deviation, from so many days of hunger to so many."""
    fall = c.HUNGER_FALL * (after * after - before * before)
    return -fall, c.HUNGER_SPREAD * fall


def rate(days: float) -> tuple[float, float]:
    """What hunger adds to the net rate, per day, after so many days of it, and its standard deviation."""
    fall = 2.0 * c.HUNGER_FALL * days if days < c.MOST_HUNGRY else 0.0
    return -fall, c.HUNGER_SPREAD * fall
