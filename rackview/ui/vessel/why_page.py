"""Why: what stands behind a suggestion or a number, in the side column; each entry leads to its row in the list."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from rackview.core.assessment import Severity
from rackview.language import _
from rackview.ui import keys
from rackview.ui.paint.ink import pen, saved, width_of, wrapped, write
from rackview.ui.theme import Theme, fonts
from rackview.ui.vessel.why import WhyLine
from rackview.ui.widgets.fields import tall
from rackview.ui.widgets.marked_lines import Marked, MarkedLines

Index = QModelIndex | QPersistentModelIndex
LINE = Qt.ItemDataRole.UserRole
PX, PITCH, SIDE, MOST = 14, 19.0, 8.0, 5
BAR = 5.0


class WhyDelegate(QStyledItemDelegate):
    """Draws headings, facts, and entries with their weight as a bar."""

    def __init__(self, theme: Theme, view: QListWidget) -> None:
        super().__init__(view)
        self.theme = theme
        self._view = view

    def _set(self, line: WhyLine, width: float) -> list[str]:
        px, weight = self._face(line)
        right = width_of(line.right, PX, fonts.SEMIBOLD) + 10 if line.right else 0.0
        return wrapped(line.text, px, weight, width - 2 * SIDE - right, MOST)

    def _face(self, line: WhyLine) -> tuple[int, int]:
        if line.heading:
            return 14, fonts.SEMIBOLD
        return (13, fonts.REGULAR) if line.note or line.event else (PX, fonts.REGULAR)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        line: WhyLine = index.data(LINE)
        width = self._view.viewport().width()
        high = len(self._set(line, width)) * PITCH + (14 if line.heading else 7)
        return QSize(width, round(high + (BAR + 3 if line.weight is not None else 0)))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        line: WhyLine = index.data(LINE)
        rect, theme = QRectF(option.rect), self.theme
        with saved(painter):
            if option.state & QStyle.StateFlag.State_Selected:
                focused = bool(option.state & QStyle.StateFlag.State_HasFocus)
                painter.setPen(pen(theme.focus, 2) if focused else Qt.PenStyle.NoPen)
                painter.setBrush(theme.chosen)
                painter.drawRoundedRect(rect.adjusted(1, 1, -1, -1), 6, 6)
            px, weight = self._face(line)
            tone = theme.middle if line.note else theme.ink
            y = rect.top() + (24 if line.heading else 17)
            for n, text in enumerate(self._set(line, rect.width())):
                write(painter, rect.left() + SIDE, y, text, px, tone, weight)
                if n == 0:
                    write(painter, rect.right() - SIDE, y, line.right, PX, theme.ink, fonts.SEMIBOLD, right=True)
                y += PITCH
            if line.weight is not None:
                self._bar(painter, QRectF(rect.left() + SIDE, y - 12, rect.width() - 2 * SIDE, BAR), line.weight)

    def _bar(self, painter: QPainter, room: QRectF, weight: float) -> None:
        """The weight as a share of the room; one that pulls the other way is drawn hollow."""
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.theme.band)
        painter.drawRoundedRect(room, BAR / 2, BAR / 2)
        long = room.width() * min(abs(weight), 1.0)
        bar = QRectF(room.left(), room.top(), max(long, BAR), BAR)
        if weight < 0:
            painter.setPen(pen(self.theme.middle, 1.2))
            painter.setBrush(self.theme.tile)
            bar.adjust(0.6, 0.6, -0.6, -0.6)
        else:
            painter.setBrush(self.theme.middle)
        painter.drawRoundedRect(bar, BAR / 2, BAR / 2)


class WhyList(QListWidget):
    """The lines; arrows go from entry to entry.

    Signals
    -------
    entered(object) : Enter or a double click on a line with an entry
    """

    entered = Signal(object)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._painter = WhyDelegate(theme, self)
        self.setItemDelegate(self._painter)
        self.setStyleSheet("QListView { background: transparent; border: 0; } QListView:focus { border: 0; }")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setAccessibleName(_("What it rests on"))
        self.itemDoubleClicked.connect(lambda item: self.entered.emit(item.data(LINE)))

    def show_lines(self, lines: tuple[WhyLine, ...]) -> None:
        """Show these lines, the first entry chosen."""
        self.clear()
        for line in lines:
            item = QListWidgetItem(self)
            item.setData(LINE, line)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, line.accessible)
            if not line.event:
                item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        first = next((n for n, line in enumerate(lines) if line.event), -1)
        if first >= 0:
            self.setCurrentRow(first)
        self.scrollToTop()

    def line(self) -> WhyLine | None:
        """The line that is gone to."""
        row = self.currentRow()
        found: WhyLine | None = self.item(row).data(LINE) if row >= 0 else None
        return found

    def lines(self) -> tuple[WhyLine, ...]:
        """All lines."""
        return tuple(self.item(n).data(LINE) for n in range(self.count()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            line = self.line()
            if line is not None and line.event:
                self.entered.emit(line)
        elif keys.command("One vessel", event.key()):
            event.ignore()  # the page's own keys
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self._painter.theme = theme
        self.viewport().update()


class WhyPage(QWidget):
    """A title, why it is so, how sure it is, and what it rests on.

    Signals
    -------
    left() : back to what is suggested
    shown(str, str) : the entry that is gone to, with its vessel
    entered(str, str) : an entry is to be looked at, with its vessel
    """

    left = Signal()
    shown = Signal(str, str)
    entered = Signal(str, str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = MarkedLines(theme, px=17, most=4, parent=self)
        self._words = MarkedLines(theme, px=14, most=6, parent=self)
        self._sure = QLabel(self)
        self._sure.setFont(fonts.font(13))
        self._sure.setProperty("voice", "soft")
        self.list = WhyList(theme, self)
        back = QPushButton(_("Back"), self)
        back.setAccessibleName(_("Back to what is suggested"))
        back.clicked.connect(self.left)
        tall(back, 36)
        head = QHBoxLayout()
        name = QLabel(_("Why"), self)
        name.setFont(fonts.font(20, fonts.BOLD))
        head.addWidget(name)
        head.addStretch(1)
        head.addWidget(back)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(24, 18, 16, 18)
        whole.setSpacing(8)
        whole.addLayout(head)
        for part in (self._title, self._words, self._sure):
            whole.addWidget(part)
        whole.addWidget(self.list, 1)
        self.list.currentItemChanged.connect(self._went)
        self.list.entered.connect(lambda line: self.entered.emit(line.event, line.vessel))

    def show_why(
        self, title: str, severity: Severity | None, words: str, sure: str, lines: tuple[WhyLine, ...]
    ) -> None:
        """Explain something."""
        self._title.show_lines((Marked(title, severity, strong=True),))
        self._words.show_lines((Marked(words),) if words else ())
        self._words.setVisible(bool(words))
        self._sure.setText(sure)
        self._sure.setVisible(bool(sure))
        self.list.show_lines(lines)

    def _went(self) -> None:
        line = self.list.line()
        if line is not None and line.event:
            self.shown.emit(line.event, line.vessel)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        for part in (self._title, self._words, self.list):
            part.set_theme(theme)
