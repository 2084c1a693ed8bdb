"""Profiles as rows of a table: one row for each value, as they travel in files and frames."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rackview.core import profile as prof
from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.profile import LarvalGroup, StrainProfile
from rackview.language import _

Row = Mapping[str, object]
STRAIN, LARVAE = "strain", "larvae"


def rows_of_profile(profile: StrainProfile | LarvalGroup) -> list[dict[str, object]]:
    """The rows that `profile_from` reads back; columns profile, about, field, value, source."""
    about = STRAIN if isinstance(profile, StrainProfile) else LARVAE
    found: list[dict[str, object]] = []
    for field, value in prof.mapping_of(profile).items():
        cells = value if isinstance(value, dict) else {"value": value}
        found.append({"profile": profile.name, "about": about, "field": field, **cells})
    return found


def profile_named(row: Row) -> tuple[str, str]:
    """What the profile that a row belongs to is about (strain or larvae), and its name; raises `InputError`."""
    about, name = read.word(row, "about", (STRAIN, LARVAE)), read.text(row, "profile")
    if not about or not name:
        raise InputError("about" if name else "profile", None, _("a name and strain or larvae"))
    return about, name


def profile_from(about: str, name: str, rows: Iterable[Row]) -> StrainProfile | LarvalGroup:
    """The profile of these rows; raises `InputError` for a value that is missing, unknown or out of reach."""
    table = {read.text(r, "field"): _value(r) for r in rows}
    return prof.strain_from(name, table) if about == STRAIN else prof.group_from(name, table)


def profiles_from(rows: Iterable[Row]) -> tuple[dict[str, StrainProfile], dict[str, LarvalGroup]]:
    """The strain profiles and the larval groups of a whole table by their names; raises `InputError`."""
    parts: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        parts.setdefault(profile_named(row), []).append(row)
    made = [profile_from(about, name, own) for (about, name), own in parts.items()]
    return (
        {p.name: p for p in made if isinstance(p, StrainProfile)},
        {p.name: p for p in made if isinstance(p, LarvalGroup)},
    )


def _value(row: Row) -> object:
    source = read.text(row, "source")
    if not source:
        return read.text(row, "value")
    return {"value": read.number_in(row, "value", _("a number")), "source": source}
