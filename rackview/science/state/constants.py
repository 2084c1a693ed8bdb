"""Every constant of the estimate, with its origin and by how much a tenth more of it worsens the score.

Chosen: by random search for the smallest mean log-CRPS against persistence over the six worlds of the training ground
(seeds 0 to 7, with the cool room and the poor counter). By hand: where a test of the edges asked for it. "Tenth" is the
change of the mean score of the whole pool, with its standard error over the worlds (`estimate_sensitivity.py`, seed
2014, never looked at while anything was chosen); where nothing stands it was not measured.
Where there are three numbers they are those of the three sound components. Rates are per day of the usual rotifer.
"""

from __future__ import annotations

import math

import numpy as np

# --- the model: a sound culture ---
PACE = 0.35
"""Growth per day of the usual rotifer, for which the numbers hold: a large *Brachionus plicatilis* at 25 degC."""
LEAST_PACE, MOST_PACE = 0.2, 2.0
"""Paces of life that the numbers are stretched to: by hand."""
ALIQUOT_CV2 = 0.015
"""Squared coefficient of variation between aliquots beyond Poisson before the keeper's own have told: the open
series of docs/estimate.md."""
WEIGHTS = (4.55, 2.69, 0.4)
"""How often a vessel is of each kind: chosen; the third, of its own scale, by hand for strange cultures. Tenth 0.00."""
ETA = (1.6, 1.6, 0.158)
"""Bend of crowding, 0 Gompertz and 1 logistic: chosen. Tenth -0.50 ± 0.15 %."""
OWN = (0.0, 0.0, 1.0)
"""1 where the reference density is the vessel's own and not the strain's: the third kind."""
ROOM = (0.831, 0.125, 0.0198)
"""Log of the reference density over the first count: chosen. Tenth 0.00."""
OFF = (-0.899, -0.326, -0.362)
"""Log of the reference density over the strain's ceiling: chosen. Tenth -0.73 ± 0.36 %."""
GROWTH_SD = (0.0881, 0.162, 0.0812)
"""Spread of passing growth: chosen. Tenth 0.12 ± 0.35 %."""
PHI = (0.19, 0.146, 1.5)
"""Fading of passing growth: chosen. Tenth -0.08 ± 0.09 %."""
WALK = (0.0198, 0.0266, 0.0199)
"""Wandering of the log density by itself, per root day: chosen. Tenth 0.00 ± 0.01 %."""
SCATTER = (0.0725, 0.0429, 0.0622)
"""Coefficient of variation between sample and vessel: chosen. Tenth 0.01 ± 0.08 %."""
RATE = (0.349, 0.262, -0.113)
"""Lasting growth at the reference density beforehand: chosen. Tenth 0.19 ± 0.04 %."""
RATE_SD = (0.165, 0.115, 1.61)
"""Its spread: chosen. Tenth 0.07 ± 0.03 %."""
RATE_WALK = (0.00229, 0.0058, 0.0103)
"""Its drift, per root day: chosen. Tenth 0.03 ± 0.02 %."""
THETA = (0.31, 0.569, 0.498)
"""Strength of crowding beforehand: chosen. Tenth -0.42 ± 0.31 %."""
THETA_CV = (0.427, 0.591, 0.409)
"""Its spread as a share: chosen. Tenth -0.02 ± 0.13 %."""
THETA_WALK = (0.00172, 0.0108, 0.00502)
"""Its drift, per root day: chosen. Tenth 0.00 ± 0.02 %."""

# --- the model: a collapse ---
FAIL = 0.004
"""Collapses a day away from the ceiling: chosen. Tenth -0.04 ± 0.06 %."""
MEND = 0.412
"""Ends of a collapse a day: chosen. Tenth -0.21 ± 0.31 %."""
UNSOUND = 0.025
"""Share of cultures that collapse as they begin: by hand. Tenth 0.00 %."""
FALL = -0.6
"""Rate in a collapse: chosen; 30 to 90 % in two days are published. Tenth 0.25 ± 0.19 %."""
FALL_SD = 0.4
"""Its spread: chosen. Tenth 0.09 ± 0.05 %."""
FALL_PHI = 1.17
"""Its fading: chosen. Tenth -0.03 ± 0.02 %."""
FALL_WALK = 0.234
"""Wandering of the log density in a collapse, per root day: chosen. Tenth 0.02 ± 0.01 %."""
FALL_SCATTER = 0.15
"""Coefficient of variation between sample and vessel in a collapse: by hand. Tenth -0.02 ± 0.01 %."""

