"""The numbers that advice rests on beside those of the rules and the planner, each with its origin.

"Project choice" says that nobody else has said this number.

How far a tenth more moves the advice was measured for those that decide (`tests/benchmarks/advice_sensitivity.py`,
on 64 mornings of four invented racks, 896 suggestions): beside a constant stands the share of suggestions that become
others and the share that stay with another amount. Where one that decides says nothing, none of the 896 moved: most are
limits that are rarely met. Not measured are `HORIZON_DAYS` and those of counting, `SURELY_SOUND` and
`SKIPPED_MOST_DAYS`. The other parts only word what is shown.
"""

from __future__ import annotations

# --- what the planner is told -----------------------------------------------------------------------------------------

HORIZON_DAYS = 14
"""Days ahead that needs are known for and harvests are weighed over, today among them; project choice."""
FRESH_DAYS = 1.5
"""Water readings older than this say little of today; project choice."""
CARD_TOP_MG_L = 3.9
"""A colour card for ammonia ends at 4 mg/L; what is read there may be more. Common practice, no source. A tenth more:
1.1 % of amounts, by 8 %."""
CARD_BEYOND = 3.0
"""By how much more: where three times what the card says would not harm by the water's pH and warmth, none is changed.
Project choice. A tenth more: 0.4 % of amounts, by 25 %."""
RINSE_TOP, RINSE_NOTICE, RINSE_ACT = 0.2, 0.25, 0.35
"""Share of the water exchanged a day, by harvest and refill, where ammonia is high: common practice, no source. A
tenth more of the first: 0.1 % become others (standard error 0.1), 4.5 % of amounts, by 8 %; of the second, 0.1 %."""
CILIATES_DAYS = 3.0
"""A culture in which ciliates were seen so lately starts no other, as they go with it; project choice."""
UNUSED_DAYS = 2.0
"""A vessel of which nothing was recorded while the rack was run for so many days stands empty; project choice."""
LOWEST = 1.25
"""No culture serves to under this many times the density at which it counts as crashed; project choice."""
MOST_MORE, MOST_SHARE = 0.05, 0.9
"""How much over the profile's largest share may be taken where larvae need it, and never more; project choice. A tenth
more of the first: 0.3 % become others (standard error 0.2), 4.0 % of amounts, by 13 %."""
DOUBTED_SEED = 0.35
"""A culture likelier than this to be failing starts no other; project choice."""
AGE_WORTH, AGE_PAUSE_DAYS, WAITS_DAYS = 0.3, 6.0, 6
"""What starting an old culture anew is worth, as a share of a vessel, the days between two of them, and for how many
days nobody may be waiting for the animals; project choice."""
TOO_THIN = 0.5
"""Under this share of the density at which cultures are started one is started anew; project choice."""
STUNTED = 0.25
"""Growth in water that is too hot, too cold or poisoned, against the usual: project choice."""
MOST_FALLING = 0.95
"""However clear the signs, a fall under way is taken for no likelier: a count may be a slip; project choice."""
OLD_WATER_LEAST = 0.1
"""At least this share of what stands after a refill was there before it, whatever amounts were typed; it keeps a sum
from running away and decides nothing."""
SLOWEST_PER_DAY = 0.05
"""Growth per day, at least, for which the days until a new culture can serve are told; project choice."""
SURELY_SOUND = 0.1
"""A vessel likelier than this to be falling is counted; project choice."""
SKIPPED_MOST_DAYS = 1
"""A vessel counted longer ago than this is counted: a count also shows what no plan expects, and teaches growth."""
DENSE_WITHIN, CAUGHT_WITHIN, OFTEN_WITHIN = (0.15, 0.85), (0.1, 0.6), (0.4, 2.5)
"""However clearly the record speaks, no cause of falls is ruled out and none is certain; project choice."""

# --- harvests, moves and feed -----------------------------------------------------------------------------------------

