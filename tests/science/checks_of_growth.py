"""Checks of growth, development, counts, larvae and warmth, by equations and fits from outside."""

import math

import numpy as np
from scipy import integrate, optimize, stats

from rackview.science import counts, development, growth, larvae, thermal
from tests.science.checks import FU, LSU, PINT, SCIPY, Check, bracketed, magnitude, q


def grown(start, rate, days, ceiling=math.inf):
    """Density after some days by the differential equation itself."""
    path = integrate.solve_ivp(lambda _, n: rate * n * (1 - n / ceiling), (0, days), [start], rtol=1e-10, atol=1e-12)
    return path.y[0][-1]


def two_counts(first, second, days):
    """Standard error of the slope of a Poisson regression on two counts of two uneven aliquots each, by statsmodels."""
    import statsmodels.api as sm

    design = np.array([[1.0, 0.0], [1.0, 0.0], [1.0, days], [1.0, days]])
    tallies = [first / 2 - 5, first / 2 + 5, second / 2 - 4, second / 2 + 4]
    return sm.GLM(tallies, design, family=sm.families.Poisson()).fit(tol=1e-12).bse[1]


GROWTH = [
    Check(
        "growth",
        "growth.yield_per_day",
        "any",
        PINT,
        lambda: magnitude(q(250, "1/mL") * q(20, "L") * q(0.3, "1/day") * q(1, "day"), ""),
        lambda: growth.yield_per_day(250, 20, 0.3),
    ),
    *(
        Check(
            "growth",
            "growth.yield_per_day",
            f"turbidostat, {share} a day",
            LSU,
            lambda: 1.0,
            lambda share=share, out=out: float(
                bracketed(*(growth.yield_per_day(d, 1, share) for d in (742, 946)), out)
            ),
        )
        for share, out in ((0.12, 0.09e6), (0.21, 0.20e6), (0.37, 0.32e6))
    ),
    Check(
        "growth",
        "growth.yield_per_day",
        "dense S rotifers",
        FU,
        lambda: 1.0,
        lambda: float(bracketed(growth.yield_per_day(3000, 1000, 0.6), growth.yield_per_day(6000, 1000, 0.7), 2.1e9)),
    ),
    Check(
        "growth",
        "growth.yield_per_day",
        "dense L rotifers",
        FU,
        lambda: 1.0,
        lambda: float(bracketed(*(growth.yield_per_day(d, 500, 0.25) for d in (1100, 2200)), 0.17e9)),
    ),
    Check(
        "growth",
        "growth.logistic",
        "rising",
        f"the differential equation by {SCIPY}",
        lambda: grown(50, 0.4, 6, 400),
        lambda: growth.logistic(6.0, 50, 0.4, 400),
    ),
    Check(
        "growth",
        "growth.logistic",
        "from above",
        f"the differential equation by {SCIPY}",
        lambda: grown(700, 0.4, 6, 400),
        lambda: growth.logistic(6.0, 700, 0.4, 400),
    ),
    Check(
        "growth",
        "growth.two_point_rate",
        "through a harvest",
        f"the differential equation by {SCIPY}",
        lambda: 0.35,
        lambda: growth.two_point_rate(100, grown(grown(100, 0.35, 1) * 0.7, 0.35, 2), 3, shares=(0.3,)),
    ),
    Check(
        "growth",
        "growth.two_point_error",
        "any",
        "Poisson regression on two counts by statsmodels",
        lambda: two_counts(120, 150, 2.0),
        lambda: growth.two_point_error(120, 150, 2.0),
        1e-5,
    ),
    Check(
        "growth",
        "growth.doubling_days",
        "any",
        f"root of the differential equation by {SCIPY}",
        lambda: optimize.brentq(lambda t: grown(1, 0.31, t) - 2, 0.5, 5),
        lambda: growth.doubling_days(0.31),
        1e-5,
    ),
    Check(
        "growth",
        "growth.finite_rate",
        "any",
        f"the differential equation by {SCIPY}",
        lambda: grown(1, 0.54, 1),
        lambda: growth.finite_rate(0.54),
    ),
    Check(
        "growth",
        "growth.steady_share",
        "any",
        f"the share after which a day brings it back, root by {SCIPY}",
        lambda: optimize.brentq(lambda h: grown(100 * (1 - h), 0.39, 1) - 100, 0, 0.9),
        lambda: growth.steady_share(0.39),
    ),
    Check(
        "growth",
        "growth.rate_for_share",
        "any",
        f"the rate at which a day brings it back, root by {SCIPY}",
        lambda: optimize.brentq(lambda r: grown(70, r, 1) - 100, 0, 2),
        lambda: growth.rate_for_share(0.3),
    ),
    Check(
        "growth",
        "growth.density_after_refill",
        "any",
        "weighted mean by numpy",
        lambda: np.average([200, 15], weights=[0.7, 0.3]),
        lambda: growth.density_after_refill(200, 0.3, 15),
    ),
    Check(
        "growth",
        "growth.greatest_yield",
        "any",
        f"maximum of r N (1 - N/K) by {SCIPY}",
        lambda: optimize.minimize_scalar(lambda n: -0.4 * n * (1 - n / 400), bounds=(0, 400), method="bounded").x,
        lambda: growth.greatest_yield(0.4, 400)[0],
        1e-4,
    ),
    Check(
        "growth",
        "growth.greatest_daily_yield",
        "any",
        f"maximum of a day's logistic growth by {SCIPY}",
        lambda: (
            -optimize.minimize_scalar(
                lambda n: n - growth.logistic(1.0, n, 0.4, 400), bounds=(1, 399), method="bounded"
            ).fun
        ),
        lambda: growth.greatest_daily_yield(0.4, 400)[2],
        1e-6,
    ),
    Check(
        "growth",
        "growth.daily_share",
        "any",
        f"a day of continuous flow by {SCIPY}",
        lambda: 1 - grown(1, -0.25, 1),
        lambda: growth.daily_share(0.25),
    ),
]