# --- the model: a count, and signs ---
SLIP = 0.025
"""Share of counts that are slips: chosen. Tenth 0.03 ± 0.02 %."""
SLIP_VAR = 0.6
"""Variance of the log density about which a slip is right: by hand, so that a dilution of ten forgotten is one.
Tenth 0.04 ± 0.05 %."""
SLIP_ALIQUOTS = 3.0
"""Aliquots of a usual count; of more, each taken anew, fewer samples are slips as a whole: by hand."""
SHIFTS = 0.03
"""Share of counts before which culture was lost at one stroke, unlogged harvests and spills: by hand. Tenth
-0.03 ± 0.03 %."""
SHIFT, SHIFT_VAR = -0.35, 0.3
"""Mean and variance of the log of what such a loss leaves: by hand, a third gone. Tenth -0.05 ± 0.03,
-0.05 ± 0.04 %."""
STROKES_WORTH = 1.0
"""How many losses at one stroke the chance of one is worth that is usual elsewhere: by hand."""
BIRTHS = 0.366
"""Births that eggs show where nothing grows: chosen. Tenth -0.09 ± 0.04 %."""
EGGS_SHOW = 0.246
"""Births that eggs show per growth: chosen. Tenth -0.01 ± 0.05 %."""
EGGS_NOISE = 1.07
"""Variance of births seen against what the vessel's own looks say: chosen. Tenth -0.05 ± 0.05 %."""
EGGS_FALL = -0.132
"""Births lost before a fall: chosen. Tenth 0.07 ± 0.04 %."""
EGGS_SD, LEAST_EGGS_SD = 0.11, 0.05
"""Deviation of births seen about the vessel's habit before it has told, and at least: by hand."""
EGGS_WEIGHT, EGGS_LOOKS = 3.0, 30.0
"""Looks at eggs that that deviation is worth; a habit forgets those older than so many: by hand."""
SWIMMING_FALL = -1.1
"""Marks for swimming lost before a fall: chosen. Tenth 0.04 ± 0.01 %."""
SLOW_DAYS = 8.0
"""Days in which what comes by and by, ciliates and ammonia, has come for the most part: common practice, no source."""
HABIT_MOST = 30.0
"""A habit forgets looks older than about this many: by hand."""
SIGN_WEIGHT = 3.0
"""Looks that the prior spread of a sign's departures is worth: by hand."""
ODD_LOOK = 3.0
"""Squared departures tell of the spread only up to so many times what was expected: a collapse is no habit."""
LEAST_SPREAD = 0.5
"""Share of the prior variance of departures that is left however steady a sign is: by hand."""
SLOW_SPREAD = 0.1
"""Share of the spread of departures that is taken to be new since the look before, where a sign is slow: by hand."""
PLAINEST = 4.0
"""Log of the odds of a collapse that one look may tell at most; more would be a matter of one mark set wrongly."""
EGG_DAYS = 3.0
"""Days over which a look at eggs fades from the smoothed share: by hand."""
EGGS_UNSEEN = 0.3
"""Females with eggs added to those found, of one more checked, so that none found is not never: by hand."""
NEWEST = 0.7
"""By how much of the way the temperature believed goes to a new reading: by hand, as a reading may be a slip."""
HATCH_LOW_C, HATCH_HIGH_C = 15.0, 25.0
"""Temperatures between which egg times are published; beyond them the nearest is taken."""
AMMONIA_C, AMMONIA_PH = (5.0, 35.0), (5.0, 10.0)
"""Ranges within which the share of un-ionised ammonia is reckoned."""
USUAL_PH, SALINITY = 8.0, 30.0
"""What is taken for sea water of which neither was read: common practice, no source."""
AMMONIA_UNIT = 0.1
"""Un-ionised ammonia, mg/L, in which its log is taken: common practice, no source."""

