"""Numbers, amounts and places in words: few figures, trade units, the keeper's own units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Any

from rackview.advice.constants import (
    BY_FIVES,
    FIGURES,
    MILLION_FROM,
    ODDS_EXACT,
    ODDS_FIVES,
    ODDS_TOPS,
    ONE_IN_UNDER,
    THOUSAND_FROM,
    UNDER_ONE_IN_100,
)
from rackview.core.dataclass import dataclass
from rackview.core.tables import Settings
from rackview.core.vessel import Vessel
from rackview.language import _, ngettext

Values = Mapping[str, Any]


def figures(value: float, digits: int = 2) -> str:
    """A number with at most so many significant figures, without exponent: 5.2, 212 as 210, 0.28."""
    if value == 0:
        return "0"
    size = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    if size >= digits:
        return f"{round(value, digits - size):.0f}"
    if size == 0:
        text = f"{value:.{digits}g}"
        return text if "e" not in text else f"{value:.6f}".rstrip("0")
    return f"{value:.{digits - size}f}".rstrip("0").rstrip(".")


def per_ml(value: float) -> str:
    """A density for a sentence: no more figures than a count supports."""
    return f"{value:.0f} /mL" if value >= 10 else f"{figures(value)} /mL"


STATE_WORDS = {
    "resting": _("resting"),
    "empty": _("empty"),
    "unknown": _("unknown"),
    "crashed": _("crashed"),
    "falling": _("falling"),
    "level": _("level"),
    "rising": _("rising"),
}
"""The state of a vessel in a word."""
ACTION_WORDS = {
    "harvest": _("harvest"),
    "feed": _("feed"),
    "clean": _("clean"),
    "split": _("split"),
    "restart": _("restart"),
    "count": _("count"),
    "test": _("test"),
    "hold": _("hold"),
}
"""A suggested action in a word."""


def animals_seen(number: int | None) -> str:
    """How many animals a count rests on; None where only its density was written down."""
    if number is None:
        return _("an unknown number of animals")
    return _("1 animal") if number == 1 else _("{number} animals").format(number=number)


def million(animals: float) -> str:
    """Animals as millions or thousands."""
    if animals >= MILLION_FROM:
        return _("{animals} million").format(animals=figures(animals / 1e6))
    if animals >= THOUSAND_FROM:
        return _("{animals} thousand").format(animals=figures(animals / 1e3))
    return f"{animals:.0f}"


def per_cent(share: float) -> str:
    """A share as a percentage: 35 %."""
    return f"{100 * share:.0f} %"


ODDS = (_("about half"), _("about 2 in 3"), _("about 3 in 4"), _("about 9 in 10"))
"""Chances in words, each up to its end in `ODDS_TOPS`."""


def chance_text(value: float) -> str:
    """A chance as people say it: under 1 in 100, about 1 in 8, about half, about 2 in 3, nearly certain."""
    if value < UNDER_ONE_IN_100:
        return _("under 1 in 100")
    if value < ONE_IN_UNDER:
        n = round(1.0 / value)
        step = BY_FIVES if n < ODDS_FIVES else 10
        return _("about 1 in {n}").format(n=n if n <= ODDS_EXACT else step * round(n / step))
    return next((text for top, text in zip(ODDS_TOPS, ODDS, strict=True) if value < top), _("nearly certain"))


def days_text(days: float | None) -> str:
    """A number of days in words."""
    if days is None:
        return _("never")
    whole = round(days)
    return _("today") if whole <= 0 else ngettext("{n} day", "{n} days", whole).format(n=whole)


@dataclass(frozen=True, slots=True)
class Speech:
    """The keeper's units and the places of the vessels, for putting amounts and vessels into words."""

    settings: Settings = field(default_factory=Settings)
    vessels: Mapping[str, Vessel] = field(default_factory=dict)

    def volume(self, litres: float, digits: int = FIGURES) -> str:
        """A volume in the keeper's unit; three figures show every amount that is suggested as it is recorded."""
        from rackview.science.units import to_display  # numpy comes with it, and the first paint does without

        unit = self.settings.volume_unit
        return f"{figures(to_display(litres, 'volume', unit), digits)} {unit}"

    def temperature(self, celsius: float, step: bool = False) -> str:
        """A temperature, or a step of one, in the keeper's unit."""
        from rackview.science.units import fahrenheit

        if self.settings.temperature_unit == "degF":
            return f"{fahrenheit(celsius) - (fahrenheit(0.0) if step else 0.0):.0f} °F"
        return f"{celsius:.1f} °C"

    def place(self, vessel: str | None) -> str:
        """Where a vessel stands, as A4."""
        found = self.vessels.get(vessel or "")
        return found.place if found is not None else vessel or ""
