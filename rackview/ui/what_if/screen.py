"""What if: type or drag a harvest, split, restart, a loss, a brood or days away, and see both futures of the rack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from rackview.core.errors import InputError
from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.forms.form import Form
from rackview.ui.forms.futures import ForecastFans, futures
from rackview.ui.forms.kept import keep_draft, take_away
from rackview.ui.forms.table_page import TableLine, TableLines
from rackview.ui.theme import fonts
from rackview.ui.what_if import ask
from rackview.ui.what_if.slider import Slider, slide
from rackview.ui.widgets.aside import Aside
from rackview.ui.widgets.fields import scrolled, tall
from rackview.ui.widgets.marked_lines import Marked, MarkedLines
from rackview.ui.widgets.table import DataTable
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.advice.what_if.rack import BothDays, RackWhatIf
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme

SIDE = 320
DIFFERS = 0.05


class WhatIfScreen(SubPage):
    """A question at the left, both futures at the right; nothing is recorded."""

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.theme = session, theme
        self.kind = ask.KINDS[0]
        self.form: Form | None = None
        self._asked: ask.WhatIfQuestion | None = None
        self.lead = QLabel(self)
        self.lead.setWordWrap(True)
        self.lead.setProperty("voice", "soft")
        self.lines = MarkedLines(theme, px=16, parent=self)
        self.model = TableLines(
            (
                _("Day"), _("Strain"), _("Needed"), _("May fall short (as it stands)"),
                _("Can be given (as it stands)"),
            ),
            self,
        )  # fmt: skip
        self.table = DataTable(self)
        self.table.setModel(self.model)
        self.table.setAccessibleName(_("Both futures, day by day"))
        self.fans = ForecastFans(theme, self)
        self._aside = Aside(self)
        self._aside.found.connect(self._show)
        self._aside.failed.connect(lambda: self.lead.setText(_("It could not be worked out; the log says why.")))
        self._lay_out()
        self.choose(self.kind)

    def _lay_out(self) -> None:
        title = QLabel(_("What if"), self)
        title.setFont(fonts.font(26, fonts.BOLD))
        group = QButtonGroup(self)
        self.buttons: dict[str, QPushButton] = {}
        self._left = QVBoxLayout()
        self._left.setSpacing(8)
        self._left.addWidget(title)
        pair: QHBoxLayout | None = None
        for n, (kind, words) in enumerate(ask.titles().items()):
            button = QPushButton(words, self)
            button.setCheckable(True)
            button.setProperty("role", "choice")
            tall(button, 40)
            button.clicked.connect(lambda _=False, k=kind: self.choose(k))
            group.addButton(button)
            self.buttons[kind] = button
            if n % 3 == 0 or pair is None:
                pair = QHBoxLayout()
                self._left.addLayout(pair)
            pair.addWidget(button)
            if n % 3 == 2 or n == len(ask.KINDS) - 1:
                pair.addStretch(1)
        self._left.addSpacing(8)
        self._left.addStretch(1)
        left = QWidget(self)
        left.setLayout(self._left)
        left.setFixedWidth(SIDE)
        right = QWidget(self)
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 6, 16, 16)
        column.setSpacing(12)
        for part in (self.lead, self.lines, self.fans, self.table):
            column.addWidget(part, 1 if part is self.table else 0)
        column.addStretch(0)
        self._right = column
        self.table.setMinimumHeight(260)
        row = QHBoxLayout(self)
        row.setContentsMargins(24, 10, 12, 12)
        row.setSpacing(28)
        side = scrolled(left, self)
        side.setFixedWidth(SIDE + 20)
        row.addWidget(side)
        row.addWidget(scrolled(right, self), 1)

    # --- asking -----------------------------------------------------------------------------------------------------

    def choose(self, kind: str) -> None:
        """Ask another kind of question; what is typed for this one is kept."""
        self.save()
        self.kind = kind
        self.buttons[kind].setChecked(True)
        self._offered = self._choices()
        if self.form is not None:
            take_away(self.form, self._left)
        self.form = Form(
            ask.asks(self.session.rack, kind), self.session.rack.settings, save=_("Look ahead"), columns=1,
            cancel=_("Back"), now=self.session.now, parent=self,
        )  # fmt: skip
        self.form.cancelled.connect(self.leave)
        self.form.submitted.connect(self._ask)
        self.form.changed.connect(self.save)
        self._left.insertWidget(self._left.count() - 1, self.form)
        draft = self.session.draft(self._draft())
        if draft:
            self.form.restore(draft)
        self.slider = Slider(self.form)
        self.slider.moved.connect(self._move)
        self.slider.rested.connect(self.form.submit)
        for column in self.form.typed():
            made = self.form.input(column)
            (made.currentIndexChanged if isinstance(made, QComboBox) else made.textChanged).connect(self._slide)
        self._slide()
        self._clear()

    def _slide(self) -> None:
        """Put the slider beneath the field that it moves, where what is typed has it."""
        if self.form is None:
            return
        typed = self.form.typed()
        found = slide(self.session.rack, self.kind, typed, self.session.now().astimezone())
        if found is None:
            self.slider.hide()
            return
        self.form.put_beneath(found.column, self.slider)
        self.slider.show_slide(found, typed[found.column], self.form.input(found.column).accessibleName())

    def _move(self, column: str, text: str) -> None:
        made = self.form.input(column) if self.form is not None else None
        if isinstance(made, QLineEdit):
            made.setText(text)

    def _draft(self) -> str:
        return f"what if:{self.kind}"

    def _clear(self) -> None:
        self._aside.drop()
        self.lead.setText(
            _("Say what might happen or be done, and see the coming days with it and without it. ")
            + _("Nothing is recorded.")
        )
        self.lines.show_lines(())
        self.fans.show_futures(())
        self.model.load(())
        self._show_table(there=False)

    def _ask(self, row: dict[str, object]) -> None:
        if self.form is None:
            return
        self.form.clear_errors()
        rack, now = self.session.rack, self.session.now().astimezone()
        try:
            self._asked = ask.question(rack, self.kind, row, now)
        except InputError as error:
            self._clear()
            self.form.show_error(error)
            return
        self.lead.setText(_("Working it out…"))
        self._aside.work(self._asked.call, behind=self.session.advises_behind)

    # --- showing ----------------------------------------------------------------------------------------------------

    def _show(self, found: RackWhatIf) -> None:
        rack, now = self.session.rack, self.session.now().astimezone()
        self.lead.setText(
            _("In the coming {n} days, acting as advised from then on. Nothing is recorded.").format(n=ask.DAYS)
        )
        titles = {n: p.title for n, p in rack.strains.items()}
        lines = []
        for line in found.lines:
            strain = line.partition(":")[0]
            lines.append(Marked(titles.get(strain, strain) + line[len(strain) :]))
        self.lines.show_lines(tuple(lines))
        self.fans.show_futures(futures(rack, self._asked.events, now) if self._asked and self._asked.events else ())
        later = [d for d in found.days if any(d.demand) or found.back is None or d.date >= found.back]
        moved = {d.strain for d in later if _differs(d)}
        shown = [d for d in later if (d.strain in moved if moved else any(d.demand))]
        self.model.load([self._line(d, titles.get(d.strain, d.strain)) for d in shown])
        header = self.table.horizontalHeader()
        for n in range(self.model.columnCount()):
            header.setSectionResizeMode(n, QHeaderView.ResizeMode.ResizeToContents)
        self._show_table(there=bool(shown))

    def _show_table(self, *, there: bool) -> None:
        """The table takes the room that is left; without it the words stand at the top."""
        self.table.setVisible(there)
        self._right.setStretch(self._right.count() - 1, 0 if there else 1)

    def _line(self, day: BothDays, title: str) -> TableLine:
        today = self.session.now().astimezone().date()
        needed = max(day.demand)
        short = [formats.chance(c) if d > 0.0 else "" for c, d in zip(day.chance_short, day.demand, strict=True)]
        give = [formats.animals(s.median) for s in day.supply]
        cells = (
            formats.short_date(day.date, today), title, formats.animals(needed) if needed else "",
            f"{short[1] or '–'} ({short[0] or '–'})" if needed else "", f"{give[1]} ({give[0]})",
        )  # fmt: skip
        return TableLine(cells, day, day.chance_short[1] - day.chance_short[0] > DIFFERS)

    def refresh(self, change: Change | None = None) -> None:
        """Take other vessels and broods to choose from; what is typed stays."""
        if self._offered != self._choices():
            self.choose(self.kind)

    def _choices(self) -> tuple[object, ...]:
        rack = self.session.rack
        return tuple(rack.vessels), tuple(b.brood for b in rack.broods), tuple(rack.groups), rack.settings.volume_unit

    def save(self) -> None:
        """Keep what is typed as a draft."""
        if self.form is not None and self.session.read_only is None:
            keep_draft(self.form, self.session, self._draft())

    def take_keyboard(self) -> None:
        if self.form is not None:
            self.form.begin()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.lines.set_theme(theme)
        self.fans.set_theme(theme)


def _differs(day: BothDays) -> bool:
    one, other = (s.median for s in day.supply)
    return abs(one - other) > DIFFERS * max(one, other) or abs(day.chance_short[1] - day.chance_short[0]) > DIFFERS