LEAST_LEFT = 0.05
"""Of what a vessel holds so much stays in it whatever is poured off: what can't be drained; project choice."""
MOST_POURED = 1.0 - LEAST_LEFT
"""What is poured off at once at most, as a share of what a vessel holds."""
SLACK = 0.05
"""A tank may be overfilled by this share rather than that a whole vessel's harvest goes to waste; project choice."""
FITS = 0.6
"""A standing need takes a whole vessel's harvest if it wants this share of it: one jug is not parted in two; project
choice. A tenth more: 0.1 % become others (standard error 0.1)."""
RINSE_NEAR = 0.02
"""A harvest at most this share larger than what the water wants changed is said to be for the water; words only."""
MET = 0.98
"""A need met to this share counts as met; words only."""
FINE_STEP, FINE_UNDER, STEP = 0.05, 2.0, 0.1
"""Amounts are read off a jug to two figures: steps of the first figure, finer where it is under 2; an amount differs
from what was reckoned by at most 2.5 %. A tenth more of the last: half of the amounts, by 0.6 %."""
JUG_STEP_L, SMALL_STEP_L = 0.1, 0.01
"""Steps by which an amount is rounded down where the next mark of the jug is more than there is, from 1 L on and
under; moves an amount by less than such a step."""
DIGITS_L = 6
"""Digits of a litre that are kept: to a microlitre, so that sums read as they were typed."""
RESTART_DAYS = 7.0
"""A restart that is not urgent may wait so many days; common practice, no source. Words only."""
FED_SURE, MOVED_FED_SURE, STARTER_SURE, RESTART_SURE = 0.9, 0.8, 0.8, 0.6
"""How sure a ration is, one that tint or trouble moved, that a starter is wanted, and a restart of which no flag says
a chance; project choice. They are shown and decide nothing."""

# --- the plan ---------------------------------------------------------------------------------------------------------

PLAN_DAYS, PLAN_MOST_DAYS = 7, 366
"""Days that are planned where nobody says how many, and at most: a week is what is ordered and hatched by."""
FORECAST_MOST_DAYS = 3660
"""A forecast is asked for no further ahead: ten years, so that a slip of typing is met with a sentence."""
STARVING = 0.6
"""With less than this share of their need all broods do poorly, and fewer may do better; common practice, no source.
A note in the plan, which moves no harvest."""
LIKELY = 0.2
"""From this chance on a short day is a note in the plan; project choice, words only."""
SMALLEST = 0.01
"""Harvests ahead under this share of a vessel are left out of the plan; words only."""

# --- what is told of a vessel (shown, decides nothing) ----------------------------------------------------------------

RISING_PER_DAY, FALLING_PER_DAY = 0.05, -0.05
"""Net rates from which on a vessel is said to be rising or falling; project choice."""
SURE_FALLING = 0.8
"""So sure it must be that it falls; project choice."""
INTERVAL = 0.9
"""The share of an interval that is told, everywhere in the program."""
LEVEL_PER_DAY = 0.02
"""A net rate nearer to 0 than this is level as evidence; project choice."""
GROWTH_COUNTS = 3
"""So many of the newest counts stand as evidence of a growth rate; project choice."""
SHOWN_BEFORE = 14.0
"""Days before now that a trend shows, and that are remembered for it; project choice."""
SALT_MOST, WARM_MOST_C = 42.0, 40.0
"""Ends of the practical salinity and temperature, degC, for which the density of sea water is known (EOS-80, Fofonoff &
Millard 1983, see `science/seawater.py`)."""

# --- what is remembered of answers ------------------------------------------------------------------------------------

KEPT_SITUATIONS = 8
"""Looks at the rack that are kept; saves time and moves no answer."""

KEPT_LESSONS = 40
"""Of how many strains and moments a rack's lessons are kept: of some strains at the moments that are kept."""

# --- the record (shown, decides nothing) ------------------------------------------------------------------------------

