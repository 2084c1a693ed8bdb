"""Density, salinity and specific gravity of seawater at the surface, with the convention of every reading said aloud.

TEOS-10 (`gsw`) does the work; the EOS-80 equation of state is here too, as the independent second opinion. Salinity is
practical salinity (PSS-78, no unit) and temperature degC on ITS-90 unless it says otherwise. Salt mixes do not have the
composition of the standard ocean: take g/kg and g/L as good to about 1 %.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from types import MappingProxyType
from typing import Any

import numpy as np

from rackview.core.errors import InputError
from rackview.core.tables import SALINITY_UNITS
from rackview.language import _
from rackview.science.limits import Number, number, numbers, plain_floats

SALINITIES = (0.0, 42.0)
TEMPERATURES = (-2.0, 40.0)
SG_RANGE = (0.99, 1.04)
"""What is understood: practical salinity and degC within which EOS-80 holds (UNESCO 1981), and readings of gravity that
such water can give."""

REFERENCE_C = MappingProxyType({"60/60F": (60 - 32) / 1.8, "20/20": 20.0, "25/25": 25.0})
"""Conventions with sample and pure water at one temperature, degC; ``t/4`` has the sample at its own."""

CONVENTIONS = ("t/4", *REFERENCE_C)
CALIBRATION_C = MappingProxyType({"t/4": 4.0, **REFERENCE_C})
"""Temperature of the pure water that a reading is against, degC."""
INSTRUMENTS = ("compensated", "hydrometer")

CHORD_STEPS = 40
"""Steps at most to the root of a curve that is all but straight."""

GLASS_EXPANSION = 2.5e-5
"""Cubic expansion of a glass hydrometer per K, typical of soda-lime glass: common practice, no source. A tenth more or
less moves a salinity read 10 K from the scale's temperature by 0.03 (derived)."""

USUAL_C = (18.0, 28.0)
"""Culture temperatures over which an SG reading of unknown convention is judged when no temperature is given."""

T68_PER_T90 = 1.00024
"""IPTS-68 over ITS-90 near the ocean's temperatures: Saunders, P.M. 1990, WOCE Newsletter 10, checked."""

G_KG_PER_SP = 35.16504 / 35
"""Reference-composition salinity, g/kg, per unit of practical salinity: IOC, SCOR & IAPSO 2010, Manuals & Guides 56."""


def _salinity(sp: Number) -> Number:
    return numbers("salinity", sp, *SALINITIES, _("(practical salinity)"))


def _temperature(temperature_c: Number) -> Number:
    return numbers("temperature_c", temperature_c, *TEMPERATURES, "degC")


@plain_floats
def density(salinity: Number, temperature_c: Number) -> Number:
    """Density of seawater at the surface, kg/m3, by TEOS-10 (`gsw.rho_t_exact`).

    Range: practical salinity 0 to 42, -2 to 40 degC. Source: IOC, SCOR & IAPSO 2010, Manuals & Guides 56.
    """
    return _teos10(_salinity(salinity), _temperature(temperature_c))  # type: ignore[no-any-return]


def _teos10(sp: Any, temperature_c: Any) -> Any:
    import gsw

    return gsw.rho_t_exact(sp * G_KG_PER_SP, temperature_c, 0.0)


@plain_floats
def density_eos80(salinity: Number, temperature_c: Number) -> Number:
    """Density of seawater at the surface, kg/m3, by EOS-80: the second opinion on `density`.

    The two are within 0.006 kg/m3, or 0.007 of salinity, at salinity 15 to 40 and 15 to 30 degC. Range: practical
    salinity 0 to 42, -2 to 40 degC (ITS-90, turned into IPTS-68 inside). Source: Millero, F.J. & Poisson, A. 1981,
    Deep-Sea Res. 28A:625-629; UNESCO 1981, Tech. Pap. Mar. Sci. 36.
    """
    return _eos80(_salinity(salinity), _temperature(temperature_c))  # type: ignore[no-any-return]


def _eos80(s: Any, temperature_c: Any) -> Any:
    """kg/m3, from salinity and degC (ITS-90). Source: see `density_eos80`."""
    t = temperature_c * T68_PER_T90
    water = 999.842594 + t * (
        6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))
    )
    first = 8.24493e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    second = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    return water + s * (first + second * np.sqrt(s) + 4.8314e-4 * s)


