"""Oxygen that water holds in balance with air, and how full it is. Numpy only."""

from __future__ import annotations

import numpy as np

from rackview.language import _
from rackview.science.limits import Number, number, numbers, plain_floats
from rackview.science.units import KELVIN

MG_PER_ML = 31.9988 / 22.3916
"""mg of O2 per mL at standard temperature and pressure (a real gas, 0.1 % denser than an ideal one)."""


@plain_floats
def saturation_mg_l(temperature_c: Number, salinity: Number, pressure_atm: float = 1.0) -> Number:
    """Dissolved oxygen at saturation in mg/L under moist air of total pressure `pressure_atm`.

    Range: 0 to 40 degC, practical salinity 0 to 40, 0.5 to 1.1 atm. Source: Benson, B.B. & Krause, D. 1984, Limnol.
    Oceanogr. 29:620-632, as in APHA Standard Methods 4500-O and USGS Office of Water Quality Tech. Memo. 2011.03.
    """
    t = numbers("temperature_c", temperature_c, 0, 40, "degC")
    s = numbers("salinity", salinity, 0, 40, _("(practical salinity)"))
    p = number("pressure_atm", pressure_atm, 0.5, 1.1, "atm")
    k = t + KELVIN
    log_c = -139.34411 + 1.575701e5 / k - 6.642308e7 / k**2 + 1.243800e10 / k**3 - 8.621949e11 / k**4
    log_c = log_c - s * (0.017674 - 10.754 / k + 2140.7 / k**2)
    vapour = np.exp(11.8571 - 3840.70 / k - 216961 / k**2)
    theta = 0.000975 - 1.426e-5 * t + 6.436e-8 * t**2
    pressure = (p - vapour) * (1 - theta * p) / ((1 - vapour) * (1 - theta))
    return np.exp(log_c) * pressure  # type: ignore[no-any-return]


@plain_floats
def saturation_umol_kg(temperature_c: Number, salinity: Number) -> Number:
    """Dissolved oxygen at saturation in umol per kg of seawater at 1 atm (`gsw.O2sol_SP_pt`).

    Range: 0 to 40 degC, practical salinity 0 to 42. Source: Garcia, H.E. & Gordon, L.I. 1992, Limnol. Oceanogr.
    37:1307-1312, and the erratum of 1993, 38:656.
    """
    import gsw

    t = numbers("temperature_c", temperature_c, 0, 40, "degC")
    return gsw.O2sol_SP_pt(numbers("salinity", salinity, 0, 42, _("(practical salinity)")), t)  # type: ignore[no-any-return]


@plain_floats
def percent_saturation(
    mg_l: Number,
    temperature_c: Number,
    salinity: Number,
    pressure_atm: float = 1.0,
) -> Number:
    """Oxygen measured in mg/L as a percentage of saturation: 100 * measured / saturation.

    Range: 0 to 60 mg/L (pure oxygen goes that far); the others as for `saturation_mg_l`. Source: definition.
    """
    found = numbers("mg_l", mg_l, 0, 60, "mg/L")
    return 100 * found / saturation_mg_l(temperature_c, salinity, pressure_atm)


@plain_floats
def mg_l_from_percent(
    percent: Number,
    temperature_c: Number,
    salinity: Number,
    pressure_atm: float = 1.0,
) -> Number:
    """Oxygen in mg/L from percent of saturation; the inverse of `percent_saturation`.

    Range: 0 to 500 %; the others as for `saturation_mg_l`. Source: definition.
    """
    found = numbers("percent", percent, 0, 500, _("% of saturation"))
    return found / 100 * saturation_mg_l(temperature_c, salinity, pressure_atm)


def pressure_at_altitude(metres: float) -> float:
    """Standard air pressure in atm at `metres` above the sea: (1 - 2.25577e-5 h)^5.25588. Range: -500 to 6000 m.

    Source: International Standard Atmosphere, ISO 2533:1975: hydrostatic balance from 15 degC down by 6.5 K a km.
    """
    return float((1 - 2.25577e-5 * number("metres", metres, -500, 6000, "m")) ** 5.25588)


@plain_floats
def mg_l_from_ml_l(ml_l: Number) -> Number:
    """mg/L of oxygen from mL/L at standard temperature and pressure: * 31.9988/22.3916.

    Range: 0 to 45 mL/L. Source: molar mass 31.9988 g/mol over molar volume 22.3916 L/mol, that of a real gas.
    """
    return numbers("ml_l", ml_l, 0, 45, "mL/L") * MG_PER_ML
