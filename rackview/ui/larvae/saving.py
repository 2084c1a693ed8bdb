"""Saving and removing rows of the larvae's tables; each gives the words of what was done, or raises `InputError`."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.tables import Brood, Demand, Standing, TankEntry
from rackview.language import _
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

Row = dict[str, object]


def _today(session: RackSession) -> date:
    return session.now().astimezone().date()


def _named(old: object, name: str) -> str:
    words = _("Add {name}") if old is None else _("Change {name}")
    return words.format(name=name)


def save_brood(session: RackSession, row: Row, old: Brood | None) -> str:
    """Add a brood, or change one under its name."""
    brood = Brood.from_row(row)
    if old is None and brood.brood in {b.brood for b in session.rack.broods}:
        raise InputError("brood", brood.brood, _("a name that no brood has yet"))
    if old is not None and brood.brood != old.brood:
        raise InputError("brood", brood.brood, _("“{brood}” to stay; add a new brood instead").format(brood=old.brood))
    session.put_brood(brood, words := _named(old, brood.brood))
    return words


def remove_brood(session: RackSession, brood: Brood) -> str:
    """Take a brood off the list."""
    words = _("Remove {brood}").format(brood=brood.brood)
    session.remove_brood(brood.brood, words)
    return words


def save_demand(session: RackSession, row: Row, old: Demand | None) -> str:
    """Announce a day, or change what was announced for it."""
    demand = Demand.from_row(row)
    words = _("{day}: {animals} wanted").format(
        day=formats.short_date(demand.date, _today(session)), animals=formats.animals(demand.animals)
    )
    if old is not None and (old.date, old.strain) != (demand.date, demand.strain):
        raise InputError("date", demand.date, _("the day and strain to stay; remove this row and announce a new one"))
    session.put_demand(demand, words)
    return words


def remove_demand(session: RackSession, demand: Demand) -> str:
    """Take back what was announced."""
    day = formats.short_date(demand.date, _today(session))
    words = _("{day}: no longer announced").format(day=day)
    session.remove_demand(demand, words)
    return words


def save_standing(session: RackSession, row: Row, old: Standing | None) -> str:
    """Add a standing need, or change one under its consumer and strain."""
    one = Standing.from_row(row)
    there = {(s.consumer, s.strain) for s in session.rack.standing}
    if old is None and (one.consumer, one.strain) in there:
        raise InputError("consumer", one.consumer, _("one that does not stand here for that strain yet"))
    if one.consumer in {b.brood for b in session.rack.broods}:
        raise InputError("consumer", one.consumer, _("another name, as a brood is called so"))
    if old is not None and (one.consumer, one.strain) != (old.consumer, old.strain):
        raise InputError(
            "consumer",
            one.consumer,
            _("“{consumer}” and its strain to stay; add a new row instead").format(consumer=old.consumer),
        )
    session.put_standing(one, words := _named(old, one.consumer))
    return words


def remove_standing(session: RackSession, one: Standing) -> str:
    """Take a standing need off the list."""
    words = _("Remove {name}").format(name=one.consumer)
    session.remove_standing(one, words)
    return words


def save_tank(session: RackSession, row: Row, old: TankEntry | None) -> str:
    """Note what was found and dosed at a tank; without a day it is today's."""
    today = _today(session)
    if read.blank(row.get("date")):
        row = {**row, "date": today.isoformat()}
    one = TankEntry.from_row(row)
    if one.date > today:
        raise InputError("date", one.date, _("a day that is not in the future"))
    if old is None and one.row_key in {t.row_key for t in session.rack.tanks}:
        raise InputError("tank", one.tank, _("another tank, day or feed, as this one is noted already; change its row"))
    if old is not None and one.row_key != old.row_key:
        raise InputError("date", one.date, _("day, tank and feed to stay; remove this row and note a new one"))
    words = _("{tank}, {day} noted").format(tank=one.tank, day=formats.short_date(one.date, today))
    session.put_tank(one, words)
    return words


def remove_tank(session: RackSession, one: TankEntry) -> str:
    """Take back what was noted at a tank."""
    words = _("{tank}, {day}: note removed").format(tank=one.tank, day=formats.short_date(one.date, _today(session)))
    session.remove_tank(one, words)
    return words