# --- events ---
UNKNOWN_SD = 1.2
"""Spread of the log density of a culture that nobody counted and of a starter of unknown strength: by hand."""
STATED_SD = 0.15
"""Spread of the log density of a restart whose density was stated: by hand."""
DONATED, DONATED_SD, MEASURED_SD = 0.3, 0.5, 0.05
"""Share of a new culture that a donor's makes up where no volume was written down, the spread of its log, and that
where one was: by hand."""
LONGEST = 40.0
"""Days without news after which the belief spreads no further: all has reverted by then that reverts."""
ROUND_DAYS = 0.05
"""Days within which events of one round count as simultaneous, and by which a step may be longer than a day."""
SCATTER_WORTH = 4.0
"""Counts with replicates that the scatter between aliquots usual elsewhere is worth: by hand."""
LEAST_PER_ALIQUOT = 5
"""Animals an aliquot from which their scatter is heard: of fewer, chance drowns it."""
LEAST_FEMALES = 5
"""Females checked from which eggs are heard: of fewer, chance drowns them."""
TAKEN_DAYS = 4.0
"""Days over which harvests are remembered with what was believed before them: what flags and advice look back."""
STAGE_SHARE = {"nauplii": 0.45, "copepodites": 0.25, "adults": 0.3}
"""Share of each stage among copepods, where only a stage was ever counted: common practice, no source."""
STAGE_CV2 = 0.4
"""Squared coefficient of variation of that share: by hand."""
AGAINST = 1.5
"""Log density by which a first count may lie over the second and still be believed to be what the vessel held: by
hand."""

# --- hunger ---
LEAST_FEEDS = 4
"""Feedings from which there is a habit: by hand."""
LATE = 1.5
"""Without anybody there for so many times the usual time between feedings, at least a day, the food is gone: by hand.
It is also the number of days before which nobody goes hungry, whatever the habit."""
HUNGER_FALL = 0.05
"""Log density lost to hunger and to eggs not laid, per square of the days since: common practice, no source."""
HUNGER_SPREAD = 1.0
"""Standard deviation of that loss, as a share of it: by hand."""
MOST_HUNGRY = 7.0
"""Days of hunger after which no more is reckoned: somebody fed them, or the width says all there is to say."""
SAME_FEEDING = 0.1
"""Days within which two feeds are one feeding: by hand."""
FEEDINGS, LONG_GAP = 8, 3.0
"""The habit is that of about so many feedings; a gap counts up to so many times it: by hand."""

