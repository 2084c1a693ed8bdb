"""The rules: what each looks at and why, what became of it on this rack, and its values, to be changed there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from rackview.language import _
from rackview.rules.catalogue.rule import Rule
from rackview.services.faults import StoreError
from rackview.ui.base import SubPage
from rackview.ui.rules import rule_words
from rackview.ui.rules.list_view import RuleList
from rackview.ui.rules.threshold_form import ThresholdForm
from rackview.ui.rules.worth_form import WorthForm
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import scrolled, tall
from rackview.ui.widgets.marked_lines import Marked, MarkedLines
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.advice.record.flag_log import RuleRecord, VesselLog
    from rackview.core.log import Node
    from rackview.core.profile import StrainProfile
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme

DAYS = 30
"""How far back the flag log looks."""
LIST = 300
WIDE = 1400
"""From this width on the values stand beside the rule, not below it."""
CHANGES = 12
WIDEST = 760
WORTH = "worth"
"""What `open` takes for the page of what things are worth."""


class RulesScreen(SubPage):
    """Every rule of the catalogue: a list at the left, the rule at the right."""

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        self._logs: dict[str, tuple[Node, StrainProfile, int, VesselLog]] = {}
        self._records: dict[str, RuleRecord] = {}
        self._waiting: list[str] = []
        self.list = RuleList(theme, self)
        self.list.setFixedWidth(LIST)
        self.values = ThresholdForm(session, self)
        self._later = QTimer(self)
        self._later.setInterval(0)
        self._later.timeout.connect(self._log_next)
        self.setFocusProxy(self.list)
        self._lay_out()
        self.list.chosen.connect(self._chosen)
        self.list.entered.connect(self._to_values)
        self.list.left.connect(self.leave)
        self.values.left.connect(self._back)
        self.values.scoped.connect(self._told)
        self.list.choose("")

    def _lay_out(self) -> None:
        title = QLabel(_("Rules"), self)
        title.setFont(fonts.font(20, fonts.BOLD))
        left = QVBoxLayout()
        left.setSpacing(10)
        self.worth_button = QPushButton(_("What things are worth"), self)
        self.worth_button.setCheckable(True)
        self.worth_button.setProperty("role", "choice")
        self.worth_button.clicked.connect(lambda: self.open(WORTH))
        tall(self.worth_button, 36)
        head = QHBoxLayout()
        head.addWidget(title)
        head.addStretch(1)
        head.addWidget(self.worth_button)
        left.addLayout(head)
        left.addWidget(self.list, 1)
        self._page = QWidget(self)
        self._sides = QBoxLayout(QBoxLayout.Direction.TopToBottom, self._page)
        self._sides.setContentsMargins(0, 4, 16, 24)
        self._sides.setSpacing(16)
        self._rule_card, rule = _card(self._page)
        self._heading = QLabel(self._rule_card)
        self._heading.setFont(fonts.font(24, fonts.BOLD))
        self._urgency = MarkedLines(self.theme, px=15, parent=self._rule_card)
        self._facts = QGridLayout()
        self._facts.setHorizontalSpacing(16)
        self._facts.setVerticalSpacing(6)
        self._facts.setColumnStretch(1, 1)
        self._facts.setColumnMinimumWidth(0, 92)
        rule.addWidget(self._heading)
        rule.addWidget(self._urgency)
        rule.addLayout(self._facts)
        self._side = self._make_side()
        self._sides.addWidget(self._rule_card, 0, Qt.AlignmentFlag.AlignTop)
        self._sides.addWidget(self._side, 0, Qt.AlignmentFlag.AlignTop)
        for part in (self._rule_card, self._side):
            part.setMaximumWidth(WIDEST)
        self._sides.addStretch(1)
        self._scroll = scrolled(self._page, self)
        self.worth = WorthForm(self.session, self)
        self.worth.left.connect(self._back)
        self._pages = QStackedWidget(self)
        self._pages.addWidget(self._scroll)
        self._pages.addWidget(scrolled(self.worth, self))
        row = QHBoxLayout(self)
        row.setContentsMargins(24, 10, 12, 0)
        row.setSpacing(24)
        row.addLayout(left)
        row.addWidget(self._pages, 1)

    def _make_side(self) -> QWidget:
        side = QWidget(self._page)
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(16)
        record_card, record = _card(side)
        self.record = Record(record_card)
        record.addWidget(self.record)
        values_card, values = _card(side)
        self._changes = QLabel(values_card)
        self._changes.setWordWrap(True)
        self._changes.setFont(fonts.font(13))
        self._changes.setProperty("voice", "soft")
        self._changes.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        values.addWidget(self.values)
        values.addWidget(self._changes)
        column.addWidget(record_card)
        column.addWidget(values_card)
        column.addStretch(1)
        return side

    # --- showing ----------------------------------------------------------------------------------------------------

    def open(self, code: str | None = None) -> None:
        """Show a rule by its code, what things are worth, or what was shown last."""
        if code == WORTH:
            self.worth.refresh()
            self._pages.setCurrentIndex(1)
            self.worth.begin()
        elif code:
            self.list.choose(code)
            self._pages.setCurrentIndex(0)
        self.worth_button.setChecked(self._pages.currentIndex() == 1)

    def refresh(self, change: Change | None = None) -> None:
        """Show the rules as they stand on the rack now; what is typed stays."""
        self._show(self.list.rule())
        if self._pages.currentIndex() == 1:
            self.worth.refresh()
        self._waiting = [n for n in self.session.rack.vessels if not self._known(n)]
        self._logs = {n: log for n, log in self._logs.items() if n in self.session.rack.vessels}
        if self._waiting:
            self._later.start()
        else:
            self._tell_records()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._waiting:
            self._later.start()

    def _chosen(self, rule: Rule) -> None:
        self._pages.setCurrentIndex(0)
        self.worth_button.setChecked(False)
        self._show(rule)

    def _show(self, rule: Rule) -> None:
        self._heading.setText(formats.sentence(rule.short).rstrip("."))
        self._urgency.show_lines((Marked(rule_words.urgency_text(rule), rule.severity),))
        self.values.show_rule(rule)
        self._told()
        self._tell_record(rule)
        self._scroll.verticalScrollBar().setValue(0)

    def _told(self) -> None:
        """The rule's sentences with the values that hold for the scope, and how the values were changed."""
        rule = self.list.rule()
        while (item := self._facts.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        values = rule_words.in_force(self.session.rack, self.values.scope_name())
        for n, (word, text) in enumerate(rule_words.facts(rule, values)):
            caption, said = QLabel(word, self._rule_card), QLabel(text, self._rule_card)
            caption.setProperty("voice", "soft")
            caption.setFont(fonts.font(14))
            said.setWordWrap(True)
            said.setFont(fonts.font(15, fonts.SEMIBOLD if word == _("Do") else fonts.REGULAR))
            said.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            self._facts.addWidget(caption, n, 0, Qt.AlignmentFlag.AlignTop)
            self._facts.addWidget(said, n, 1)
        self._changes.setText(self._change_words(rule))
        self._changes.setVisible(bool(self._changes.text()))

    def _change_words(self, rule: Rule) -> str:
        now = self.session.now().astimezone()
        try:
            found = rule_words.threshold_changes(self.session, rule.thresholds)
        except StoreError as error:
            return str(error)
        if not found:
            return _("Never changed on this rack.") if rule.thresholds else ""
        lines = [rule_words.change_words(one, now) for one in found[:CHANGES]]
        if len(found) > CHANGES:
            lines.append(_("and {n} earlier change(s)").format(n=len(found) - CHANGES))
        return "\n".join([_("Changes"), *(f"• {line}" for line in lines)])

    # --- the record -------------------------------------------------------------------------------------------------

    def _key(self, vessel: str) -> tuple[Node, StrainProfile, int]:
        rack = self.session.rack
        return rack.log(vessel), rack.profile(vessel), self.session.now().astimezone().date().toordinal()

    def _known(self, vessel: str) -> bool:
        kept = self._logs.get(vessel)
        head, profile, today = self._key(vessel)
        return kept is not None and kept[0] is head and kept[1] is profile and kept[2] == today

    def _log_next(self) -> None:
        """Work one vessel's log out; the page stays alive between one and the next."""
        from rackview.advice.record.flag_log import vessel_log

        if self._waiting:
            vessel = self._waiting.pop(0)
            if vessel in self.session.rack.vessels:
                found = vessel_log(self.session.rack, vessel, self.session.now().astimezone(), DAYS)
                self._logs[vessel] = (*self._key(vessel), found)
        if not self._waiting:
            self._later.stop()
            self._tell_records()

    def work_out(self) -> None:
        """Work out all that is still waiting, at once."""
        while self._waiting:
            self._log_next()

    def _tell_records(self) -> None:
        from rackview.advice.record.flag_log import records

        self._records = {r.code: r for r in records(kept[3] for kept in self._logs.values())}
        self.list.show_records(self._records)
        self._tell_record(self.list.rule())

    def _tell_record(self, rule: Rule) -> None:
        from rackview.advice.record.flag_log import OF_THE_RACK

        if self._waiting and rule.code not in OF_THE_RACK:
            self.record.show_waiting(_("The last {n} days are being looked through…").format(n=DAYS))
            return
        found = self._records.get(rule.code)
        words = rule_words.record_words(found, rule, DAYS, of_the_rack=rule.code in OF_THE_RACK)
        self.record.show_record(found, words)

    # --- keys and look ----------------------------------------------------------------------------------------------

    def save(self) -> None:
        """Keep what is typed as a draft."""
        self.values.save()
        self.worth.save()

    def _to_values(self) -> None:
        self.values.begin()
        self._scroll.ensureWidgetVisible(self.values)

    def _back(self) -> None:
        self.values.save()
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._back()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        beside = self.width() >= WIDE
        for n in (0, 1):  # side by side each has half the width; below each other both stand at the top
            self._sides.setStretch(n, 100 if beside else 0)
        self._sides.setDirection(QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.list.set_theme(theme)
        self._urgency.set_theme(theme)


class Record(QWidget):
    """What became of one rule: three figures, the reasons given for saying no, and a word if that is often."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        title = QLabel(_("On this rack"), self)
        title.setFont(fonts.font(17, fonts.SEMIBOLD))
        self.words = _text(self, 14, soft=True)
        self.often = _text(self, 15, weight=fonts.SEMIBOLD)
        self.reasons = _text(self, 14)
        self.figures: dict[str, QLabel] = {}
        self._row = QWidget(self)
        row = QHBoxLayout(self._row)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(28)
        for name, word in (
            ("raised", _("raised")),
            ("acted_on", _("acted on")),
            ("declined", _("declined")),
        ):
            figure = QLabel(self)
            figure.setFont(fonts.font(24, fonts.BOLD))
            caption = _text(self, 14, soft=True)
            caption.setText(word)
            caption.setWordWrap(False)
            pair = QHBoxLayout()
            pair.setSpacing(6)
            pair.addWidget(figure, 0, Qt.AlignmentFlag.AlignBaseline)
            pair.addWidget(caption, 0, Qt.AlignmentFlag.AlignBaseline)
            row.addLayout(pair)
            self.figures[name] = figure
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        for part in (title, self._row, self.words, self.often, self.reasons):
            column.addWidget(part)

    def show_waiting(self, words: str) -> None:
        """Say that the record is being worked out."""
        self.words.setText(words)
        for part in (self._row, self.often, self.reasons):
            part.hide()

    def show_record(self, record: RuleRecord | None, words: str) -> None:
        """Show a record; None if the rule was never raised nor declined."""
        self.words.setText(words)
        self._row.setVisible(record is not None)
        self.often.setVisible(record is not None and record.often_declined)
        self.reasons.setVisible(record is not None and bool(record.reasons))
        if record is None:
            return
        for name, figure in self.figures.items():
            figure.setText(str(getattr(record, name)))
        self.often.setText(rule_words.often_words(record))
        counted = {r: record.reasons.count(r) for r in dict.fromkeys(record.reasons)}
        said = [f"• {r}" + (f" ({n} ×)" if n > 1 else "") for r, n in sorted(counted.items(), key=lambda c: -c[1])]
        self.reasons.setText("\n".join([_("Reasons given"), *said]))


def _text(parent: QWidget, px: int, *, soft: bool = False, weight: int = fonts.REGULAR) -> QLabel:
    made = QLabel(parent)
    made.setWordWrap(True)
    made.setFont(fonts.font(px, weight))
    if soft:
        made.setProperty("voice", "soft")
    return made


def _card(parent: QWidget) -> tuple[QWidget, QVBoxLayout]:
    made = QWidget(parent)
    made.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
    made.setObjectName("card")
    column = QVBoxLayout(made)
    column.setContentsMargins(20, 16, 20, 16)
    column.setSpacing(10)
    return made, column
