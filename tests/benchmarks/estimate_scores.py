"""Scores and rivals for the benches: continuous ranked probability score, coverage, persistence and its like."""

from __future__ import annotations

import math
import warnings
from collections.abc import Sequence

import numpy as np
from scipy.special import ndtr

from rackview.science.state.constants import SLIP, SLIP_VAR

LEVELS = (np.arange(40) + 0.5) / 40
FEWEST = 5
"""Days on which something was foretold that a standard error takes."""
LONG = 50
"""Counts that make a series long enough for an autoregression to be fitted to it."""
RIDGE = 0.5
"""Squared log densities that the regression's ridge is worth."""


def crps(quantiles: np.ndarray, value: float) -> float:
    """Score of quantiles at LEVELS: twice the mean pinball loss (Gneiting and Raftery 2007, JASA 102:359)."""
    off = value - quantiles
    return float(2 * np.mean(np.where(off >= 0, LEVELS * off, (LEVELS - 1) * off)))


def drawn_crps(draws: np.ndarray, y: float) -> float:
    """CRPS of independent draws from a forecast: mean distance from the outcome less half that between two draws."""
    n = len(draws)
    apart = (2.0 * np.arange(1, n + 1) - n - 1.0) @ np.sort(draws) / (n * (n - 1))
    return float(np.abs(draws - y).mean() - apart)


def drawn_counts(quantiles: Sequence[float], cv2: float, ml: float, rng: np.random.Generator, draws: int) -> np.ndarray:
    """Draws of how many animals the next count will find in `ml` mL, from quantiles at `LEVELS` of the true density.

    `cv2` is the squared coefficient of variation between the count's mean and the vessel.
    """
    logs = np.log(np.maximum(np.asarray(quantiles), 1e-6))
    edges = np.concatenate([[2 * logs[0] - logs[1]], logs, [2 * logs[-1] - logs[-2]]])
    log = np.interp(rng.random(draws), np.concatenate([[0.0], LEVELS, [1.0]]), edges)
    slip = np.where(rng.random(draws) < SLIP, math.sqrt(SLIP_VAR) * rng.standard_normal(draws), 0.0)
    mean = np.exp(np.minimum(log + slip, 18.0)) * ml
    return rng.poisson(np.minimum(mean * rng.gamma(1 / cv2, cv2, draws), 1e15))


def normal_crps(off: np.ndarray) -> float:
    """Mean score of a normal forecast whose spread is the best there is in hindsight, for errors `off`.

    A rival could not know that spread beforehand, so this is hard on us.
    """
    typical = float(np.quantile(np.abs(off), 0.6)) + 1e-9
    return min(float(np.mean(normal_score(off, typical * f))) for f in np.geomspace(0.2, 5, 40))


def normal_score(off: np.ndarray | float, sd: float) -> np.ndarray:
    """Score of a normal forecast of spread `sd` that was `off`."""
    z = np.asarray(off) / sd
    density = np.exp(-0.5 * z * z) / math.sqrt(2 * math.pi)
    return sd * (z * (2 * ndtr(z) - 1) + 2 * density - 1 / math.sqrt(math.pi))


def still_so_far(logs: Sequence[float], ahead: int, value: float) -> float:
    """Score of persistence whose spread is that of all changes over as many counts so far, one at least at first."""
    v = np.asarray(logs)
    gap = min(ahead, len(v) - 1)
    spread = math.sqrt(float(np.mean((v[gap:] - v[:-gap]) ** 2)) * ahead / gap) + 1e-3
    return float(normal_score(value - v[-1], spread))


def regressed_so_far(logs: Sequence[float], ahead: int, value: float) -> float:
    """Score of a regression of the change over so many counts on the last three, by what was counted so far.

    An autoregression fitted anew for every step ahead, with a ridge (Hoerl and Kennard 1970, Technometrics 12:55-67)
    towards no change; persistence while there are too few counts. It knows of no events and no gaps.
    """
    v = np.asarray(logs)
    lags, z = 3, v - v.mean()
    then = np.arange(lags - 1, len(v) - ahead)
    if len(then) < lags + 1:
        return still_so_far(logs, ahead, value)
    rows = np.column_stack([np.ones(len(then)), *(z[then - j] for j in range(lags))])
    ridge = np.diag([1e-3, *[RIDGE] * lags])
    by = np.linalg.solve(rows.T @ rows + ridge, rows.T @ (z[then + ahead] - z[then]))
    off = z[then + ahead] - z[then] - rows @ by
    sd = math.sqrt((off @ off + 0.05 * ahead) / max(len(then) - 0.7 * (lags + 1), 1.5))
    return float(normal_score(value - v[-1] - np.array([1.0, *z[: -lags - 1 : -1]]) @ by, sd))