# --- what foretells beside the filter ---
START_VAR = np.array([1.0, 0.5, 0.5, 0.5])
"""Variances of the autoregression's coefficients beforehand (intercept, level and both rests), per variance of a
count's error: by hand. Tenth -0.03 ± 0.04 %."""
DRIFT = 0.01
"""Share of that by which they drift from count to count: by hand. Tenth -0.04 ± 0.03 %."""
ERROR, ERROR_COUNTS = 0.2, 3.0
"""Error of a foretold log count beforehand, and for how many counts that stands: by hand. Tenth of the first
-0.04 ± 0.04 %."""
WIDE, WIDE_COUNTS = 0.5, 2.0
"""The same for the usual level: by hand."""
ODD_ERROR = 3.0
"""Errors teach the autoregression up to so many deviations: by hand."""
ODD_SQUARE = 16.0
"""Squared errors tell of the spread up to so many times what was expected: by hand."""
KEEP = 0.985
"""Share of what is known of spreads that is kept from count to count: by hand. All of it -0.02 ± 0.06 %, a tenth
less 0.36 ± 0.58 %."""
MOST_LEVEL, FEW = 60.0, 2
"""Counts of which the usual level is the mean at most, and from which the four are judged: by hand."""
MOST_REST, MOST_FORETOLD, MOST_COV, MOST_VAR = 3.0, 30.0, 1e3, 25.0
"""Limits of a foretold rest, a foretold log density, a covariance and a variance, so that no coefficient runs away."""
GAP_LEARNED, GAP_MOST, GAP_LEAST = 0.1, 3.0, 0.2
"""By how much of the way the usual days between counts go to the newest, how many times them it counts as, and by
what a rest over a longer time is divided at most (its inverse): by hand."""
OF_A_COUNT = 0.01
"""Variance of a log count about the density: three aliquots of sixty, and the scatter between samples. Tenth 0.00 %."""
LEAST_VAR = 0.003
"""Least variance of what the three foretell of the density: by hand."""
LEAST_GAP = 0.5
"""Days between counts, at least: more counts a day tell of one another."""
SOONER = 0.5
"""Share of the days between counts over which the pool comes in: by hand. Tenth 0.00 %."""
COOL = 0.5
"""Growth against the usual under which what foretells beside the filter rises less: by hand."""
LOG_PRIOR = np.log([[0.60, 0.12, 0.22, 0.06], [0.40, 0.20, 0.27, 0.13]])[:, :, None]
"""Logs of the weights of filter, autoregression, persistence and usual level beforehand, near and far: the worlds and
the open series that were looked at. Tenth -0.04 ± 0.05 %."""
STRANGE_PRIOR = np.log([[0.12, 0.15, 0.62, 0.11], [0.06, 0.15, 0.54, 0.25]])[:, :, None]
"""The same of a culture from which nothing is taken, as that it grows as its strain does is then nowhere to be seen:
the open series that were looked at, and invented ones (docs/estimate.md)."""
APART = np.array([[-2.0, -0.5, 0.0, 0.0], [-4.0, -2.0, 0.0, 1.0]])[:, :, None]
"""What those of such a culture gain with the log of the days between counts, in times of `CLOSE` days of the usual
rotifer: the more it could have grown meanwhile, the farther a growth that is not its own leads astray. The looked-at
series thinned and stretched. Tenth 0.00 in racks."""
CLOSE, MOST_APART = 1.5, 12.0
"""See `APART`, and the most times that is reckoned with: by hand."""
LEAST_SHIFT, KEPT_ON = 0.02, 0.85
"""Shift of the log density by which a culture is harvested, and how much of being in use is left with each day, at the
strain's pace, after none: racks before their first harvest against series that never have one. Tenth of the second
0.11 ± 0.06 %."""
FORGET = 0.97
"""Evidence kept from count to count: chosen. Tenth -0.15 ± 0.32 %."""
ODD, ODD_SD = 0.15, 2.5
"""Share of counts that are odd, and their deviation against that of others, where evidence is weighed: without them one
odd count rules out for weeks whoever was sure. Chosen. Tenth of the first -0.01 ± 0.02 %."""
LEAST_LIKELY = 1e-6
"""Density of a count that nobody foretold, so that it has a log: by hand."""
SPREAD_PRIOR, SPREAD_WORTH = np.array([1.4, 1.7]), 5.0
"""The pool's variance beforehand against what it says, near and far, and how many counts that is worth: the worlds.
Tenth 0.26 ± 0.16, 0.03 ± 0.02 %; 5 for 8 brings 0.27 ± 0.22 % on seeds 3109, 3110, 3113 and 3114, all of it in ages."""
SPREAD_LEAST, SPREAD_MOST = 0.15, 2.5
"""Limits of that ratio: by hand."""
SQUARE_MOST, SQUARE_BACK = 4.0, 1.09
"""Squared errors count up to so many times what was expected; by what a normal error's square is too small for that."""
LEAST_WEIGHT = 1e-4
"""Weight that each of the four keeps, and least variance of what they foretell: by hand."""