EQUATIONS = MappingProxyType({"TEOS-10": _teos10, "EOS-80": _eos80})
"""Equations of state for a specific gravity. EOS-80 loads nothing and lies within 0.007 of salinity of TEOS-10."""


@lru_cache(maxsize=1024)
def pure_water_density(temperature_c: float) -> float:
    """Density of pure water, kg/m3, by the same TEOS-10 function as `density`; range -2 to 40 degC."""
    return density(0.0, temperature_c)


def _convention(reference: str) -> str:
    if reference not in CONVENTIONS:
        wanted = _("one of ") + ", ".join(CONVENTIONS) + _("; for an unknown one use the range over all of them")
        raise InputError("reference", reference, wanted)
    return reference


def _scale(reference: str, temperature_c: Any, instrument: str, equation: str = "TEOS-10") -> Callable[[Any], Any]:
    """The function from practical salinity to what an instrument on that scale shows."""
    reference = _convention(reference)
    if equation not in EQUATIONS:
        raise InputError("equation", equation, _("one of ") + ", ".join(EQUATIONS))
    if instrument not in INSTRUMENTS:
        raise InputError("instrument", instrument, _("one of ") + ", ".join(INSTRUMENTS))
    own = instrument == "hydrometer" or reference == "t/4"
    if own and temperature_c is None:
        raise InputError("temperature_c", None, _("the sample's temperature in degC, from -2 to 40"))
    calibrated = CALIBRATION_C[reference]
    given = calibrated if temperature_c is None else _temperature(temperature_c)
    sample = given if own else calibrated
    rho = EQUATIONS[equation]
    glass = 1.0 if instrument == "compensated" else 1 + GLASS_EXPANSION * (sample - calibrated)
    factor = glass / rho(0.0, calibrated)
    return lambda sp: rho(sp, sample) * factor


@plain_floats
def sg_from_salinity(
    salinity: Number,
    reference: str,
    temperature_c: Number | None = None,
    instrument: str = "compensated",
    equation: str = "TEOS-10",
) -> Number:
    """Specific gravity shown for a practical salinity, by convention and instrument.

    `reference`: ``t/4`` sample at its own temperature over water at 4 degC; ``60/60F``, ``20/20``, ``25/25`` sample and
    water both there. `instrument`: ``compensated`` brings the sample to the reference temperature (a refractometer with
    compensation, or a table); ``hydrometer`` floats in the water as it is, so that the reading is rho(S, t)/rho_w(ref)
    * (1 + gamma (t - ref)), gamma the cubic expansion of glass. Those two, and t/4, need `temperature_c`. `equation`:
    TEOS-10, or EOS-80 where nothing must be loaded. Range: salinity 0 to 42, -2 to 40 degC. Source: definition of
    specific gravity; densities by TEOS-10 or EOS-80.
    """
    return _scale(reference, temperature_c, instrument, equation)(_salinity(salinity))  # type: ignore[no-any-return]


@plain_floats
def salinity_from_sg(
    sg: Number,
    reference: str,
    temperature_c: Number | None = None,
    instrument: str = "compensated",
    equation: str = "TEOS-10",
) -> Number:
    """Practical salinity from a specific gravity whose convention is known; the inverse of `sg_from_salinity`.

    An SG instrument read to 0.0005 is good for 0.7 in salinity: show one decimal at most. Range: readings that fall
    into salinity 0 to 42. Source: root of the density, TEOS-10 or EOS-80.
    """
    reading = numbers("sg", sg, *SG_RANGE, _("(specific gravity)"))
    shown = _scale(reference, temperature_c, instrument, equation)
    fresh, salt = shown(SALINITIES[0]), shown(SALINITIES[1])
    if np.any(reading < fresh) or np.any(reading > salt):
        lowest, highest = float(np.min(fresh)), float(np.max(salt))
        found = np.asarray(reading)
        outside = found[(found < fresh) | (found > salt)] if found.ndim else found
        raise InputError(
            "sg",
            f"{outside.flat[0]:.6g}",
            _("a reading from {lowest:.4f} to {highest:.4f} on the {reference} scale").format(
                lowest=lowest, highest=highest, reference=reference
            ),
        )
    return _root(shown, reading, fresh, salt)  # type: ignore[no-any-return]


