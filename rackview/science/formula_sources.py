"""The sources of the formulas as texts to be translated.

They are written in the docstring of each formula, where the catalogue does not look; a test holds these equal to those.
"""

from __future__ import annotations

from rackview.language import N_

SOURCES = (
    N_("0.36 of mouth height, turbot, Cunha & Planas, Aquaculture 175:103-110."),
    N_(
        "27 to 28 was measured (152 h), Yasir, I. & Qin, J.G. 2007, J. Mar. Biol. Ass. UK 87:1025-1033; below that "
        "common practice, no source."
    ),
    N_("Bell, T.G. et al. 2007, Environ. Chem. 4:183-186, with the corrigendum of 2008, Environ. Chem. 5:258."),
    N_(
        "Benson, B.B. & Krause, D. 1984, Limnol. Oceanogr. 29:620-632, as in APHA Standard Methods 4500-O and USGS "
        "Office of Water Quality Tech. Memo. 2011.03."
    ),
    N_("Bliss, C.I. & Fisher, R.A. 1953, Biometrics 9:176-200."),
    N_(
        "Bottrell, H.H. et al. 1976, Norw. J. Zool. 24:419-456; coefficients not read in print: common practice, no "
        "source; within 14 % of the table of `from_table`."
    ),
    N_("Caswell, H. 1972, Limnol. Oceanogr. 17:787."),
    N_(
        "Clegg, S.L. & Whitfield, M. 1995, Geochim. Cosmochim. Acta 59:2403-2421 (equation 18, total scale); "
        "Dickson, A.G. 1990, J. Chem. Thermodyn. 22:113-127 (bisulphate); Dickson, A.G. & Riley, J.P. 1979, Mar. "
        "Chem. 7:89-99 (fluoride); Takahashi, T. et al. 1982, GEOSECS Pacific Expedition vol. 3 (activity of H+, for "
        "NBS)."
    ),
    N_(
        "Cunha & Planas, Aquaculture 175:103-110 (turbot); Treece & Davis 2000, SRAC Publication 701; Glamuzina et "
        "al. 1998 (dusky grouper), as cited."
    ),
    N_("Draper, N.R. & Smith, H. 1998, Applied Regression Analysis."),
    N_("Edmondson 1960, Mem. Ist. Ital. Idrobiol. 12:21-77."),
    N_("Elliott, J.M. 1977, Freshwater Biological Association Sci. Publ. 25."),
    N_("Emerson et al. 1975, see `pk_fresh`."),
    N_(
        "Emerson, K., Russo, R.C., Lund, R.E. & Thurston, R.V. 1975, J. Fish. Res. Board Can. 32:2379-2383 "
        "(coefficients checked against its table, 6 to 32 degC)."
    ),
    N_("Fielder, Purser & Battaglene 2000, Aquaculture 189:85-99."),
    N_(
        "Fisher, R.A., Thornton, H.G. & Mackenzie, W.A. 1922, Ann. Appl. Biol. 9:325-359; z for more than 30 "
        "aliquots is Fisher's."
    ),
    N_("Garcia, H.E. & Gordon, L.I. 1992, Limnol. Oceanogr. 37:1307-1312, and the erratum of 1993, 38:656."),
    N_(
        "Garwood 1936, Biometrika 28:437-442 (exact interval); Salonen, Salmi & Keskitalo 2021, J. Plankton Res. "
        "43:846-852 (why not the pooled interval alone)."
    ),
    N_(
        "Garwood 1936, Biometrika 28:437-442; Fisher, Thornton & Mackenzie 1922, Ann. Appl. Biol. 9:325-359, for "
        "phi; pooled as variances are."
    ),
    N_(
        "Garwood 1936, Biometrika 28:437-442; the variance is the negative binomial's (Bliss & Fisher 1953, "
        "Biometrics 9:176-200)."
    ),
    N_(
        "Gimenez, G. et al. 2006, Aquaculture Research, pp. 1130-1139: doses of a product whose strength the text at "
        "hand does not say."
    ),
    N_("IOC, SCOR & IAPSO 2010, Manuals & Guides 56."),
    N_("International Standard Atmosphere, ISO 2533:1975: hydrostatic balance from 15 degC down by 6.5 K a km."),
    N_(
        "Lavens & Sorgeloos (eds) 1996, FAO Fisheries Technical Paper 361, 3.3 (text) and table 3.1 (cells not read "
        "in print: common practice, no source); life history by algal food, Oral Roberts University (abstract, "
        "cohort)."
    ),
    N_(
        "Lavens, P. & Sorgeloos, P. (eds) 1996, FAO Fisheries Technical Paper 361, table 3.1; cells not read in "
        "print: common practice, no source."
    ),
    N_("Leandro, S.M., Tiselius, P. & Queiroga, H. 2006, Mar. Biol. 150:121-129."),
    N_("Lotka 1925."),
    N_("Lotka, A.J. 1925, Elements of Physical Biology."),
    N_(
        "Lund, J.W.G., Kipling, C. & Le Cren, E.D. 1958, Hydrobiologia 11:143-170; Salonen, Salmi & Keskitalo 2021, "
        "J. Plankton Res. 43:846-852 for the factor."
    ),
    N_("Lund, Kipling & Le Cren 1958, Hydrobiologia 11:143-170."),
    N_("McCullagh, P. & Nelder, J.A. 1989, Generalized Linear Models; fitted by iteratively reweighted least squares."),
    N_(
        "McLaren, I.A. et al. 1969, Temperature adaptations of copepod eggs from the arctic to the tropics, Biol. "
        "Bull., who put b = -2.05 for calanoid copepods."
    ),
    N_("Millero, F.J. & Poisson, A. 1981, Deep-Sea Res. 28A:625-629; UNESCO 1981, Tech. Pap. Mar. Sci. 36."),
    N_(
        "Minkoff, Lubzens & Kahan 1983, Biology of Rotifers; light: Hagiwara, A. & Hino, A. 1989, Hydrobiologia "
        "186:415-421."
    ),
    N_("Montagnes et al. 2001, Mar. Biol. 139:975-979, integrated."),
    N_("Montagnes, D.J.S. et al. 2001, Mar. Biol. 139:975-979 (Brachionus plicatilis, 136 rates)."),
    N_("NIST SP 811, appendix B; NIST Handbook 44, appendix C."),
    N_("NIST SP 811."),
    N_(
        "Navarro 1999, J. Exp. Mar. Biol. Ecol. 237:75-87 (shares); Yufera & Pascual 1989, doi "
        "10.1007/978-94-009-0465-1_45 (weights); units."
    ),
    N_("Oie & Olsen 1993, Hydrobiologia 255/256:81-86."),
    N_(
        "Olsen et al. 1993, Hydrobiologia 255/256:13-20; Assavaaree et al. 2001, Aquaculture Research 32:29-39 and "
        "Hydrobiologia 446/447:355-361."
    ),
    N_("Olsen, Reitan & Vadstein 1993, Hydrobiologia 255/256:13-20."),
    N_("Paloheimo 1974, Limnol. Oceanogr. 19:692-694."),
    N_("Paloheimo 1974, Limnol. Oceanogr. 19:692-694; clutches in `CLUTCHES`."),
    N_("Paloheimo, J.E. 1974, Limnol. Oceanogr. 19:692-694; Edmondson, W.T. 1960, Mem. Ist. Ital. Idrobiol. 12:21-77."),
    N_(
        "Piper, R.G. et al. 1982, Fish Hatchery Management, p. 283; stoichiometry, molar masses 70.906, 158.11 and "
        "248.18 g/mol; which reaction runs depends on pH and excess."
    ),
    N_(
        "Przyborowski, J. & Wilenski, H. 1940, Biometrika 31:313-323; Clopper, C.J. & Pearson, E.S. 1934, Biometrika "
        "26:404-413."
    ),
    N_("Quan, X. & Fry, E.S. 1995, Appl. Opt. 34:3477-3480."),
    N_("Romero-Romero & Yufera 2012, Aquaculture."),
    N_("Schaefer, M.B. 1954, Bull. Inter-Am. Trop. Tuna Comm. 1:27-56."),
    N_("Snell, T.W. et al. 1987, J. World Aquacult. Soc. 18:270-277."),
    N_(
        "Sources disagree on zero growth: 0.13, Snell et al. 1987, J. World Aquacult. Soc. 18:270-277 (the default); "
        "0.20, training-course rule of thumb."
    ),
    N_(
        "Sources disagree: 100 to 500 per mL is common practice, no source (the default is its upper end); 1500 per "
        "mL, Anderson, Weirich & Cavalin 2009 (abstract)."
    ),
    N_("Treece & Davis 2000, SRAC Publication 701, who offer 3 times."),
    N_("UNESCO 1983, Tech. Pap. Mar. Sci. 44 (`gsw.C_from_SP`)."),
    N_("UNESCO 1983, Tech. Pap. Mar. Sci. 44 (`gsw.SP_from_C`)."),
    N_("Verhulst, P.-F. 1838, Correspondance mathematique et physique 10:113-121."),
    N_("`salinity_from_sg`, `salinity_from_conductivity`."),
    N_("`sg_from_salinity`, `conductivity_from_salinity`."),
    N_("agreement of the four roads in `RATIONS`."),
    N_("algebra of exponential growth, the inverse of `steady_share`."),
    N_("algebra of exponential growth."),
    N_("algebra of exponential growth; it is not the rate itself, which would be the share of a continuous harvest."),
    N_(
        "common practice, no source; every step lies within the ration by body weight of `RATIONS`, which has a source."
    ),
    N_("constant daily survival."),
    N_("definition of specific gravity; densities by TEOS-10 or EOS-80."),
    N_("definition of the linear compensation."),
    N_("definition, Edmondson 1960, Mem. Ist. Ital. Idrobiol. 12:21-77."),
    N_("definition."),
    N_("definition; 0.70 with a clutch of 5 is 3.5, 0.10 with 1 is 0.10."),
    N_("definition; density by TEOS-10."),
    N_(
        "definition; the 5 is common practice, no source (half of the rotifers moved down as much at once still "
        "swam: Oie & Olsen 1993, Hydrobiologia 255/256:81-86)."
    ),
    N_("geometry of the circular segment."),
    N_("geometry of the frustum."),
    N_("geometry of the sample, as in APHA Standard Methods 10200 F and G."),
    N_("geometry, as in APHA Standard Methods 10200 F."),
    N_("geometry."),
    N_("identity (lambda of life tables)."),
    N_("identity."),
    N_("in `EGG_DAYS`, one for each animal."),
    N_("in each entry of `CALENDAR`."),
    N_("in each entry."),
    N_("inverse of `unionised_mg_l`."),
    N_("mass balance."),
    N_(
        "mass balance; 1.3e5 cells of Nannochloropsis each, Louisiana State University dissertation 1537; 6.5e7 "
        "cells per mL and 0.339 per day, Bioresource Technology 2013, 129:7-11."
    ),
    N_("mass balance; Aoki & Hino 1996, Fisheries Science 62:8-14, for the shares."),
    N_("mass balance; Aoki & Hino 1996, Fisheries Science 62:8-14; PMC4882041 for the make-up of algae."),
    N_("mass balance; the doses named with each purpose."),
    N_(
        "mass balance; the step is common practice, no source (half of the rotifers moved down as much at once still "
        "swam: Oie & Olsen 1993, Hydrobiologia 255/256:81-86)."
    ),
    N_("molar mass 31.9988 g/mol over molar volume 22.3916 L/mol, that of a real gas."),
    N_("molar masses 14.007 and 17.031 g/mol."),
    N_(
        "n-3 HUFA unchanged from 6 to 24 h, Yoshimatsu, T. et al. 1997, Hydrobiologia 358:153-157; the straight line "
        "up to it is an assumption."
    ),
    N_("our own fit to the table of `ration_from_table`, which is common practice, no source."),
    N_("product of the two."),
    N_("propagation of the reading error."),
    N_(
        "quantile of the log-normal distribution; scatter 33 %, World Aquaculture Society abstract 156505 "
        "(Parvocalanus crassirostris)."
    ),
    N_("ratio of two values of Deutsch et al. 2008, see `performance`."),
    N_(
        "renewal of sac after sac, each female at a stage of her own; the gap 0.75 days for Oithona davisae, Uye & "
        "Sano 1995, Mar. Ecol. Prog. Ser. 118:121-128."
    ),
    N_(
        "renewal of sac after sac; 0.4 spawns a day of 23 are 9.2 in Oithona nana, Huanacuni et al. 2021, Animals "
        "11:3544."
    ),
    N_("root of the TEOS-10 density, over all meanings."),
    N_("root of the density, TEOS-10 or EOS-80."),
    N_("see `pk`."),
    N_("slope of the TEOS-10 density."),
    N_("stable age distribution, Lotka, A.J. 1925, Elements of Physical Biology."),
    N_("steady state of a chemostat, growth = dilution."),
    N_(
        "steady state; 0.8 g at 15 to 20 % a day is 4.0 to 5.3 g, 2.0 g at 90 % 2.2 g, Attramadal & Sandvand 1993, "
        "Fish Farming Technology (yeast and oil)."
    ),
    N_("stoichiometry of the composition in `PROTEIN`."),
    N_("study of fertilized eggs of Brachionus plicatilis, L and S type, on Tetraselmis (8 ppt for L, 32 ppt for S)."),
    N_(
        "summer flounder, University of Rhode Island 1999; Treece, G.D. & Davis, D.A. 2000, SRAC Publication 701 "
        "(see decision note)."
    ),
    N_(
        "the form that goes by the name of Deutsch et al. 2008, PNAS, which was inferred from the published test "
        "value of an open statistics package and gives it. Fitted to growth, never to development time, which still "
        "shortens past the best temperature for growth."
    ),
    N_(
        "the interval is that of `aliquot_limits`; its coverage when the counting stops by it is simulated in the "
        "tests."
    ),
    N_("the logistic over a day is the curve of Beverton, R.J.H. & Holt, S.J. 1957; the maximum is derived here."),
    N_(
        "the power is ours, from Schlosser, H.J. & Anger, K. 1982, Helgolander Meeresunters. 35:215-225, and "
        "Montagnes, D.J.S. et al. 2001, Mar. Biol. 139:975-979, both on Brachionus plicatilis; borrowed for other "
        "animals."
    ),
    N_("the variance of ln n is about 1/n for a Poisson count."),
    N_("units."),
    N_("units; molar masses 70.906 and 142.983 g/mol, two of chlorine in one of it."),
    N_("units; molar masses 70.906 and 74.442 g/mol."),
    N_("units; no density per cm2 of a culture was found in print."),
    N_("units; the bounds from the agreement of the four roads in `RATIONS`."),
    N_(
        "units; two equal doses over 6 to 12 h are common practice, no source. Unsaturated fat rose no more after 6 "
        "h at 24 degC: Yoshimatsu et al. 1997, Hydrobiologia 358:153-157."
    ),
    N_("van 't Hoff's rule."),
    N_("van 't Hoff."),
)
"""In the order of the alphabet; what is a citation and nothing else is the same in any language."""
