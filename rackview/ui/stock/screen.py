"""Stock: how long each feed lasts and when to order, new salt water, what a million animals delivered takes."""

from __future__ import annotations

from datetime import date, datetime
from functools import partial
from typing import TYPE_CHECKING
from weakref import ref

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHeaderView, QLabel, QWidget

from rackview.advice.feeding.stock import Lasting, lasting
from rackview.core.errors import InputError
from rackview.core.tables import Stock
from rackview.language import _
from rackview.services.advice_cache import SOON_DAYS
from rackview.ui.base import SubPage
from rackview.ui.forms.asks import stock_asks
from rackview.ui.forms.table_page import TableLine, TableLines, TablePage
from rackview.ui.stock.costs_chart import CostsChart
from rackview.ui.stock.run_out import RunOut
from rackview.ui.theme import fonts
from rackview.ui.widgets.aside import Aside
from rackview.ui.widgets.fields import scrolling_column
from rackview.ui.widgets.table import DataTable
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku
from rackview.ui.words.keeper_units import plain

if TYPE_CHECKING:
    from rackview.advice.feeding.costs import MonthCost
    from rackview.core.rack import Rack
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme

TABLE = 220
"""Least height of the table, px; below it the page scrolls."""


class StockScreen(SubPage):
    """The stock of feeds."""

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        title = QLabel(_("Stock"), self)
        title.setFont(fonts.font(26, fonts.BOLD))
        self._lead = QLabel(self)
        self._lead.setProperty("voice", "soft")
        self._lead.setWordWrap(True)
        headers = (
            _("Feed"), _("Left now"), _("Used a day"), _("Lasts until"), _("Order by"),
        )  # fmt: skip
        self.bars = RunOut(theme, self)
        self.page = TablePage(
            session,
            "stock",
            _("Feeds"),
            headers,
            asks=lambda: stock_asks(session.rack),
            save=self._save,
            remove=self._remove,
            add_words=_("Add a feed"),
            empty=_("No feed yet. With one here, feeding is suggested in its amounts and its end is foreseen."),
            parent=self,
        )
        self.page.said.connect(self._said)
        self.page.least = TABLE
        self.costs = CostsChart(theme, self)
        self._costs_title, self._costs_lead = self._part(_("What a million delivered takes"))
        self._water_title, self.water_caution = self._part(_("New salt water"))
        self.water = DataTable(self)
        self.water_lines = TableLines((_("Day"), _("New water"), _("Dry salt")), self)
        self.water.setModel(self.water_lines)
        self.water.setAccessibleName(_("New salt water"))
        self.water.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._aside = Aside(self)
        self._aside.found.connect(self._show_costs)
        self._aside.failed.connect(self._forget_costs)
        self._costed: tuple[ref[Rack], date] | None = None
        column = scrolling_column(self)
        column.setContentsMargins(24, 10, 24, 14)
        column.setSpacing(10)
        column.addWidget(title)
        column.addWidget(self._lead)
        column.addWidget(self.bars)
        column.addWidget(self.page, 1)
        for part in (
            self._water_title,
            self.water,
            self.water_caution,
            self._costs_title,
            self._costs_lead,
            self.costs,
        ):
            column.addWidget(part)
        column.addStretch(0)  # an empty page stands together at the top

    def _part(self, title: str) -> tuple[QLabel, QLabel]:
        """A heading and the words under it."""
        heading, said = QLabel(title, self), QLabel(self)
        heading.setFont(fonts.font(18, fonts.BOLD))
        said.setWordWrap(True)
        said.setFont(fonts.font(14))
        said.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        return heading, said

    def refresh(self, change: Change | None = None) -> None:
        """Show the stock as it is now."""
        today = self.session.now().astimezone().date()
        found = lasting(self.session.rack, self.session.now())
        self.page.load([self._line(f, today) for f in found])
        self.bars.show_feeds(found, today)
        urgent = [f for f in found if f.order_by is not None and f.order_by <= today]
        if urgent:
            names = ", ".join(f.stock.feed for f in urgent)
            self._lead.setText(_("Order now: {feeds}.").format(feeds=names))
        else:
            self._lead.setText(
                _("Rates are those of the last 14 days. A vessel is suggested the feed that it got last.")
            )
        self._lead.setVisible(bool(self.session.rack.stock))
        self._tell_water(today)
        self._reckon_costs(self.session.rack, self.session.now().astimezone())

    def _reckon_costs(self, rack: Rack, at: datetime) -> None:
        """Of the same rack on the same day they are there: they take a quarter of a second beside the window."""
        if self._costed is None or self._costed[0]() is not rack or self._costed[1] != at.date():
            self._costed = ref(rack), at.date()
            self._aside.work(partial(_costs, rack, at), behind=self.session.advises_behind)

    def _forget_costs(self) -> None:
        self._costed = None

    def _tell_water(self, today: date) -> None:
        """The new water of each day ahead with its salt, and what to mind with it."""
        from rackview.advice.words.cautions import CAUTIONS

        rack = self.session.rack
        water = self.session.plan(SOON_DAYS).water if rack.vessels else ()
        self.water_lines.load([
            TableLine((
                formats.short_date(w.date, today), ku.with_unit(w.volume_l, rack.settings), _weight(w.salt_g),
            ), w)
            for w in water
        ])  # fmt: skip
        header = self.water.horizontalHeader()
        header.setStretchLastSection(True)
        header.resizeSections(QHeaderView.ResizeMode.ResizeToContents)
        lines = header.sizeHint().height() + len(water) * self.water.verticalHeader().defaultSectionSize()
        self.water.setFixedHeight(lines + 2 * self.water.frameWidth() + 2)
        self.water_caution.setText(CAUTIONS["salt"])
        for part in (self._water_title, self.water, self.water_caution):
            part.setVisible(bool(water))

    def _show_costs(self, found: tuple[MonthCost, ...]) -> None:
        self.costs.show_costs(found, {n: p.title for n, p in self.session.rack.strains.items()})
        there = self.costs.height() > 0
        self._costs_lead.setText(
            _(
                "Dry feed per million delivered, its cost in your currency where feeds have a price, and what was "
                "delivered. What was dosed into larval tanks is not in it."
            )
        )
        for part in (self._costs_title, self._costs_lead, self.costs):
            part.setVisible(there)

    def _line(self, found: Lasting, today: date) -> TableLine:
        stock = found.stock
        left = "" if found.left is None else f"{found.left:.0f} {stock.unit}"
        used = "" if found.a_day is None else f"{plain(round(found.a_day, 1))} {stock.unit}"
        until = _("no end in sight") if found.until is None and found.left else ""
        if found.until is not None:
            until = formats.short_date(found.until, today)
            if found.spoils:
                until = _("{day}, use-by").format(day=until)
        order = "" if found.order_by is None else formats.short_date(found.order_by, today)
        late = found.order_by is not None and found.order_by <= today
        if late:
            order = _("now")
        return TableLine((stock.feed, left, used, until, order), stock, late)

    def _save(self, row: dict[str, object], old: Stock | None) -> str:
        stock = Stock.from_row(row)
        names = {s.feed for s in self.session.rack.stock}
        if old is None and stock.feed in names:
            raise InputError("feed", stock.feed, _("a name that no feed has yet"))
        if old is not None and stock.feed != old.feed:
            raise InputError(
                "feed",
                stock.feed,
                _("“{feed}” to stay, as its entries bear it; add a new feed instead").format(feed=old.feed),
            )
        words = (_("Add {feed}") if old is None else _("Change {feed}")).format(feed=stock.feed)
        self.session.put_stock(stock, words)
        return words

    def _remove(self, stock: Stock) -> str:
        words = _("Remove {feed}").format(feed=stock.feed)
        self.session.remove_stock(stock.feed, words)
        return words

    def _said(self, words: str) -> None:
        self.said.emit(words)
        self.refresh()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.bars.set_theme(theme)
        self.costs.set_theme(theme)

    def take_keyboard(self) -> None:
        self.page.take_keyboard()

    def save(self) -> None:
        """Keep what is typed as a draft."""
        self.page.save()


def _costs(rack: Rack, at: datetime) -> tuple[MonthCost, ...]:
    from rackview.advice.feeding.costs import costs

    return costs(rack, at)


def _weight(grams: float) -> str:
    """Salt to weigh, to two figures."""
    return f"{formats.two_figures(grams / 1000)} kg" if grams >= 1000 else f"{formats.two_figures(grams)} g"
