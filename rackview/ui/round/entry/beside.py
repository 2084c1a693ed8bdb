"""What stood beside what was typed on the round, kept with the draft so that a text never comes to mean something else.

A harvest of 5 typed in litres stays 5 L when the rack's units are changed before it is recorded, and a tally of 30 in
0.5 mL stays that when the vessel is meanwhile counted in another way.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

from rackview.core import read
from rackview.core.tables import SALINITY_UNITS, TEMPERATURE_UNITS, VOLUME_UNITS, Settings
from rackview.language import _
from rackview.ui.forms.remembered import SamplingHabit
from rackview.ui.round.entry.columns import MOST
from rackview.ui.words import keeper_units as ku

VOLUMES = frozenset({"harvest", "refill", "split", "split_refill", "split_fill"})
"""Fields that hold a volume in the keeper's unit."""

UNITS = (
    ("volume_unit", VOLUMES, VOLUME_UNITS),
    ("temperature_unit", {"temperature"}, TEMPERATURE_UNITS),
    ("salinity_unit", {"gravity"}, SALINITY_UNITS),
)
"""Units of the settings, the fields that are typed in them, and what they may be."""

BOUNDS = {"temperature": (-60.0, 140.0), "gravity": (0.0, 200.0), "ph": (0.0, 14.0), "oxygen": (0.0, 60.0)}
"""What a field can hold at most in any unit: beyond it, thousands can't be meant."""


def in_base_units(key: str, text: str, settings: Settings) -> float | None:
    """What a text in a field is in base units, None if it is blank; raises `InputError`."""
    low, high = BOUNDS.get(key, (-math.inf, math.inf))
    raw = read.number_in({key: text}, key, _("a number"), low=low, high=high)
    if raw is None:
        return None
    if key == "temperature":
        return ku.to_celsius(raw, settings)
    return ku.to_litres(raw, settings) if key in VOLUMES else raw


def texts(habit: SamplingHabit) -> dict[str, str]:
    """What the fields show that are filled from last time."""
    return {
        "aliquot": ku.plain(habit.aliquot_ml),
        "dilution": ku.plain(habit.dilution),
        "fixative": ku.plain(habit.fixative),
        "females_checked": "" if habit.females_checked is None else str(habit.females_checked),
        "sg_reference": habit.sg_reference,
    }


def typed_units(typed: Iterable[str], settings: Settings) -> dict[str, str]:
    """The units in which the fields `typed` were typed."""
    touched = set(typed)
    return {name: str(getattr(settings, name)) for name, fields, _ in UNITS if touched & fields}


def settings_with(units: Mapping[str, object], settings: Settings) -> Settings:
    """The settings with the units that a draft was typed in."""
    kept = {name: str(units[name]) for name, _, words in UNITS if units.get(name) in words}
    return replace(settings, **kept)  # type: ignore[arg-type]


def within(typed: dict[str, str]) -> dict[str, str]:
    """A draft's texts with the tallies that have no field of their own beside those of the last field."""
    found: dict[str, str] = {}
    for key, text in typed.items():
        stage, _, n = key.partition(".")
        last = f"{stage}.{MOST - 1}"
        if n.isdecimal() and int(n) >= MOST and last in typed:
            found[last] = f"{found.get(last, typed[last])} {text}".strip()
        else:
            found.setdefault(key, text)
    return found
