"""Every number that the choice rests on, each with its unit and origin.

"Project choice" says that nobody else has said this number, "common practice, no source" that keepers do. Those of a
choice were set on six simulated worlds of a rack. How far a tenth more of each moves what is taken in a day is in
docs/decide.md, measured by `tests/benchmarks/decide_sensitivity.py`. What a keeper may change stands in the settings
and profiles; here is what holds until then.
"""

from __future__ import annotations

# --- what things are worth --------------------------------------------------------------------------------------------

BROOD, VESSEL, STRAIN, STARTER = 200.0, 25.0, 150.0, 40.0
"""A brood raised, a culture to build up anew, the last of a strain, a bought starter, in any one unit; project choice,
the keeper's to change."""
FEED_G, MINUTE, SPARE_M, MOUTH_M = 0.20, 0.06, 0.15, 0.30
"""A gram of dry feed, a minute's work, a million animals poured away, a million given to mouths that can do without, in
the same unit; project choice, the keeper's to change."""
MINUTES = {"harvest": 1.5, "restart": 6.0, "split": 3.0, "clean": 1.5, "feed": 0.4, "count": 0.8}
"""Minutes that each action takes: common practice, no source."""
MET_LINE, MET_WIDTH = 0.68, 0.03
"""Share of a day's need under which a brood is lost, and the width of that line: a day met by less than about 70 %
loses a brood, one met by four fifths hardly; common practice, no source."""
THRIFT = 0.8
"""Share of a brood's worth that goes with how well its days are met, where none falls under the line; project
choice."""
LATER_LESS = 0.97
"""What a brood lost, or hungry, a day later counts against one today: by then the keeper may have found other food, and
no brood is let go today for the sake of one that can't be fed to its end anyway; project choice."""
BROOD_DAYS = 9.0
"""Days of a usual brood on live feed, over which that share is spread; common practice, no source."""
LINE = 0.7
"""A day met by less than this share is said to fall short; common practice, no source."""
REPLANNED_AFTER, REPLANNED_TO, REPLANNED = 2, 8, 0.2
"""Days up to which a chance of falling short comes true as it is, up to which it was watched, and how much its power
grows with every day between: the mornings until then are planned anew and avert what the futures, which have the sound
keeper only, let come. Chosen by log and squared score over seasons 1000 to 1011 of six worlds (docs/decide.md)."""
SAFE = 0.2
"""A brood that falls short with no more than this chance is called safe: one in five, as in the notes of a plan;
project choice."""
LEFT_SHARE, LEFT_STOCK = 0.45, 0.16
"""What the stock left at the end is worth of a brood, and the share of a full rack at which two thirds of that are
there where a thin culture grows by `USUAL_RATE` a day; more where it grows slower, and within `LEFT_TIMES`: the next
brood comes sooner than an empty rack is full again; project choice."""
USUAL_RATE, LEFT_TIMES = 0.5, (0.7, 1.6)
"""Growth of a thin culture per day, and bounds of a factor; project choice."""
SEED_SHARE = 0.1
"""A culture over this share of its ceiling counts as alive at the end; project choice."""
STRAIN_SHARE = 0.02
"""A strain of which less than this share of a full rack is left at the end is in part lost; project choice."""
USUAL_FULL_M = 30.0
"""What a million animals and their feed are worth holds for a rack that carries so many millions, the worth of a brood
for the brood that a rack is built for; so a rack of half the size is run alike; project choice."""

# --- what larvae need -------------------------------------------------------------------------------------------------

MOST_EATEN_PER_DAY = 1900.0
"""Rotifers eaten per larva and day at most: Treece & Davis 2000, SRAC Publication 701, read in a reprint."""
FIRST_DAY, LAST_DAY = 0, 10
"""Age in days at which larvae of which nothing else is said are first and last fed; common practice, no source."""
PREY_PER_ML = 8.0
"""Prey per mL wanted in a tank of which nothing else is said; common practice, no source."""
USUAL_SD = 0.3
"""How far broods differ from the need reckoned for them, as a logarithm: published rations of one age differ by more,
broods of one keeper by less. Common practice, no source."""
LOOK_SD = 0.35
"""How far one look is off (logarithm): a few mL counted, prey that gathers at the surface, a delivery that was not
quite full. Common practice, no source."""
EMPTY_SHARE, EMPTY_MORE = 0.05, 1.25
"""A tank with less than this share of the wanted prey is as good as empty, and more might have been eaten then: by so
much, with twice the doubt. Common practice, no source."""
LEAST_GONE = 0.1
"""Less than this share of the need is never taken to have been eaten: a count of what is left is not that sure; project
choice."""
Z90 = 1.645
"""The 95 % point of the normal distribution."""

