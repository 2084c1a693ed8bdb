"""Moving animals: how much culture to move or harvest, through which mesh, and into what for enrichment.

Volumes in L, densities in animals per mL.
"""

from __future__ import annotations

import math
from itertools import pairwise
from types import MappingProxyType

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import ANY, above, number, whole
from rackview.science.options import Option, pick

SIEVE_RECOVERY = Option(
    0.9, _("about 10 % lost in sieving and rinsing: Attramadal & Sandvand 1993, Fish Farming Technology")
)
"""The share of animals that a harvest leaves alive in the sieve."""

FAO = _("Lavens & Sorgeloos (eds) 1996, FAO Fisheries Technical Paper 361")
UNSOURCED = _("common practice, no source")
DERIVED = (
    _("derived: the smallest, {length} um long (")
    + FAO
    + _(
        ", 3.4), is {width} um wide at 0.76 of its length, as "
        "rotifers fed to cod were (citing Puvanendran et al.): wider than the diagonal of any mesh up to {most} um"
    )
)
MESHES = MappingProxyType(
    {
        "rotifer-L": Option(60.0, DERIVED.format(length=130, width=99, most=63)),
        "rotifer-S": Option(50.0, DERIVED.format(length=100, width=76, most=53)),
        "rotifer-SS": Option(40.0, UNSOURCED),
        "copepod-benthic": Option(45.0, UNSOURCED),
        "copepod-pelagic": Option(38.0, UNSOURCED),
        "copepod adults": Option(150.0, UNSOURCED),
        "ciliate rinse": Option(50.0, _("below 50 to let ciliates through: {unsourced}").format(unsourced=UNSOURCED)),
    }
)
"""Mesh in um that holds the animals back (for copepods the nauplii and eggs, unless adults are named)."""


@dataclass(frozen=True, slots=True)
class TransferVolume:
    """Culture to move, L, and what stands in both vessels after it, per mL."""

    volume_l: float
    donor_per_ml: float
    receiver_per_ml: float


def _density(field: str, value: float) -> float:
    return number(field, value, 0, 1e6, _("animals per mL"))


def _volume(field: str, value: float) -> float:
    return above(field, value, 0, 1e6, "L")


def animals_in(volume_l: float, per_ml: float) -> float:
    """Animals in `volume_l` L at `per_ml`: volume * 1000 * density.

    Range: volume 0 to 1e6 L, density 0 to 1e6 per mL. Source: units.
    """
    return number("volume_l", volume_l, 0, 1e6, "L") * 1000 * _density("per_ml", per_ml)


def harvest_volume(animals: float, per_ml: float, recovery: float = 1.0) -> float:
    """L to harvest for `animals` on the plate: animals / (1000 * density * recovery).

    `recovery` is the share that survives sieving and rinsing, see `SIEVE_RECOVERY`. Range: animals 0 or more, density
    above 0 to 1e6 per mL, recovery above 0 to 1. Source: units.
    """
    density = above("per_ml", per_ml, 0, 1e6, _("animals per mL"))
    return number("animals", animals, 0, ANY, "animals") / (1000 * density * above("recovery", recovery, 0, 1))


def starter_volume(receiver_l: float, wanted_per_ml: float, donor_per_ml: float) -> float:
    """L of culture that make `receiver_l` L (starter and new water together) start at `wanted_per_ml`.

    wanted * receiver / donor. Range: receiver above 0 to 1e6 L, densities per mL, the donor at least as dense as what
    is wanted. Source: mass balance.
    """
    wanted = above("wanted_per_ml", wanted_per_ml, 0, 1e6, _("animals per mL"))
    donor = _density("donor_per_ml", donor_per_ml)
    if donor < wanted:
        raise InputError(
            "wanted_per_ml", wanted_per_ml, _("at most the {donor:g} animals per mL of the donor").format(donor=donor)
        )
    return wanted * _volume("receiver_l", receiver_l) / donor


def most_to_take(volume_l: float, per_ml: float, floor_per_ml: float) -> float:
    """L that can be taken so that the vessel, filled up again, holds at least `floor_per_ml`: V (1 - floor/density).

    0 when the culture is under its floor already. Range: volume above 0 to 1e6 L, densities 0 to 1e6 per mL. Source:
    mass balance.
    """
    volume, density = _volume("volume_l", volume_l), _density("per_ml", per_ml)
    floor = _density("floor_per_ml", floor_per_ml)
    return volume * (1 - floor / density) if density > floor else 0.0


