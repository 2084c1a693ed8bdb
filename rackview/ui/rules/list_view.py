"""The catalogue as a list: headings, each rule with its shape, and what became of it in a few figures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from rackview.language import _
from rackview.rules.catalogue.rule import Rule
from rackview.ui import keys
from rackview.ui.paint.ink import pen, saved, width_of, write
from rackview.ui.paint.marks import paint_severity
from rackview.ui.rules import rule_words
from rackview.ui.theme import Theme, fonts

if TYPE_CHECKING:
    from rackview.advice.record.flag_log import RuleRecord

Index = QModelIndex | QPersistentModelIndex
RULE, RECORD = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1
ROW, HEADING = 38, 40


class RuleDelegate(QStyledItemDelegate):
    """Draws headings and rules."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, HEADING if index.data(RULE) is None else ROW)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        rect = QRectF(option.rect)
        rule: Rule | None = index.data(RULE)
        with saved(painter):
            if rule is None:
                heading = index.data(Qt.ItemDataRole.DisplayRole)
                write(painter, rect.left() + 12, rect.bottom() - 9, heading, 13, self.theme.middle, fonts.SEMIBOLD)
                return
            state = option.state
            if state & QStyle.StateFlag.State_Selected:
                painter.setPen(pen(self.theme.focus if state & QStyle.StateFlag.State_HasFocus else self.theme.rim, 2))
                painter.setBrush(self.theme.chosen)
                painter.drawRoundedRect(rect.adjusted(2, 2, -2, -2), 6, 6)
            base = rect.center().y() + 5
            if rule.severity is not None:
                paint_severity(
                    painter, QRectF(rect.left() + 13, rect.center().y() - 7, 14, 14), rule.severity, self.theme
                )
            words, often = outcome_words(index.data(RECORD))
            tone = self.theme.week if often else self.theme.middle
            weight = fonts.SEMIBOLD if often else fonts.REGULAR
            write(painter, rect.right() - 12, base, words, 13, tone, weight, right=True)
            room = rect.width() - 64 - width_of(words, 13, weight)
            write(painter, rect.left() + 38, base, rule.short, 15, self.theme.ink, fonts.SEMIBOLD, room=room)


def outcome_words(record: RuleRecord | None) -> tuple[str, bool]:
    """What the list says of a rule's record, and whether it is often declined."""
    if record is None:
        return "", False
    if record.often_declined:
        return _("often declined"), True
    if record.raised:
        return _("raised {n}").format(n=record.raised), False
    return _("declined {n}").format(n=record.declined), False


class RuleList(QListWidget):
    """Every rule of the catalogue.

    Signals
    -------
    chosen(object) : a rule was gone to
    entered() : Enter on a rule: the keyboard goes to its values
    left() : Esc
    """

    chosen = Signal(object)
    entered = Signal()
    left = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._painter = RuleDelegate(theme, self)
        self.setItemDelegate(self._painter)
        self.setAccessibleName(_("Rules"))
        self.setStyleSheet("QListView { background: transparent; border: 0; } QListView:focus { border: 0; }")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self._items: dict[str, QListWidgetItem] = {}
        for heading, rules in rule_words.parts():
            item = QListWidgetItem(heading, self)
            item.setFlags(Qt.ItemFlag.NoItemFlags)
            for rule in rules:
                item = QListWidgetItem(rule.short, self)
                item.setData(RULE, rule)
                self._items[rule.code] = item
        self.show_records({})
        self.currentItemChanged.connect(self._went)

    def show_records(self, records: Mapping[str, RuleRecord]) -> None:
        """Show what became of each rule."""
        for code, item in self._items.items():
            rule, record = item.data(RULE), records.get(code)
            item.setData(RECORD, record)
            words = (rule.short, rule_words.urgency_text(rule), outcome_words(record)[0])
            item.setData(Qt.ItemDataRole.AccessibleTextRole, ", ".join(w for w in words if w))

    def choose(self, code: str) -> None:
        """Go to a rule; the first one if there is none of that code."""
        item = self._items.get(code) or next(iter(self._items.values()))
        self.setCurrentItem(item)
        self._bring_to_sight()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._bring_to_sight()

    def _bring_to_sight(self) -> None:
        """Scroll to the rule that is gone to; the heading of a group is seen with its first rule."""
        row = self.currentRow()
        if row > 0 and self.item(row - 1).data(RULE) is None:
            self.scrollToItem(self.item(row - 1))
        if row >= 0:
            self.scrollToItem(self.item(row))

    def rule(self) -> Rule:
        """The rule that is gone to."""
        found: Rule = self.currentItem().data(RULE)
        return found

    def _went(self, item: QListWidgetItem | None) -> None:
        if item is not None and item.data(RULE) is not None:
            self.chosen.emit(item.data(RULE))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        command = keys.command("Rules", event.key())
        if command == "values":
            self.entered.emit()
        elif command == "leave":
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self._painter.theme = theme
        self.viewport().update()