# --- what holds of a rack until it is known ---------------------------------------------------------------------------

LOWEST_PER_ML = 25.0
"""The thinnest that a culture may serve down to, animals per mL; common practice, no source."""
START_PER_ML = 100.0
"""What a culture is started at and thinned to at most, animals per mL; common practice, no source."""
SHARE_MOST = 0.55
"""The largest share taken of a culture in a day; common practice, no source."""
RATION_G = 0.5
"""Dry feed, g per million and day; common practice, no source."""
SHARE_OVER = 0.2
"""The share over the need that a keeper takes, for losses at the sieve and counts that err; common practice."""
STARTER_DAYS = 7.0
"""Days until a bought starter is there; common practice, no source."""
DENSE, CAUGHT, OFTEN = 0.5, 0.25, 1.0
"""Share of the futures in which days near the ceiling bring a culture down, chance to catch what a neighbour has, and
how often falls begin against usual, for a rack that taught nothing yet: common practice, no source."""

# --- futures ----------------------------------------------------------------------------------------------------------

DAYS, DAYS_MOST = 12, 17
"""Days played ahead: a brood is fed for 8 to 10 and a thinned rack grows back within five; more where a brood is
announced that is fed longer than that; project choice."""
FED_DAYS = (8, 10)
"""For how many days a brood is fed of which needs were said for its first days only; common practice, no source."""
SEED, SHARED_SEED = 20_260_301, 1_000_003
"""Of the fixed streams of chance, a vessel's and the rack's."""
VESSEL_DRAWS, RACK_DRAWS, RACK_NORMALS = 9, 8, 3
"""How many even numbers a vessel and the rack have in each future, and normal ones the rack on each day: for growth,
for hands and for needs."""
BEND = (0.0, 1.3)
"""How late crowding is felt: growth falls with p (1 + bend (p - 1)) where p is the share of the ceiling, so 0 is the
logistic and 1 its square; project choice, centred on what the estimate fits."""
MEMORY, SHARED = 0.75, 0.35
"""How much of a day's good or bad growth is left the next day, and what share of it (as variance) the vessels have in
common: room, water and bottle. Common practice, no source."""
ALIKE = 0.5
"""Share of what is not known of growth and ceiling (as variance) in which the cultures of a rack are alike: one
clone, one feed, one water. Common practice, no source."""
SWIFT_UNDER_LOW = -0.7
"""How growth and ceiling go together in what is not known of them (correlation): counts of a culture in daily use show
its growth where it stands, and a swift culture under a low ceiling grows there like a slow one under a high ceiling.
Chosen by how well the stock of the next nine days was foretold on seasons 3000 to 3007 of six worlds
(docs/decide.md)."""
SWIFT = 0.3
"""Least share of a change in crowding that growth follows within a day: eggs take a day to hatch and young two to lay,
and laying may remember a week. A thinned culture grows back the later for it; project choice."""
DEPTH = (0.3, 0.95)
"""What a fall takes of a culture, least and most; common practice, no source."""
FALL_WITHIN = 3.0
"""Days within which a fall that is under way comes; common practice, no source."""
CAUGHT_AFTER = 1.0
"""Days after which a culture that caught what a neighbour has falls at the earliest: tools, hands and splashes carry
it. Common practice, no source."""
SHARED_PER_DAY, SHARED_HITS = 1.0 / 220.0, 0.55
"""How often a day a cause that all share comes (a bottle, a batch of water, the room, an infection that goes round),
and the share of the cultures that it brings down. Common practice, no source."""
CROWD_HAZARD = 0.006
"""Chance per day and squared day near the ceiling in the futures in which days there bring a culture down. Both are
published: cultures that stand full for weeks and cultures that fall within days of it. Common practice, no source."""
LOGS = (-12.0, 16.0)
"""Log densities (animals per mL) that can be reckoned with."""
DENSITY_SD_MOST, CEILING_SD_MOST = 1.5, 1.0
"""More doubt of a log density or ceiling is drawn as if it were so much; project choice."""
RATES = (0.03, 1.5)
"""Growth of a thin culture that can be drawn, per day; 0.1 to 0.8 are published for one strain of rotifers."""
OVER_CEILING = 0.85
"""A culture stands at least at this share of the ceiling drawn for it where it stands now; project choice."""
LEAST_FILL = 0.05
"""A vessel is taken to hold at least this share of its volume."""
NEW_RATE, NEW_RATE_SD, NEW_DAILY_SD = 0.55, 0.12, 0.08
"""Growth of a culture of which nothing is known yet, its spread, and what a day departs from it, per day: the usual
rotifer's thin, common practice, no source."""
NEW_CEILING, NEW_CEILING_SD = 3.5, 0.35
"""Its ceiling against the density of a start, and the spread of its logarithm; common practice, no source."""
NEED_SD, NEED_DAY_SD = 0.12, 0.08
"""Spread of the logarithm of a need said ahead, of a whole brood and of each of its days; common practice."""
HATCH_SHIFT, EARLY = 0.2, 0.2
"""The chance that a hatch comes a day later and earlier than said; common practice, no source."""
GAP_DAYS = (8.0, 26.0)
"""Days from now to the hatch of a brood that nobody has announced yet: broods come every two to three weeks; common
practice, no source."""
AFTER_KNOWN = 4.0
"""Days after the last need known of at which such a brood may hatch; those before would have been announced; common
practice, no source."""
BUILT_FOR, HEIGHT = 0.16, (0.55, 0.65)
"""Share of what a rack holds when full that its broods usually take on their greatest day, and the least of it that
such a brood takes with how much more it may be; project choice."""
RAMP = (0.45, 0.14)
"""Share of its greatest need that a brood has on its first day, and by how much it rises a day; common practice."""
HANDS_SD = 0.07
"""How much amounts taken by hand are off (logarithm): common practice, no source."""
NORMAL_TOP, NORMAL_LOW = (2.515517, 0.802853, 0.010328), (1.432788, 0.189269, 0.001308)
"""Of the normal quantile: Abramowitz & Stegun 1964, formula 26.2.23."""

