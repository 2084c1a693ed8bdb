"""Every constant of the chance of a fall, with its origin.

"Chosen" constants were set on six simulated worlds of a rack, each with another reason why cultures fail. How far a
tenth more of each moves the chance: `tests/benchmarks/flags_sensitivity.py`, 234 chances of two invented racks that
are kept well, mean 1.3 of 100. The log odds move on average by 0.122 with `WELL_SWIMMING`, 0.043 with
`LESSON_WEIGHT`, 0.021 with `FEW_EGGS`, 0.017 with `NEAR_TOP`, 0.015 with `LEAST_OPEN`, 0.014 with `MEMORY_DAYS`, 0.013
with `PASSING_SD`, 0.012 with `NH3_UNIT_MG_L`, and by less than 0.01 with each of the others. `FALL` and
`WITHIN_DAYS` say what is foretold and were not moved; nor was it measured how far the area under the curve moves.
Where a constant only words what is shown, "words only" stands beside it.
"""

from __future__ import annotations

import math
from types import MappingProxyType

FALL = 0.3
"""A fall is this share of the animals lost within `WITHIN_DAYS`, harvests apart; chosen, as keepers speak of it."""
WITHIN_DAYS = 3.0
"""Days ahead that a fall is foretold for; chosen: within them a keeper can still do something."""
USUAL_PER_DAY = 1.0 / 120.0
"""Rate at which falls begin that no sign speaks of: common practice, no source."""
LOG_FALL = math.log(1.0 - FALL)
"""The same loss as a difference of log densities."""
MOST_CERTAIN = 0.999
"""A chance is taken for no more where it is turned into a rate, which would be endless."""

# --- density ---
PASSING_DAYS = 4.0
"""Good and bad days of growth fade in about so many days; as in the estimate."""
PASSING_SD = 0.14
"""Standard deviation of passing growth, per day; chosen."""
DAY_SD = 0.06
"""What one day adds to the doubt about the log density; chosen."""
STEP_DAYS = 3.0
"""Growth is reckoned so far ahead of the newest look; later than that it only grows doubtful."""
COUNT_CV, COUNT_CV_WEIGHT = 0.13, 8.0
"""Scatter between sample and vessel beyond Poisson before the vessel has told, and the counts it is worth; chosen."""
COUNT_CV_LEAST, COUNT_CV_MOST = 0.05, 0.3
"""Between these the vessel's own scatter is believed; chosen."""
COUNT_MEMORY = 48.0
"""Scatter forgets counts older than about this many; chosen."""
COUNT_LEARNS, COUNT_UNSEEN = 0.7, 1.25
"""What one count teaches of the scatter: this part of how far its square, times the second as surprises are left out,
departs from what was expected; chosen."""
SURPRISE = 2.5
"""A count this many standard errors off is a slip if high, and may be a fall if low; chosen."""
SLIP_NOISE, LOW_NOISE, LOW_DOUBT = 6.0, 40.0, 4.0
"""A surprise is doubted by its square over the first where high and over the second where low; a low one also makes the
density before it doubtful, by its square over the third; chosen."""
COUNT_LEAST, COUNT_MOST = -6.0, 4.0
"""What one count adds to the departures of counts, in standard errors, at most; chosen."""
PASSING_STEP, PASSING_VAR_LEAST = 0.25, 1e-4
"""By how much one count may move passing growth, per day, and the variance that it keeps; chosen."""
TOP_ABOVE, TOP_FADES = 0.35, 0.006
"""The density that a culture is thought to bear, above the middle of the band or the first count (log), until it has
stood higher, and how fast that is forgotten per day; chosen."""
GROWTH_SHARE = 0.9
"""Of the strain's usual rate: what a thin culture of a keeper grows by; chosen."""
NEAR_TOP, FULL_WIDTH, FULL_DAYS = 0.7, 0.2, 3.0
"""From which share of what it bears on a culture stands full, over which width that counts, how long it is remembered:
cultures near their ceiling for days collapse (common practice, no source)."""
FULL_MOST = 1.5
"""However far over what it is thought to bear, no culture stands fuller than this many times full; chosen."""
MOST_TAKEN = 0.95
"""A harvest, as a share of what was there, counts for no more: amounts are typed, and levels believed."""