LIFE = ([1.0, 2.0, 3.0, 4.0], [1.0, 0.9, 0.7, 0.2], [0.0, 2.0, 3.0, 1.0])


OTHERS = [
    Check(
        "development",
        "development.euler_lotka",
        "any",
        f"root of Lotka's equation by {SCIPY}",
        lambda: optimize.brentq(
            lambda r: sum(a * b * math.exp(-r * x) for x, a, b in zip(*LIFE, strict=True)) - 1, -1, 3
        ),
        lambda: development.euler_lotka(*LIFE),
    ),
    Check(
        "development",
        "development.net_reproduction",
        "any",
        "numpy.dot",
        lambda: np.dot(LIFE[1], LIFE[2]),
        lambda: development.net_reproduction(LIFE[1], LIFE[2]),
    ),
    Check(
        "development",
        "development.finite_birth_rate",
        "any",
        f"births over a day of growth by {SCIPY}",
        lambda: integrate.quad(lambda t: 0.5 * math.exp(0.3 * t), 0, 1)[0],
        lambda: development.finite_birth_rate(0.5, 0.3),
    ),
    Check(
        "development",
        "development.birth_rate",
        "Paloheimo",
        f"root of Paloheimo's equation by {SCIPY}",
        lambda: optimize.brentq(lambda b: math.expm1(b * 0.6) - 0.5, 0, 5),
        lambda: development.birth_rate(0.5, 0.6),
    ),
    Check(
        "thermal",
        "thermal.performance",
        "cool",
        "ratio of normal densities by scipy.stats",
        lambda: stats.norm.pdf(20, 30, 5 * math.sqrt(2)) / stats.norm.pdf(30, 30, 5 * math.sqrt(2)),
        lambda: thermal.performance(20.0, 10, 30, 40),
    ),
    Check(
        "thermal",
        "thermal.performance",
        "warm",
        "the parabola through its top and end by numpy.polyfit",
        lambda: np.polyval(np.polyfit([20, 30, 40], [0, 1, 0], 2), 36),
        lambda: thermal.performance(36.0, 10, 30, 40),
    ),
    Check(
        "counts",
        "counts.aliquots_needed",
        "clumped",
        "variance of the negative binomial by scipy.stats",
        lambda: stats.nbinom(4, 4 / 24).var() / 20**2 / 0.15**2,
        lambda: counts.aliquots_needed(20, 4, 0.15),
    ),
    Check(
        "counts",
        "counts.animals_needed",
        "any",
        "twice the standard error of a Poisson count by scipy.stats",
        lambda: optimize.brentq(lambda n: 2 * stats.poisson(n).std() / n - 0.1, 10, 1e4),
        lambda: counts.animals_needed(0.1),
    ),
    Check(
        "larvae",
        "larvae.larvae_alive",
        "any",
        "geometric survival by scipy.stats",
        lambda: 300 * stats.geom(0.05).sf(7),
        lambda: larvae.larvae_alive(300, 0.95, 7),
    ),
    Check(
        "larvae",
        "larvae.larvae_supported",
        "any",
        "quantile of the log-normal by scipy.stats",
        lambda: stats.lognorm.ppf(0.1, 0.35, scale=1e6) / 100,
        lambda: larvae.larvae_supported(1e6, 100),
    ),
]
