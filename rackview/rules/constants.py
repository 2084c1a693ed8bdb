"""The numbers that the rules rest on beside the thresholds of the profiles, each with its origin.

Thresholds that a keeper may change stand in the profiles with their sources; what a rule is and when it speaks, in the
catalogue. "Project choice" says that nobody else has said this number; where it was measured how far a tenth more
moves the outcome, that stands beside it.
"""

from __future__ import annotations

Z90 = 1.6448536269514722
"""The 95 % point of the normal distribution."""

# --- alarms -----------------------------------------------------------------------------------------------------------

NEARLY_CERTAIN = 0.95
"""One count that is as sure as this raises an alarm that takes two otherwise; project choice."""
STALE_DAYS = 3.0
"""A flag older than this without action is listed apart; project choice."""
USUAL_LOOKS = 3
"""A condition at more than so many of the looks kept is how this vessel is kept, and no news; project choice."""
ONE_ROUND, SEEN_ROUND = 1.5, 2.5
"""Readings no further apart than so many days are of a daily round, where one may be a slip; looks at ciliates, which
are weighed into the chance of a fall at once, of a round every other day as well; project choice."""
COUNTS_AFTER_MOVE = 2
"""After a restart or split the trend flags wait for this many counts; project choice."""
ALARM_COUNTS = 8
"""Over how many of the newest counts the alarm states run; project choice."""
CLEAR_AT = 0.3
"""An alarm is cleared under this chance where its rule says no other: under the one that raises; project choice."""

# --- the record -------------------------------------------------------------------------------------------------------

KEPT_EVENTS, KEPT_FEEDS = 10, 40
"""How many of the newest counts, readings and harvests, and feedings, are kept at hand; project choice."""

# --- counts -----------------------------------------------------------------------------------------------------------

CRASH_SHARE = 1.0 / 3.0
"""A vessel under this share of its floor, or of the most it had if it never stood there, crashed; project choice."""
THIN_SHARE = 0.5
"""Of a culture that never stood at its floor, this share of the most it had takes its place; project choice."""
LEAST_SHARE = 0.05
"""Who never had this share of the floor is reckoned with it: a few stragglers are no young culture; project choice."""
COUNT_NEAR_DAYS, NO_FALL = 1.5, 0.85
"""A count not older than so many days, of which this share is found again, leaves no sudden fall to ask about; it
saves an estimate and decides nothing."""
DROP_DAYS = 3.0
"""A fall of so many days at `fall_per_day` each is sudden however long nobody counted; project choice."""
COUNT_ERROR = 0.1
"""Of sampling beyond chance where a count is held against what was expected (a CV); project choice."""
EXPECTED_LEAST = 5.0
"""Expected in the sample, so many animals are missed when none is found: by chance in under 1 of 100 (Poisson)."""
MANY_CHECKED = 2000
"""Beyond so many females the beta distribution of a share is taken for normal, which spares its long sum."""
STALLED_SHARE = 0.5
"""A thin culture that grows at less than this share of its strain's usual is held back; project choice."""
EGG_LAG_DAYS = 1.25
"""The egg share answers food after 18 to 24 hours: Snell, Childress, Boyer & Hoff 1987 (see the catalogue)."""
EGG_RATIO_DAYS = 3.0
"""Days over which egg tallies are taken together: longer than eggs are carried; common practice, no source."""
LATE_FEED, LEAST_FEEDS = 1.5, 4
"""Without food for so many times the usual time between feedings, once so many are known, a culture went hungry;
project choice."""
WORST_SWIMMING, POOR_SWIMMING = 1, 2
"""The first is an alarm by itself, the second where no habit is known yet; project choice."""
USUAL_PRECISION = 0.2
"""Half-width of a count that is aimed at where the settings say no other, as a share of it; project choice."""
CLUMPED_USUAL = 2
"""More clumped counts among those kept are a habit of sampling, said often enough; project choice."""
UNUSUAL_SCATTER = 2.5
"""Aliquots that differ so many times more than is usual at this vessel are worth a count more; project choice."""
COUNT_GRACE_DAYS = 1.25
"""A count missed on its day and on the next is old on the morning after; common practice, no source."""
LONG_GAP, LEAST_GAPS = 2.25, 3
"""A count is old beyond so many of the keeper's usual gaps, once so many are known; project choice."""
COUNTS_IN_A_ROW = {"stalled": 3}
"""Conditions that are no hurry and may pass: so many counts in a row instead of two; project choice."""
CAUSE_SHARE = 0.6
"""A cause is named in place of its signs where it speaks at least this much of the strongest sign; project choice."""
EGGS_OF = 0.6
"""Few eggs stand beside slow swimming, both named, where one says at least this much of the other; project choice."""
LEAST_COUNTS = 2
"""A culture counted once has no habit to depart from."""

# --- care -------------------------------------------------------------------------------------------------------------

CARE_GRACE_DAYS = 1.0
"""A task may be done a day late before it is said; common practice, no source."""
CLEAR_HOURS = 12.0
"""Water that cleared was fed at least this long ago; common practice, no source."""
FEED_DAY = 0.75
"""Feedings within so many days before the newest are of one day: those of a morning and an evening; project choice."""
STAGES_DAYS = 1.0
"""Counts by stage within so many days belong together; project choice."""
AGEING_CHANCE = 0.8
"""So sure it must be that nauplii are fewer than they should be; project choice."""
TINTS_IN_A_ROW = 4
"""Tints in a row that it takes: two or three pass by themselves or with the next ration; project choice."""
CONTACT_CHANCE = 0.3
"""Chance that a contact carries what ails a vessel: common practice, no source."""

