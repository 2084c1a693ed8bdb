"""The fields of the round: what each fills in the event table, and what it is called."""

from __future__ import annotations

from datetime import timedelta

from rackview.language import _

STALE = timedelta(hours=6)
"""A draft older than this is recorded for the time when it was typed, not for now."""

MOST = 6
"""Tally fields of a stage; the last one takes all further tallies, with spaces between."""
STAGES = ("nauplii", "copepodites", "adults")
WATER = ("temperature", "gravity", "ph", "tan", "oxygen")
SIGNS = ("with_eggs", "females_checked", "eggs", "swimming", "ciliates", "tint")
ACTS = ("harvest", "refill", "feed", "clean", "split", "split_to", "split_refill", "split_fill")
"""What is done at a vessel; typed blank, each is as if nobody had touched it."""
SAMPLE = ("aliquot", "dilution", "fixative")
CLEANING = ("leave", "floss", "vessel", "airline")
GRAVITY = {"SG": "sg", "ppt": "salinity", "mS/cm": "conductivity_ms_cm"}

COLUMNS = {
    "aliquot": ("count", "aliquot_ml"),
    "dilution": ("count", "dilution"),
    "fixative": ("count", "fixative"),
    "with_eggs": ("count", "with_eggs"),
    "females_checked": ("count", "females_checked"),
    "eggs": ("count", "eggs"),
    "swimming": ("count", "swimming"),
    "ciliates": ("count", "ciliates"),
    "tint": ("count", "tint"),
    "temperature": ("reading", "temperature_c"),
    "ph": ("reading", "ph"),
    "tan": ("reading", "tan_mg_l"),
    "oxygen": ("reading", "oxygen_mg_l"),
    "harvest": ("harvest", "volume_l"),
    "refill": ("harvest", "refill_l"),
    "feed": ("feed", "amount"),
    "split": ("split", "volume_l"),
    "split_refill": ("split", "refill_l"),
    "split_fill": ("split", "fill_l"),
}
"""Field of the round to the event kind and column that it fills."""

LABELS = {
    "temperature": "water",
    "tan": "TAN",
    "ph": "pH",
    "split_refill": "refill",
    "split_fill": _("fill up with"),
    "split_to": "into",
    "with_eggs": "with eggs",
}

CHECKED_AS_TYPED = frozenset(
    {"with_eggs", "females_checked", "eggs", "swimming", "ciliates", "tint", "ph", "tan", "oxygen"}
)
"""Fields whose text goes to the parser unchanged, so that what it found is what was typed."""
