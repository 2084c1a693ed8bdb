"""What is left of what was fed: how fast a rotifer empties and an enrichment wears off after the harvest."""

from __future__ import annotations

import math
from types import MappingProxyType

from rackview.language import _
from rackview.science.limits import number
from rackview.science.options import Option, pick

ROMERO = _("Romero-Romero, S. & Yufera, M. 2012, Aquaculture (contribution of gut content, Brachionus plicatilis)")
OLSEN = _("Olsen, Y., Reitan, K.I. & Vadstein, O. 1993, Hydrobiologia 255/256:13-20 (Brachionus plicatilis)")
YOSHIMATSU = _("Yoshimatsu, T. et al. 1997, Hydrobiologia 358:153-157 (Brachionus rotundiformis, 24 degC)")

GUT = MappingProxyType(
    {
        "dry filter": Option(5.0, _("60 % gone in 5 min after a filter that ran dry, {romero}").format(romero=ROMERO)),
        "submerged filter": Option(
            60.0, _("60 % gone in 1 h after a careful rinse under water, {romero}").format(romero=ROMERO)
        ),
    }
)
"""Minutes in which a gut loses 60 % of its content, by how the animals were gathered."""
GUT_LOST = 0.6
"""The share of a gut that is gone after these minutes."""

LIPID_COLD = (0.02, 0.05)
LIPID_18 = 0.19
COLD_C, MILD_C = 10.0, 18.0
"""Lipid lost per day by starved rotifers below 10 degC (least, most) and at 18 degC, of what is there: `OLSEN`."""
LIPID_Q10 = (1.0, 2.5)
"""By what the loss is taken to rise per 10 degC beyond 18, where nobody measured it: not at all, or as rations do."""

PLATEAU_HOURS = Option(
    6.0, _("hours to the plateau, no change at 12 and 24, {yoshimatsu}").format(yoshimatsu=YOSHIMATSU)
)
"""Hours after which more enrichment adds nothing."""


def gut_left(minutes: float, gathered: str = "dry filter") -> float:
    """Share of the gut content left so many minutes after the harvest: (1 - 0.6)^(minutes / time for 60 %).

    Exponential emptying is an assumption. Range: 0 to 1440 minutes, ways of gathering as in `GUT`. Source:
    Romero-Romero & Yufera 2012, Aquaculture.
    """
    time = pick(GUT, "gathered", gathered).value
    return float((1 - GUT_LOST) ** (number("minutes", minutes, 0, 1440, "minutes") / time))


def lipid_left(hours: float, temperature_c: float) -> tuple[float, float]:
    """Least and most share of an enrichment's lipid left after so many hours without feed at a temperature.

    exp(-k t): k 0.02 to 0.05 per day below 10 degC, 0.19 at 18, straight lines on a log scale between; beyond 18 degC k
    stays at least and rises at most by 2.5 per 10 degC, which is a choice of the project, as nobody measured it there.
    DHA falls somewhat faster than lipid. Range: 0 to 120 hours, 0 to 32 degC. Source: Olsen, Reitan & Vadstein 1993,
    Hydrobiologia 255/256:13-20.
    """
    days = number("hours", hours, 0, 120, "hours") / 24
    fast, slow = (_lipid_loss(number("temperature_c", temperature_c, 0, 32, "degC"), most) for most in (True, False))
    return math.exp(-fast * days), math.exp(-slow * days)


def _lipid_loss(t: float, most: bool) -> float:
    cold, q10 = LIPID_COLD[most], LIPID_Q10[most]
    if t <= COLD_C:
        return cold
    if t <= MILD_C:
        return float(cold * (LIPID_18 / cold) ** ((t - COLD_C) / (MILD_C - COLD_C)))
    return float(LIPID_18 * q10 ** ((t - MILD_C) / 10))


def enriched_share(hours: float) -> float:
    """How far an enrichment has come: hours over the 6 to its plateau, at most 1; longer only fouls the water.

    Range: 0 to 48 hours. Source: n-3 HUFA unchanged from 6 to 24 h, Yoshimatsu, T. et al. 1997, Hydrobiologia
    358:153-157; the straight line up to it is an assumption.
    """
    return min(number("hours", hours, 0, 48, "hours") / PLATEAU_HOURS.value, 1.0)