# --- the whole rack ---------------------------------------------------------------------------------------------------

NEW_DAYS = 1.5
"""Contacts with a vessel that has been suspect for longer are said by the order of the round; project choice."""
COMMON_SHARE, COMMON_LEAST, COMMON_DAYS = 1.0 / 3.0, 3, 2.0
"""Trouble is common where more than this share of the vessels, and at least so many, fell ill within so many days;
project choice."""
FRESH_BOTTLE_DAYS = 5.0
"""A bottle opened within so many days before common trouble is named as what they share; project choice."""

# --- what is due ------------------------------------------------------------------------------------------------------

DOUBTED_WIDTH = 3.0
"""A count is due when the ends of the 90 % interval are further apart than this factor; project choice."""
FEW_ANIMALS = 25
"""Fewer animals than this in a count leave the density within about 40 % (Poisson, 95 %): more aliquots."""
TEST_AFTER_TROUBLE_DAYS, FIRST_TEST_DAYS = 2.0, 2.0
"""Water is tested where a test is older than this in trouble, and first so long after the start; project choice."""
FLOSS_DONE_DAYS = 3.0
"""Where the floss was rinsed within so many days, a vessel that is still dirty is washed; project choice."""
DIRTY_DAYS = 2
"""A vessel in trouble is cleaned again after so many days; common practice, no source."""

# --- harvest and feed -------------------------------------------------------------------------------------------------

HARVEST_RISK = 0.05
"""A harvest may leave at most this chance that the density is under the floor by tomorrow; project choice."""
REMAINDER_OVER_FLOOR = 1.25
"""So many times the floor must stay after a harvest; project choice. A tenth more leaves a tenth more animals."""
BISECTIONS = 6
"""Halvings of the share that may be taken: to 1.6 % of the largest share."""
TEMPERATURE_DAYS = 7.0
"""A temperature older than this says nothing of today's growth; project choice."""
LEAST_GROWTH = 0.25
"""Where the temperature leaves less of the usual growth than this a culture does not grow back; project choice."""
USUAL_DRY_G_PER_ML = 0.1
"""Dry matter of an unnamed algae concentrate: 8 to 20 % by weight, common practice, no source."""
FAINT, HALF_GREEN = 1.0, 0.95
"""How the ration moves with a tint of 1 and of 2 before feeding; common practice, no source. The profile says the
rest."""
TINT_DAYS = 1.5
"""A tint seen longer ago says nothing of the food left now; project choice."""
RATION_MEMORY = 0.6
"""Weight of the ration fed last against the profile's, on a log scale; project choice."""
LEAST_OF_USUAL, MOST_OF_USUAL = 0.35, 2.0
"""However tints move it, a ration stays within these times the profile's; project choice."""
WARMTH_MOST = 1.25
"""However much faster a culture goes in the warmth, no more than this is added to its ration; project choice."""
WARMTH_TOLD = 0.1
"""A ration that the temperature moves by more than this share says so; project choice."""
RATION_CUTS = {"ammonia": 0.5, "oxygen": 0.5, "overfed": 0.8, "cold": 0.8}
"""What is left of a ration while something is wrong; common practice, no source."""
CUT_SUSPECT = 0.6
"""What is left of it in a suspect culture, which leaves more uneaten; common practice, no source."""
CUT_RESERVE, RESERVE_WELL = 0.5, 0.8
"""A reserve that holds this share of its aim is fed to live, not to grow, as nothing is taken from it; common practice,
no source."""
RAISE_MOST = 1.5
"""By how much a dose may exceed the last one without a count in between; common practice, no source."""
LEAST_G_PER_L_DAY = 0.03
"""However thin a culture is, it is fed so much dry matter per L and day: food at 50 ug per mL is near the optimum
(Hirayama & Watanabe 1976, see docs/estimate.md), and what a thin culture eats by the million is far thinner."""
MOST_G_PER_L_DAY = 3.0
"""Never more dry feed per L and day than this many times the profile's heavy feeding; project choice."""

# --- water ------------------------------------------------------------------------------------------------------------

AMMONIA_NEAR_DAYS = 1.0
"""pH and temperature must have been read within so many days of the total ammonia to go with it; project choice."""
SALINITY_DAYS = 7.0
"""A salinity older than this is not the water's that an ammonia was measured in; project choice."""
USUAL_SALINITY = 29.0
"""Salinity assumed for ammonia where none was measured near it; from 20 to 35 it moves the result by a tenth."""
SALINITY_EDGE = 1e-6
"""A gravity that comes out this near an end of the range is taken for no measurement of salt."""
STEP_DAYS = 2.0
"""Readings further apart say nothing of a step; project choice."""
OLD_DAYS = 14.0
"""A reading older than this says nothing of the water now; project choice."""
CULTURE_C = 25.0
"""The temperature at which a gravity that is aimed at is understood: that of most racks; common practice, no source."""
AMMONIA_ALARM = 2.0
"""At so many times the limit that wants action ammonia is an alarm however usual it has become; project choice."""
