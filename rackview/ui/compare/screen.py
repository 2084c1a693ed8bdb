"""Vessels and kits side by side: growth, what a litre gives, what it takes of feed and money, what was lost."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QPainter, QPaintEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.paint.ink import saved, wrapped, write
from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets.aside import Aside
from rackview.ui.widgets.fields import scrolling_column, tall
from rackview.ui.words import formats, spreadsheet

if TYPE_CHECKING:
    from rackview.advice.record.compare import Compared, Performance
    from rackview.services.rack_session import Change, RackSession

RANGES = (30, 90, 365)
ROW, HEAD, TITLE = 34.0, 42.0, 40.0
NAME = 250.0


@dataclass(frozen=True, slots=True)
class Figure:
    """One column: its heading, its value, the value in words, whether more is better."""

    heading: str
    value: Callable[[Compared], float | None]
    words: Callable[[float], str]


def comparison_columns() -> tuple[Figure, ...]:
    """The columns, from left to right."""
    return (
        Figure(_("growth a day"), lambda c: c.growth_per_day, lambda v: f"{v:+.2f}"),
        Figure(_("grown per L and day"), lambda c: c.per_litre_day, formats.animals),
        Figure(
            _("dry feed per million"),
            lambda c: c.g_per_million,
            lambda v: _("{n} g").format(n=formats.two_figures(v)),
        ),
        Figure(_("feed cost per million"), lambda c: c.cost_per_million, formats.two_figures),
        Figure(_("lost"), lambda c: float(c.losses), lambda v: f"{v:.0f}"),
    )


class Bars(QWidget):
    """Lines under the heading of their strain, a bar and its number in each column; bars of a strain share a scale."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._groups: list[tuple[str, list[Compared]]] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_lines(self, lines: Sequence[Compared], titles: dict[str, str]) -> None:
        """Show these, strain by strain."""
        groups: dict[str, list[Compared]] = {}
        for one in lines:
            groups.setdefault(titles.get(one.strain, one.strain), []).append(one)
        self._groups = list(groups.items())
        self.setFixedHeight(round(HEAD + sum(TITLE + ROW * len(g) for _, g in self._groups)))
        self.setAccessibleName(self.as_text().replace("\t", ", "))
        self.update()

    def as_text(self) -> str:
        """All of it as lines with tabs, for a spreadsheet."""
        rows: list[tuple[str, ...]] = [(_("what"), _("strain"), *(f.heading for f in comparison_columns()))]
        for title, lines in self._groups:
            rows += [(one.name, title, *(self._told(f, one) for f in comparison_columns())) for one in lines]
        return spreadsheet.tab_lines(rows)

    def _told(self, figure: Figure, one: Compared) -> str:
        value = figure.value(one)
        return "–" if value is None else figure.words(value)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme, columns = QPainter(self), self.theme, comparison_columns()
        name = min(NAME, self.width() * 0.28)
        wide = (self.width() - name) / len(columns)
        with saved(painter):
            for n, figure in enumerate(columns):
                head = wrapped(figure.heading, 13, fonts.REGULAR, wide - 14, 2)
                for k, line in enumerate(reversed(head)):  # the last line stands above the numbers
                    write(painter, name + n * wide, HEAD - 10 - 16 * k, line, 13, theme.middle, room=wide - 10)
            top = HEAD
            for title, lines in self._groups:
                write(painter, 0, top + 26, title, 15, theme.ink, fonts.BOLD)
                top += TITLE
                most = [max((abs(f.value(one) or 0.0) for one in lines), default=0.0) for f in columns]
                for one in lines:
                    write(painter, 0, top + 18, one.name, 14, theme.ink, fonts.MEDIUM, room=name - 12)
                    for n, figure in enumerate(columns):
                        cell = QRectF(name + n * wide, top, wide - 18, ROW)
                        self._cell(painter, cell, figure.value(one), most[n], self._told(figure, one))
                    top += ROW

    def _cell(self, painter: QPainter, cell: QRectF, value: float | None, most: float, words: str) -> None:
        write(painter, cell.left(), cell.top() + 15, words, 14, self.theme.ink, room=cell.width())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.theme.band)
        bar = QRectF(cell.left(), cell.top() + 21, cell.width(), 5)
        painter.drawRoundedRect(bar, 2, 2)
        if value and most > 0.0:
            painter.setBrush(self.theme.water if value > 0 else self.theme.week)
            painter.drawRoundedRect(QRectF(bar.left(), bar.top(), bar.width() * abs(value) / most, bar.height()), 2, 2)


class CompareScreen(SubPage):
    """Vessels or kits over a range of days."""

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self._days, self._what = session, RANGES[0], "vessel"
        title = QLabel(_("Vessels and kits compared"), self)
        title.setFont(fonts.font(26, fonts.BOLD))
        self.lead = QLabel(self)
        self.lead.setProperty("voice", "soft")
        self.lead.setWordWrap(True)
        self.bars = Bars(theme, self)
        column = scrolling_column(self)
        column.setContentsMargins(24, 10, 24, 14)
        column.setSpacing(12)
        column.addWidget(title)
        column.addLayout(self._choices())
        column.addWidget(self.lead)
        column.addWidget(self.bars)
        column.addStretch(1)
        self._aside = Aside(self)
        self._aside.found.connect(self._show)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.work_out)

    def _choices(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(6)
        for options in (
            [(_("{n} days").format(n=n), lambda n=n: self._over(n)) for n in RANGES],
            [(_("Vessels"), lambda: self._by("vessel")), (_("Kits"), lambda: self._by("kit"))],
        ):
            group = QButtonGroup(self)
            for n, (words, call) in enumerate(options):
                button = QPushButton(words, self)
                button.setCheckable(True)
                button.setChecked(n == 0)
                button.setProperty("role", "choice")
                tall(button, 36)
                button.clicked.connect(lambda _=False, do=call: do())
                group.addButton(button)
                row.addWidget(button)
            row.addSpacing(18)
        self.copy = QPushButton(_("Copy as a table"), self)
        tall(self.copy, 36)
        self.copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(self.bars.as_text()))
        row.addStretch(1)
        row.addWidget(self.copy)
        return row

    def _over(self, days: int) -> None:
        self._days = days
        self.refresh()

    def _by(self, what: str) -> None:
        self._what = what
        self.refresh()

    def refresh(self, change: Change | None = None) -> None:
        """Work it out anew once the page stands there."""
        if not self.bars.height() or change is None:
            self.lead.setText(_("Working it out…"))
        self._soon.start()

    def work_out(self) -> None:
        """Work out what the record says now, behind where the window advises behind, and show it."""
        from rackview.advice.record.compare import compare

        call = partial(compare, self.session.rack, self.session.now(), self._days)
        self._aside.work(call, behind=self.session.advises_behind)

    def _show(self, found: tuple[Performance, ...]) -> None:
        from rackview.advice.record.compare import by_kit, by_vessel

        lines = by_kit(found) if self._what == "kit" else by_vessel(found)
        self.bars.show_lines(lines, {n: p.title for n, p in self.session.rack.strains.items()})
        self.lead.setText(
            _(
                "Over the last {n} days in use. Grown: harvested and given away, less what came in. Feed is set "
                "against what was harvested; its cost needs a price in the stock. Lost: given up under its floor."
            ).format(n=self._days)
            if lines
            else _("Nothing to compare yet: record counts and harvests, and kits in a vessel's set-up.")
        )

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.bars.theme = theme
        self.bars.update()

    def take_keyboard(self) -> None:
        self.bars.setFocus()
