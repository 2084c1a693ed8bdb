"""The rail: the day in one column. Supply against demand on top, below it what to do, in the order to do it.

The list is worked by keys alone: arrows, Enter for done, C to change, D to decline; the selected line shows the same
three as buttons. A decline asks for its reason in the line itself.
"""

from __future__ import annotations

from PySide6.QtCore import (
    QAbstractListModel,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListView,
    QPushButton,
    QSizePolicy,
    QStackedLayout,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from rackview.core.assessment import Suggestion
from rackview.ui import fonts
from rackview.ui.paint.ink import CAP, pen, saved, wrapped, write
from rackview.ui.paint.marks import paint_dash, paint_severity, paint_tick
from rackview.ui.paint.supply import paint_supply, supply_height
from rackview.ui.theme import Theme
from rackview.ui.tile_state import Day, Item, Step, Supply

ITEM = Qt.ItemDataRole.UserRole + 1
SIDE = 18
"""Left and right of the column, px."""
BAR = 44
"""Height of the buttons in the selected line, px."""

Index = QModelIndex | QPersistentModelIndex
NOWHERE = QModelIndex()


class DayModel(QAbstractListModel):
    """The items of the day."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._items: tuple[Item, ...] = ()

    @property
    def items(self) -> tuple[Item, ...]:
        """What is shown."""
        return self._items

    def show(self, items: tuple[Item, ...]) -> None:
        """Show these items."""
        if items == self._items:
            return
        self.beginResetModel()
        self._items = items
        self.endResetModel()

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
        return next((n for n, i in enumerate(self._items) if i.step is Step.open), -1)

    def continues(self, row: int) -> bool:
        """Whether the line before belongs to the same place and step, so that the place need not be said again."""
        if row == 0:
            return False
        before, here = self._items[row - 1], self._items[row]
        return before.place == here.place and before.step == here.step


class ItemDelegate(QStyledItemDelegate):
    """Paints one line of the day; the current one opens up to its reason, cautions and buttons."""

    def __init__(self, theme: Theme, view: QListView, model: DayModel) -> None:
        super().__init__(view)
        self.theme = theme
        self.px = 14
        self.read_only = False
        self._view, self._model = view, model

    def _opened(self, index: Index) -> bool:
        return index.row() == self._view.currentIndex().row() and self._model.items[index.row()].step is Step.open

    def _column(self) -> float:
        return SIDE + self.px * 2.7

    def _lines(self, item: Item, opened: bool, width: float) -> tuple[list[str], list[str], list[str]]:
        room = width - self._column() - SIDE - (self.px * 1.6 if item.severity or item.step is not Step.open else 0)
        title = wrapped(item.text, self.px, fonts.SEMIBOLD, room, 2)
        if not opened:
            return title, [], []
        wide = width - self._column() - SIDE
        why = wrapped(item.why, self.px, fonts.REGULAR, wide, 3)
        cautions = [line for c in item.cautions for line in wrapped(c, self.px, fonts.MEDIUM, wide, 4)]
        return title, why, cautions

    def text_height(self, item: Item, *, opened: bool, width: float) -> float:
        """Height of a line without its buttons, px."""
        lines = sum(len(part) for part in self._lines(item, opened, width))
        return lines * self.px * 1.36 + self.px * 0.86

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        item = index.data(ITEM)
        width = self._view.viewport().width()
        opened = self._opened(index)
        buttons = BAR + 8 if opened and not self.read_only else 0
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
            quiet = item.step is not Step.open
            line = px * 1.36
            base = rect.top() + px * 0.43 + line / 2 + px * CAP / 2
            if not self._model.continues(index.row()):
                colour = theme.soft if quiet else theme.ink
                write(painter, rect.left() + SIDE, base, item.place, px + 1, colour, fonts.BOLD)
            self._mark(painter, QRectF(rect.right() - SIDE - px, base - px * 0.86, px, px), item)
            title, why, cautions = self._lines(item, opened, rect.width())
            x = rect.left() + self._column()
            for part, colour, weight in (
                (title, theme.soft if quiet else theme.ink, fonts.REGULAR if quiet else fonts.SEMIBOLD),
                (why, theme.middle, fonts.REGULAR),
                (cautions, theme.middle, fonts.MEDIUM),
            ):
                for text in part:
                    write(painter, x, base, text, px, colour, weight)
                    base += line

    def _ground(self, painter: QPainter, rect: QRectF, opened: bool, ring: bool) -> None:
        box = rect.adjusted(7, 1, -7, -1)
        painter.setPen(pen(self.theme.focus, 2.0) if ring else Qt.PenStyle.NoPen)
        painter.setBrush(self.theme.chosen if opened else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, 6, 6)

    def _mark(self, painter: QPainter, box: QRectF, item: Item) -> None:
        if item.step is Step.done:
            paint_tick(painter, box, self.theme.soft)
        elif item.step is Step.declined:
            paint_dash(painter, box, self.theme.soft)
        elif item.severity is not None:
            paint_severity(painter, box, item.severity, self.theme)


class ItemBar(QWidget):
    """Done, Change, Decline of the selected line, and the line to type a reason in.

    Signals
    -------
    done(), change(), declined(str) : what was chosen, with the reason typed
    left() : the keyboard goes back to the list
    """

    done = Signal()
    change = Signal()
    declined = Signal(str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._stack = QStackedLayout(self)
        self._stack.setContentsMargins(0, 0, 0, 0)
        choices = QWidget(self)
        row = QHBoxLayout(choices)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        self.done_button = QPushButton(self.tr("Done"), choices)
        self.done_button.setProperty("role", "primary")
        self.change_button = QPushButton(self.tr("Change"), choices)
        self.decline_button = QPushButton(self.tr("Decline"), choices)
        for button, key in ((self.done_button, "Enter"), (self.change_button, "C"), (self.decline_button, "D")):
            button.setToolTip(key)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(button)
        asking = QWidget(self)
        line = QHBoxLayout(asking)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(6)
        self.reason = QLineEdit(asking)
        self.reason.setPlaceholderText(self.tr("Why not? Enter declines, Esc goes back"))
        self.reason.setAccessibleName(self.tr("Reason for declining"))
        self.reason.setMaxLength(200)
        line.addWidget(self.reason)
        self._stack.addWidget(choices)
        self._stack.addWidget(asking)
        self.done_button.clicked.connect(self.done)
        self.change_button.clicked.connect(self.change)
        self.decline_button.clicked.connect(self.ask)
        self.reason.returnPressed.connect(self._decline)
        self.reason.installEventFilter(self)

    def set_size(self, px: int) -> None:
        """Set the size of the type."""
        self.setStyleSheet(
            f"QPushButton, QLineEdit {{ padding: 5px 4px; font-size: {px}px; }}"
            " QPushButton:focus, QLineEdit:focus { padding: 4px 3px; }"
        )

    @property
    def asking(self) -> bool:
        """Whether a reason is being typed."""
        return self._stack.currentIndex() == 1

    def ask(self) -> None:
        """Let the reason be typed."""
        self.reason.clear()
        self._stack.setCurrentIndex(1)
        self.reason.setFocus()

    def rest(self) -> None:
        """Back to the three buttons."""
        self._stack.setCurrentIndex(0)

    def _decline(self) -> None:
        reason = self.reason.text().strip()
        self.rest()
        self.left.emit()
        self.declined.emit(reason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Escape:
            self.rest()
            self.left.emit()
            return True
        return super().eventFilter(watched, event)


class DayView(QListView):
    """The list of the day with its keys; moves the buttons along with the current line."""

    key_chosen = Signal(str)
    moved = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        chosen = {
            Qt.Key.Key_Return: "done",
            Qt.Key.Key_Enter: "done",
            Qt.Key.Key_C: "change",
            Qt.Key.Key_D: "decline",
        }.get(Qt.Key(event.key()))
        if chosen is not None and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.key_chosen.emit(chosen)
            return
        super().keyPressEvent(event)

    def currentChanged(self, current: Index, previous: Index) -> None:
        super().currentChanged(current, previous)
        self.scheduleDelayedItemsLayout()
        self.moved.emit()

    def updateGeometries(self) -> None:
        super().updateGeometries()
        self.moved.emit()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        super().scrollContentsBy(dx, dy)
        self.moved.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()


class Supplies(QWidget):
    """The day's supply bars."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.px = 14
        self._supplies: tuple[Supply, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_supplies(self, supplies: tuple[Supply, ...]) -> None:
        """Show these, one under the other."""
        self._supplies = supplies
        self.setAccessibleName(". ".join(s.accessible for s in supplies))
        self.setFixedHeight(self._height())
        self.update()

    def _height(self) -> int:
        return round(sum(height + 10 for _, _, height in self._parts()))

    def _parts(self) -> list[tuple[Supply, bool, float]]:
        """Each supply, whether it is told whole (the tightest and all that are short), and its height."""
        told = [(s, n == 0 or s.short) for n, s in enumerate(self._supplies)]
        return [(s, whole, supply_height(self.width(), s, self.px, whole=whole)) for s, whole in told]

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setFixedHeight(self._height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        top = 0.0
        for one, whole, height in self._parts():
            paint_supply(painter, QRectF(0, top, self.width(), height), one, self.theme, self.px, whole=whole)
            top += height + 10


class Rail(QWidget):
    """The column beside the shelves.

    Signals
    -------
    done(Suggestion), change(Suggestion), decline(Suggestion, str) : what the keeper chose for the selected line
    pointed(str) : the vessel of the line that was selected
    """

    done = Signal(object)
    change = Signal(object)
    decline = Signal(object, str)
    pointed = Signal(str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._read_only = False
        self.setAutoFillBackground(True)
        self._title = QLabel(self.tr("Today"), self)
        self._progress = QLabel(self)
        self._foot = QLabel(self)
        self._foot.setWordWrap(True)
        self._calm = QLabel(self.tr("Nothing left to do today."), self)
        self.supplies = Supplies(theme, self)
        self.model = DayModel(self)
        self.view = DayView(self)
        self.view.setModel(self.model)
        self._lines = ItemDelegate(theme, self.view, self.model)
        self.view.setItemDelegate(self._lines)
        self.view.setObjectName("day")
        self.view.setAccessibleName(self.tr("What to do today, in order"))
        self.view.setFrameShape(QListView.Shape.NoFrame)
        self.view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.bar = ItemBar(self.view.viewport())
        self.bar.hide()
        self._lay_out()
        self.view.key_chosen.connect(self._key)
        self.view.moved.connect(self._place_bar)
        self.view.moved.connect(self._point)
        self.bar.done.connect(self._done)
        self.bar.change.connect(self._change)
        self.bar.declined.connect(self._declined)
        self.bar.left.connect(self.view.setFocus)
        self.apply_theme(theme)

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self._title)
        head.addStretch(1)
        head.addWidget(self._progress, 0, Qt.AlignmentFlag.AlignBottom)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 10)
        column.setSpacing(8)
        for part in (head, self.supplies, self.view, self._calm, self._foot):
            stretch = 1 if part is self.view else 0
            if part is self.view:
                column.addWidget(self.view, stretch)
                continue
            inset = QHBoxLayout()
            inset.setContentsMargins(SIDE, 0, SIDE, 0)
            if isinstance(part, QWidget):
                inset.addWidget(part)
            else:
                inset.addLayout(part)
            column.addLayout(inset)

    def show_day(self, today: Day, *, read_only: bool = False) -> None:
        """Show the day; the line that was selected stays selected while it is there."""
        kept = self.selected
        self._read_only = self._lines.read_only = read_only
        self._progress.setText(today.progress)
        self._foot.setText("\n".join((*today.cautions, *filter(None, (today.foot,)))))
        self._foot.setVisible(bool(self._foot.text()))
        self.supplies.show_supplies(today.supplies)
        self.supplies.setVisible(bool(today.supplies))
        self.model.show(today.items)
        row = self._row_of(kept)
        self.view.setCurrentIndex(self.model.index(row if row >= 0 else self.model.first_open()))
        self._calm.setVisible(self.model.first_open() < 0)
        if self.view.currentIndex().isValid():
            self.view.scrollTo(self.view.currentIndex(), QAbstractItemView.ScrollHint.EnsureVisible)
        self._place_bar()

    def _row_of(self, kept: Suggestion | None) -> int:
        if kept is None:
            return -1
        for row, item in enumerate(self.model.items):
            one = item.suggestion
            if one is not None and (one.vessel, one.action, one.code) == (kept.vessel, kept.action, kept.code):
                return row
        return -1

    @property
    def selected(self) -> Suggestion | None:
        """The suggestion of the current line, None if it is done or nothing is selected."""
        index = self.view.currentIndex()
        items = self.model.items
        return items[index.row()].suggestion if index.isValid() and index.row() < len(items) else None

    def apply_theme(self, theme: Theme) -> None:
        """Dress the rail in a theme."""
        self.theme = self._lines.theme = self.supplies.theme = theme
        dress = self.palette()
        dress.setColor(self.backgroundRole(), theme.rail)
        self.setPalette(dress)
        self.view.setStyleSheet("QListView#day { background: transparent; border: 0; }")
        self._progress.setStyleSheet(f"color: {theme.middle.name()};")
        self._foot.setStyleSheet(f"color: {theme.soft.name()};")
        self._calm.setStyleSheet(f"color: {theme.middle.name()};")
        self._size()
        self.update()
        self.view.viewport().update()
        self.supplies.update()

    def _size(self) -> None:
        px = max(14, min(20, round(self.width() / 23)))
        self._lines.px = self.supplies.px = px
        self._title.setFont(fonts.font(round(px * 1.5), fonts.BOLD))
        self.bar.set_size(px)
        for label in (self._progress, self._foot, self._calm):
            label.setFont(fonts.font(px))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._size()

    def _place_bar(self) -> None:
        index = self.view.currentIndex()
        if self.selected is None or self._read_only:
            self.bar.hide()
            return
        whole: QRect = self.view.visualRect(index)
        item = self.model.items[index.row()]
        top = whole.top() + round(self._lines.text_height(item, opened=True, width=self.view.viewport().width()))
        self.bar.setGeometry(SIDE, top, self.view.viewport().width() - 2 * SIDE, BAR - 4)
        if not self.bar.isVisible():
            self.bar.rest()
        self.bar.show()

    def _point(self) -> None:
        if self.view.hasFocus() and self.selected is not None:
            self.pointed.emit(self.selected.vessel)

    def _key(self, chosen: str) -> None:
        if self.selected is None or self._read_only:
            return
        if chosen == "done":
            self._done()
        elif chosen == "change":
            self._change()
        else:
            self.bar.ask()

    def _done(self) -> None:
        if self.selected is not None:
            self.done.emit(self.selected)

    def _change(self) -> None:
        if self.selected is not None:
            self.change.emit(self.selected)

    def _declined(self, reason: str) -> None:
        if self.selected is not None:
            self.decline.emit(self.selected, reason)
