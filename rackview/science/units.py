"""Exact unit factors, and the keeper's units on the way in and out.

Inside, every amount is in a base unit: L, degC, practical salinity, mm, g, animals per mL, mg/L.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import ANY, Number, above, number, numbers, plain_floats

L_PER_US_GALLON = 231 * 25.4**3 / 1e6
L_PER_IMPERIAL_GALLON = 4.54609
L_PER_US_QUART = L_PER_US_GALLON / 4
ML_PER_US_FLUID_OUNCE = L_PER_US_GALLON * 1000 / 128
ML_PER_IMPERIAL_FLUID_OUNCE = L_PER_IMPERIAL_GALLON * 1000 / 160
ML_PER_US_CUP = L_PER_US_GALLON * 1000 / 16
L_PER_CUBIC_FOOT = (12 * 25.4) ** 3 / 1e6
MM_PER_INCH = 25.4
G_PER_POUND = 453.59237
G_PER_OUNCE = G_PER_POUND / 16
"""Sources: NIST Special Publication 811, appendix B; NIST Handbook 44, appendix C (all exact by definition)."""

KELVIN = 273.15
"""0 degC in K. Source: BIPM, The International System of Units, exact by definition."""

NH3_PER_N = 17.031 / 14.007
"""mg of NH3 per mg of nitrogen in it, from the molar masses 17.031 and 14.007 g/mol."""
NH4_PER_N = 18.039 / 14.007
"""mg of NH4+ per mg of nitrogen in it, from the molar masses 18.039 and 14.007 g/mol."""

FACTORS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "volume": {
            "L": 1.0,
            "mL": 1e-3,
            "US gal": L_PER_US_GALLON,
            "imp gal": L_PER_IMPERIAL_GALLON,
            "US qt": L_PER_US_QUART,
            "US fl oz": ML_PER_US_FLUID_OUNCE / 1000,
            "imp fl oz": ML_PER_IMPERIAL_FLUID_OUNCE / 1000,
            "US cup": ML_PER_US_CUP / 1000,
            "ft3": L_PER_CUBIC_FOOT,
        },
        "mass": {"g": 1.0, "mg": 1e-3, "kg": 1000.0, "oz": G_PER_OUNCE, "lb": G_PER_POUND},
        "length": {"mm": 1.0, "um": 1e-3, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH},
        "density": {"/mL": 1.0, "/L": 1e-3},
        "concentration": {"mg/L": 1.0, "g/L": 1000.0, "ug/L": 1e-3},
        "ammonia": {"mg/L N": 1.0, "mg/L NH3": 1 / NH3_PER_N, "mg/L NH4": 1 / NH4_PER_N},
        "rate": {"per day": 1.0, "per hour": 24.0},
    }
)
"""Quantity, unit, and how many base units one of that unit is; the base unit is the one with the factor 1."""

OFFSET_UNITS = ("degC", "degF")


def units_of(quantity: str) -> tuple[str, ...]:
    """The units known for `quantity`; raises `InputError` for a quantity that is not known."""
    if quantity == "temperature":
        return OFFSET_UNITS
    if quantity not in FACTORS:
        raise InputError("quantity", quantity, _("one of temperature, ") + ", ".join(FACTORS))
    return tuple(FACTORS[quantity])


def _factor(quantity: str, unit: str) -> float:
    if unit not in units_of(quantity):
        raise InputError("unit", unit, _("one of ") + ", ".join(units_of(quantity)))
    return FACTORS[quantity][unit]


@plain_floats
def to_display(value: Number, quantity: str, unit: str) -> Number:
    """`value` in base units (L, g, mm, degC, per mL, mg/L, mg/L N, per day) given in the keeper's `unit`.

    Exact but for rounding. Range: quantities and units of `FACTORS`, and temperature in degC or degF. Source: NIST SP
    811, appendix B; NIST Handbook 44, appendix C.
    """
    if quantity == "temperature" and unit in OFFSET_UNITS:
        return fahrenheit(value) if unit == "degF" else numbers("value", value, -KELVIN, ANY, "degC")
    return numbers("value", value, -ANY) / _factor(quantity, unit)


@plain_floats
def from_display(value: Number, quantity: str, unit: str) -> Number:
    """A value in the keeper's `unit` turned into base units; the inverse of `to_display`.

    Range: quantities and units of `FACTORS`, and temperature in degC or degF. Source: NIST SP 811, appendix B; NIST
    Handbook 44, appendix C.
    """
    if quantity == "temperature" and unit in OFFSET_UNITS:
        return celsius(value) if unit == "degF" else numbers("value", value, -KELVIN, ANY, "degC")
    return numbers("value", value, -ANY) * _factor(quantity, unit)


@plain_floats
def celsius(fahrenheit: Number) -> Number:
    """degC from degF: (F - 32)/1.8. Range: -459.67 degF and above. Source: NIST SP 811."""
    return (numbers("fahrenheit", fahrenheit, -459.67, ANY, "degF") - 32) / 1.8


@plain_floats
def fahrenheit(celsius: Number) -> Number:
    """degF from degC: 1.8 C + 32. Range: -273.15 degC and above. Source: NIST SP 811."""
    return numbers("celsius", celsius, -KELVIN, ANY, "degC") * 1.8 + 32


def _cm(field: str, value: float) -> float:
    return above(field, value, 0, 1000, _("cm inside"))


def cylinder_l(diameter_cm: float, height_cm: float) -> float:
    """L in an upright cylinder filled to `height_cm`: pi d^2 h / 4000.

    Range: above 0 to 1000 cm, measured inside. Source: geometry.
    """
    return math.pi * _cm("diameter_cm", diameter_cm) ** 2 * _cm("height_cm", height_cm) / 4000


def bucket_l(top_cm: float, bottom_cm: float, height_cm: float, level_cm: float | None = None) -> float:
    """L in a tapered bucket, full or filled to `level_cm`: pi h (d1^2 + d1 d2 + d2^2) / 12000.

    Range: above 0 to 1000 cm, inside diameters, level at most the height. Source: geometry of the frustum.
    """
    top, bottom, height = _cm("top_cm", top_cm), _cm("bottom_cm", bottom_cm), _cm("height_cm", height_cm)
    level = height if level_cm is None else number("level_cm", level_cm, 0, height, _("cm, the height of the bucket"))
    surface = bottom + (top - bottom) * level / height
    return math.pi * level * (surface**2 + surface * bottom + bottom**2) / 12_000


def box_l(length_cm: float, width_cm: float, height_cm: float) -> float:
    """L in a box filled to `height_cm`: l w h / 1000. Range: above 0 to 1000 cm, inside. Source: geometry."""
    return _cm("length_cm", length_cm) * _cm("width_cm", width_cm) * _cm("height_cm", height_cm) / 1000


def cone_l(diameter_cm: float, height_cm: float) -> float:
    """L in a cone on its point: pi d^2 h / 12000; add it to a cylinder for a cone-bottomed tank.

    Range: above 0 to 1000 cm, inside. Source: geometry.
    """
    return cylinder_l(diameter_cm, height_cm) / 3


def lying_cylinder_l(diameter_cm: float, length_cm: float, level_cm: float) -> float:
    """L in a lying cylinder filled to `level_cm`: L (r^2 acos((r - y)/r) - (r - y) sqrt(2 r y - y^2)) / 1000.

    Range: above 0 to 1000 cm, inside, level at most the diameter. Source: geometry of the circular segment.
    """
    r = _cm("diameter_cm", diameter_cm) / 2
    y = number("level_cm", level_cm, 0, 2 * r, _("cm, the diameter of the cylinder"))
    segment = r * r * math.acos((r - y) / r) - (r - y) * math.sqrt(2 * r * y - y * y)
    return _cm("length_cm", length_cm) * segment / 1000
