"""How growth and appetite go with temperature: up to a best temperature, then down, and nothing beyond either end.

Three cardinal temperatures of a strain say it all: below the least and above the greatest nothing grows, at the best
it grows fastest. The strain profiles carry them, each with its source; no study was found that follows the rate of one
culture rotifer through its decline, so they are put together from what was measured and leave no growth in doubt.
"""

from __future__ import annotations

import math

import numpy as np

from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import Number, number, numbers, plain_floats

TEMPERATURES = (-2.0, 60.0)
CARDINAL = (-2.0, 50.0)
"""Temperatures, degC, that are understood, and those that may bound a strain's growth: sea water freezes at -2."""

APPETITE_POWER = 0.6
"""Appetite goes with this power of growth, as animals that hardly grow still eat to live.

Our own choice: it gives the 42 % more filtration from 18 to 23.5 degC of Schlosser & Anger 1982, Helgolander
Meeresunters.
35:215-225, and lies within 0.08 of the grazing of Montagnes et al. 2001, Mar. Biol. 139:975-979, from 10 to 25 degC.
"""


def _cardinal(min_c: float, opt_c: float, max_c: float) -> tuple[float, float, float]:
    least = number("min_c", min_c, *CARDINAL, "degC")
    best, most = number("opt_c", opt_c, *CARDINAL, "degC"), number("max_c", max_c, *CARDINAL, "degC")
    if not least < best:
        raise InputError("opt_c", opt_c, _("a temperature above the least of {least:g} degC").format(least=least))
    if not best < most:
        raise InputError("max_c", max_c, _("a temperature above the best of {best:g} degC").format(best=best))
    return least, best, most


@plain_floats
def performance(temperature_c: Number, min_c: float, opt_c: float, max_c: float) -> Number:
    """Rate at a temperature as a share of the fastest: a bell on the cool side, a parabola on the warm side.

    exp(-((t - opt)/(2 s))^2) with s = (opt - min)/4 up to opt, 1 - ((t - opt)/(opt - max))^2 above it; 0 at and beyond
    either end (the bell alone would leave 0.018 at min). Range: -2 to 60 degC; min below opt below max, -2 to 50 degC.
    Source: the form that goes by the name of Deutsch et al. 2008, PNAS, which was inferred from the published test
    value of an open statistics package and gives it. Fitted to growth, never to development time, which still
    shortens past the best temperature for growth.
    """
    least, best, most = _cardinal(min_c, opt_c, max_c)
    t = numbers("temperature_c", temperature_c, *TEMPERATURES, "degC")
    if isinstance(t, float):
        return _share(t, least, best, most)
    cool = np.exp(-(((t - best) / ((best - least) / 2)) ** 2))
    warm = 1 - ((t - best) / (best - most)) ** 2
    found = np.where(t <= best, cool, warm)
    return np.where((t <= least) | (t >= most), 0.0, found)


def _share(t: float, least: float, best: float, most: float) -> float:
    if not least < t < most:
        return 0.0
    if t <= best:
        return math.exp(-(((t - best) / ((best - least) / 2)) ** 2))
    return 1 - ((t - best) / (best - most)) ** 2


@plain_floats
def growth_factor(temperature_c: Number, usual_c: float, min_c: float, opt_c: float, max_c: float) -> Number:
    """What a rate known at a usual temperature is multiplied by at another one: performance there over that here.

    1 at the usual temperature; 0 at and beyond either end. Range: usual between min and max; the others as for
    `performance`. Source: ratio of two values of Deutsch et al. 2008, see `performance`.
    """
    usual = number("usual_c", usual_c, *CARDINAL, "degC")
    here = performance(usual, min_c, opt_c, max_c)
    if not here > 0:
        raise InputError(
            "usual_c",
            usual_c,
            _("a temperature above {min_c:g} and below {max_c:g} degC, where it grows").format(
                min_c=min_c, max_c=max_c
            ),
        )
    return performance(temperature_c, min_c, opt_c, max_c) / here


@plain_floats
def appetite_factor(temperature_c: Number, usual_c: float, min_c: float, opt_c: float, max_c: float) -> Number:
    """What a ration known at a usual temperature is multiplied by at another one: growth factor to the power 0.6.

    0 at and beyond either end, where feed only fouls the water. Range: as for `growth_factor`. Sources: the power is
    ours, from Schlosser, H.J. & Anger, K. 1982, Helgolander Meeresunters. 35:215-225, and Montagnes, D.J.S. et al.
    2001, Mar. Biol. 139:975-979, both on Brachionus plicatilis; borrowed for other animals.
    """
    return growth_factor(temperature_c, usual_c, min_c, opt_c, max_c) ** APPETITE_POWER  # type: ignore[no-any-return]
