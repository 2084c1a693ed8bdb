"""The valid ranges of the formulas as texts to be translated.

They are written in the docstring of each formula, where the catalogue does not look; a test holds these equal to those.
"""

from __future__ import annotations

from rackview.language import N_

RANGES = (
    N_("-2 to 60 degC; min below opt below max, -2 to 50 degC."),
    N_("-20 to 20 per day."),
    N_("-273.15 degC and above."),
    N_("-459.67 degF and above."),
    N_("-500 to 6000 m."),
    N_("0 or more each."),
    N_("0 or more."),
    N_("0 to 120 hours, 0 to 32 degC."),
    N_("0 to 1440 minutes, ways of gathering as in `GUT`."),
    N_("0 to 15 of salinity, from 20, at 20 degC; warming adds harm, cooling protects."),
    N_("0 to 1e6 cells per mL, 5 to 40 degC."),
    N_("0 to 1e6 g, 10 to 99 %, by available chlorine or calcium hypochlorite."),
    N_("0 to 1e6 g."),
    N_("0 to 20 per day."),
    N_("0 to 200 mg/L."),
    N_("0 to 40 degC, practical salinity 0 to 40, 0.5 to 1.1 atm."),
    N_("0 to 40 degC, practical salinity 0 to 42."),
    N_("0 to 42.2 g/kg."),
    N_("0 to 45 mL/L."),
    N_("0 to 48 hours."),
    N_("0 to 5 per day, egg time 0.05 to 60 days."),
    N_("0 to 50 degC."),
    N_("0 to 500 %; the others as for `saturation_mg_l`."),
    N_("0 to 60 days, 0 to 6000 per day, 1 to 10 times what is eaten."),
    N_("0 to 60 mg/L (pure oxygen goes that far); the others as for `saturation_mg_l`."),
    N_("1 to 6 hours, where it was measured; count a larval tank again after 6 h before adding more."),
    N_("1 to 90 mS/cm, 0 to 35 degC, 0 to 3 % per degC."),
    N_("10 to 22 degC, where it was measured and no hump shows; the stages nauplii and copepodites."),
    N_("100 to 500 rotifers per mL."),
    N_("100 to 5000 rotifers per mL; the last step, 0.25, stands for all above 500."),
    N_("15 to 25 degC by the table; only 25 by the handbook's text; only 20 by the cohort study."),
    N_(
        "15 to 25 degC for Brachionus plicatilis (table), 15 to 28 for planktonic rotifers pooled, 10 to 25 for "
        "Acartia tonsa, 489 (t - 1.8)^-2.05, 10 to 31 for three other species of Acartia."
    ),
    N_("15 to 25 degC, never beyond."),
    N_("15 to 28 degC, where it was compared with other values."),
    N_("24 to 28 degC."),
    N_("25 animals or more; below that the exact interval is lopsided and the rule does not serve."),
    N_("5 to 35 degC, practical salinity 5 to 40."),
    N_("R0 (daughters per female and life) above 0, r not 0, of one sign with ln R0."),
    N_("`aliquots` 1 or more, `aliquot_cv` (coefficient of variation) 0 to 3."),
    N_("above 0 to 100 %, 0.8 to 1.5 g/mL; concentrates have 8 to 20 % (common practice, no source)."),
    N_("above 0 to 1000 cm, inside diameters, level at most the height."),
    N_("above 0 to 1000 cm, inside, level at most the diameter."),
    N_("above 0 to 1000 cm, inside."),
    N_("above 0 to 1000 cm, measured inside."),
    N_("above 0 to 1000 strips, 100 mm wide, 200 long, 50 deep."),
    N_(
        "above 0 to 15 %, density 0.9 to 1.3 g/mL; household bleach has 3 to 8 % when fresh (common practice, no "
        "source)."
    ),
    N_("above 0 to 1e5 fields of 1e4 mm2, 50 mm deep."),
    N_("above 0 to 1e6 L, salinity 0 to 42, -2 to 40 degC."),
    N_("above 0 to 200 um."),
    N_("above 0 to 5000 um."),
    N_("ages above 0 days (middle of each age class), survival 0 to 1, births 0 or more, not all of them 0."),
    N_("aliquot above 0 to 10000 mL."),
    N_("animal above 0 to 100 ug, share 0 to 3 per day."),
    N_("animals 0 or more, 0 to 30 days (beyond what was tried, see the source), ways of `COLD`."),
    N_("animals 0 or more, 10 to 2000 per mL."),
    N_(
        "animals 0 or more, cells each 0 to 1e7 a day, culture above 0 to 1e9 cells per mL, growth above 0 to 5 per "
        "day, share used above 0 to 1."
    ),
    N_("animals 0 or more, density above 0 to 1e6 per mL, recovery above 0 to 1."),
    N_("animals 0 or more, eaten above 0 to 6000 per larva and day, scatter 0 to 2, chance 0.5 to 0.999."),
    N_("animals 0 or more, eaten above 0 to 6000 per larva and day."),
    N_("animals 0 or more, ration 0.1 to 3 g dry per million and day, days 0 to 31."),
    N_("animals 0 or more, share above 0 to 1."),
    N_("animals 0 or more, strains of `EGGS_MADE`."),
    N_("as for `animals_to_add`; larvae 0 to 1e7, eaten 0 to 6000 per larva and day, feeds 1 to 48 a day."),
    N_("as for `growth_factor`."),
    N_("as for `negbin_k_moments`."),
    N_("as for `prey_ratio`."),
    N_("as for `salinity_from_sg` in at least one convention."),
    N_("as for `salt_for_water`."),
    N_("as for `starter_volume`; refused when the donor would fall under `floor_per_ml`."),
    N_("as for `total_ammonia_tomorrow` and `unionised_mg_l`; oxygen and its least 0 to 60 mg/L."),
    N_("as there."),
    N_("as there; a wanted salinity that no water from 0 to 42 can bring about is refused."),
    N_("at least one animal in one of the counts; kept above 0 to 1."),
    N_("birth rate 0 to 20, net rate -20 to 20 per day."),
    N_("both above 0 to 1e4 um."),
    N_("by source, as said."),
    N_("cells 0 or more, cell above 0 to 1e5 pg."),
    N_("cells above 0 to 1e6 per mL, animals above 0 to 1e5 per mL, 5 to 40 degC."),
    N_("clutch 1 to 200 eggs, egg time above 0 to 60 days, gap 0 to 60 days, hatching 0 to 1."),
    N_("culture above 0 to 1e6 L, above 0 to 1e9 cells per mL, cells a day above 0, growth 0 to 5 per day."),
    N_("day 0 to 365."),
    N_("densities 0 or more, share 0 to 1."),
    N_(
        "densities, days and volumes above 0; shares 0 to below 1. A count of zero has no logarithm: use its upper "
        "limit from `counts.count_density`."
    ),
    N_("density 0 to 1e6 per mL, volume above 0 to 1e6 L, surface above 0 to 1e7 cm2."),
    N_("each 0 to 365 days, at least one."),
    N_("egg ratio 0 to 20, edges rising; the edge 0.5, which the source gives to both bands, counts as growing."),
    N_("egg ratio 0 to 20, egg time above 0.05 to 60 days."),
    N_("egg ratio 0 to 20."),
    N_("egg time above 0 to 60 days, gap 0 to 60 days."),
    N_("eggs 0 or more, females 1 or more."),
    N_("error 0 to 1; the others as for `unionised_mg_l`."),
    N_("feeds with the make-up of algae."),
    N_("grams 0 or more, animals above 0."),
    N_("grams 0 or more, cell above 0 to 1e5 pg."),
    N_("grams 0 or more, strength above 0 to 1 g/mL."),
    N_("hatched 0 to 1e7, survival 0 to 1 per day, 0 to 365 days."),
    N_("limit 0 to 20 mg/L; the others as for `unionised_mg_l`."),
    N_("lost from 0 to less than the water there is; result at most 42."),
    N_("mean above 0, k above 0, variation 0.001 to 1."),
    N_("mouth above 0 to 1e4 um, ratio 0.1 to 0.9."),
    N_("nauplii 0 or more, volume above 0 to 1e6 L, adults above 0 to 1e4 per mL."),
    N_("one animal or more each, days above 0."),
    N_(
        "pH 5 to 10, 5 to 35 degC, practical salinity 5 to 40; fresher cultures take `unionised_fraction_fresh`. "
        "Constants better than about 5 %; the electrode on the NBS scale adds a few hundredths of pH. The activity "
        "behind the NBS scale was fitted to ocean water: below a salinity of about 20 that share comes out low, by a "
        "quarter at 5."
    ),
    N_("pH 5 to 12, 0 to 50 degC, salinity near 0."),
    N_("practical salinity 0 to 42, -2 to 40 degC (ITS-90, turned into IPTS-68 inside)."),
    N_("practical salinity 0 to 42, -2 to 40 degC."),
    N_("precision 0.005 to 1."),
    N_("precision 0.02 to 1; the others as for `aliquot_limits`."),
    N_("quantities and units of `FACTORS`, and temperature in degC or degF."),
    N_("rate 0 or more, q10 0.2 to 10, both temperatures -2 to 45 degC and at most 10 apart."),
    N_("rate 0 to 20 per day, ceiling above 0."),
    N_("rates above 0, temperatures -2 to 45 degC and different."),
    N_("ration 0 or more, share above 0 to 2 per day."),
    N_("readings that fall into salinity 0 to 42."),
    N_("receiver above 0 to 1e6 L, densities per mL, the donor at least as dense as what is wanted."),
    N_("result 0 to 3 g per million, beyond which a unit is surely mistaken; cell above 0 to 1e5 pg."),
    N_("salinities 0 to 42, step 0.5 to 42."),
    N_("salinity 0 to 35, 0 to 30 degC, 400 to 700 nm."),
    N_("salinity 0 to 42, -2 to 40 degC."),
    N_("salinity 0 to 42, from 2 for mS/cm."),
    N_("salinity 0 to 42."),
    N_("salinity 1 to 41, -2 to 40 degC."),
    N_("salinity 2 to 42, -2 to 35 degC."),
    N_("salinity now from the salinity before to 42, the latter above 0."),
    N_("share 0 to 1, clutch 1 to 200 eggs."),
    N_(
        "share 0 to 1, egg time above 0.05 to 60 days, clutch 1 to 200 eggs, spread 1 to 5; the lower clutch is "
        "never under 1 egg."
    ),
    N_("share 0 to below 1."),
    N_("share above 0 to 1, days above 0 to 365."),
    N_("shares 0 to below 1."),
    N_("start and ceiling above 0, rate -20 to 20 per day."),
    N_("survival shares 0 to 1, births 0 or more, one of each for every age."),
    N_("t above alpha, to 100 degC; alpha -50 to 50; a above 0; b -10 to 0."),
    N_("taken from 0 to less than the vessel holds; `most_step` 0.5 to 42 (5 by default); waters as in `join`."),
    N_("tallies whole and 0 or more, their sum at most 1e7; see `looked_at_ml` for the others."),
    N_("tallies whole and 0 or more; cv 0 to 3; behind 1 to 1000."),
    N_("tank above 0 to 1e6 L, densities 0 to 1000 per mL."),
    N_("the animals and states of `CLUTCHES`."),
    N_("the animals of `LIMITS`; a borrowed limit says nothing of another animal."),
    N_("the groups named there."),
    N_("the organisms of `PEROXIDE`."),
    N_("the organisms of `RESIDUALS`; fish want less than any of them."),
    N_("the strains named there; a profile of your own carries its own mesh."),
    N_("three counts or more, at least two of them above zero, mL above 0."),
    N_("three points or more, densities and weights above 0."),
    N_(
        "total 0 to 200 mg/L, feed 0 to 1e4 g dry, animals 0 or more, ration above 0 to 10 g per million, volume "
        "above 0 to 1e5 L, exchanged 0 to 1."
    ),
    N_(
        "total 0 to 200 mg/L; the others as for `unionised_fraction`. A single salinity from 0 to below 5 is taken "
        "as fresh water (`unionised_fraction_fresh`), which gives a third more than the NBS scale does at 5: the "
        "side to err on."
    ),
    N_(
        "two aliquots or more, one animal or more; the chi-square approximation wants a mean of about 5, and with "
        'three to five aliquots the test has little power, so that "not clumped" does not mean "random".'
    ),
    N_("two stages or more of above 0 to 365 days, rate -2 to 2 per day."),
    N_("two tallies or more; with fewer than about 20 the estimate is of little use."),
    N_("usual between min and max; the others as for `performance`."),
    N_("values that give a salinity of 0 to 42, from 2 for mS/cm."),
    N_("volume 0 to 1e6 L, density 0 to 1e6 per mL."),
    N_("volume above 0 to 1e5 L, 1 to 2000 mg/L, 1 to 6 doses."),
    N_("volume above 0 to 1e5 L, cells 0 or more, the feed denser than what is wanted."),
    N_(
        "volume above 0 to 1e5 L, stock above 0 to 150 mg/mL and stronger than the dose, `mg_per_l` from the "
        "purpose's least to 5000."
    ),
    N_("volume above 0 to 1e6 L, densities 0 to 1e6 per mL."),
    N_(
        "volume above 0 to 1e6 L, salinity 0 to 42, -2 to 40 degC, dry fraction above 0 to 1 (by the maker's word or "
        "one batch of your own; salts with crystal water have 0.8 to 1)."
    ),
    N_("volumes above 0 to 1e6 L, salinity 0 to 42, -2 to 40 degC."),
    N_("wanted above 0, at most the salinity there is; volume above 0 to 1e6 L, -2 to 40 degC."),
    N_("wanted from the salinity there is to 42; the rest as for `salt_for_water`."),
)
"""In the order of the alphabet."""
