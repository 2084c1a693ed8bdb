"""The rows of the larvae's tables: broods, announced days, standing needs, larval tanks."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from rackview.core.assessment import BroodAhead
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Demand, Standing, TankEntry
from rackview.language import _
from rackview.ui.forms.table_page import TableLine
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

RISK = 0.2
"""A chance of falling short over this is shown in weight."""


def weaned(rack: Rack, brood: Brood, today: date) -> bool:
    """Whether the brood no longer eats live prey."""
    group = rack.groups.get(brood.group)
    last = brood.last_day if brood.last_day is not None else group.last_day if group else None
    return brood.hatched is not None and last is not None and (today - brood.hatched).days > last


def brood_headers() -> tuple[str, ...]:
    """The columns of the broods."""
    return (
        _("Brood"), _("Age"), _("Eats"),
        _("May fall short"), _("Appetite"),
        _("Larvae"), _("Tank"), _("Group"),
    )  # fmt: skip


def brood_row(rack: Rack, brood: Brood, today: date, ahead: Mapping[str, BroodAhead]) -> TableLine:
    """One brood: its age, what it eats, its appetite by what was left, and how likely it falls short."""
    group = rack.groups.get(brood.group)
    strain = brood.strain or (group.strain if group else "")
    told = ahead.get(brood.brood)
    cells = (
        brood.brood,
        _age(rack, brood, today),
        strain_title(rack, strain),
        "" if told is None else _risk(told, today),
        _appetite(rack, brood, today),
        "" if brood.larvae is None else f"{brood.larvae}",
        "" if brood.tank_l is None else ku.with_unit(brood.tank_l, rack.settings),
        group.title if group else brood.group,
    )
    return TableLine(cells, brood, told is not None and told.chance_short > RISK)


def _age(rack: Rack, brood: Brood, today: date) -> str:
    if brood.hatched is None:
        return _("spawned {day}").format(day=formats.short_date(brood.spawned or today, today))
    days = (today - brood.hatched).days
    if days < 0:
        return _("hatch {day}").format(day=formats.short_date(brood.hatched, today))
    words = _("weaned, {n} dph") if weaned(rack, brood, today) else "{n} dph"
    return words.format(n=days)


def _appetite(rack: Rack, brood: Brood, today: date) -> str:
    """The factor on the need reckoned with its 90 % interval, from the looks at the tank."""
    from rackview.planner.demand import appetite

    eats = appetite(rack, brood, today)
    if not eats.looks:
        return ""
    return f"× {eats.factor:.1f} ({eats.low90:.1f}–{eats.high90:.1f})"


def _risk(told: BroodAhead, today: date) -> str:
    chance = formats.chance(told.chance_short)
    if told.last_safe is None:
        return chance
    day = formats.short_date(told.last_safe, today)
    return _("{chance}, start by {day}").format(chance=chance, day=day)


def strain_title(rack: Rack, strain: str) -> str:
    """What a strain is called."""
    profile = rack.strains.get(strain)
    return profile.title if profile else strain


def demand_row(rack: Rack, demand: Demand, today: date) -> TableLine:
    """A day that the keeper announced."""
    day = formats.short_date(demand.date, today)
    return TableLine((day, strain_title(rack, demand.strain), formats.animals(demand.animals)), demand)


def standing_row(rack: Rack, one: Standing, today: date) -> TableLine:
    """Mouths that take what is spare."""
    most = _("what is spare")
    if one.animals_per_day is not None:
        most = formats.animals(one.animals_per_day)
    worth = "" if one.worth is None else ku.plain(one.worth)
    return TableLine((one.consumer, strain_title(rack, one.strain), most, worth), one)


def tank_row(rack: Rack, one: TankEntry, today: date) -> TableLine:
    """What was found and given at a larval tank."""
    left = "" if one.left_per_ml is None else f"{ku.plain(one.left_per_ml)} /mL"
    dosed = "" if one.amount is None else f"{ku.plain(one.amount)} {one.unit} {one.feed}"
    return TableLine((formats.short_date(one.date, today), one.tank, left, dosed), one)
