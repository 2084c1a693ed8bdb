"""Between base units and the units on the keeper's jugs and thermometer."""

from __future__ import annotations

from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.tables import VOLUME_UNITS, Settings
from rackview.language import _
from rackview.science import units

DEGREES = {"degC": "°C", "degF": "°F"}


def plain(value: float) -> str:
    """The shortest text of a number, such as 1, 0.5 or 24.5."""
    return f"{value:.6g}"


def volume(litres_: float, settings: Settings) -> float:
    """Litres in the keeper's unit."""
    return float(units.to_display(litres_, "volume", settings.volume_unit))


def to_litres(volume_: float, settings: Settings) -> float:
    """The keeper's unit in litres."""
    return float(units.from_display(volume_, "volume", settings.volume_unit))


def retold(text: str, unit: str, settings: Settings) -> str:
    """A volume typed in one unit, in the keeper's; as it stands where it is no number or the unit is the same."""
    if unit == settings.volume_unit or unit not in VOLUME_UNITS:
        return text
    try:
        value = read.number_in({"volume": text}, "volume", _("a number"))
    except InputError:
        return text
    return text if value is None else plain(volume(float(units.from_display(value, "volume", unit)), settings))


def volume_text(litres_: float, settings: Settings) -> str:
    """Litres as typed into a field of the keeper's unit: as fine as a jug can be read."""
    value = volume(litres_, settings)
    return f"{value:.0f}" if value >= 100 else f"{value:.1f}" if value >= 1 else f"{value:.2f}"


def amount_text(amount: float) -> str:
    """An amount of feed as fine as it can be measured."""
    return f"{amount:.0f}" if amount >= 20 else f"{amount:.1f}" if amount >= 1 else f"{amount:.2f}"


def with_unit(litres_: float, settings: Settings) -> str:
    """Litres with the keeper's unit, such as 5.2 L."""
    return f"{volume_text(litres_, settings)} {settings.volume_unit}"


def temperature(celsius_: float, settings: Settings) -> float:
    """Degrees Celsius in the keeper's unit."""
    return float(units.to_display(celsius_, "temperature", settings.temperature_unit))


def degree_size(settings: Settings) -> float:
    """How many of the keeper's degrees make one degree Celsius."""
    return temperature(1.0, settings) - temperature(0.0, settings)


def to_celsius(temperature_: float, settings: Settings) -> float:
    """The keeper's temperature in degrees Celsius."""
    return float(units.from_display(temperature_, "temperature", settings.temperature_unit))


def temperature_text(celsius_: float, settings: Settings) -> str:
    """A temperature with the keeper's unit, such as 24.5 °C."""
    return f"{temperature(celsius_, settings):.1f} {DEGREES[settings.temperature_unit]}"


def wanted(key: str, sentence: str, settings: Settings) -> str:
    """What would be right, in the keeper's units."""
    if key == "temperature" and settings.temperature_unit == "degF":
        return _("degrees Fahrenheit from 28.4 to 113")
    if key in {"harvest", "refill", "split", "split_refill", "split_fill"} and settings.volume_unit != "L":
        words = sentence.replace(
            "a volume in litres", _("a volume in {volume_unit}").format(volume_unit=settings.volume_unit)
        ).split()
        for n, word in enumerate(words[:-1]):
            if words[n + 1] == "L":
                words[n] = volume_text(float(word), settings)
                words[n + 1] = settings.volume_unit
        return " ".join(words)
    return sentence
