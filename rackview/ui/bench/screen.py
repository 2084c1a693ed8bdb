"""The bench: the sums a keeper does by hand, fed from a vessel, each with its formula, its range and its source.

Every formula of the shelf stands here; a word finds it.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.tables import Settings
from rackview.core.vessel import by_place
from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.bench import benches, sums
from rackview.ui.bench.known import known_of
from rackview.ui.forms.ask import mark
from rackview.ui.forms.choose import Choose
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import scrolled, tall
from rackview.ui.words.choices import argument_word

if TYPE_CHECKING:
    from rackview.science.formula_entry import Input
    from rackview.services.rack_session import RackSession

COLUMNS = 4
WIDEST = 980
SIDE = 214
NEVER_FILLED = "disinfection."
"""Sums that no vessel fills in: a dose of chlorine is worked out for what was typed, never for a living culture."""
MOST_FOUND = 15
"""More sums than this are not laid out for one word; a second word narrows them."""


class BenchScreen(SubPage):
    """The benches by name; the chosen vessel fills in what it can tell, and what is typed finds a sum."""

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.cards: list[Card] = []
        self._benches = benches.benches()
        self._bench = next(iter(self._benches))
        row = QHBoxLayout(self)
        row.setContentsMargins(24, 10, 24, 0)
        row.setSpacing(28)
        row.addLayout(self._side())
        self._page = QWidget(self)
        self._column = QVBoxLayout(self._page)
        self._column.setContentsMargins(0, 0, 12, 24)
        self._column.setSpacing(14)
        self._page.setMaximumWidth(WIDEST)
        self._scroll = scrolled(self._page, self)
        row.addWidget(self._scroll, 1)
        self._fill_vessels()
        self._lay_cards()

    def _side(self) -> QVBoxLayout:
        side = QVBoxLayout()
        side.setSpacing(6)
        title = QLabel(_("Bench"), self)
        title.setFont(fonts.font(20, fonts.BOLD))
        side.addWidget(title)
        label = QLabel(_("filled in from"), self)
        label.setProperty("voice", "soft")
        self.vessel = Choose(self)
        self.vessel.setAccessibleName(_("Vessel that fills the sums in"))
        self.vessel.setStyleSheet("min-height: 32px;")
        self.vessel.activated.connect(self._refill)
        label.setBuddy(self.vessel)
        side.addWidget(label)
        side.addWidget(self.vessel)
        self.sought = QLineEdit(self)
        self.sought.setPlaceholderText(_("find a sum"))
        self.sought.setAccessibleName(_("Find a sum by a word"))
        self.sought.setStyleSheet("min-height: 32px;")
        self.sought.textChanged.connect(self._lay_cards)
        side.addWidget(self.sought)
        names = QWidget(self)
        column = QVBoxLayout(names)
        column.setContentsMargins(0, 4, 10, 8)
        column.setSpacing(4)
        self._group = QButtonGroup(self)
        for name in self._benches:
            button = QPushButton(name, names)
            button.setCheckable(True)
            button.setProperty("role", "page")
            button.clicked.connect(lambda _=False, n=name: self.show_bench(n))
            tall(button, 44)
            self._group.addButton(button)
            column.addWidget(button)
        self._group.buttons()[0].setChecked(True)
        column.addStretch(1)
        self._listed = listed = scrolled(names, self)
        listed.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        listed.setFixedWidth(SIDE)
        self.vessel.setFixedWidth(SIDE - 10)
        self.sought.setFixedWidth(SIDE - 10)
        side.addWidget(listed, 1)
        return side

    # --- what is shown --------------------------------------------------------------------------------------------

    def open(self, vessel: str | None = None) -> None:
        """Feed the sums from a vessel, or from the one chosen last."""
        self._fill_vessels(vessel)
        self._refill()

    def _fill_vessels(self, wanted: str | None = None) -> None:
        chosen = wanted or self.vessel.currentData() or next(iter(self.session.rack.vessels), "")
        self.vessel.clear()
        self.vessel.addItem(_("no vessel"), "")
        for v in by_place(self.session.rack.vessels.values()):
            self.vessel.addItem(f"{v.place}  {v.vessel}" if v.place != v.vessel else v.vessel, v.vessel)
        self.vessel.setCurrentIndex(max(0, self.vessel.findData(chosen)))

    def show_bench(self, name: str) -> None:
        """Show the sums of one bench."""
        self._bench = name
        button = self._group.buttons()[list(self._benches).index(name)]
        button.setChecked(True)
        self._listed.ensureWidgetVisible(button)
        with QSignalBlocker(self.sought):
            self.sought.clear()
        self._lay_cards()

    def _lay_cards(self) -> None:
        for card in self.cards:
            self._column.removeWidget(card)
            card.hide()
            card.deleteLater()
        while self._column.count():
            left = self._column.takeAt(0)
            if left is not None and (words := left.widget()) is not None:
                words.deleteLater()
        text = self.sought.text().strip()
        self._group.setExclusive(False)  # what was found stands on many benches
        self._group.buttons()[list(self._benches).index(self._bench)].setChecked(not text)
        self._group.setExclusive(True)
        sums_shown = benches.matching(text)[:MOST_FOUND] if text else self._benches[self._bench]
        self.cautions = QLabel(self._page)
        self.cautions.setWordWrap(True)
        self.cautions.setFont(fonts.font(14, fonts.MEDIUM))
        self._column.addWidget(self.cautions)
        self.cards = [Card(one, self.session.rack.settings, self._page) for one in sums_shown]
        for card in self.cards:
            self._column.addWidget(card)
        if not self.cards:
            none = QLabel(_("No sum has all these words. Fewer of them find more."), self._page)
            none.setProperty("voice", "soft")
            self._column.addWidget(none)
        self._column.addStretch(1)
        self._scroll.verticalScrollBar().setValue(0)
        self._refill()
        self._share_cautions()

    def _share_cautions(self) -> None:
        """Say at the head of the page what several of its sums would say, and nothing twice."""
        found = Counter(c for card in self.cards for c in card.minded)
        shared = tuple(c for c, times in found.items() if times > 1)
        self.cautions.setText(_marked(shared))
        self.cautions.setVisible(bool(shared))
        for card in self.cards:
            card.show_cautions(shared)

    def _refill(self) -> None:
        name = self.vessel.currentData()
        told = self.session.assessments()
        known = known_of(self.session.rack, told.get(name) if name else None, told.values())
        for card in self.cards:
            card.take({} if card.sum.function.startswith(NEVER_FILLED) else known)

    def take_keyboard(self) -> None:
        chosen = self._group.checkedButton()
        if chosen is not None:
            chosen.setFocus(Qt.FocusReason.OtherFocusReason)


class Card(QWidget):
    """One sum: what it asks, what it comes to, and on what it rests."""

    def __init__(self, one: sums.Sum, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sum = one
        self._settings = settings
        self._inputs: dict[str, QLineEdit | QComboBox] = {}
        self._words: dict[str, QLabel] = {}
        self._typed: set[str] = set()
        self.minded: tuple[str, ...] = ()
        self._shared: tuple[str, ...] = ()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setObjectName("card")
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(8)
        title = QLabel(one.question, self)
        title.setFont(fonts.font(17, fonts.SEMIBOLD))
        column.addWidget(title)
        column.addLayout(self._fields())
        self.result = QLabel(self)
        self.result.setTextFormat(Qt.TextFormat.RichText)
        self.result.setWordWrap(True)
        column.addWidget(self.result)
        self.cautions = QLabel(self)
        self.cautions.setWordWrap(True)
        self.cautions.setFont(fonts.font(14, fonts.MEDIUM))
        column.addWidget(self.cautions)
        basis = QLabel(self._basis(), self)
        basis.setWordWrap(True)
        basis.setFont(fonts.font(13))
        basis.setProperty("voice", "soft")
        basis.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column.addWidget(basis)
        self.take({})

    def _basis(self) -> str:
        formula = self.sum.formula
        lines = [formula.text, _("Range: {words}").format(words=formula.range_words)]
        lines.append(_("Source: {words}").format(words=formula.source))
        return benches.for_keepers("\n".join(lines), self.sum.asks)

    def _fields(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(3)
        bottom, top = Qt.AlignmentFlag.AlignBottom, Qt.AlignmentFlag.AlignTop
        for n, ask in enumerate(self.sum.asks):  # boxes side by side stand level, however long their labels are
            line, column = 3 * (n // COLUMNS), n % COLUMNS
            label, made, words = self._parts(ask)
            grid.addWidget(label, line, column, bottom)
            grid.addWidget(made, line + 1, column)
            grid.addWidget(words, line + 2, column, top)
        for n in range(COLUMNS):
            grid.setColumnStretch(n, 1)
        return grid

    def _parts(self, ask: Input) -> tuple[QLabel, QLineEdit | QComboBox, QLabel]:
        """The label, the box and the words beneath it."""
        unit = sums.unit_words(ask, self._settings)
        repeats = unit == "practical salinity" or unit in ask.label or sums.is_list(ask)
        name = ask.label if repeats else f"{ask.label}, {unit}"
        label = QLabel(name, self)
        label.setWordWrap(True)
        label.setFont(fonts.font(14, fonts.MEDIUM))
        made: QLineEdit | QComboBox
        if ask.choices:
            made = Choose(self)
            for word in ask.choices:
                made.addItem(argument_word(word), word)
            made.setCurrentIndex(max(0, made.findData(ask.example)))
            made.setMinimumContentsLength(8)
            made.activated.connect(lambda _=0, key=ask.name: self._edited(key))
        else:
            made = QLineEdit(self)
            made.textEdited.connect(lambda _="", key=ask.name: self._edited(key))
        made.setStyleSheet("min-height: 32px;")
        made.setAccessibleName(name)
        label.setBuddy(made)
        words = QLabel(self)
        words.setWordWrap(True)
        words.setFont(fonts.font(13))
        words.setProperty("voice", "soft")
        words.hide()
        self._inputs[ask.name] = made
        self._words[ask.name] = words
        return label, made, words

    def take(self, known: dict[str, float]) -> None:
        """Fill in what a vessel tells; what the keeper typed stays."""
        for ask in self.sum.asks:
            made = self._inputs[ask.name]
            if ask.name in self._typed or not isinstance(made, QLineEdit):
                continue
            value = known.get(ask.name)
            if sums.is_list(ask):
                made.setText(sums.list_text(ask.example))
            else:
                shown = sums.to_keeper(ask, float(ask.example) if value is None else value, self._settings)
                made.setText(sums.result_figures(shown, 4) if abs(shown) < 1e6 else f"{float(f'{shown:.3g}'):.0f}")
            self._say(ask.name, "" if value is not None else _("example"))
        self.work_out()

    def _edited(self, name: str) -> None:
        self._typed.add(name)
        self._say(name, "")
        self.work_out()

    def work_out(self) -> None:
        """Work the sum out from what stands in the fields; what can't be right is said beside its field."""
        for name in self._inputs:
            if self._inputs[name].property("wrong") == "true":
                self._say(name, "")
        try:
            outcome = self.sum.work_out(self._values(), self._settings)
        except InputError as error:
            self.result.setText("<span style='font-size:22px'>–</span>")
            self.cautions.hide()
            self._say(error.field, str(error), wrong=True)
            return
        self.result.setText(_rich(outcome))
        self.minded = outcome.cautions
        self.show_cautions(self._shared)

    def show_cautions(self, shared: tuple[str, ...]) -> None:
        """Show the cautions of the sum but those that stand at the head of the page."""
        self._shared = shared
        own = tuple(c for c in self.minded if c not in shared)
        self.cautions.setText(_marked(own))
        self.cautions.setVisible(bool(own))

    def _values(self) -> dict[str, object]:
        values: dict[str, object] = {}
        for ask in self.sum.asks:
            made = self._inputs[ask.name]
            if isinstance(made, QComboBox):
                values[ask.name] = made.currentData()
                continue
            if sums.is_list(ask):
                values[ask.name] = sums.list_from(ask, made.text())
                continue
            row = {ask.name: made.text()}
            most = math.inf  # what a field can hold tells 1,022 of a gravity from 1,022 animals
            if "," in made.text() and ask.high is not None and ask.unit not in {"degC", "L"}:
                most = ask.high
            value = read.required(read.number_in(row, ask.name, _("a number"), high=most), row, ask.name, _("a number"))
            plain = sums.from_keeper(ask, value, self._settings)
            values[ask.name] = int(plain) if isinstance(ask.example, int) and plain == int(plain) else plain
        return values

    def _say(self, name: str, text: str, *, wrong: bool = False) -> None:
        if name not in self._words:
            name = next(iter(self._words))
        mark(self._inputs[name], self._words[name], text, wrong=wrong)
        self._words[name].setVisible(bool(text))

    def error_of(self, name: str) -> str:
        """The sentence shown as wrong beneath a field, "" for none."""
        return self._words[name].text() if self._inputs[name].property("wrong") == "true" else ""


def _marked(cautions: tuple[str, ...]) -> str:
    return "\n".join(f"• {c}" for c in cautions)


def _rich(outcome: sums.SumAnswer) -> str:
    parts = []
    for one in outcome.results:
        size, weight = ("28px", 700) if one.main else ("13px", 400) if one.soft else ("16px", 500)
        value = f"<span style='font-size:{size}; font-weight:{weight}'>{one.value}</span>"
        parts.append(_("{value} <span style='font-size:16px'>{unit}</span>").format(value=value, unit=one.unit))
    return parts[0] + "".join(f"<br>{p}" for p in parts[1:])
