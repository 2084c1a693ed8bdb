"""The newest of each water value, with salinity and un-ionised ammonia derived where enough was measured."""

from __future__ import annotations

from functools import lru_cache

from rackview.core.assessment import Measured, Water
from rackview.core.events import Reading
from rackview.core.log import Node
from rackview.rules.care import care
from rackview.rules.constants import AMMONIA_NEAR_DAYS, SALINITY_DAYS, SALINITY_EDGE, USUAL_SALINITY
from rackview.science import ammonia, seawater

NEVER_MEASURED = Water()
PLAIN = ("temperature_c", "sg", "ph", "tan_mg_l", "oxygen_mg_l")


@lru_cache(maxsize=4096)
def salinity_of(
    salinity: float | None, conductivity: float | None, sg: float | None, reference: str, temperature: float | None
) -> float | None:
    """Practical salinity from what a reading holds; None if the hydrometer's convention is not known.

    Arguments are the reading's salinity, conductivity (mS/cm), specific gravity with its convention, and degC.
    """
    if salinity is not None:
        return salinity
    try:
        if conductivity is not None and temperature is not None:
            return float(seawater.salinity_from_conductivity(conductivity, temperature))
        if sg is None or reference in {"", "unknown"}:
            return None
        return _from_sg(sg, reference, temperature)
    except ValueError:
        return None


def _from_sg(sg: float, reference: str, temperature: float | None) -> float | None:
    """Practical salinity from specific gravity by EOS-80, which needs no heavy library and agrees to 0.01."""
    sample = temperature if reference == "t/4" else None
    found = float(seawater.salinity_from_sg(sg, reference, sample, equation="EOS-80"))
    inside = seawater.SALINITIES[0] + SALINITY_EDGE < found < seawater.SALINITIES[1] - SALINITY_EDGE
    return found if inside else None


@lru_cache(maxsize=4096)
def nh3_of(tan: float, ph: float, temperature: float, salinity: float) -> float | None:
    """Un-ionised ammonia as N, mg/L, from total ammonia as N; None outside the range of the formula."""
    try:
        return tan * float(ammonia.unionised_fraction(ph, temperature, salinity))
    except ValueError:
        return None


def reading_salinity(reading: Reading) -> float | None:
    """Practical salinity of one reading, or None."""
    return salinity_of(
        reading.salinity, reading.conductivity_ms_cm, reading.sg, reading.sg_reference, reading.temperature_c
    )


def water(log: Node, day: float) -> Water:
    """The newest of each value in the vessel's history, aged to `day`."""
    found: dict[str, tuple[float, float, str]] | None = log.memo.get("water")
    if found is None:
        found = log.memo["water"] = _newest(care(log).readings)
    if not found:
        return NEVER_MEASURED
    return Water(**{k: Measured(value, max(0.0, day - then), event) for k, (value, then, event) in found.items()})


def _newest(readings: list[Reading]) -> dict[str, tuple[float, float, str]]:
    found: dict[str, tuple[float, float, str]] = {}
    for reading in reversed(readings):
        day = reading.day
        for name in PLAIN:
            value = getattr(reading, name)
            if value is not None and name not in found:
                found[name] = (value, day, reading.id)
        if "salinity" not in found:
            salinity = reading_salinity(reading)
            if salinity is not None:
                found["salinity"] = (salinity, day, reading.id)
    nh3 = _nh3(readings, found)
    if nh3 is not None:
        found["nh3_mg_l"] = nh3
    return found


def _nh3(readings: list[Reading], newest: dict[str, tuple[float, float, str]]) -> tuple[float, float, str] | None:
    if "tan_mg_l" not in newest:
        return None
    tan, day, event = newest["tan_mg_l"]
    salinity = newest.get("salinity")
    value = nh3_near(readings, tan, day, None if salinity is None else salinity[:2])
    return None if value is None else (value, day, event)


def nh3_near(readings: list[Reading], tan: float, day: float, salinity: tuple[float, float] | None) -> float | None:
    """Un-ionised ammonia as N, mg/L, from total ammonia on a day, with what the readings say near it.

    `salinity` is one that was measured, with its day. None where pH or temperature are not known.
    """
    ph = _near(readings, "ph", day)
    temperature = _near(readings, "temperature_c", day)
    if ph is None or temperature is None:
        return None
    known = salinity is not None and abs(salinity[1] - day) <= SALINITY_DAYS
    return nh3_of(tan, ph, temperature, salinity[0] if known and salinity is not None else USUAL_SALINITY)


def _near(readings: list[Reading], name: str, day: float) -> float | None:
    having = [r for r in readings if getattr(r, name) is not None and abs(r.day - day) <= AMMONIA_NEAR_DAYS]
    if not having:
        return None
    return float(getattr(min(having, key=lambda r: abs(r.day - day)), name))
