"""Growth rates that see through harvests and refills, and the share that can be taken every day.

Rates are per day; shares are of the volume of a mixed vessel, or of the animals when a sieve gives the water back.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import ANY, Array, Number, above, number, numbers, plain_floats
from rackview.science.tails import USUAL_LEVEL, student_t

RATES = (-20.0, 20.0)
"""Rates per day that are understood, least and most: far beyond any animal, so that a slip is met with a sentence."""
FIT_LEAST = 3
"""Counts through which a line is laid, at least: two leave nothing to tell its error from."""


def _share(field: str, value: float) -> float:
    found = number(field, value, 0, 1, _("(share of the culture)"))
    if found == 1:
        raise InputError(field, value, _("a share from 0 to below 1: after taking all there is no growth to speak of"))
    return found


def two_point_rate(
    n1: float,
    n2: float,
    days: float,
    volume1: float = 1.0,
    volume2: float = 1.0,
    removed: float = 0.0,
    shares: Iterable[float] = (),
) -> float:
    """Specific growth rate per day between two counts, harvests and changes of level taken into account.

    [ln(n2 volume2) - ln(n1 volume1 - removed) - sum ln(1 - share)] / days. `n1`, `n2` densities (per mL), `volume1`
    and `volume2` the levels at the two counts in one unit (give both when the level changed), `removed` animals taken
    out right after the first count, in density times volume, `shares` the shares replaced by animal-free water in
    between, at whatever time. Range: densities, days and volumes above 0; shares 0 to below 1. A count of zero has no
    logarithm: use its upper limit from `counts.count_density`. Source: algebra of exponential growth.
    """
    start = above("n1", n1) * above("volume1", volume1)
    taken = number("removed", removed)
    if taken >= start:
        raise InputError("removed", removed, _("less than the {start:g} animals counted before").format(start=start))
    end = above("n2", n2) * above("volume2", volume2)
    kept = math.fsum(math.log1p(-_share("shares", share)) for share in shares)
    return (math.log(end) - math.log(start - taken) - kept) / above("days", days, 0, 36_500, "days")


def two_point_error(animals1: float, animals2: float, days: float) -> float:
    """Standard error per day that counting alone puts on a two-point rate: sqrt(1/n1 + 1/n2)/days.

    `animals1` and `animals2` are animals counted (not densities), at random; of a clumped count give the animals over
    its dispersion index. Range: one animal or more each, days above 0. Source: the variance of ln n is about 1/n for a
    Poisson count.
    """
    first, second = number("animals1", animals1, 1), number("animals2", animals2, 1)
    return math.sqrt(1 / first + 1 / second) / above("days", days, 0, 36_500, "days")


def density_after_refill(density: float, share: float, refill_density: float = 0.0) -> float:
    """Density after `share` of the culture was replaced by water that holds `refill_density` animals, same unit.

    n (1 - f) + f n_in. Range: densities 0 or more, share 0 to 1. Source: mass balance.
    """
    part = number("share", share, 0, 1, _("(share of the culture)"))
    return number("density", density) * (1 - part) + part * number("refill_density", refill_density)


@plain_floats
def doubling_days(rate: Number) -> Number:
    """Days to double at `rate` per day, ln 2 / rate; infinite when the rate is 0 or below.

    Range: -20 to 20 per day. Source: identity.
    """
    r = numbers("rate", rate, *RATES, "per day")
    if isinstance(r, float):
        return math.log(2) / r if r > 0 else math.inf
    with np.errstate(divide="ignore"):
        return np.where(r > 0, math.log(2) / r, math.inf)


@plain_floats
def finite_rate(rate: Number) -> Number:
    """How many times as many a day later: exp(rate).

    Range: -20 to 20 per day. Source: identity (lambda of life tables).
    """
    return np.exp(numbers("rate", rate, *RATES, "per day"))  # type: ignore[no-any-return]


@plain_floats
def steady_share(rate: Number) -> Number:
    """Share that can be taken once a day and grows back by the next: 1 - exp(-rate); 0 when the rate is not above 0.

    Range: -20 to 20 per day. Source: algebra of exponential growth; it is not the rate itself, which would be the share
    of a continuous harvest.
    """
    return -np.expm1(-np.maximum(numbers("rate", rate, *RATES, "per day"), 0.0))  # type: ignore[no-any-return]


@plain_floats
def rate_for_share(share: Number) -> Number:
    """Growth rate per day that a daily harvest of `share` asks for: -ln(1 - share).

    Range: share 0 to below 1. Source: algebra of exponential growth, the inverse of `steady_share`.
    """
    found = numbers("share", share, 0, 1, _("(share of the culture)"))
    if np.any(np.asarray(found) >= 1):
        raise InputError("share", "1", _("a share from 0 to below 1: no rate makes good a vessel emptied every day"))
    return -np.log1p(-np.asarray(found))  # type: ignore[no-any-return]


@plain_floats
def daily_share(dilution_per_day: Number) -> Number:
    """Share taken once a day that equals a continuous dilution rate per day: 1 - exp(-D).

    Both balance a growth rate D. Range: 0 to 20 per day. Source: steady state of a chemostat, growth = dilution.
    """
    return -np.expm1(-numbers("dilution_per_day", dilution_per_day, 0, 20, "per day"))  # type: ignore[no-any-return]


def yield_per_day(density_per_ml: float, volume_l: float, share_per_day: float) -> float:
    """Animals a day from `volume_l` L at `density_per_ml`, taking `share_per_day` (or diluting at that rate).

    density * 1000 * volume * share. Range: 0 or more each. Source: mass balance.
    """
    return (
        number("density_per_ml", density_per_ml, 0, ANY, _("animals per mL"))
        * 1000
        * number("volume_l", volume_l, 0, ANY, "L")
        * number("share_per_day", share_per_day, 0, 20, "per day")
    )


@plain_floats
def logistic(days: Number, start: float, rate: float, ceiling: float) -> Number:
    """Density after `days` of logistic growth: K / (1 + (K/N0 - 1) exp(-r t)).

    `start` and `ceiling` in one unit; `rate` per day at low density. Range: start and ceiling above 0, rate -20 to 20
    per day. Source: Verhulst, P.-F. 1838, Correspondance mathematique et physique 10:113-121.
    """
    t = numbers("days", days, -36_500, 36_500, "days")
    k, n0 = above("ceiling", ceiling), above("start", start)
    shrink = np.minimum(-number("rate", rate, *RATES, "per day") * t, 700.0)
    return k / (1 + (k / n0 - 1) * np.exp(shrink))  # type: ignore[no-any-return]


def greatest_yield(rate: float, ceiling: float) -> tuple[float, float]:
    """Density of greatest continuous yield under logistic growth, and that yield per day: K/2 and r K/4.

    `ceiling` per mL gives a yield per mL and day. Range: rate 0 to 20 per day, ceiling above 0. Source: Schaefer, M.B.
    1954, Bull. Inter-Am. Trop. Tuna Comm. 1:27-56.
    """
    k = above("ceiling", ceiling)
    return k / 2, number("rate", rate, 0, 20, "per day") * k / 4


def greatest_daily_yield(rate: float, ceiling: float) -> tuple[float, float, float]:
    """Density before the harvest, share to take and yield per day, when logistic growth is harvested once a day.

    K/(1 + exp(-r/2)), 1 - exp(-r/2) and K tanh(r/4): the maximum over N of a day's logistic growth, which lies where
    the next day's density rises by 1 for each 1 of N. For small r it goes over into `greatest_yield`. Range: as there.
    Source: the logistic over a day is the curve of Beverton, R.J.H. & Holt, S.J. 1957; the maximum is derived here.
    """
    r, k = number("rate", rate, 0, 20, "per day"), above("ceiling", ceiling)
    return k / (1 + math.exp(-r / 2)), -math.expm1(-r / 2), k * math.tanh(r / 4)


@dataclass(frozen=True, slots=True)
class LineFit:
    """A straight line of ln density against time: `rate` per day, `log_start` = ln density at day 0, standard errors.

    `misfit` is the weighted residual sum of squares over its degrees of freedom `df` (Pearson's for Poisson): about 1
    when scatter is what counting alone would give.
    """

    rate: float
    rate_se: float
    log_start: float
    log_start_se: float
    df: int
    misfit: float

    def interval(self, level: float = USUAL_LEVEL) -> tuple[float, float]:
        """Interval of the rate per day from Student's t on `df` degrees of freedom."""
        half = student_t(level, self.df) * self.rate_se
        return self.rate - half, self.rate + half


def known_shifts(days: ArrayLike, harvests: Iterable[tuple[float, float]]) -> Array:
    """Sum of ln(1 - share) of the harvests (day, share) done before each of `days`; a count on that day comes first.

    Subtract from ln density, or use as an offset, so that one line can run across harvests. Range: shares 0 to below 1.
    Source: algebra of exponential growth.
    """
    at = np.atleast_1d(np.asarray(numbers("days", np.asarray(days, dtype=np.float64), -ANY, ANY, "days")))
    shift = np.zeros_like(at)
    for day, share in harvests:
        shift[at > number("harvests", day, -ANY, ANY, "days")] += math.log1p(-_share("harvests", share))
    return shift


def _columns(days: ArrayLike, least: int = FIT_LEAST, **others: ArrayLike) -> list[Array]:
    found = [np.atleast_1d(np.asarray(numbers("days", np.asarray(days, dtype=np.float64), -ANY, ANY, "days")))]
    for field, values in others.items():
        column = np.atleast_1d(np.asarray(numbers(field, np.asarray(values, dtype=np.float64), -ANY)))
        if column.shape != found[0].shape:
            raise InputError(
                field,
                _("{size} values").format(size=column.size),
                _("one value for each of the {size} days").format(size=found[0].size),
            )
        found.append(column)
    if found[0].size < least or np.ptp(found[0]) == 0:
        raise InputError(
            "days",
            _("{size} different").format(size=np.unique(found[0]).size),
            _("{least} values or more, not all the same").format(least=least),
        )
    return found


def log_linear_fit(
    days: ArrayLike, densities: ArrayLike, weights: ArrayLike | None = None, shifts: ArrayLike | None = None
) -> LineFit:
    """Least-squares line through ln density; weight each point by the animals counted, since var(ln n) is about 1/n.

    `shifts` as from `known_shifts`. Standard errors are from the scatter about the line; with a few points they can
    come out smaller than counting allows, so compare with `poisson_fit`. Range: three points or more, densities and
    weights above 0. Source: Draper, N.R. & Smith, H. 1998, Applied Regression Analysis.
    """
    ones = np.ones_like(np.asarray(days, dtype=np.float64))
    t, n, w, s = _columns(
        days,
        densities=densities,
        weights=ones if weights is None else weights,
        shifts=0 * ones if shifts is None else shifts,
    )
    for field, column in (("densities", n), ("weights", w)):
        if (column <= 0).any():
            raise InputError(field, column[column <= 0][0], _("numbers above 0; for a count of zero use poisson_fit"))
    return _solve_line(t, np.log(n) - s, w, scale=None)


def _solve_line(t: Array, y: Array, w: Array, scale: float | None) -> LineFit:
    """Weighted line; `scale` is the known variance of unit weight, None to estimate it from the scatter."""
    total = w.sum()
    t0, y0 = (w * t).sum() / total, (w * y).sum() / total
    stt = (w * (t - t0) ** 2).sum()
    slope = (w * (t - t0) * (y - y0)).sum() / stt
    df = t.size - 2
    misfit = (w * (y - y0 - slope * (t - t0)) ** 2).sum() / df
    unit = misfit if scale is None else scale
    start_se = math.sqrt(unit * (1 / total + t0**2 / stt))
    return LineFit(float(slope), math.sqrt(unit / stt), float(y0 - slope * t0), start_se, df, float(misfit))


def poisson_fit(
    days: ArrayLike, animals: ArrayLike, looked_at_ml: ArrayLike, shifts: ArrayLike | None = None
) -> LineFit:
    """Poisson regression of animals counted on time: log link, offset ln(mL looked at) + shifts; takes zeros.

    Standard errors are those of counting alone; when `misfit` is well above 1, multiply them by its square root.
    Range: three counts or more, at least two of them above zero, mL above 0. Source: McCullagh, P. & Nelder, J.A. 1989,
    Generalized Linear Models; fitted by iteratively reweighted least squares.
    """
    t, n, ml, s = _columns(
        days, animals=animals, looked_at_ml=looked_at_ml, shifts=np.zeros(np.size(days)) if shifts is None else shifts
    )
    if (n < 0).any() or (n > 0).sum() < 2:
        raise InputError("animals", n.tolist(), _("counts of 0 or more, at least two of them above 0"))
    if (ml <= 0).any():
        raise InputError("looked_at_ml", ml[ml <= 0][0], _("volumes above 0 mL"))
    offset = np.log(ml) + s
    eta = np.log(np.maximum(n, 0.5))
    for _unused in range(100):
        mu = np.exp(eta)
        fit = _solve_line(t, eta - offset + (n - mu) / mu, mu, scale=1.0)
        new = np.clip(fit.log_start + fit.rate * t + offset, -50, 50)
        done = np.abs(new - eta).max() < 1e-12
        eta = new
        if done:
            break
    mu = np.exp(eta)
    misfit = float(((n - mu) ** 2 / mu).sum() / fit.df)
    return LineFit(fit.rate, fit.rate_se, fit.log_start, fit.log_start_se, fit.df, misfit)
