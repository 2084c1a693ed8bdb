"""Vessels that were called something else: what was recorded under a former name is of the vessel that bears it now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rackview.core.events import Event, Restart, Split
from rackview.core.vessel import Vessel


def present_names(vessels: Mapping[str, Vessel]) -> dict[str, str]:
    """Former name to present name; a former name that another vessel bears by now is that vessel's."""
    return {old: v.vessel for v in vessels.values() for old in v.formerly if old not in vessels}


def under_present_name(event: Event, names: Mapping[str, str]) -> Event:
    """The event at the vessels as they are called now."""
    if not names:
        return event
    found = event
    if event.vessel in names:
        found = replace(found, vessel=names[event.vessel])
    if event.partner is not None and event.partner in names:
        if isinstance(found, Split):
            found = replace(found, to_vessel=names[event.partner])
        elif isinstance(found, Restart):
            found = replace(found, from_vessel=names[event.partner])
    return found
