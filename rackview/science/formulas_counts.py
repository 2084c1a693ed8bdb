"""Entries of the formulas about counts."""

from __future__ import annotations

from rackview.language import _
from rackview.science import counts
from rackview.science.formula_entry import OUTSIDE, Formula, Input

TALLIES = Input("tallies", _("animals tallied, one number per aliquot"), (12, 15, 9), _("whole numbers of 0 or more"))
LEVEL = Input("level", _("confidence level"), 0.95, "", 0.5, 0.9999)
PRECISION = Input("precision", _("half-width wanted, share of the mean"), 0.2, "", 0.02, 1)

CV = Input("aliquot_cv", _("scatter between aliquots beyond chance"), 0.3, _("standard deviation over mean"), 0, 3)
BEHIND = Input("behind", _("how many aliquots that scatter is known from"), 3.0, _("aliquots"), 1, 1000)

COUNTS = (
    Formula(
        "counts.looked_at_ml",
        _("v = aliquots * aliquot_ml * concentration / (dilution * fixative)"),
        _("mL of original culture"),
        (
            Input("aliquots", _("aliquots"), 3, "", 1, None),
            Input("aliquot_ml", _("volume of an aliquot"), 1.0, _("mL"), 0, 10000, open_low=True),
            Input("dilution", _("dilution, after over before"), 10.0, "", 1, 1e6),
            Input("fixative", _("fixative, after over before"), 1.02, "", 1, 1000),
            Input("concentration", _("sieved, culture over concentrate"), 1.0, "", 1, 1e6),
        ),
        ("test_density_worked_examples", "test_density_units_cancel"),
    ),
    Formula(
        "counts.strips_ml",
        _("v = strips * length * width * depth / 1000"),
        _("mL under the strips"),
        (
            Input("strips", _("strips counted"), 4.0, "", 0, 1000, open_low=True),
            Input("width_mm", _("width of a strip"), 1.0, _("mm"), 0, 100, open_low=True),
            Input("length_mm", _("length of the chamber"), 50.0, _("mm"), 0, 200, open_low=True),
            Input("depth_mm", _("depth of the chamber"), 1.0, _("mm"), 0, 50, open_low=True),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "counts.fields_ml",
        _("v = fields * area * depth / 1000"),
        _("mL under the fields"),
        (
            Input("fields", _("fields counted"), 50.0, "", 0, 1e5, open_low=True),
            Input("area_mm2", _("area of a field"), 1.0, _("mm2"), 0, 1e4, open_low=True),
            Input("depth_mm", _("depth of the chamber"), 1.0, _("mm"), 0, 50, open_low=True),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "counts.count_density",
        _("D = n / v; limits of the number counted / v; exact: P(X >= n | low) = P(X <= n | high) = (1 - level)/2"),
        _("animals per mL with both intervals and the dispersion test"),
        (
            TALLIES,
            Input("aliquot_ml", _("volume of an aliquot"), 1.0, _("mL"), 0, 10000, open_low=True),
            Input("dilution", _("dilution, after over before"), 1.0, "", 1, 1e6),
            Input("fixative", _("fixative, after over before"), 1.0, "", 1, 1000),
            LEVEL,
            Input("concentration", _("sieved, culture over concentrate"), 1.0, "", 1, 1e6),
        ),
        (
            "test_density_worked_examples",
            "test_poisson_limits_equal_the_gamma_quantiles_of_scipy",
            "test_the_poisson_interval_never_covers_less_than_its_level",
            "test_the_replicate_interval_is_students_cut_off_at_zero",
        ),
    ),
    Formula(
        "counts.scattered_limits",
        _("low = n (low0 / n)^f, high = n (high0 / n)^f, f = sqrt(1 + n cv^2 / r), low0 and high0 the exact limits"),
        _("limits of the number of animals"),
        (
            Input("animals", _("animals counted"), 120, _("animals"), 0, 10000000),
            Input("aliquots", _("aliquots they were counted in"), 3, _("aliquots"), 1, None),
            Input(
                "aliquot_cv", _("scatter between aliquots beyond chance"), 0.12, _("standard deviation over mean"), 0, 3
            ),
            LEVEL,
        ),
        ("test_limits_with_known_scatter_hold_as_often_as_they_say", "test_without_scatter_the_limits_are_garwoods"),
    ),
    Formula(
        "counts.dispersion",
        _("chi2 = sum (x - D v)^2 / (D v), D = sum x / sum v, on r - 1 degrees of freedom"),
        _("variance over mean, chi2, its two tails, Fisher's z"),
        (TALLIES, Input("volumes_ml", _("volume of each aliquot"), (1.0, 1.0, 0.5), _("mL, one for each tally"))),
        ("test_dispersion_of_students_yeast", "test_dispersion_equals_scipys_chi_square_test", OUTSIDE),
    ),
    Formula(
        "counts.negbin_k_moments",
        "k = m^2 / (s2 - m)",
        _("exponent k, or none when s2 <= m"),
        (TALLIES,),
        ("test_negative_binomial_k_of_students_yeast", OUTSIDE),
    ),
    Formula(
        "counts.negbin_k",
        _("sum digamma(x + k) - r digamma(k) - r ln(1 + m/k) = 0"),
        _("exponent k, or none when s2 <= m"),
        (TALLIES,),
        ("test_negative_binomial_k_against_statsmodels", OUTSIDE),
    ),
    Formula(
        "counts.lund_percent",
        _("w = 200 / sqrt(n), times 1.4 when animals clump"),
        _("half-width of the 95 % interval, % of n"),
        (Input("animals", _("animals counted"), 100.0, _("animals"), 25, 1e9),),
        (OUTSIDE, "test_lund_stands_for_the_exact_interval"),
    ),
    Formula(
        "counts.animals_needed",
        _("n = (2 / precision)^2"),
        _("animals to count"),
        (Input("precision", _("half-width wanted, share of the mean"), 0.2, "", 0.005, 1),),
        (OUTSIDE, "test_lund_and_its_inverse"),
    ),
    Formula(
        "counts.aliquots_needed",
        "r = (1/m + 1/k) / c^2",
        _("aliquots, to be rounded up"),
        (
            Input("mean", _("mean tally of an aliquot"), 20.0, _("animals"), 0, 1e9, open_low=True),
            Input("k", _("exponent of clumping"), 4.0, "", 0, None, open_low=True),
            Input("variation", _("standard error over mean"), 0.15, "", 0.001, 1),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "counts.aliquot_limits",
        _(
            "n (low0/n)^f, n (high0/n)^f, f = sqrt(phi) t/z; phi = (b (1 + m cv^2) + (r - 1) s2/m)/(b + "
            "r - 1), at least 1"
        ),
        _("limits of the number of animals"),
        (TALLIES, LEVEL, CV, BEHIND),
        (
            "test_who_counts_until_told_has_the_precision_and_the_coverage",
            "test_one_aliquot_alone_has_its_coverage_too",
            "test_limits_with_much_behind_them_are_those_of_known_scatter",
        ),
    ),
    Formula(
        "counts.more_aliquots",
        _("the least r at which half of the interval is precision * n"),
        _("aliquots still to count"),
        (TALLIES, PRECISION, LEVEL, CV, BEHIND),
        (
            "test_more_aliquots_reach_the_precision",
            "test_more_aliquots_when_clumped_when_empty_and_when_alone",
            "test_who_counts_until_told_has_the_precision_and_the_coverage",
        ),
    ),
    Formula(
        "counts.count_change",
        _("n2 given n1 + n2 is binomial with p = v2 kept / (v1 + v2 kept)"),
        _("density after over before, its interval, p of no change"),
        (
            Input("before", _("count before"), counts.count_density([60, 60], 1.0), _("a density")),
            Input("after", _("count after"), counts.count_density([40, 40], 1.0), _("a density")),
            Input("kept", _("share of culture kept in between"), 1.0, "", 0, 1, open_low=True),
            LEVEL,
        ),
        ("test_count_change_equals_the_exact_binomial_test", "test_count_change_read_backwards_is_its_reciprocal"),
    ),
)

FORMULAS = COUNTS