# --- how cultures live in them ----------------------------------------------------------------------------------------

NEAR, NEAR_WIDTH, NEAR_MOST, FADES = 0.72, 0.2, 1.5, 0.55
"""Over this share of its ceiling a culture is under strain, fully so this much higher, at most so much in a day, and
how much of it is left a day later; project choice."""
SICK_GROWTH, SICK_DAYS, WEAK_GROWTH, MENDS = 0.35, 3, 0.3, 0.14
"""Growth of a culture about to fall in so many days and of one just fallen, against a sound one's, and how much of it
comes back a day: common practice, no source."""
CROWDED_MOST, SHRINKS = 1.6, -0.4
"""What is over its ceiling shrinks, from this share of it on no more, and not faster than this a day; project
choice."""
GONE, GONE_GROWTH = 0.05, 0.25
"""Under this share of its ceiling a culture is started anew when another can give; by itself it hardly comes back, with
this share of its growth; project choice."""
GIVES, GIVEN = 0.3, 0.3
"""From this share of its ceiling on a culture gives a start in the days ahead, and how much of it; project choice."""

# --- the sound keeper -------------------------------------------------------------------------------------------------

AHEAD_DAYS = 6
"""How many days a keeper looks ahead when sizing the stock: a thinned culture grows back a big harvest in about so
long; project choice."""
IDLE, TOP = 0.3, 0.8
"""Share of its ceiling at which a culture is kept when nothing is coming, and the most it is let up to; project
choice."""
KEPT = 0.42
"""Share of its ceiling at which a culture is kept where no larvae are to be fed: there it grows back about a third a
day, the trade's 30 to 40 % harvest where cultures thrive."""
SPARE_AIM = 0.62
"""Share of the ceiling aimed at where a day's need is what the rack can just sustain; project choice."""
SUSTAINED = 0.4
"""Share of what a full rack would grow at the pace of a thin culture that can be taken every day: a culture at 0.5 of
its ceiling grows at half that pace or more."""
SLOWEST = 0.1
"""Growth per day that a rack is reckoned with at least; project choice."""
THINNED = 0.3
"""While larvae are fed, no more than this share of a culture is taken in a day for the sake of its density alone;
project choice."""
WORTH_HANDS = 0.08
"""A culture less than this share over its aim is left alone; project choice."""
MARGIN = 1.12
"""Over the need, for hands and counts that err; common practice, no source."""
LEVELS = (0.45, 0.25, 0.1)
"""Shares of the ceiling down to which cultures serve today, one after the other as need be; project choice."""
DEEPEST = 0.04
"""The same where a brood is lost otherwise, if the density is one that a culture lives at; project choice."""
LATER = (0.4, 0.08)
"""The same in the days ahead; project choice."""

