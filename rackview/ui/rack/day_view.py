"""The list of the day: its model, its painted lines, and its keys."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QLinearGradient, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from rackview.ui import keys
from rackview.ui.paint.ink import CAP, pen, saved, wrapped, write
from rackview.ui.paint.marks import paint_dash, paint_fold, paint_severity, paint_tick
from rackview.ui.rack.rack_state import Item, ItemProgress
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import spreadsheet

ITEM = Qt.ItemDataRole.UserRole + 1
SIDE = 18
"""Left and right of the column, px."""
DEEDS = {"done", "change", "decline", "why"}
BAR = 44
"""Height of the buttons in the selected line, px."""
ROW = 2.7
"""Width of the column of places in a line's table, as a multiple of the type's size."""
REASON = 6
"""Lines that a reason or a caution may take: as many as the longest sentence of the advice in the narrowest column."""

FADE = 22
"""Over so many px the list fades where it goes on below its edge."""
TOLD = 9
"""Lines that a remark on the whole rack may take, which opens no further."""

Index = QModelIndex | QPersistentModelIndex
NOWHERE = QModelIndex()


class DayModel(QAbstractListModel):
    """The items of the day."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._whole: tuple[Item, ...] = ()
        self._items: tuple[Item, ...] = ()
        self._unfolded: set[str] = set()

    @property
    def items(self) -> tuple[Item, ...]:
        """What is shown: of a line that gathers others, those too while it is unfolded."""
        return self._items

    @property
    def everything(self) -> tuple[Item, ...]:
        """What is shown, and what the lines stand for that are closed."""
        return tuple(one for item in self._whole for one in (item, *item.members))

    def show(self, items: tuple[Item, ...]) -> None:
        """Show these items."""
        if items == self._whole:
            return
        self.beginResetModel()
        self._whole = items
        self._items = tuple(one for item in items for one in self._told(item))
        self.endResetModel()

    def _told(self, item: Item) -> tuple[Item, ...]:
        if item.gathers not in self._unfolded:
            return (item,)
        return (replace(item, unfolded=True), *item.members)

    def fold(self, row: int) -> None:
        """Show what a line gathers, or no longer."""
        head = self._items[row]
        last = row + len(head.members)
        before, behind = self._items[:row], self._items[(last if head.unfolded else row) + 1 :]
        self._unfolded ^= {head.gathers}
        begin, end = (
            (self.beginRemoveRows, self.endRemoveRows) if head.unfolded else (self.beginInsertRows, self.endInsertRows)
        )
        begin(QModelIndex(), row + 1, last)
        self._items = (*before, *self._told(replace(head, unfolded=False)), *behind)
        end()
        self.dataChanged.emit(self.index(row), self.index(row))

    def rowCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._items)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        item = self._items[index.row()]
        if role == ITEM:
            return item
        return item.accessible if role == Qt.ItemDataRole.AccessibleTextRole else None

    def first_open(self) -> int:
        """The row of the first thing still to do, -1 if all is done."""
        return next((n for n, i in enumerate(self._items) if i.suggestion is not None or i.members), -1)

    def continues(self, row: int) -> bool:
        """Whether the line before belongs to the same place and step, so that the place need not be said again."""
        if row == 0:
            return False
        before, here = self._items[row - 1], self._items[row]
        return bool(here.place) and before.place == here.place and before.step == here.step