def _root(shown: Callable[[Any], Any], reading: Any, fresh: Any, salt: Any) -> Any:
    """Salinity at which `shown` gives `reading`: steps along one chord will do, since the curve is all but straight."""
    per_unit = (SALINITIES[1] - SALINITIES[0]) / (salt - fresh)
    found = (reading - fresh) * per_unit
    for _unused in range(CHORD_STEPS):
        step = (shown(found) - reading) * per_unit
        found = found - step
        if np.max(np.abs(step)) < 1e-12:
            break
    return found


def salinity_range_from_sg(sg: float, temperature_c: float | None = None) -> tuple[float, float]:
    """Least and greatest practical salinity that an SG reading of unknown convention can mean.

    Taken over all conventions, compensated and floating glass, at `temperature_c` or over 18 to 28 degC when that is
    unknown; a range, never a guess. Readings outside one convention's range are left out there. Range: as for
    `salinity_from_sg` in at least one convention. Source: root of the TEOS-10 density, over all meanings.
    """
    reading = number("sg", sg, *SG_RANGE, _("(specific gravity)"))
    if temperature_c is None:
        found = _meanings(reading, *USUAL_C)
    else:
        found = _meanings(reading, number("temperature_c", temperature_c, *TEMPERATURES, "degC"))
    if not found:
        raise InputError("sg", sg, _("a reading of brackish or sea water, from about 1.000 to 1.032"))
    return min(found), max(found)


@lru_cache(maxsize=1024)
def _meanings(reading: float, *temperatures: float) -> tuple[float, ...]:
    """The salinities that a reading can stand for, over conventions, instruments and temperatures."""
    found: list[float] = []
    for reference in CONVENTIONS:
        for instrument in INSTRUMENTS:
            for t in temperatures:
                shown = _scale(reference, t, instrument)
                fresh, salt = shown(SALINITIES[0]), shown(SALINITIES[1])
                if fresh <= reading <= salt:
                    found.append(float(_root(shown, reading, fresh, salt)))
    return tuple(found)


@plain_floats
def salinity_from_conductivity(ms_cm: Number, temperature_c: Number) -> Number:
    """Practical salinity (PSS-78) from conductivity in mS/cm at the water's temperature.

    Raw conductivity, not "specific conductance at 25 degC": turn that round first with `raw_conductivity`. Range:
    salinity 2 to 42, -2 to 35 degC. Source: UNESCO 1983, Tech. Pap. Mar. Sci. 44 (`gsw.SP_from_C`).
    """
    import gsw

    c = numbers("ms_cm", ms_cm, 1, 90, "mS/cm")
    t = numbers("temperature_c", temperature_c, -2, 35, "degC")
    sp = gsw.SP_from_C(c, t, 0.0)
    if not np.all((sp >= 2 - 1e-9) & (sp <= 42 + 1e-9)):
        raise InputError("ms_cm", ms_cm, _("mS/cm that give a practical salinity from 2 to 42 at that temperature"))
    return sp  # type: ignore[no-any-return]


@plain_floats
def conductivity_from_salinity(salinity: Number, temperature_c: Number) -> Number:
    """Conductivity in mS/cm of a practical salinity at a temperature; the inverse of `salinity_from_conductivity`.

    Range: salinity 2 to 42, -2 to 35 degC. Source: UNESCO 1983, Tech. Pap. Mar. Sci. 44 (`gsw.C_from_SP`).
    """
    import gsw

    sp = numbers("salinity", salinity, 2, 42, _("(practical salinity)"))
    return gsw.C_from_SP(sp, numbers("temperature_c", temperature_c, -2, 35, "degC"), 0.0)  # type: ignore[no-any-return]


def raw_conductivity(specific_25_ms_cm: float, temperature_c: float, percent_per_degc: float) -> float:
    """Conductivity at the water's temperature from a meter's "specific conductance at 25 degC".

    specific * (1 + percent/100 * (t - 25)), with the linear coefficient the meter is set to (1.9 to 2.1 as a rule; its
    manual says). Range: 1 to 90 mS/cm, 0 to 35 degC, 0 to 3 % per degC. Source: definition of the linear compensation.
    """
    specific = number("specific_25_ms_cm", specific_25_ms_cm, 1, 90, "mS/cm")
    per_degree = number("percent_per_degc", percent_per_degc, 0, 3, _("% per degC")) / 100
    return specific * (1 + per_degree * (number("temperature_c", temperature_c, 0, 35, "degC") - 25))


