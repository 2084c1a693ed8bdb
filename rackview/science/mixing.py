"""Salt, fresh water and evaporation: the mass of salt and the mass of water are kept, never volumes.

Volumes in L, masses in kg (water) and g (salt), practical salinity, degC. Densities by TEOS-10.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import above, number
from rackview.science.seawater import SALINITIES, TEMPERATURES, density, g_per_kg, pure_water_density

SALINITY_STEP = 5.0
"""Largest change of salinity at once that rotifers are given: common practice, no source. Half of the rotifers moved by
as much at once, from 20 to 15, still swam: Oie, G. & Olsen, Y. 1993, Hydrobiologia 255/256:81-86."""

STEP_WARNING = _(
    "This moves the salinity by {step:.1f}, more than {most:g} at once: do it in {times} steps, hours apart."
)


@dataclass(frozen=True, slots=True)
class WaterBody:
    """A body of water: L, practical salinity, degC."""

    volume_l: float
    salinity: float
    temperature_c: float


@dataclass(frozen=True, slots=True)
class Refilled:
    """A vessel after a refill, how far it moved, and a warning when the salinity step is too great (else empty)."""

    water: WaterBody
    salinity_step: float
    temperature_step: float
    warning: str


def _salinity(field: str, value: float) -> float:
    return number(field, value, *SALINITIES, _("(practical salinity)"))


def _volume(field: str, value: float) -> float:
    return above(field, value, 0, 1e6, "L")


def _temperature(value: float) -> float:
    return number("temperature_c", value, *TEMPERATURES, "degC")


def _dry(share: float) -> float:
    return above("dry_fraction", share, 0, 1, _("(dry salt in the product)"))


def mass_kg(volume_l: float, salinity: float, temperature_c: float) -> float:
    """kg of water in `volume_l` L: density * volume / 1000.

    Range: above 0 to 1e6 L, salinity 0 to 42, -2 to 40 degC. Source: definition; density by TEOS-10.
    """
    return _mass(_volume("volume_l", volume_l), _salinity("salinity", salinity), _temperature(temperature_c))


def _mass(volume_l: float, salinity: float, temperature_c: float) -> float:
    return volume_l * density(salinity, temperature_c) / 1000


def salt_for_water(volume_l: float, salinity: float, temperature_c: float, dry_fraction: float = 1.0) -> float:
    """g of salt in `volume_l` L of finished water: SA * mass, over the dry share of the product.

    Range: volume above 0 to 1e6 L, salinity 0 to 42, -2 to 40 degC, dry fraction above 0 to 1 (by the maker's word or
    one batch of your own; salts with crystal water have 0.8 to 1). Source: mass balance.
    """
    return mass_kg(volume_l, salinity, temperature_c) * g_per_kg(salinity) / _dry(dry_fraction)


def salt_into_fresh(fresh_l: float, salinity: float, temperature_c: float, dry_fraction: float = 1.0) -> float:
    """g of salt to stir into `fresh_l` L of fresh water: 1000 M SA / (1000 - SA), over the dry share of the product.

    Crystal water in the product is not counted as water. Range: as for `salt_for_water`. Source: mass balance.
    """
    mass = _mass(_volume("fresh_l", fresh_l), 0.0, _temperature(temperature_c))
    salt = g_per_kg(_salinity("salinity", salinity))
    return 1000 * mass * salt / (1000 - salt) / _dry(dry_fraction)


def volume_with_salt(fresh_l: float, salinity: float, temperature_c: float) -> float:
    """L of finished water from `fresh_l` L of fresh water: a little more than went in.

    Range: as for `salt_for_water`. Source: mass balance.
    """
    salt = salt_into_fresh(fresh_l, salinity, temperature_c)
    mass = _mass(fresh_l, 0.0, temperature_c) + salt / 1000
    return mass * 1000 / density(salinity, temperature_c)


def salt_to_raise(
    volume_l: float, salinity: float, wanted: float, temperature_c: float, dry_fraction: float = 1.0
) -> float:
    """g of dry salt to bring `volume_l` L from `salinity` up to `wanted`: 1000 M (SA2 - SA1)/(1000 - SA2).

    Dissolve it in water apart first; animals stand no dry salt. Range: wanted from the salinity there is to 42; the
    rest as for `salt_for_water`. Source: mass balance.
    """
    now, then = _salinity("salinity", salinity), _salinity("wanted", wanted)
    if then < now:
        raise InputError(
            "wanted",
            wanted,
            _("a practical salinity of at least the {now:g} there is; dilute to lower it").format(now=now),
        )
    mass = mass_kg(volume_l, now, temperature_c)
    return 1000 * mass * (g_per_kg(then) - g_per_kg(now)) / (1000 - g_per_kg(then)) / _dry(dry_fraction)


def fresh_to_dilute(volume_l: float, salinity: float, wanted: float, temperature_c: float) -> float:
    """L of fresh water to add to `volume_l` L so that `salinity` falls to `wanted`: M (S1 - S2)/S2.

    Range: wanted above 0, at most the salinity there is; volume above 0 to 1e6 L, -2 to 40 degC. Source: mass balance.
    """
    now, then = _salinity("salinity", salinity), above("wanted", wanted, 0, 42, _("(practical salinity)"))
    if then > now:
        raise InputError(
            "wanted",
            wanted,
            _("a practical salinity of at most the {now:g} there is; add salt to raise it").format(now=now),
        )
    fresh = mass_kg(volume_l, now, temperature_c) * (now - then) / then
    return fresh * 1000 / pure_water_density(_temperature(temperature_c))


def join(waters: Sequence[WaterBody]) -> WaterBody:
    """Two or more waters poured together: salinity and temperature weighted by mass, volume from the joint density.

    The heat capacity of fresh and salt water is taken as one (4 % apart). Range: volumes above 0 to 1e6 L, salinity 0
    to 42, -2 to 40 degC. Source: mass balance.
    """
    if len(waters) == 0:
        raise InputError("waters", "none", _("one water or more, each with L, salinity and degC"))
    masses = [mass_kg(w.volume_l, w.salinity, w.temperature_c) for w in waters]
    total = math.fsum(masses)
    salinity = math.fsum(m * w.salinity for m, w in zip(masses, waters, strict=True)) / total
    temperature = math.fsum(m * w.temperature_c for m, w in zip(masses, waters, strict=True)) / total
    return WaterBody(total * 1000 / density(salinity, temperature), salinity, temperature)


def evaporated_l(volume_l: float, salinity: float, salinity_now: float, temperature_c: float) -> float:
    """L of fresh water lost, and so to be topped up, when `volume_l` L rose from `salinity` to `salinity_now`.

    M (1 - S1/S2), salt staying behind; top up with fresh water, since salt water would raise the salinity for ever.
    `volume_l` is the level before. Range: salinity now from the salinity before to 42, the latter above 0. Source: mass
    balance.
    """
    before = above("salinity", salinity, 0, 42, _("(practical salinity)"))
    now = _salinity("salinity_now", salinity_now)
    if now < before:
        raise InputError(
            "salinity_now",
            salinity_now,
            _("a practical salinity of at least the {before:g} before").format(before=before),
        )
    lost = mass_kg(volume_l, before, temperature_c) * (1 - before / now)
    return lost * 1000 / pure_water_density(_temperature(temperature_c))


def salinity_after_evaporation(volume_l: float, salinity: float, lost_l: float, temperature_c: float) -> float:
    """Practical salinity after `lost_l` L of fresh water went out of `volume_l` L: S M/(M - lost).

    Range: lost from 0 to less than the water there is; result at most 42. Source: mass balance.
    """
    mass = mass_kg(volume_l, salinity, temperature_c)
    lost = number("lost_l", lost_l, 0, 1e6, "L") * pure_water_density(_temperature(temperature_c)) / 1000
    if lost >= mass or salinity * mass / (mass - lost) > SALINITIES[1]:
        raise InputError(
            "lost_l",
            lost_l,
            _("L that leave a practical salinity of at most {salinities:g} behind").format(salinities=SALINITIES[1]),
        )
    return salinity * mass / (mass - lost)


def after_refill(vessel: WaterBody, taken_l: float, refill: WaterBody, most_step: float = SALINITY_STEP) -> Refilled:
    """The vessel after `taken_l` L of it were replaced by `refill`, and a warning when salinity moves too far at once.

    Range: taken from 0 to less than the vessel holds; `most_step` 0.5 to 42 (5 by default); waters as in `join`.
    Source: mass balance; the step is common practice, no source (half of the rotifers moved down as much at once
    still swam: Oie & Olsen 1993, Hydrobiologia 255/256:81-86).
    """
    taken = number("taken_l", taken_l, 0, 1e6, "L")
    if taken >= vessel.volume_l:
        raise InputError(
            "taken_l", taken_l, _("less than the {volume_l:g} L in the vessel").format(volume_l=vessel.volume_l)
        )
    most = number("most_step", most_step, 0.5, 42, _("(practical salinity)"))
    after = join([WaterBody(vessel.volume_l - taken, vessel.salinity, vessel.temperature_c), refill])
    step = after.salinity - vessel.salinity
    steps = salinity_steps(vessel.salinity, after.salinity, most)
    warning = STEP_WARNING.format(step=abs(step), most=most, times=steps) if steps > 1 else ""
    return Refilled(after, step, after.temperature_c - vessel.temperature_c, warning)


def refill_salinity(vessel: WaterBody, taken_l: float, refill_l: float, wanted: float) -> float:
    """Practical salinity that `refill_l` L must have to bring the vessel to `wanted` after `taken_l` L were taken.

    The inverse of `after_refill`, at the vessel's temperature. Range: as there; a wanted salinity that no water from 0
    to 42 can bring about is refused. Source: mass balance.
    """
    taken = number("taken_l", taken_l, 0, 1e6, "L")
    if taken >= vessel.volume_l:
        raise InputError(
            "taken_l", taken_l, _("less than the {volume_l:g} L in the vessel").format(volume_l=vessel.volume_l)
        )
    refill, target = _volume("refill_l", refill_l), _salinity("wanted", wanted)
    left = mass_kg(vessel.volume_l - taken, vessel.salinity, vessel.temperature_c)

    def missing(salinity: float) -> float:
        added = _mass(refill, salinity, vessel.temperature_c)
        return left * (vessel.salinity - target) + added * (salinity - target)

    low, high = SALINITIES
    if missing(low) > 0 or missing(high) < 0:
        kept = WaterBody(vessel.volume_l - taken, vessel.salinity, vessel.temperature_c)
        least, most = (join([kept, WaterBody(refill, s, vessel.temperature_c)]).salinity for s in SALINITIES)
        between = _("from {least:.1f} to {most:.1f}").format(least=least, most=most)
        raise InputError(
            "wanted",
            wanted,
            _("a practical salinity {between}, which is all that this refill can reach").format(between=between),
        )
    for _unused in range(100):
        middle = (low + high) / 2
        low, high = (low, middle) if missing(middle) > 0 else (middle, high)
    return (low + high) / 2


def salinity_steps(salinity: float, wanted: float, most_step: float = SALINITY_STEP) -> int:
    """In how many steps to go from one salinity to another, none larger than `most_step`; 0 when there is no change.

    Range: salinities 0 to 42, step 0.5 to 42. Source: definition; the 5 is common practice, no source (half of the
    rotifers moved down as much at once still swam: Oie & Olsen 1993, Hydrobiologia 255/256:81-86).
    """
    way = abs(_salinity("wanted", wanted) - _salinity("salinity", salinity))
    return math.ceil(way / number("most_step", most_step, 0.5, 42, _("(practical salinity)")) - 1e-9)