class ItemDelegate(QStyledItemDelegate):
    """Paints one line of the day; the current one opens up to its reason, cautions and buttons."""

    def __init__(self, theme: Theme, view: QListView, model: DayModel) -> None:
        super().__init__(view)
        self.theme = theme
        self.px = 14
        self.read_only = False
        self._view, self._model = view, model

    def _opened(self, index: Index) -> bool:
        item = self._model.items[index.row()]
        return index.row() == self._view.currentIndex().row() and (item.suggestion is not None or bool(item.rows))

    def _column(self) -> float:
        return SIDE + self.px * 2.7

    def _lines(self, item: Item, opened: bool, width: float) -> tuple[list[str], list[str], list[str]]:
        room = (
            width
            - self._column()
            - SIDE
            - (self.px * 1.6 if item.severity or item.step is not ItemProgress.open else 0)
        )
        plain = item.step is ItemProgress.open and item.suggestion is None and not item.members
        title = wrapped(item.text, self.px, fonts.REGULAR if plain else fonts.SEMIBOLD, room, TOLD if plain else 2)
        wide = width - self._column() - SIDE
        if item.members:
            return title, [] if item.unfolded else wrapped(item.why, self.px, fonts.REGULAR, wide, 2), []
        if item.step is ItemProgress.declined:
            return title, wrapped(item.why, self.px, fonts.REGULAR, wide, 2), []
        if not opened:
            return title, [], []
        why = wrapped(item.why, self.px, fonts.REGULAR, wide, REASON)
        cautions = [line for c in item.cautions for line in wrapped(c, self.px, fonts.MEDIUM, wide, REASON)]
        return title, why, cautions

    def _rows(self, item: Item, width: float) -> list[tuple[str, str]]:
        """The lines of an item's table, the place in the first line of each row."""
        room = width - self._column() - SIDE - self.px * ROW
        found = []
        for place, text in item.rows:
            first, *more = wrapped(text, self.px, fonts.REGULAR, room, REASON) or [""]
            found += [(place, first), *(("", line) for line in more)]
        return found

    def text_height(self, item: Item, *, opened: bool, width: float) -> float:
        """Height of a line without its buttons, px."""
        lines = sum(len(part) for part in self._lines(item, opened, width)) + (
            len(self._rows(item, width)) if opened else 0
        )
        return lines * self.px * 1.36 + self.px * 0.86

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        item = index.data(ITEM)
        width = self._view.viewport().width()
        opened = self._opened(index)
        buttons = BAR + 8 if opened and item.suggestion is not None and not self.read_only else 0
        height = self.text_height(item, opened=opened, width=width) + buttons
        return QSize(width, round(height))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        item: Item = index.data(ITEM)
        theme, px = self.theme, self.px
        rect = QRectF(option.rect)
        opened = self._opened(index)
        focused = bool(option.state & QStyle.StateFlag.State_HasFocus)
        with saved(painter):
            if opened or focused:
                self._ground(painter, rect, opened, focused and self._view.hasFocus())
            quiet = item.step is not ItemProgress.open
            line = px * 1.36
            base = rect.top() + px * 0.43 + line / 2 + px * CAP / 2
            if not self._model.continues(index.row()):
                colour = theme.soft if quiet else theme.ink
                write(painter, rect.left() + SIDE, base, item.place, px + 1, colour, fonts.BOLD)
            if item.members:
                corner = QRectF(rect.left() + SIDE, base - px * 0.86, px, px)
                paint_fold(painter, corner, theme.middle, unfolded=item.unfolded)
            self._mark(painter, QRectF(rect.right() - SIDE - px, base - px * 0.86, px, px), item)
            title, why, cautions = self._lines(item, opened, rect.width())
            x = rect.left() + self._column()
            for part, colour, weight in (
                (
                    title,
                    theme.soft if quiet else theme.ink,
                    fonts.SEMIBOLD if item.suggestion or item.members else fonts.REGULAR,
                ),
                (why, theme.soft if quiet else theme.middle, fonts.REGULAR),
                (cautions, theme.middle, fonts.MEDIUM),
            ):
                for text in part:
                    write(painter, x, base, text, px, colour, weight)
                    base += line
            for place, text in self._rows(item, rect.width()) if opened else ():
                write(painter, x, base, place, px, theme.middle, fonts.SEMIBOLD)
                write(painter, x + px * ROW, base, text, px, theme.middle if quiet else theme.ink)
                base += line

    def _ground(self, painter: QPainter, rect: QRectF, opened: bool, ring: bool) -> None:
        box = rect.adjusted(7, 1, -7, -1)
        painter.setPen(pen(self.theme.focus, 2.0) if ring else Qt.PenStyle.NoPen)
        painter.setBrush(self.theme.chosen if opened else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, 6, 6)

    def _mark(self, painter: QPainter, box: QRectF, item: Item) -> None:
        if item.step is ItemProgress.done:
            paint_tick(painter, box, self.theme.soft)
        elif item.step is ItemProgress.declined:
            paint_dash(painter, box, self.theme.soft)
        elif item.severity is not None:
            paint_severity(painter, box, item.severity, self.theme)


class DayView(QListView):
    """The list of the day with its keys; moves the buttons along with the current line."""

    key_chosen = Signal(str)
    moved = Signal()

    def __init__(self, model: DayModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.day = model
        self.ground = QColor()
        self._opening = False
        self.setModel(model)
        self.clicked.connect(self.fold)

    def fold(self, index: Index) -> bool:
        """Open or close a line that gathers others; whether it is one."""
        if not index.isValid() or not self.day.items[index.row()].members:
            return False
        self.day.fold(index.row())
        self.setCurrentIndex(self.day.index(index.row()))
        self.moved.emit()
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        chosen = keys.command("The day's list", event.key())
        if chosen in DEEDS and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.key_chosen.emit(chosen)
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        bar, port = self.verticalScrollBar(), self.viewport()
        if bar.value() < bar.maximum():  # a line that is cut by the edge goes on below it
            foot = QRectF(0, port.height() - FADE, port.width(), FADE)
            shade = QLinearGradient(foot.topLeft(), foot.bottomLeft())
            ground, clear = self.ground, QColor(self.ground)
            clear.setAlpha(0)
            shade.setColorAt(0.0, clear)
            shade.setColorAt(1.0, ground)
            QPainter(port).fillRect(foot, shade)

    def as_text(self) -> str:
        """The lines of the day as a screen reader gets them, folded ones too, for a note or a spreadsheet."""
        return spreadsheet.tab_lines([(item.accessible,) for item in self.day.everything if not item.members])

    def currentChanged(self, current: Index, previous: Index) -> None:
        super().currentChanged(current, previous)
        self._opening = True
        self.scheduleDelayedItemsLayout()
        self.moved.emit()

    def doItemsLayout(self) -> None:
        super().doItemsLayout()
        if self._opening:  # only now the line before is closed, and this one as high as its reason
            self._opening = False
            self.scrollTo(self.currentIndex())

    def updateGeometries(self) -> None:
        super().updateGeometries()
        self.moved.emit()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        super().scrollContentsBy(dx, dy)
        self.moved.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()