@plain_floats
def g_per_kg(salinity: Number) -> Number:
    """Salt in g per kg of seawater of reference composition: SP * 35.16504/35. Range: salinity 0 to 42.

    Source: IOC, SCOR & IAPSO 2010, Manuals & Guides 56.
    """
    return _salinity(salinity) * G_KG_PER_SP


@plain_floats
def salinity_from_g_per_kg(g_kg: Number) -> Number:
    """Practical salinity from g of salt per kg of water of reference composition; the inverse of `g_per_kg`.

    Range: 0 to 42.2 g/kg. Source: IOC, SCOR & IAPSO 2010, Manuals & Guides 56.
    """
    return numbers("g_kg", g_kg, 0, 42 * G_KG_PER_SP, "g/kg") / G_KG_PER_SP


@plain_floats
def g_per_litre(salinity: Number, temperature_c: Number) -> Number:
    """Salt in g per litre of finished seawater: SA * density / 1000. Range: salinity 0 to 42, -2 to 40 degC.

    Source: definition; density by TEOS-10.
    """
    return g_per_kg(salinity) * density(salinity, temperature_c) / 1000


@plain_floats
def refractive_index(salinity: Number, temperature_c: Number, wavelength_nm: float = 589.3) -> Number:
    """Refractive index of seawater against air, which is what a refractometer measures.

    Range: salinity 0 to 35, 0 to 30 degC, 400 to 700 nm. Source: Quan, X. & Fry, E.S. 1995, Appl. Opt. 34:3477-3480.
    """
    s = numbers("salinity", salinity, 0, 35, _("(practical salinity)"))
    t = numbers("temperature_c", temperature_c, 0, 30, "degC")
    w = number("wavelength_nm", wavelength_nm, 400, 700, "nm")
    by_salt = (1.779e-4 - 1.05e-6 * t + 1.6e-8 * t * t) * s
    return (
        1.31405 + by_salt - 2.02e-6 * t * t + (15.868 + 0.01155 * s - 0.00423 * t) / w - 4382 / w**2 + 1.1455e6 / w**3
    )


def sg_step(salinity: float, temperature_c: float) -> float:
    """Change of practical salinity per 0.001 of specific gravity, for judging how finely a scale can be read.

    Range: salinity 1 to 41, -2 to 40 degC. Source: slope of the TEOS-10 density.
    """
    sp = number("salinity", salinity, 1, 41, _("(practical salinity)"))
    rise = density(sp + 0.5, temperature_c) - density(sp - 0.5, temperature_c)
    return pure_water_density(4.0) / 1000 / rise


@plain_floats
def salinity_to_display(
    salinity: Number, unit: str, reference: str = "25/25", temperature_c: Number | None = None
) -> Number:
    """Practical salinity in the keeper's unit: SG on a scale, ppt, or mS/cm at the water's temperature.

    ppt is taken as the number of practical salinity (common practice, no source); g/kg is 0.5 % more. mS/cm, and SG on
    t/4, need `temperature_c`. Range: salinity 0 to 42, from 2 for mS/cm. Source: `sg_from_salinity`,
    `conductivity_from_salinity`.
    """
    if unit == "SG":
        return sg_from_salinity(salinity, reference, temperature_c)
    if unit == "ppt":
        return _salinity(salinity)
    return conductivity_from_salinity(salinity, _known(unit, temperature_c))


@plain_floats
def salinity_from_display(
    value: Number, unit: str, reference: str = "25/25", temperature_c: Number | None = None
) -> Number:
    """Practical salinity from a value in the keeper's unit; the inverse of `salinity_to_display`.

    Range: values that give a salinity of 0 to 42, from 2 for mS/cm. Source: `salinity_from_sg`,
    `salinity_from_conductivity`.
    """
    if unit == "ppt":
        return numbers("value", value, *SALINITIES, "ppt")
    try:
        if unit == "SG":
            return salinity_from_sg(value, reference, temperature_c)
        return salinity_from_conductivity(value, _known(unit, temperature_c))
    except InputError as error:
        if error.field in {"sg", "ms_cm"}:
            raise InputError("value", error.found, error.wanted) from None
        raise


def _known(unit: str, temperature_c: Number | None) -> Number:
    """The temperature that goes with a conductivity, which must be known."""
    if unit not in SALINITY_UNITS:
        raise InputError("unit", unit, _("one of ") + ", ".join(SALINITY_UNITS))
    if temperature_c is None:
        raise InputError("temperature_c", None, _("the water's temperature in degC, from -2 to 35"))
    return temperature_c