# --- signs ---
EGG_HABIT, EGG_SLOPE = -0.9, -0.8
"""Log odds that a female carries eggs in a half-full culture, and how they fall with the log density: fewer eggs when
crowded is what all sources say (Snell, Childress, Boyer & Hoff 1987, J. World Aquacult. Soc. 18:270-277), the numbers
are chosen with a wide spread, `EGG_PRIOR_SD`, for the vessel to overrule."""
EGG_PRIOR_SD, EGG_PRIOR_OTHER_SD = 0.6, 2.0
"""The second for animals that carry eggs by other rules than rotifers: their habit is not known beforehand."""
EGG_SD, EGG_SD_WEIGHT = 0.4, 6.0
"""How far the log odds wander from what density explains before the vessel has told; chosen."""
EGG_DRIFT = (0.002, 0.001)
"""Variance that a look adds to habit and slope, so that old looks are forgotten; chosen."""
EGG_SLOPE_LEAST, EGG_SLOPE_MOST = -3.0, 0.3
"""However the looks fall, crowding is believed to cost eggs within these bounds; chosen."""
EGG_CROWD_LEAST = -3.0
"""Log density, against what the culture bears, under which thinness makes no more eggs; chosen."""
EGG_NOISE = 0.8
"""Of the variance that chance gives to log odds, 1/(found + 0.5) + 1/(missed + 0.5), this much is taken; chosen."""
EGG_FAR, EGG_MOST, EGG_TOLD_MOST = 1.5, 4.0, 4.0
"""A look this many standard errors under what was expected teaches the habit less and less, none counts for more than
the second, and the spread is taught by no more than this many times its variance; chosen."""
EGG_LOOKS_MOST = 30
"""The spread forgets looks older than about this many; chosen."""
LEAST_CHECKED = 5
"""Females to check before their share says anything."""
SWIM_HABIT, SWIM_WEIGHT, SWIM_SD = 4.2, 2.0, 0.45
"""Swimming score (1 to 5) of a vessel that has not told yet, the looks that is worth, how far it wanders; chosen."""
SWIM_NOISE, SWIM_LEAST, SWIM_MOST = 0.1, -5.0, 3.0
"""Variance of a score that is rounded to whole numbers (1/12, common statistics), and what one look adds to the
departures at most, in standard errors; chosen."""
SWIM_FAR, SWIM_LESS, SWIM_TOLD_MOST, SWIM_VAR_WEIGHT = -1.5, 0.4, 2.5, 4.0
"""A score so far under the habit teaches only this part, the spread is taught by no more than this square, and how many
looks the spread known beforehand is worth more; chosen."""
CILIATE_HABIT, CILIATE_WEIGHT = 0.25, 3.0
"""Ciliates (0 none, 1 some, 2 many) of a vessel that has not told yet, and the looks that is worth; chosen."""
HABIT_MOST = 25.0
"""A habit of swimming or ciliates forgets looks older than about this many; chosen."""
MEMORY_DAYS = 1.5
"""Departures seen lately add up with this memory: eggs answer 18 to 24 hours after (Snell et al. 1987)."""
NH3_UNIT_MG_L = 0.1
"""Un-ionised ammonia, mg/L, from about which on its scale is a logarithm; chosen."""
USUAL_PH = 8.0
"""pH assumed for ammonia where none was read with it: that of sea water; common practice, no source."""
PH_WITHIN, CELSIUS_WITHIN = (5.0, 10.0), (5.0, 35.0)
"""Where the share of un-ionised ammonia can be reckoned (see `science/ammonia.py`)."""
SALINITY = 25.0
"""Practical salinity for the un-ionised share of ammonia where only the order of size matters."""

# --- what the regressions are told ---
# All bounds were there when the coefficients in `causes.py` were fitted, so that one look, however odd, can't outweigh
# the rest; chosen.
SUM_LEAST, SUM_MOST = -3.0, 6.0
"""Departures of eggs, swimming and counts that have added up."""
NOW_LEAST, NOW_MOST = -3.0, 4.0
"""The newest departure of eggs."""
FEW_EGGS, FEW_LEAST, FEW_MOST = 1.0, -2.0, 3.0
"""Log odds against eggs beyond which they are few by themselves, and how far that is told."""
WELL_SWIMMING = 4.0
"""The score of a culture that swims well."""
CROWDED_LEAST, CROWDED_MOST = -2.0, 0.3
"""Log density against what the culture bears."""
NH3_MOST = 3.0
"""Ammonia on its logarithmic scale: 2 mg/L un-ionised."""
HARVEST_DAYS = 1.5
"""A harvest longer ago says nothing of the days ahead."""
STALE_DAYS, STALE_MOST = 2.0, 4.0
"""A look fades in about so many days from half a day on; days without one, at most."""
FAR = 50.0
"""Log odds beyond which a chance is nothing or certain to every digit that matters."""
CALM = MappingProxyType({
    "one": 1.0, "eggs": 0.0, "eggs_now": 0.0, "few_eggs": -0.2, "swimming": 0.0, "slow": -0.2, "count": 0.0,
    "passing": 0.0, "crowded": -0.7, "days_full": 0.0, "ciliates": 0.0, "more_ciliates": 0.0, "ammonia": 0.4,
    "harvest": 0.25, "unseen": 0.0,
})  # fmt: skip
"""The numbers of a half-full culture that is well: from these on a sign's share of the danger is counted; chosen, and
it moves only which sign is named first."""
BANDS = (0.02, 0.05, 0.1, 0.2, 0.4)
"""Chances between which mornings are tallied, to say how often such mornings were followed by a fall; words only."""

# --- what later counts say ---
LOOKS = 6
"""How many of the newest looks are kept; words only."""
SAME_LOOK = 0.25
"""Days within which a count and a reading are one look; chosen."""
SAME_DAY = 0.5
"""Lessons within so many days of the first one are of one round; chosen."""
DUE = WITHIN_DAYS - 0.5
"""Days after which a count tells how a morning went: rounds are not at the same hour every day; chosen."""
LOSS_ERROR = 1.4
"""Standard error of a loss, in those of one log density: of two alike, the square root of 2."""
SEEN_FALL = (2.468, 2.77, 1.11, -2.91)
"""Log odds ratio by which later counts speak for a fall: constant, slope under and over the limit per standard error
and slope with the error itself; a logistic regression of the true falls of the six worlds on what was counted."""
SEEN_ERROR = 0.06
"""Standard error of a log density that no count tells of, added to theirs; chosen."""
SEEN_LEAST, SEEN_MOST = -5.0, 4.0
"""One morning's later counts speak for no more than this, in log odds; chosen."""
LESSON_SPAN = 5.5
"""A morning whose next counts come later than this teaches only if they show a fall."""
LESSON_WEIGHT = 0.2
"""What one morning counts when causes are weighed: neighbours in time share one fall; chosen by the log score."""
LEAST_OPEN = 0.02
"""Weight that the prior keeps whatever was learned, so that no cause is ever ruled out; chosen."""