# --- ways to act ------------------------------------------------------------------------------------------------------

SCALES = (0.6, 0.8, 1.0, 1.25, 1.6, 2.2)
"""How much stock to keep, against what a sound keeper would; project choice, as all ways to be tried."""
FEW_SCALES, SHORT_SCALE = (1.0, 1.6), 1.6
"""The same where less or more than today's need is taken, and where stock is short."""
WANTS, WANT_MORE = (0.0, 0.84, 1.0), 1.5
"""How much of today's need to take besides all of it with the keeper's margin, and half as much again as that."""
LESS, LESS_TODAY = (0.82, 0.9), (0.81, 0.86, 1.0)
"""Share of the need taken day by day where stock is short, and today: over the line, and it lasts longer."""
DEEP_WANTS = 0.8
"""Cultures are served deeply for a day that is met by at least this share, not for less."""
NEVER = 1e6
"""Level that no culture stands over: it does not serve."""
SMALLEST = 0.03
"""A smaller share is left where it is."""
STARTS = (1.2, 2.2)
"""How much culture a start gets, against what starts it at the strain's usual density."""
GIVES_MOST, RESERVE_GIVES = 0.5, 0.3
"""The largest share that a culture, and one kept in reserve, gives to another."""
GIVER_SHARE = 0.25
"""What an all but empty giver loses by giving, as a share of a vessel: one that stands dense gains by it."""
GIVER_ILL = 3.0
"""How many units of log density the certainty of a fall takes off a giver."""
GIVER_LEAST = 0.8
"""A giver stands at no less than this share of the thinnest that it is thinned to: a count tells no fifth."""
SLOW_SHARE = 0.6
"""What it costs to start a culture from one that grows slowly, as a share of a vessel and of what its growth falls
behind the best: what ails a giver slows it before it is seen, and goes with the culture into the new vessel."""
DOUBTED = 0.05
"""A giver likelier than this to be failing starts only what failed already."""
AS_WELL = 0.8
"""A giver that grows at this share of the rate of the culture it replaces grows as well, as far as counts can tell."""
SHARE_DIGITS = 3
"""Decimals of a share that is moved."""
CUT = 0.3
"""A share taken of a culture beyond what its aim asks for."""
GIVERS = 2
"""How many givers are looked at for each vessel that can be started."""
MOVES = 3
"""At most so many transfers in a day."""

# --- the choice -------------------------------------------------------------------------------------------------------

FINE, COARSE = 192, 48
"""How many futures decide among the best ways, and how many sift them first: a brood lost in 3 of 100 is seen in
neither 32 nor by chance alike in two ways."""
MANY, FINE_MANY, COARSE_MANY = 10, 96, 32
"""From how many vessels on fewer are played, and how many: for the time that it takes."""
SIFTED, CLOSE, TOGETHER, LISTED = 5, 3, 2, 8
"""So many ways of a sifting are looked at closely: of the openings, of the changes and of several changes together, of
which so many are put on top of each other; for the time that it takes."""
GAIN = 0.15
"""What a change must gain at least, in the keeper's worth, over once its standard error; project choice."""
ALIKE_FOR, ALIKE_ERRORS = 0.7, 2.0
"""While larvae are fed, ways to begin the day that are worth less than the best by no more than this, a third of a
hundredth of a brood, and by no more than so many standard errors, are not told apart by the futures; of them the one
that throws least away is taken. Project choice: 1.0 whatever the error cost 0.5 of 62 a season, this nothing."""
ROUNDS = 2
"""How often changes are looked for; for the time that it takes."""
PLANNED = 100
"""Futures of a plan: a chance is told to about five points."""
ENDANGERED = 0.1
"""A chance of a day falling short from which on a bought starter is thought of; project choice."""
LIVES = 0.3
"""Share of the density of a start under which a culture counts as gone; project choice."""
BAND = (0.05, 0.5, 0.95)
"""Quantiles of the supply that are said: the middle and the 90 % interval."""

# --- how far to count -------------------------------------------------------------------------------------------------

LEAST_ALIQUOTS = 2
"""One aliquot shows no slip: whoever counts counts two; common practice, no source."""
USUAL_CV = 0.12
"""How aliquots differ beyond chance before the keeper's own have told (a CV): common practice, no source."""
SHUFFLES = 4
"""How often densities are shuffled to see what chance alone would give."""
LEAST_COUNTED = 0.1
"""Animals that a count finds at least, of which its error is reckoned."""
