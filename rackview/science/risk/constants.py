"""Every constant of the chance of a fall, with its origin.

"Chosen" constants were set on six simulated worlds of a rack, each with another reason why cultures fail. How far a
tenth more of each moves the area under the curve is not measured yet.
"""

from __future__ import annotations

import math

FALL = 0.3
"""A fall is this share of the animals lost within `WITHIN_DAYS`, harvests apart; chosen, as keepers speak of it."""
WITHIN_DAYS = 3.0
USUAL_PER_DAY = 1.0 / 120.0
"""Rate at which falls begin that no sign speaks of: common practice, no source."""
LOG_FALL = math.log(1.0 - FALL)

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
SURPRISE = 2.5
"""A count this many standard errors off is a slip if high, and may be a fall if low; chosen."""
TOP_ABOVE, TOP_FADES = 0.35, 0.006
"""The density that a culture is thought to bear, above the middle of the band or the first count (log), until it has
stood higher, and how fast that is forgotten per day; chosen."""
GROWTH_SHARE = 0.9
"""Of the strain's usual rate: what a thin culture of a keeper grows by; chosen."""
NEAR_TOP, FULL_WIDTH, FULL_DAYS = 0.7, 0.2, 3.0
"""From which share of what it bears on a culture stands full, over which width that counts, how long it is remembered:
cultures near their ceiling for days collapse (common practice, no source)."""

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
LEAST_CHECKED = 5
"""Females to check before their share says anything."""
SWIM_HABIT, SWIM_WEIGHT, SWIM_SD = 4.2, 2.0, 0.45
CILIATE_HABIT, CILIATE_WEIGHT = 0.25, 3.0
HABIT_MOST = 25.0
"""A habit of swimming or ciliates forgets looks older than about this many; chosen."""
MEMORY_DAYS = 1.5
"""Departures seen lately add up with this memory: eggs answer 18 to 24 hours after (Snell et al. 1987)."""
NH3_UNIT_MG_L = 0.1
SALINITY = 25.0
"""Practical salinity for the un-ionised share of ammonia where only the order of size matters."""

# --- what later counts say ---
SEEN_FALL = (2.468, 2.77, 1.11, -2.91)
"""Log odds ratio by which later counts speak for a fall: constant, slope under and over the limit per standard error
and slope with the error itself; a logistic regression of the true falls of the six worlds on what was counted."""
SEEN_ERROR = 0.06
SEEN_LEAST, SEEN_MOST = -5.0, 4.0
LESSON_SPAN = 5.5
"""A morning whose next counts come later than this teaches only if they show a fall."""
LESSON_WEIGHT = 0.2
"""What one morning counts when causes are weighed: neighbours in time share one fall; chosen by the log score."""
LEAST_OPEN = 0.02
"""Weight that the prior keeps whatever was learned, so that no cause is ever ruled out; chosen."""