# --- limits of what is reckoned, by hand ---
LOWEST, HIGHEST = -12.0, 16.1
"""Logs of the least density that is told from none, an animal in two hundred litres, and of the greatest."""
WIDEST = 6.0
"""Largest variance of log density: a factor of 60 either way at 90 %; more would say nothing more."""
LEAST_CHANCE = 1e-12
"""Least weight of a component, so that it can come back."""
MOST_CROWDED = 4.0
"""Largest eta d that is reckoned with: no culture is fifty times too dense for days."""
SURE = 1e-3
"""Least strength of crowding."""
LEAST_THETA, LEAST_ROOM = 0.02, 0.05
"""Least strength of crowding, and least exp(eta d), of which a ceiling is told."""
LEAST_TURN = 0.05
"""Least share of the strength of crowding that a ceiling's derivative is divided by."""
MOST_LOG = 60.0
"""Log of the greatest mean count."""
MOST_DECAY = 30.0
"""Largest exponent of growth over one step."""
MOST_BENT = 2.5
"""Largest variance of log density of which the bend of crowding is reckoned to second order."""
NEWTON_STEPS, NEWTON_MOST = 3, 1.5
"""Newton's steps towards the mode of a count's posterior, and the longest: from where it begins three are enough."""
TINY = 1e-300
"""Keeps a division from one by nothing."""

# --- forecast ---
ABOVE, OVER_CEILING = 0.7, 0.4
"""No culture is expected at over twice what it ever held, or at over one and a half times its strain's ceiling (logs):
by hand."""
MOST_CHANCE = 0.95
"""A fall likelier than this within three days begins as if it were so likely."""

# --- what is told ---
RECOUNT = 0.5
"""Chance of a miscount from which the newest count is worth repeating."""
CEILING_WITHIN = math.log(4.0)
"""A ceiling is not told farther from the strain's, in log density, or from the highest density that was seen."""
CLUTCH_SPREAD = 2.0
"""Between half and twice what is assumed lie the eggs of a female that has any, nine times out of ten: by hand."""
CLUTCH_MOST = 20.0
"""More eggs than this on a rotifer are a slip of the tally: common practice, no source."""
EGG_TIME_CV = 0.2
"""How well an egg's time at a temperature is known: the sources differ by about this much."""
LEAST_EGGS_VAR = 0.01
"""Least variance of having eggs or none from one female to the next, so that none found is not surely none: by hand."""
LOSS = {"rotifer": 1.0 / 7.0, "copepod": 1.0 / 20.0}
"""Losses per day where no eggs are counted. Common practice, no source: rotifers a life of 7 days, between the 3.4 to
4.4 at 25 degC (Lavens, P. & Sorgeloos, P. (eds) 1996, FAO Fisheries Technical Paper 361, 3.3) and the 10.5 of a cohort
at 20 degC (life history by algal food, Oral Roberts University, abstract); copepods 20."""
LOSS_SPREAD = 0.6
"""Half-width of the 90 % interval of those losses, as a share: by hand."""
MOST_CV = 3.0
"""Wider scatter between aliquots than this tells no more."""

# --- outlook ---
THIN, THIN_CV = 1.6, 0.3
"""Growth of a thin culture against the net rate of one in daily use, which stands at a third to half of its ceiling;
0.1 to 0.8 a day are published for one strain of rotifers (see docs/estimate.md)."""
REACHED, CEILING_SD = 0.65, 0.4
"""Where growth stops against the density that the profile calls full: 257 to 600 per mL are published for 450."""
BEND = 1.5
"""Exponent of crowding, between the logistic's 1 and 2 and over where it is felt late."""
SHOWN_SD = 0.06
"""What a rate believed at one density may be off by, per day, besides its own spread: by hand."""
REACHED_SD = 0.2
"""How far over its ceiling, in log density, a culture is seen at times: by hand."""
LEAST_SD, LEAST_WARMTH = 0.02, 0.05
"""Least spread of the log density that is told, and least warmth at which growth is: by hand."""
GRID_RATES, GRID_RATES_SD, GRID_CEILINGS, GRID_CEILINGS_SD = 11, 2.2, 15, 2.5
"""How many rates and ceilings a grid of them has, and to how many deviations it goes either way: by hand."""
MOST_FULL = 3.0
"""Largest exponent of crowding on that grid."""
LEAST_TOLD = 1e-9
"""Likelihood of what no grid point explains, so that one stays."""
DAILY_SD = 0.1
"""How one day's growth departs from its mean: common practice, no source."""
