"""One check of a formula against a library or a print, and what the tables of checks share."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Check:
    area: str
    function: str
    region: str
    source: str
    expected: Any
    found: Any
    rel: float = 1e-6


UNITS: dict[str, Any] = {}


def q(value, unit):
    """A quantity of pint."""
    if not UNITS:
        import pint

        UNITS["all"] = pint.UnitRegistry()
    return UNITS["all"].Quantity(value, unit)


def magnitude(quantity, unit):
    return quantity.to(unit).magnitude


PINT = "units by pint 0.24"


SCIPY = "scipy 1.17"


LSU = "Louisiana State University dissertation 1537: 742 to 946 per mL, printed yields 0.09, 0.20, 0.32 million/L/day"


FU = "Fu et al. 1997, Hydrobiologia 358:145-151: printed density, dilution and yield"


def bracketed(low, high, value):
    """Whether a printed outcome lies between those of the printed ends, to the digits it is printed with."""
    return low * 0.97 <= value <= high * 1.03
