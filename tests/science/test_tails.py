"""Our own tails and quantiles against scipy, tables and their definitions."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special
from scipy.stats import norm, poisson

from rackview.core.errors import InputError
from rackview.science.tails import beta_quantile, beta_share, chi2_tail, normal_z, poisson_limits, student_t

LEVELS = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99, 0.9999])


@given(st.integers(0, 3000), LEVELS)
@pytest.mark.outside("counts", "tails.poisson_limits", "to 3000", "scipy.special.gammaincinv")
def test_poisson_limits_equal_the_gamma_quantiles_of_scipy(n, level):
    low, high = poisson_limits(n, level)
    tail = (1 - level) / 2
    assert low == pytest.approx(special.gammaincinv(n, tail) if n else 0.0, rel=1e-9)
    assert high == pytest.approx(special.gammainccinv(n + 1, tail), rel=1e-9)


@pytest.mark.parametrize("n", [10_000, 1_000_000])
@pytest.mark.outside("counts", "tails.poisson_limits", ("1e4", "1e6"), "scipy.special.gammaincinv")
def test_poisson_limits_of_large_counts(n):
    low, high = poisson_limits(n)
    assert low == pytest.approx(special.gammaincinv(n, 0.025), rel=1e-9)
    assert high == pytest.approx(special.gammainccinv(n + 1, 0.025), rel=1e-9)


def test_poisson_limits_against_the_printed_table(table):
    for row in table("poisson_limits"):
        for level, name in ((0.9, "90"), (0.95, "95"), (0.99, "99")):
            low, high = poisson_limits(int(row["n"]), level)
            assert low == pytest.approx(row[f"lo{name}"], abs=6e-7)
            assert high == pytest.approx(row[f"hi{name}"], abs=6e-7)


@pytest.mark.outside("counts", "tails.poisson_limits", "by statsmodels", "statsmodels confint_poisson")
def test_poisson_limits_against_statsmodels():
    from statsmodels.stats.rates import confint_poisson

    for n in (1, 4, 25, 130):
        assert poisson_limits(n) == pytest.approx(confint_poisson(n, 1, "exact-c"), rel=1e-9)


@given(st.floats(0.01, 80), LEVELS)
def test_the_poisson_interval_never_covers_less_than_its_level(mean, level):
    most = int(poisson.ppf(1 - 1e-13, mean)) + 2
    covered = math.fsum(
        poisson.pmf(n, mean) for n in range(most) if poisson_limits(n, level)[0] <= mean <= poisson_limits(n, level)[1]
    )
    assert covered >= level - 1e-9


@given(st.integers(0, 400), LEVELS)
def test_poisson_limits_are_what_they_are_defined_to_be(n, level):
    low, high = poisson_limits(n, level)
    assert poisson.cdf(n, high) == pytest.approx((1 - level) / 2, rel=1e-8)
    if n:
        assert poisson.sf(n - 1, low) == pytest.approx((1 - level) / 2, rel=1e-8)


@given(st.integers(0, 500))
def test_poisson_limits_rise_with_the_count(n):
    assert poisson_limits(n)[0] < poisson_limits(n + 1)[0]
    assert poisson_limits(n)[1] < poisson_limits(n + 1)[1]


@given(st.integers(1, 500), LEVELS)
@pytest.mark.outside("counts", "tails.student_t", "to 500", "scipy.special.stdtrit")
def test_student_t_equals_scipy(df, level):
    assert student_t(level, df) == pytest.approx(special.stdtrit(df, (1 + level) / 2), rel=1e-9)


@given(LEVELS)
@pytest.mark.outside("counts", "tails.normal_z", "any", "scipy.stats.norm")
def test_normal_z_equals_scipy(level):
    assert normal_z(level) == pytest.approx(norm.isf((1 - level) / 2), rel=1e-12)


@given(st.floats(0, 800), st.integers(1, 500))
@pytest.mark.outside("counts", "tails.chi2_tail", "to 500", "scipy.special.chdtrc")
def test_chi2_tail_equals_scipy(x, df):
    assert chi2_tail(x, df) == pytest.approx(special.chdtrc(df, x), rel=1e-9, abs=1e-280)


def test_levels_written_as_percentages_are_refused():
    for call in (lambda: poisson_limits(3, 95), lambda: student_t(0.1, 3), lambda: normal_z(1.0)):
        with pytest.raises(InputError, match=r"level: found .* 0\.5 to 0\.9999 \(0\.95 for 95 %\)"):
            call()


@given(st.floats(0.05, 3000), st.floats(0.05, 3000), st.floats(0.001, 0.999))
@pytest.mark.outside("counts", "tails.beta_share", "to 3000", "scipy.special.betainc")
def test_shares_of_a_beta_distribution_equal_those_of_scipy(a, b, x):
    assert beta_share(a, b, x) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-12)


@given(st.floats(0.5, 2000), st.floats(0.5, 2000), st.floats(0.001, 0.999))
@pytest.mark.outside("counts", "tails.beta_quantile", "to 2000", "scipy.special.betaincinv")
def test_quantiles_of_a_beta_distribution_equal_those_of_scipy(a, b, share):
    assert beta_quantile(a, b, share) == pytest.approx(special.betaincinv(a, b, share), rel=1e-9, abs=1e-12)


def test_the_ends_of_a_beta_distribution():
    assert (beta_share(2, 3, 0), beta_share(2, 3, 1)) == (0, 1)
    assert beta_share(1, 1, 0.3) == pytest.approx(0.3)
    for wrong in ((0, 1, 0.5), (1, -1, 0.5), (1, 1, 1.5)):
        with pytest.raises(InputError):
            beta_share(*wrong)
