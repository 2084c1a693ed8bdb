"""Larvae: the days ahead against the rack, broods and what they eat, other mouths, tanks, the keeper's own word."""

from __future__ import annotations

import re
from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.forms import asks
from rackview.ui.forms.table_page import TablePage
from rackview.ui.larvae import rows, saving
from rackview.ui.larvae.days_ahead import BroodDays, DaysAhead
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import scrolling_column
from rackview.ui.widgets.marked_lines import Marked, MarkedLines
from rackview.ui.words import formats

if TYPE_CHECKING:
    from collections.abc import Callable

    from rackview.core.rack import Rack
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.forms.ask import Ask
    from rackview.ui.theme import Theme

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
    """The days ahead and the tables that they come from."""

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        title = QLabel(_("Larvae"), self)
        title.setFont(fonts.font(26, fonts.BOLD))
        self.age = QLabel(self)
        self.age.setFont(fonts.font(14))
        self.age.setProperty("voice", "soft")
        self.ahead = DaysAhead(theme, self)
        self.notes = MarkedLines(theme, px=14, parent=self)
        self._make_tables()
        head = QHBoxLayout()
        head.addWidget(title)
        head.addStretch(1)
        head.addWidget(self.age)
        column = scrolling_column(self)
        column.setContentsMargins(24, 10, 24, 14)
        column.setSpacing(14)
        column.addLayout(head)
        column.addWidget(self.ahead)
        column.addWidget(self.notes)
        for pair in ((self.broods,), (self.demand, self.standing), (self.tanks,)):
            line = QHBoxLayout()
            line.setSpacing(28)
            for page in pair:
                page.said.connect(self._said)
                page.least = TABLE
                line.addWidget(page, 1)
                for other in pair:
                    if other is not page:
                        page.form_shown.connect(lambda shown, o=other: o.setHidden(bool(shown)))
            column.addLayout(line, 1)
        column.addStretch(0)

    def _make_tables(self) -> None:
        self.broods = self._table(
            "brood", _("Broods"), rows.brood_headers(), asks.brood_asks, _("Add a brood"),
            _("No brood. Add one when it is spawned, and the rack is sized for its hatch."),
        )  # fmt: skip
        self.demand = self._table(
            "demand", _("Demand override"), (_("Day"), _("Strain"), _("Animals")), asks.demand_asks,
            _("Announce a day"),
            _("None. What you enter here replaces what the broods imply for that strain and day."),
        )  # fmt: skip
        self.tanks = self._table(
            "tank", _("At the larval tanks"), (_("Day"), _("Tank"), _("Prey left"), _("Algae dosed")),
            asks.tank_asks, _("Note a tank"),
            _("None. Prey left in a tank tells what the larvae eat; algae dosed count towards the bottle's end."),
        )  # fmt: skip
        self.standing = self._table(
            "standing", _("Standing needs"), (_("Who"), _("Strain"), _("At most a day"), _("Worth")),
            asks.standing_asks, _("Add a standing need"),
            _("None. Older fish, broodstock or a display tank take what is spare before it is thrown away."),
        )  # fmt: skip

    def _table(
        self,
        name: str,
        title: str,
        headers: tuple[str, ...],
        ask: Callable[[Rack], tuple[Ask, ...]],
        add: str,
        empty: str,
    ) -> TablePage:
        session = self.session
        return TablePage(
            session, name, title, headers,
            asks=lambda: ask(session.rack),
            save=partial(getattr(saving, f"save_{name}"), session),
            remove=partial(getattr(saving, f"remove_{name}"), session),
            add_words=add, empty=empty, parent=self,
        )  # fmt: skip

    def _pages(self) -> tuple[TablePage, ...]:
        return self.broods, self.demand, self.tanks, self.standing

    def refresh(self, change: Change | None = None) -> None:
        """Show the tables and the days ahead as they are now."""
        rack, today = self.session.rack, self.session.now().astimezone().date()
        plan = self.session.plan(self.session.larvae_days())
        ahead = {b.brood: b for b in plan.broods}
        broods = sorted(rack.broods, key=lambda b: (rows.weaned(rack, b, today), b.hatched or b.spawned or today))
        self.broods.load([rows.brood_row(rack, b, today, ahead) for b in broods])
        later = [d for d in rack.demand if d.date >= today]
        self.demand.load([rows.demand_row(rack, d, today) for d in sorted(later, key=lambda d: (d.date, d.strain))])
        newest = sorted(rack.tanks, key=lambda t: (t.date, t.tank, t.feed), reverse=True)
        self.tanks.load([rows.tank_row(rack, t, today) for t in newest])
        self.standing.load([rows.standing_row(rack, s, today) for s in rack.standing])
        self.ahead.show_plan(plan, {n: p.title for n, p in rack.strains.items()}, brood_days(rack))
        self.notes.show_lines(tuple(Marked(self._titled(note)) for note in plan.notes))
        self._tell_age()

    def _tell_age(self) -> None:
        """Of when the plan is, and whether it leaves out what was entered since."""
        at = self.session.advised_at
        if at is None:
            self.age.setText("")
            return
        clock = formats.clock(at.astimezone())
        words = _("Planned at {time}.").format(time=clock)
        if self.session.behind_the_rack:
            words = _("Planned at {time}, being planned anew with what was entered since.").format(time=clock)
        self.age.setText(words)

    def _titled(self, note: str) -> str:
        """A note of the plan with the strains called as everywhere on the screens."""
        for name, profile in self.session.rack.strains.items():
            note = re.sub(rf"\b{re.escape(name)}\b", profile.title, note)
        return note

    def _said(self, words: str) -> None:
        self.said.emit(words)
        self.refresh()

    def take_keyboard(self) -> None:
        self.broods.take_keyboard()

    def save(self) -> None:
        """Keep what is typed as a draft."""
        for page in self._pages():
            page.save()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.ahead.set_theme(theme)
        self.notes.set_theme(theme)