def regressed_in_hindsight(logs: Sequence[float], burn_in: int) -> float:
    """Mean score one count ahead of statsmodels' autoregression of second order, fitted to the whole series.

    It has seen what it foretells, so who knows only the past can hardly be better. Not a number for short series.
    """
    if len(logs) < LONG:
        return math.nan
    from statsmodels.tsa.statespace.sarimax import SARIMAX

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # where its search began does not matter
        off = SARIMAX(np.asarray(logs), order=(2, 0, 0), trend="c").fit(disp=0).resid[burn_in:]
    return float(np.mean(normal_score(off, float(off.std()))))


def habit_so_far(logs: Sequence[float], value: float) -> float:
    """Score of the distribution of all counts so far."""
    v = np.asarray(logs)
    apart = np.abs(v[:, None] - v).sum() / (len(v) * (len(v) - 1))
    return float(np.abs(v - value).mean() - 0.5 * apart)


def log_linear(days: Sequence[float], logs: Sequence[float], ahead: float) -> float:
    """A straight line through the last three counts."""
    if len(logs) < 3:
        return logs[-1]
    slope, now = np.polyfit(np.array(days[-3:]) - days[-1], logs[-3:], 1)
    return float(now + slope * ahead)


def climatology(values: Sequence[float]) -> float:
    """Mean score of the series' own distribution, each value left out in its turn."""
    v = np.asarray(values)
    if len(v) < 3:
        return math.nan
    gaps = np.abs(v[:, None] - v)
    n = len(v)
    others = gaps.sum(1) / (n - 1)
    spread = np.array([np.delete(np.delete(gaps, i, 0), i, 1).mean() for i in range(n)])
    return float(np.mean(others - 0.5 * spread))


def flat(pit: Sequence[tuple[float, float]], together: Sequence[float] | None = None) -> str:
    """Coverage of the 90 and 50 % intervals and the histogram of the probability integral transform.

    A count is whole, so it has a stretch of probabilities, from that of less to that of so much: of each stretch its
    share within the interval counts (Czado, C., Gneiting, T. & Held, L. 2009, Biometrics 65:1254-1261). What forecasts
    are `together`, those of equal labels, goes into the standard error of the coverage.
    """
    low, high = np.array(pit).T
    wide = np.maximum(high - low, 1e-9)

    def shares(a: float, b: float) -> np.ndarray:
        return np.clip(np.minimum(low + wide, b) - np.maximum(low, a), 0.0, None) / wide

    inside, half = shares(0.05, 0.95), shares(0.25, 0.75)
    doubt = "" if together is None else f" ± {standard_error(inside - inside.mean(), together):.3f}"
    tenths = " ".join(f"{shares(k / 10, (k + 1) / 10).mean():.2f}" for k in range(10))
    return f"90 %: {inside.mean():.3f}{doubt}  50 %: {half.mean():.3f}  PIT {tenths}  (n {len(pit)})"


def standard_error(off: np.ndarray, together: Sequence[float]) -> float:
    """Standard error of a mean, given how far each of its terms is off; terms of equal labels share their luck.

    What befalls all series of an experiment on one day, a predator let in or another counter, is one event and not
    many (Liang, K.-Y. & Zeger, S.L. 1986, Biometrika 73:13-22). Not a number where there are too few labels to tell.
    """
    labels = np.asarray(together)
    sums = np.array([off[labels == label].sum() for label in dict.fromkeys(together)])
    many = len(sums)
    return math.nan if many < FEWEST else float(math.sqrt((sums @ sums) * many / (many - 1)) / len(off))


def gain(got: np.ndarray, rival: np.ndarray, together: Sequence[float]) -> str:
    """By how many per cent the mean score is below that of a rival, with its standard error."""
    ratio = got.mean() / rival.mean()
    doubt = standard_error((got - ratio * rival) / rival.mean(), together)
    return f"{100 * (1 - ratio):4.0f} ± {100 * doubt:2.0f} %"
