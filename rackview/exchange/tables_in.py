"""Rows of the tables beside the events, each checked against the rack and against the rows before it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TypeVar

from rackview.core import profile as prof
from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.profile import LarvalGroup, StrainProfile
from rackview.core.profile_rows import STRAIN, profile_from, profile_named
from rackview.core.rack import Rack
from rackview.core.tables import WORTHS, Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Vessel
from rackview.exchange.intake import Report, SourceRow, clear
from rackview.language import _

T = TypeVar("T", Vessel, Stock, Brood, Demand, Standing, TankEntry)
MOST_NAME = 200
WORTH_ROWS = frozenset(f"worth:{name}" for name in WORTHS)


def take_keyed(
    rows: Iterable[SourceRow],
    there: Iterable[T],
    make: Callable[[Mapping[str, object]], T],
    key: Callable[[T], str],
    words: Callable[[T], str],
    report: Report,
    **known: Iterable[str],
) -> tuple[dict[str, T], dict[str, SourceRow]]:
    """Rows of a table in which a key stands only once: those that are new or changed, and where each stood.

    `known` has the names that a column may hold, by column.
    """
    old = {key(one): one for one in there}
    new: dict[str, T] = {}
    where: dict[str, SourceRow] = {}
    for row in rows:
        try:
            one = make(row.cells)
            for column, names in known.items():
                _among(getattr(one, column), names, column)
        except InputError as error:
            report.refused(row, error)
            continue
        name = key(one)
        if len(name) > MOST_NAME:
            report.refused(
                row,
                _("{one}: a name may have at most {most_name} characters.").format(one=words(one), most_name=MOST_NAME),
            )
            continue
        before = where.setdefault(name, row)
        if before is not row:
            if new.get(name, old.get(name)) != one:
                report.refused(row, f"{words(one)} {_otherwise(before)}")
            else:
                report.known(row, words(one))
        elif old.get(name) == one:
            report.known(row, words(one))
        else:
            new[name] = one
            report.taken(
                row,
                words(one)
                if name not in old
                else _("{one}, changes {old}").format(one=words(one), old=_changes(old[name], one)),
            )
    return new, where


def _changes(old: object, new: object) -> str:
    a, b = old.row(), new.row()  # type: ignore[attr-defined]
    return ", ".join(c for c in b if a[c] != b[c])


def take_vessels(
    rows: list[SourceRow], rack: Rack, strains: Mapping[str, StrainProfile], report: Report
) -> tuple[dict[str, Vessel], set[str]]:
    """New and changed vessels by name, and the names of those whose line was refused."""
    new, where = take_keyed(
        rows,
        rack.known_vessels.values(),
        Vessel.from_row,
        _vessel,
        lambda v: _("vessel {vessel}").format(vessel=clear(v.vessel)),
        report,
        strain=strains,
    )
    places: dict[tuple[str, int], str] = {}
    for name, one in [*((n, v) for n, v in rack.known_vessels.items() if n not in new), *new.items()]:
        if one.retired:
            continue  # it stands nowhere
        other = places.setdefault((one.shelf, one.position), name)
        if other != name:
            wanted = _("a free place, as {other} stands on shelf {shelf} there").format(
                other=clear(other), shelf=clear(one.shelf)
            )
            report.refused(where[name], InputError("position", one.position, wanted))
    listed = {read.text(r.cells, "vessel") for r in rows}
    return new, listed - {*rack.known_vessels, *rack.present_names, *new}


def take_stock(rows: list[SourceRow], rack: Rack, report: Report) -> list[Stock]:
    """New and changed feeds."""
    new, _unused = take_keyed(
        rows,
        rack.stock,
        Stock.from_row,
        lambda s: s.feed,
        lambda s: _("feed {feed}").format(feed=clear(s.feed)),
        report,
    )
    return list(new.values())


def take_broods(
    rows: list[SourceRow],
    rack: Rack,
    strains: Mapping[str, StrainProfile],
    groups: Mapping[str, LarvalGroup],
    report: Report,
) -> list[Brood]:
    """New and changed broods."""
    new, _unused = take_keyed(
        rows,
        rack.broods,
        Brood.from_row,
        lambda b: b.brood,
        lambda b: _("brood {brood}").format(brood=clear(b.brood)),
        report,
        group=groups,
        strain=strains,
    )
    return list(new.values())


def take_demand(
    rows: list[SourceRow], rack: Rack, strains: Mapping[str, StrainProfile], report: Report
) -> list[Demand]:
    """New and changed days of demand."""
    new, _unused = take_keyed(
        rows,
        rack.demand,
        Demand.from_row,
        lambda d: d.row_key,
        lambda d: _("demand for {strain} on {date}").format(strain=d.strain, date=d.date),
        report,
        strain=strains,
    )
    return list(new.values())


def take_standing(
    rows: list[SourceRow], rack: Rack, strains: Mapping[str, StrainProfile], report: Report
) -> list[Standing]:
    """New and changed standing needs."""
    new, _unused = take_keyed(
        rows,
        rack.standing,
        Standing.from_row,
        lambda s: s.row_key,
        lambda s: _("standing need of {consumer}").format(consumer=clear(s.consumer)),
        report,
        strain=strains,
    )
    return list(new.values())


def take_tanks(rows: list[SourceRow], rack: Rack, report: Report) -> list[TankEntry]:
    """New and changed notes of larval tanks."""
    new, _unused = take_keyed(
        rows,
        rack.tanks,
        TankEntry.from_row,
        lambda t: t.row_key,
        lambda t: _("tank of {tank} on {date}").format(tank=clear(t.tank), date=t.date),
        report,
    )
    return list(new.values())


def take_settings(rows: list[SourceRow], rack: Rack, places: Iterable[str], report: Report) -> Settings | None:
    """The settings as they would be, or None if nothing changes; a setting that is not named stays.

    `places` are the vessels and strains that a threshold may be of.
    """
    old = rack.settings.row()
    usual = Settings().row()
    scopes = {"", *places}
    after = dict(old)
    where: dict[str, SourceRow] = {}
    for row in rows:
        name = read.text(row.cells, "setting")
        value = row.cells.get("value", "")
        try:
            if name not in usual and name not in WORTH_ROWS:
                _threshold(name, value, scopes)
            one = Settings.from_row({name: value}).row().get(name, "")
        except InputError as error:
            report.refused(row, error)
            continue
        words = _("setting {name}").format(name=clear(name))
        before = where.setdefault(name, row)
        if before is not row and after[name] != one:
            report.refused(row, f"{words} {_otherwise(before)}")
        elif old.get(name, "") == one:
            report.known(row, words)
        else:
            report.taken(row, words)
        after[name] = one
    settings = Settings.from_row(after)
    return None if settings == rack.settings else settings


def _threshold(name: str, value: object, scopes: set[str]) -> None:
    start, _unused, rest = name.partition(":")
    vessel, _unused, threshold = rest.rpartition(":")
    if start != "threshold" or ":" not in rest:
        raise InputError("setting", name, _("one of ") + ", ".join(Settings().row()) + _(", or threshold:SCOPE:NAME"))
    if vessel not in scopes:
        raise InputError(
            "setting",
            name,
            _("a vessel of this rack, or strain:STRAIN, where “{vessel}” stands").format(vessel=clear(vessel)),
        )
    _among(threshold, (*prof.THRESHOLDS, *prof.RETIRED), "setting")
    number = read.number_in({name: value}, name, _("a number"))
    if number is not None:
        prof.within_reach(threshold, number)


def take_profiles(rows: list[SourceRow], rack: Rack, report: Report) -> tuple[list[StrainProfile], list[LarvalGroup]]:
    """New and changed strain and larval-group profiles."""
    strains: list[StrainProfile] = []
    groups: list[LarvalGroup] = []
    by_profile: dict[tuple[str, str], list[SourceRow]] = {}
    for row in rows:
        try:
            by_profile.setdefault(profile_named(row.cells), []).append(row)
        except InputError as error:
            report.refused(row, error)
    for (about, name), parts in by_profile.items():
        there: StrainProfile | LarvalGroup | None = (rack.strains if about == STRAIN else rack.groups).get(name)
        try:
            made = profile_from(about, name, [r.cells for r in parts])
        except InputError as error:
            report.refused(parts[0], error)
            continue
        words = _("profile {name} of {about}").format(name=clear(name), about=about)
        if there is not None and prof.mapping_of(there) == prof.mapping_of(made):
            report.known(parts[0], words)
        else:
            report.taken(parts[0], words)
            if isinstance(made, StrainProfile):
                strains.append(made)
            else:
                groups.append(made)
    return strains, groups


def _otherwise(before: SourceRow) -> str:
    return _("stands otherwise in line {line} of {file}; keep one of the two.").format(
        line=before.line, file=before.file
    )


def _vessel(one: Vessel) -> str:
    return one.vessel


def _among(name: str, known: Iterable[str], column: str) -> None:
    """Refuse a name that is given but not known."""
    if name and name not in known:
        raise InputError(column, name, _("one of ") + ", ".join(known))