RECORD_DAYS = 30
"""Days over which vessels are compared and flags are told where nobody says how many: a month."""
LOSS_DAYS, LATE_DAYS = 14, 4.0
"""Days before a loss that its page tells of, and the last ones, compared with those before them; project choice."""
MOVED_BY = 0.3
"""A mean that moved by this share or more is called changed; project choice."""
MOVED_C, MOVED_SALINITY = 2.0, 3.0
"""A mean temperature, degC, or practical salinity that moved so far is called changed; project choice."""
OFTEN, OFTEN_LEAST = 0.4, 3
"""A rule is called often declined from this share and this many declines on; project choice."""
ANSWERED_DAYS = 3.0
"""What was done within so many days of a flag answers it; project choice."""
RECENT = 6
"""From how many of the newest counts the usual number of aliquots and of animals in one is taken; project choice."""
FEW_MORNINGS = 5
"""Fewer mornings with a sign are not told as a share of those that a fall followed; project choice."""

# --- feed in stock (shown, decides nothing) ---------------------------------------------------------------------------

COST_MONTHS = 6
"""Months of costs that are told where nobody says how many."""
FEW_DELIVERED = 1e5
"""Fewer animals than this are no month's yield: a figure per million would say nothing; project choice."""
LOOK_BACK_DAYS = 14
"""Days over which the use of a feed is averaged: two weeks, so that each weekday counts alike; project choice."""
LASTS_MOST_DAYS = 3650
"""A bottle is never said to last longer: ten years, which keeps a date within the calendar."""
ONE_DAY_CV = 0.5
"""How far the use of days to come may differ where only one day is known, as a share; project choice."""

# --- both futures (shown, decides nothing) ----------------------------------------------------------------------------

WORTH_SAYING = 0.15
"""How much likelier a short day must become to be worth saying; project choice."""
ALIKE, ALIKE_BROODS, ALIKE_STOCK = 0.02, 0.05, 0.05
"""Chances and shares of a day, chances of a brood, and stocks (as a share) that differ by less are told to be alike;
project choice."""
LOOKED_AT = (3, 7, 11)
"""Days from now of which the stock is told in both futures; project choice."""
MOST_DIFFERENT_DAYS = 5
"""So many days on which the futures differ are told; project choice."""
AWAY_DAYS, AWAY_MOST_DAYS, AWAY_LEAST_DAYS, LONGEST_AWAY = 14, 60, 3, 28
"""Days that the futures of a rack are told for where nobody says how many, at most and at least, and how long nobody
may be there; project choice."""
FAN_DAYS = tuple(range(15))
"""Days from now that the futures of a vessel are told for: two weeks."""
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
"""Of the density on each of these days: the middle and the ends of the 50 % and 90 % intervals."""
FLOOR_DAYS = (1.0, 2.0, 3.0)
"""Days from now of which the chance to be under the floor is told: as far ahead as falls are warned of."""

# --- words ------------------------------------------------------------------------------------------------------------

FIGURES = 3
"""Significant figures that show every amount that is suggested as it is recorded."""
MILLION_FROM, THOUSAND_FROM = 950_000, 950
"""Animals from which on they are told in millions, and in thousands: what rounds to one of them."""
UNDER_ONE_IN_100, ONE_IN_UNDER = 0.0096, 0.4
"""Chances under the first are told as under 1 in 100, and those under the second as 1 in so many: where the rounded
number of the next one would be 100, and 2."""
ODDS_TOPS = (0.58, 0.71, 0.83, 0.98)
"""Chances up to which about half, 2 in 3, 3 in 4 and 9 in 10 are said: the middles between them; under 2 % from certain
they are said to be nearly certain."""
ODDS_EXACT, ODDS_FIVES = 12, 50
"""One in so many is told exactly, then in fives, then in tens."""
BY_FIVES = 5
"""See `ODDS_FIVES`."""
TWICE_THE_NEED = 1.5
"""A harvest so many times the need is told as more than the need."""
MORE_USUAL = 1.2
"""A usual share of females with eggs is told beside one that is so many times smaller."""
