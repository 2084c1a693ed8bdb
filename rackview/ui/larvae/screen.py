"""Larvae: the broods and what they eat, the keeper's own word for a day, and the days ahead against the rack."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from rackview.core.errors import InputError
from rackview.core.tables import Brood, Demand
from rackview.ui.base import SubPage
from rackview.ui.forms.asks import brood_asks, demand_asks
from rackview.ui.forms.table_page import TableLine, TablePage
from rackview.ui.larvae.days_ahead import BroodDays, DaysAhead
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import scrolling_column
from rackview.ui.widgets.marked_lines import Marked, MarkedLines
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

if TYPE_CHECKING:
    from rackview.core.rack import Rack
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme

DAYS = 10
TABLE = 220
"""Least height of a table, px; below it the page scrolls."""


def brood_days(rack: Rack) -> list[BroodDays]:
    """When each brood of the rack eats, as far as it is known or can be reckoned."""
    from rackview.planner.demand import fed_ages, hatch_date

    found = []
    for brood in rack.broods:
        group = rack.groups.get(brood.group)
        hatch, strain = hatch_date(brood, group), brood.strain or (group.strain if group else "")
        if hatch is not None and strain:
            first, last = (hatch + timedelta(days=age) for age in fed_ages(brood, group))
            found.append(BroodDays(brood.brood, strain, first, last, sure=brood.hatched is not None))
    return found


class LarvaeScreen(SubPage):
    """Broods, demand and the days ahead."""

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        title = QLabel(self.tr("Larvae"), self)
        title.setFont(fonts.font(26, fonts.BOLD))
        self.ahead = DaysAhead(theme, self)
        self.notes = MarkedLines(theme, px=14, parent=self)
        self.broods = TablePage(
            session,
            "brood",
            self.tr("Broods"),
            (self.tr("Brood"), self.tr("Group"), self.tr("Age"), self.tr("Larvae"), self.tr("Tank"), self.tr("Eats")),
            asks=lambda: brood_asks(session.rack),
            save=self._save_brood,
            remove=self._remove_brood,
            add_words=self.tr("Add a brood"),
            empty=self.tr("No brood. Add one when it is spawned, and the rack is sized for its hatch."),
            parent=self,
        )
        self.demand = TablePage(
            session,
            "demand",
            self.tr("Your own word for a day"),
            (self.tr("Day"), self.tr("Strain"), self.tr("Animals")),
            asks=lambda: demand_asks(session.rack),
            save=self._save_demand,
            remove=self._remove_demand,
            add_words=self.tr("Announce a day"),
            empty=self.tr("None. What you say here overrides what the broods imply for that strain and day."),
            parent=self,
        )
        for page, other in ((self.broods, self.demand), (self.demand, self.broods)):
            page.said.connect(self._said)
            page.form_shown.connect(lambda shown, o=other: o.setHidden(bool(shown)))
        column = scrolling_column(self)
        column.setContentsMargins(24, 10, 24, 14)
        column.setSpacing(14)
        column.addWidget(title)
        column.addWidget(self.ahead)
        column.addWidget(self.notes)
        tables = QHBoxLayout()
        tables.setSpacing(28)
        tables.addWidget(self.broods, 5)
        tables.addWidget(self.demand, 3)
        column.addLayout(tables, 1)
        for page in (self.broods, self.demand):
            page.setMinimumHeight(TABLE)

    def refresh(self, change: Change | None = None) -> None:
        """Show broods and demand as they are now."""
        rack, today = self.session.rack, self.session.now().astimezone().date()
        broods = sorted(rack.broods, key=lambda b: (self._weaned(b, today), b.hatched or b.spawned or today))
        self.broods.load([self._brood(b, today) for b in broods])
        later = [d for d in rack.demand if d.date >= today]
        self.demand.load([self._demand(d, today) for d in sorted(later, key=lambda d: (d.date, d.strain))])
        plan = self.session.plan(DAYS)
        self.ahead.show_plan(plan, {n: p.title for n, p in rack.strains.items()}, brood_days(rack))
        self.notes.show_lines(tuple(Marked(self._titled(note)) for note in plan.notes))

    def _titled(self, note: str) -> str:
        """A note of the plan with the strains called as everywhere on the screens."""
        for name, profile in self.session.rack.strains.items():
            note = re.sub(rf"\b{re.escape(name)}\b", profile.title, note)
        return note

    def _weaned(self, brood: Brood, today: date) -> bool:
        """Whether the brood no longer eats live prey."""
        group = self.session.rack.groups.get(brood.group)
        last = brood.last_day if brood.last_day is not None else group.last_day if group else None
        return brood.hatched is not None and last is not None and (today - brood.hatched).days > last

    def _brood(self, brood: Brood, today: date) -> TableLine:
        rack = self.session.rack
        group = rack.groups.get(brood.group)
        strain = brood.strain or (group.strain if group else "")
        profile = rack.strains.get(strain)
        if brood.hatched is not None:
            days = (today - brood.hatched).days
            weaned = self._weaned(brood, today)
            age = self.tr("day {n}").format(n=days)
            if days < 0:
                age = self.tr("hatch {day}").format(day=formats.short_date(brood.hatched, today))
            elif weaned:
                age = self.tr("weaned, day {n}").format(n=days)
        else:
            age = self.tr("spawned {day}").format(day=formats.short_date(brood.spawned or today, today))
        return TableLine(
            (
                brood.brood,
                group.title if group else brood.group,
                age,
                "" if brood.larvae is None else f"{brood.larvae}",
                "" if brood.tank_l is None else ku.with_unit(brood.tank_l, rack.settings),
                profile.title if profile else strain,
            ),
            brood,
        )

    def _demand(self, demand: Demand, today: date) -> TableLine:
        profile = self.session.rack.strains.get(demand.strain)
        title = profile.title if profile else demand.strain
        return TableLine((formats.short_date(demand.date, today), title, formats.animals(demand.animals)), demand)

    def _save_brood(self, row: dict[str, object], old: Brood | None) -> str:
        brood = Brood.from_row(row)
        if old is None and brood.brood in {b.brood for b in self.session.rack.broods}:
            raise InputError("brood", brood.brood, "a name that no brood has yet")
        if old is not None and brood.brood != old.brood:
            raise InputError("brood", brood.brood, f"“{old.brood}” to stay; add a new brood instead")
        words = (self.tr("Add {brood}") if old is None else self.tr("Change {brood}")).format(brood=brood.brood)
        self.session.put_brood(brood, words)
        return words

    def _remove_brood(self, brood: Brood) -> str:
        words = self.tr("Remove {brood}").format(brood=brood.brood)
        self.session.remove_brood(brood.brood, words)
        return words

    def _save_demand(self, row: dict[str, object], old: Demand | None) -> str:
        demand = Demand.from_row(row)
        today = self.session.now().astimezone().date()
        words = self.tr("{day}: {animals} wanted").format(
            day=formats.short_date(demand.date, today), animals=formats.animals(demand.animals)
        )
        if old is not None and (old.date, old.strain) != (demand.date, demand.strain):
            raise InputError("date", demand.date, "the day and strain to stay; remove this row and announce a new one")
        self.session.put_demand(demand, words)
        return words

    def _remove_demand(self, demand: Demand) -> str:
        today = self.session.now().astimezone().date()
        words = self.tr("{day}: no longer announced").format(day=formats.short_date(demand.date, today))
        self.session.remove_demand(demand, words)
        return words

    def _said(self, words: str) -> None:
        self.said.emit(words)
        self.refresh()

    def take_keyboard(self) -> None:
        self.broods.take_keyboard()

    def save(self) -> None:
        """Keep what is typed as a draft."""
        self.broods.save()
        self.demand.save()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.ahead.set_theme(theme)
        self.notes.set_theme(theme)
