"""Counts: density, intervals, and how many more to count."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from rackview.core.errors import InputError
from rackview.science import counts

TALLIES = st.lists(st.integers(0, 400), min_size=1, max_size=12)


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        # invented tallies; limits by gammaincinv of scipy 1.17.1 on the volume of original culture
        ({"tallies": [12, 15, 9, 18, 11], "aliquot_ml": 1}, (13.0, 10.033125545846854, 16.569567163174344)),
        (
            {"tallies": [30, 28, 29], "aliquot_ml": 1, "dilution": 10, "fixative": 100 / 98},
            (295.9183673469388, 237.01848141435275, 365.0142128657273),
        ),
        ({"tallies": [250], "aliquot_ml": 0.2}, (1250.0, 1099.8399781546864, 1414.9385252115803)),
        ({"tallies": [100], "aliquot_ml": 0.05}, (2000.0, 1627.2798250184626, 2432.5358758485277)),
        (
            {"tallies": [28, 30, 26, 29, 27], "aliquot_ml": 1, "concentration": 8},
            (3.5, 2.9442642808312576, 4.130137260019276),
        ),
        ({"tallies": [0, 0, 0], "aliquot_ml": 1}, (0.0, 0.0, 1.2296264847046452)),
    ],
)
@pytest.mark.outside(
    "counts",
    "counts.count_density",
    ("one aliquot", "several", "diluted", "sieved", "none"),
    "scipy gammaincinv, reference sheet of worked counts",
)
def test_density_worked_examples(arguments, expected):
    found = counts.count_density(**arguments)
    assert (found.per_ml, found.poisson_low, found.poisson_high) == pytest.approx(expected, rel=1e-9)
    assert found.low <= found.per_ml <= found.high


def test_a_clumped_count_has_a_wider_interval_than_chance_gives():
    found = counts.count_density([34, 8, 51, 5, 22], 1)
    assert (found.replicate_low, found.replicate_high) == pytest.approx(
        (0.35942178990080365, 47.64057821009918), rel=1e-9
    )
    assert found.low < found.poisson_low
    assert found.poisson_high < found.high
    assert found.clumped
    assert found.dispersion_p == pytest.approx(2.37114494053314e-12, rel=1e-9)


@given(TALLIES.filter(lambda t: len(t) > 1 and sum(t) > 0))
@pytest.mark.outside("counts", "counts.count_density", "replicates", "scipy.stats.t")
def test_the_replicate_interval_is_students_cut_off_at_zero(tallies):
    found = counts.count_density(tallies, 0.5)
    mean, error = np.mean(tallies) * 2, np.std(tallies, ddof=1) / math.sqrt(len(tallies)) * 2
    half = stats.t.isf(0.025, len(tallies) - 1) * error
    assert found.replicate_low == pytest.approx(max(mean - half, 0), abs=1e-6)
    assert found.replicate_high == pytest.approx(mean + half, rel=1e-9)
    assert found.low <= found.poisson_low * (1 + 1e-9)
    assert found.high >= found.poisson_high * (1 - 1e-9)


@given(TALLIES, st.floats(0.01, 10), st.floats(1, 50), st.floats(1, 2))
def test_density_units_cancel(tallies, aliquot, dilution, fixative):
    plain = counts.count_density(tallies, aliquot)
    dilute = counts.count_density(tallies, aliquot, dilution, fixative)
    factor = dilution * fixative
    assert dilute.per_ml == pytest.approx(plain.per_ml * factor, rel=1e-12)
    assert dilute.low == pytest.approx(plain.low * factor, rel=1e-12, abs=1e-300)
    assert dilute.high == pytest.approx(plain.high * factor, rel=1e-12)
    assert dilute.dispersion_p == plain.dispersion_p


@given(st.integers(0, 300), st.integers(1, 6))
def test_one_large_aliquot_equals_its_parts_pooled(animals, parts):
    whole = counts.count_density([animals], 6.0)
    split = [animals // parts + (i < animals % parts) for i in range(parts)]
    pooled = counts.count_density(split, 6.0 / parts)
    assert (pooled.poisson_low, pooled.poisson_high) == pytest.approx(
        (whole.poisson_low, whole.poisson_high), rel=1e-12
    )


@given(st.integers(25, 10**6))
def test_lund_and_its_inverse(animals):
    half = counts.lund_percent(animals) / 100
    assert abs(counts.animals_needed(max(half, 0.005)) - animals) <= 1 or half < 0.005


@pytest.mark.parametrize(("n", "low", "high"), [(25, -35.285, 47.620), (100, -18.636, 21.627), (400, -9.561, 10.297)])
def test_lund_stands_for_the_exact_interval(n, low, high):
    """Exact limits relative to n by scipy 1.17.1; the rule of Lund, Kipling & Le Cren 1958 lies between the two."""
    found = counts.count_density([n], 1)
    assert 100 * (found.poisson_low / n - 1) == pytest.approx(low, abs=5e-4)
    assert 100 * (found.poisson_high / n - 1) == pytest.approx(high, abs=5e-4)
    assert -low < counts.lund_percent(n) < high


def half_width(tallies):
    low, high = counts.aliquot_limits(tallies)
    return (high - low) / 2 / sum(tallies)


@given(st.lists(st.integers(0, 60), min_size=1, max_size=6), st.sampled_from([0.1, 0.2, 0.4]))
def test_more_aliquots_reach_the_precision(tallies, precision):
    """0 exactly when the interval itself is that narrow; else so many more of the same kind bring it there."""
    more = counts.more_aliquots(tallies, precision)
    if sum(tallies):
        assert (more == 0) == (len(tallies) >= 2 and half_width(tallies) <= precision)
        if more and len(set(tallies)) == 1 and len(tallies) > 1:
            assert half_width(tallies + tallies[:1] * more) <= precision * 1.001
    assert counts.more_aliquots(tallies, precision / 2) >= more


def test_more_aliquots_when_clumped_when_empty_and_when_alone():
    assert counts.more_aliquots([34, 8, 51, 5, 22], 0.2) > counts.more_aliquots([24] * 5, 0.2)
    assert counts.more_aliquots([0, 0], 0.2) > 100
    assert counts.more_aliquots([10_000], 1.0) == 1
    known = counts.more_aliquots([40], 0.25, aliquot_cv=0.05, behind=200)
    assert 1 <= known < counts.more_aliquots([40], 0.25)


def counted_until_told(draw, precision, most=70):
    tallies = [draw()]
    while (more := counts.more_aliquots(tallies, precision)) and len(tallies) < most:
        tallies += [draw() for _ in range(min(more, 4))]
    return tallies


@pytest.mark.parametrize(
    ("mean", "k", "precision", "least"),
    [
        (40, None, 0.20, 0.95),
        (15, None, 0.25, 0.95),
        (40, 20, 0.20, 0.93),
        (40, 5, 0.25, 0.90),
        (20, 5, 0.20, 0.90),
        (100, 5, 0.25, 0.90),
        (40, 2, 0.30, 0.88),
    ],
)
def test_who_counts_until_told_has_the_precision_and_the_coverage(mean, k, precision, least):
    """Sequential stopping, at random and clumped (negative binomial), 500 counts each: one interval for both."""
    random = np.random.default_rng(2026)

    def draw():
        return int(random.poisson(mean if k is None else random.gamma(k, mean / k)))

    held = narrow = 0
    for _ in range(500):
        tallies = counted_until_told(draw, precision)
        low, high = counts.aliquot_limits(tallies)
        held += low <= mean * len(tallies) <= high
        narrow += (high - low) / 2 <= precision * sum(tallies) * (1 + 1e-9)
    assert narrow == 500
    assert held / 500 >= least


@pytest.mark.parametrize(("mean", "k"), [(40, None), (40, 5), (10, 5), (100, 20)])
def test_one_aliquot_alone_has_its_coverage_too(mean, k):
    chance = stats.poisson(mean) if k is None else stats.nbinom(k, k / (k + mean))
    found = np.arange(0, int(chance.ppf(1 - 1e-9)) + 1)
    held = [low <= mean <= high for low, high in (counts.aliquot_limits([int(n)]) for n in found)]
    assert chance.pmf(found) @ np.array(held) > 0.94


def test_what_aliquots_differ_by_is_pooled_with_what_is_usual_as_variances_are():
    """By hand: 10 and 30 have a variance of 10 times their mean, on one degree of freedom; usual is 1 + 20 * 0.3^2.

    Garwood's limits, Student's t and the normal quantile are scipy's.
    """
    phi = (3 * (1 + 20 * 0.3**2) + 1 * 10.0) / (3 + 1)
    wider = math.sqrt(phi) * stats.t.ppf(0.975, 4) / stats.norm.ppf(0.975)
    exact = stats.chi2.ppf(0.025, 80) / 2, stats.chi2.ppf(0.975, 82) / 2
    assert counts.aliquot_limits([10, 30]) == pytest.approx([40 * (one / 40) ** wider for one in exact])


def test_limits_with_much_behind_them_are_those_of_known_scatter():
    for n in (7, 120):
        known = counts.scattered_limits(3 * n, 3, 0.2)
        assert counts.aliquot_limits([n, n, n], aliquot_cv=0.2, behind=1000) == pytest.approx(known, rel=0.01)
    assert counts.aliquot_limits([0, 0]) == counts.poisson_limits(0)


@pytest.mark.outside("counts", "counts.count_change", "plain", "scipy.stats.binomtest")
def test_count_change_equals_the_exact_binomial_test():
    before, after = counts.count_density([120], 2), counts.count_density([80], 2)
    found = counts.count_change(before, after)
    test = stats.binomtest(80, 200, 0.5)
    limits = test.proportion_ci(0.95, "exact")
    assert found.ratio == pytest.approx(80 / 120)
    assert found.low == pytest.approx(limits.low / (1 - limits.low), rel=1e-9)
    assert found.high == pytest.approx(limits.high / (1 - limits.high), rel=1e-9)
    assert found.p_value == pytest.approx(test.pvalue, rel=1e-9)


def test_count_change_knows_a_harvest_and_a_clumped_sample():
    before, after = counts.count_density([120], 2), counts.count_density([60], 1)
    assert counts.count_change(before, after).p_value == 1
    halved = counts.count_change(counts.count_density([120], 2), counts.count_density([60], 2), kept=0.5)
    assert halved.ratio == pytest.approx(1)
    even = counts.count_change(counts.count_density([60, 60, 60], 1), counts.count_density([30, 30, 30], 1))
    clumped = counts.count_change(counts.count_density([100, 20, 60], 1), counts.count_density([50, 10, 30], 1))
    assert clumped.high - clumped.low > even.high - even.low
    assert clumped.p_value > even.p_value


@given(st.integers(0, 200), st.integers(0, 200))
def test_count_change_read_backwards_is_its_reciprocal(first, second):
    if first + second == 0:
        return
    one, other = counts.count_density([first], 1), counts.count_density([second], 1.5)
    forward, backward = counts.count_change(one, other), counts.count_change(other, one)
    assert forward.p_value == pytest.approx(backward.p_value, rel=1e-7)
    if first and second:
        assert forward.low == pytest.approx(1 / backward.high, rel=1e-7)
        assert forward.ratio == pytest.approx(1 / backward.ratio)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: counts.count_density([], 1), "tallies: found nothing"),
        (lambda: counts.count_density([3, -1], 1), "tallies: found “-1”, but needs whole numbers of 0 or more"),
        (lambda: counts.count_density([2.5], 1), "tallies: found “2.5”"),
        (lambda: counts.count_density([float("nan")], 1), "tallies: found “nan”"),
        (
            lambda: counts.count_density([1], 0),
            "aliquot_ml: found “0”, but needs a number above 0 and at most 10000 mL",
        ),
        (lambda: counts.count_density([1], 1, 0.5), "dilution: found “0.5”, but needs a number from 1 to 1000000"),
        (lambda: counts.count_density([1], 1, fixative=0), "fixative: found “0”"),
        (lambda: counts.dispersion([5]), "at least 2 of them"),
        (lambda: counts.dispersion([0, 0]), "at least one animal"),
        (lambda: counts.dispersion([1, 2], [1.0]), "one volume in mL for each of the 2 tallies"),
        (lambda: counts.more_aliquots([5], 0), "precision: found “0”"),
        (
            lambda: counts.count_change(counts.count_density([0], 1), counts.count_density([0], 1)),
            "at least one animal",
        ),
    ],
)
def test_bad_counts_are_refused_in_one_sentence(call, words):
    with pytest.raises(InputError, match=words):
        call()


@pytest.mark.parametrize("n", [0, 1, 7, 40, 900])
def test_without_scatter_the_limits_are_garwoods(n):
    assert counts.scattered_limits(n, 3, 0.0) == pytest.approx(counts.poisson_limits(n), rel=1e-12)


@pytest.mark.parametrize("mean", [4.0, 15.0, 45.0, 160.0])
@pytest.mark.parametrize(("aliquots", "cv"), [(1, 0.12), (3, 0.12), (3, 0.3), (6, 0.5)])
@pytest.mark.outside("counts", "counts.scattered_limits", ("3", "12", "0.5"), "scipy.stats.nbinom, probability held")
def test_limits_with_known_scatter_hold_as_often_as_they_say(mean, aliquots, cv):
    """Against the negative binomial of scipy: the sum of aliquots is one, of as many times the mean and the size."""
    size, expected = aliquots / cv**2, mean * aliquots
    found = np.arange(0, int(expected * (1 + 8 * math.sqrt(1 / expected + 1 / size))) + 30)
    chance = stats.nbinom(size, size / (size + expected)).pmf(found)
    held = [low <= expected <= high for low, high in (counts.scattered_limits(int(n), aliquots, cv) for n in found)]
    assert 0.93 < chance @ np.array(held) < 0.99


def test_three_aliquots_that_happen_to_differ_widely_are_not_taken_for_a_count_of_nearly_nothing():
    """Student's interval of three has two degrees of freedom; what is known of the scatter tells more."""
    by_chance = counts.count_density([43, 65, 32], 1)
    low, high = counts.scattered_limits(140, 3, 0.12)
    assert by_chance.replicate_low < 6 < by_chance.low
    assert low / 3 > 35
    assert high / 3 < 62


@pytest.mark.parametrize(
    ("argument", "value"), [("animals", -1), ("aliquots", 0), ("aliquot_cv", -0.1), ("aliquot_cv", 4.0)]
)
def test_limits_refuse_what_can_not_be(argument, value):
    given = {"animals": 12, "aliquots": 3, "aliquot_cv": 0.1, argument: value}
    with pytest.raises(InputError) as refused:
        counts.scattered_limits(**given)
    assert refused.value.field == argument