def move(
    donor_l: float,
    donor_per_ml: float,
    receiver_l: float,
    wanted_per_ml: float,
    floor_per_ml: float,
    refill_l: float | None = None,
) -> TransferVolume:
    """Volume to move for a wanted starting density in the new vessel and a safe remainder in the old one.

    The donor is refilled to its level with animal-free water unless `refill_l` says otherwise. Range: as for
    `starter_volume`; refused when the donor would fall under `floor_per_ml`. Source: mass balance.
    """
    level = _volume("donor_l", donor_l)
    volume = starter_volume(receiver_l, wanted_per_ml, donor_per_ml)
    most = most_to_take(level, donor_per_ml, floor_per_ml)
    if volume > most:
        start = most * donor_per_ml / receiver_l
        raise InputError(
            "wanted_per_ml",
            wanted_per_ml,
            _("at most {start:.4g} animals per mL, so that the donor keeps {floor_per_ml:g}").format(
                start=start, floor_per_ml=floor_per_ml
            ),
        )
    added = volume if refill_l is None else number("refill_l", refill_l, 0, 1e6, "L")
    return TransferVolume(volume, donor_per_ml * (level - volume) / (level - volume + added), wanted_per_ml)


def sieve_mesh(strain: str) -> Option[float]:
    """Mesh in um that holds a strain back, with its source: a key of `MESHES`.

    Range: the strains named there; a profile of your own carries its own mesh. Source: in each entry.
    """
    return pick(MESHES, "strain", strain)


def enrichment_volume(animals: float, per_ml: float = 500.0) -> float:
    """L of enrichment water for `animals` at `per_ml`: animals / (1000 * density).

    Range: animals 0 or more, 10 to 2000 per mL. Sources disagree: 100 to 500 per mL is common practice, no
    source (the default is its upper end); 1500 per mL, Anderson, Weirich & Cavalin 2009 (abstract).
    """
    density = number("per_ml", per_ml, 10, 2000, _("animals per mL"))
    return number("animals", animals, 0, ANY, "animals") / (1000 * density)


def enrichment_doses(volume_l: float, mg_per_l: float, doses: int = 2) -> tuple[float, ...]:
    """g of enrichment product per dose, `doses` equal ones: volume * mg/L / 1000 / doses.

    Take mg/L from the product's label. Range: volume above 0 to 1e5 L, 1 to 2000 mg/L, 1 to 6 doses. Source: units; two
    equal doses over 6 to 12 h are common practice, no source. Unsaturated fat rose no more after 6 h at 24 degC:
    Yoshimatsu et al. 1997, Hydrobiologia 358:153-157.
    """
    count = whole("doses", doses, 1, 6)
    total = above("volume_l", volume_l, 0, 1e5, "L") * number("mg_per_l", mg_per_l, 1, 2000, "mg/L") / 1000
    return (total / count,) * count


IN_WATER = ((0.0, 0.0), (1.0, 0.5), (6.0, 0.75))
"""Hours after an abrupt transfer, share of the rotifers stocked that are in the water column.

Fielder, D.S., Purser, G.J. & Battaglene, S.C. 2000, Aquaculture 189:85-99 (both Brachionus species, 23 degC and 35 ppt
to 18 to 28 degC and 10 to 35 ppt).
"""

SWIMMING = ((0.0, 1.0), (5.0, 0.5), (15.0, 0.05))
"""Fall of salinity at once from 20, share still swimming, 20 degC.

Oie, G. & Olsen, Y. 1993, Hydrobiologia 255/256:81-86 (Brachionus plicatilis).
"""


def in_water_column(hours: float) -> float:
    """Share of rotifers in the water column so many hours after an abrupt transfer; straight lines between.

    Range: 1 to 6 hours, where it was measured; count a larval tank again after 6 h before adding more. Source: Fielder,
    Purser & Battaglene 2000, Aquaculture 189:85-99.
    """
    return _between(number("hours", hours, 1, 6, "hours"), IN_WATER)


def swimming_after(fall: float) -> float:
    """Share of rotifers still swimming after the salinity fell at once by so much; straight lines between.

    Range: 0 to 15 of salinity, from 20, at 20 degC; warming adds harm, cooling protects. Source: Oie & Olsen 1993,
    Hydrobiologia 255/256:81-86.
    """
    return _between(number("fall", fall, 0, 15, _("(practical salinity)")), SWIMMING)


def _between(x: float, points: tuple[tuple[float, float], ...]) -> float:
    (x0, y0), (x1, y1) = next(p for p in pairwise(points) if x <= p[1][0])
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def mesh_diagonal(opening_um: float) -> float:
    """Diagonal of a square mesh, um: the widest rigid body that could slip through; soft animals squeeze.

    opening * sqrt(2). Range: above 0 to 5000 um. Source: geometry.
    """
    return above("opening_um", opening_um, 0, 5000, "um") * math.sqrt(2)


def per_cm2(per_ml: float, volume_l: float, surface_cm2: float) -> float:
    """Animals per cm2 of bottom, walls and substrate, for benthic copepods that live on surfaces.

    density * 1000 * volume / surface. Range: density 0 to 1e6 per mL, volume above 0 to 1e6 L, surface above 0 to 1e7
    cm2. Source: units; no density per cm2 of a culture was found in print.
    """
    return animals_in(_volume("volume_l", volume_l), per_ml) / above("surface_cm2", surface_cm2, 0, 1e7, "cm2")
