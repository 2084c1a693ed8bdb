"""The shelves as a table view: one model of frozen tile states, one delegate that paints them.

A row is a shelf (or part of one), a column a place, so arrows move as on the shelf, and a screen reader finds each
vessel with its whole tile in words.
"""

from __future__ import annotations

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPoint,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from rackview.language import _
from rackview.ui import keys
from rackview.ui.paint.shelf import BOARD, paint_free
from rackview.ui.paint.tile import paint_focus
from rackview.ui.rack import rack_moves
from rackview.ui.rack.arrange import Grid, ShelfRow, arrange, tile_size
from rackview.ui.rack.drawn import FOOT, GAP, DrawnTiles, Manner, tile_on_board
from rackview.ui.rack.letters import LETTERS, Letters
from rackview.ui.rack.rack_state import FreePlace, Shelf
from rackview.ui.rack.tile import HEADINGS, TileState
from rackview.ui.theme import Theme
from rackview.ui.words import spreadsheet

STATE = Qt.ItemDataRole.UserRole + 1
"""The frozen state of a place: a TileState, a FreePlace, or None right of the shelf's end."""

Index = QModelIndex | QPersistentModelIndex
NOWHERE = QModelIndex()
STANDS = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemNeverHasChildren
"""What can be done with a place; put together once, as it is asked for at every paint."""


class RackModel(QAbstractTableModel):
    """Shelves laid out by a grid."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._shelves: tuple[Shelf, ...] = ()
        self._rows: tuple[ShelfRow, ...] = ()
        self._columns = 0

    @property
    def shelves(self) -> tuple[Shelf, ...]:
        """What is shown."""
        return self._shelves

    def show(self, shelves: tuple[Shelf, ...], grid: Grid) -> None:
        """Show these shelves in this grid; only tiles that changed are told of if the layout stays."""
        same = grid.rows == self._rows and grid.columns == self._columns
        if not same or [len(s.places) for s in shelves] != [len(s.places) for s in self._shelves]:
            self.beginResetModel()
            self._shelves, self._rows, self._columns = shelves, grid.rows, grid.columns
            self.endResetModel()
            return
        old = self._shelves
        self._shelves = shelves
        for n, row in enumerate(self._rows):
            for place in range(row.first, row.end):
                if old[row.shelf].places[place] != shelves[row.shelf].places[place]:
                    self._tell(self.index(n, place - row.first))
        if [s.name for s in old] != [s.name for s in shelves]:
            self.headerDataChanged.emit(Qt.Orientation.Vertical, 0, len(self._rows) - 1)

    def show_tile(self, tile: TileState) -> QModelIndex:
        """Show another tile of a vessel that is shown; return its index, invalid if it is not on the rack."""
        index = self.find(tile.vessel)
        if index.isValid():
            row = self._rows[index.row()]
            shelf, at = self._shelves[row.shelf], row.first + index.column()
            anew = Shelf(shelf.name, (*shelf.places[:at], tile, *shelf.places[at + 1 :]))
            self._shelves = (*self._shelves[: row.shelf], anew, *self._shelves[row.shelf + 1 :])
            self._tell(index)
        return index

    def _tell(self, index: QModelIndex) -> None:
        self.dataChanged.emit(index, index, [STATE, Qt.ItemDataRole.AccessibleTextRole])

    def place(self, index: Index) -> TileState | FreePlace | None:
        """What stands at an index."""
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        row = self._rows[index.row()]
        at = row.first + index.column()
        return self._shelves[row.shelf].places[at] if at < row.end else None

    def find(self, vessel: str) -> QModelIndex:
        """The index of a vessel, invalid if it is not on the rack."""
        for n, row in enumerate(self._rows):
            for at in range(row.first, row.end):
                state = self._shelves[row.shelf].places[at]
                if isinstance(state, TileState) and state.vessel == vessel:
                    return self.index(n, at - row.first)
        return QModelIndex()

    def letter(self, row: int) -> str:
        """The shelf's name beside its first row; none for a row that is gone, as a header asks in mid-change."""
        if row >= len(self._rows):
            return ""
        part = self._rows[row]
        return self._shelves[part.shelf].name if part.first == 0 else ""

    def rowCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else self._columns

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role == STATE:  # asked for of every place that is painted
            return self.place(index)
        if role not in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            return None
        state = self.place(index)
        if role == Qt.ItemDataRole.ToolTipRole:
            return state.tooltip or None if isinstance(state, TileState) else None
        return "" if state is None else state.accessible

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Vertical:
            return self.letter(section)
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        if self.place(index) is None:
            return Qt.ItemFlag.NoItemFlags
        return STANDS


class TileDelegate(QStyledItemDelegate):
    """Paints a place; `glance` draws for 3 m, `tile` is the size that tiles have."""

    def __init__(self, theme: Theme, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.glance = False
        self.tile = (0.0, 0.0)
        self.free_words = _("free place")
        self._drawn = DrawnTiles()

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        state = index.data(STATE)
        if state is None:
            return
        cell: QRect = option.rect
        how = option.state
        under = bool(how & QStyle.StateFlag.State_MouseOver)
        focused = bool(how & QStyle.StateFlag.State_HasFocus)
        if isinstance(state, TileState):
            ratio = painter.device().devicePixelRatioF()
            manner = Manner(self.tile, (cell.width(), cell.height()), self.theme, self.glance, under, ratio)
            self._drawn.paint(painter, QPointF(cell.topLeft()), state, manner, option.widget)
            if not focused:
                return
        rect = tile_on_board(QRectF(cell), self.tile)
        if isinstance(state, FreePlace):
            paint_free(painter, rect, state, self.free_words, self.theme, hovered=under)
        if focused:
            if isinstance(state, FreePlace):
                rect.setTop(rect.bottom() - min(64.0, max(34.0, rect.height() * 0.22)))
            paint_focus(painter, rect, self.theme)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(round(self.tile[0]) + GAP, round(self.tile[1]) + FOOT)


class RackView(QTableView):
    """The rack as it stands.

    Signals
    -------
    opened(str) : a vessel was chosen by click or Enter
    free_chosen(str, int) : a free place was chosen: shelf and position
    carried(str, object) : a vessel is to stand beside its place, by the arrow that says where
    dropped(str, object) : a vessel was dragged to another place: the tile or free place there
    """

    opened = Signal(str)
    free_chosen = Signal(str, int)
    carried = Signal(str, object)
    dropped = Signal(str, object)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.rack = RackModel(self)
        self._tiles = TileDelegate(theme, self)
        self._laying_out = False
        self._pressed: tuple[QPoint, TileState] | None = None
        self.setModel(self.rack)
        self.setItemDelegate(self._tiles)
        self.setAccessibleName(_("Vessels on the rack"))
        self.setObjectName("rack")
        self.setFrameShape(QTableView.Shape.NoFrame)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setCornerButtonEnabled(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setVerticalHeader(Letters(self))
        across = self.horizontalHeader()
        across.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        across.setMinimumSectionSize(1)
        across.hide()
        self.verticalHeader().setMinimumSectionSize(1)
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setMouseTracking(True)
        self.apply_theme(theme)
        self.clicked.connect(self._choose)

    def show_shelves(self, shelves: tuple[Shelf, ...]) -> None:
        """Show these shelves; the vessel that the keyboard is at stays the same."""
        self._lay_out(shelves)

    def show_tile(self, tile: TileState) -> None:
        """Paint another tile of a vessel at once; all else stays as it is."""
        index = self.rack.show_tile(tile)
        if index.isValid():
            self.viewport().repaint(self.visualRect(index))

    def as_text(self) -> str:
        """The tiles in words, a line each, for a spreadsheet."""
        rows = [p.cells() for shelf in self.rack.shelves for p in shelf.places if isinstance(p, TileState)]
        return spreadsheet.tab_lines([HEADINGS, *rows]) if rows else ""

    def set_glance(self, on: bool) -> None:
        """Draw for reading from 3 m, or not."""
        self._tiles.glance = on
        self.viewport().update()

    def apply_theme(self, theme: Theme) -> None:
        """Dress the view in a theme."""
        self.theme = self._tiles.theme = theme
        field = theme.field.name()
        self.setStyleSheet(
            f"QTableView#rack {{ background: {field}; border: 0; selection-background-color: transparent; }}"
        )
        self.viewport().update()
        self.verticalHeader().viewport().update()

    def select(self, vessel: str) -> None:
        """Move the keyboard to a vessel."""
        index = self.rack.find(vessel)
        if index.isValid():
            self.setCurrentIndex(index)

    @property
    def current(self) -> TileState | FreePlace | None:
        """What the keyboard is at."""
        return self.rack.place(self.currentIndex())

    def tile_height(self) -> float:
        """Height of a tile, px."""
        return self._tiles.tile[1]

    def board(self, cell: QRectF) -> QRectF:
        """The board within a cell's rectangle."""
        return QRectF(cell.left(), cell.bottom() - FOOT + BOARD / 2, cell.width(), BOARD)

    def _lay_out(self, shelves: tuple[Shelf, ...]) -> None:
        if self._laying_out:  # a change of layout resizes the view, which must not lay it out half-way
            return
        self._laying_out = True
        try:
            self._place_tiles(shelves)
        finally:
            self._laying_out = False

    def _place_tiles(self, shelves: tuple[Shelf, ...]) -> None:
        kept = self.current
        lengths = [len(s.places) for s in shelves]
        room = QSize(self.width() - LETTERS, self.height())
        grid = arrange(lengths, room.width(), room.height() - 4, gap=GAP, board=FOOT)
        self.rack.show(shelves, grid)
        self._tiles.tile = tile_size(grid, room.height(), far=self._tiles.glance)
        column, row = round(self._tiles.tile[0]) + GAP, int(self._tiles.tile[1]) + FOOT
        if grid.columns:
            column = min(column, room.width() // grid.columns)
            self._tiles.tile = (column - GAP, row - FOOT)
        self.horizontalHeader().setDefaultSectionSize(column)
        self.verticalHeader().setDefaultSectionSize(row)
        self._keep(kept)

    def _keep(self, kept: TileState | FreePlace | None) -> None:
        gone = isinstance(kept, TileState) and not self.rack.find(kept.vessel).isValid()
        if isinstance(kept, TileState) and not gone:
            self.select(kept.vessel)
        if gone or not self.currentIndex().isValid():
            self._first()

    def _first(self) -> None:
        for state in (p for s in self.rack.shelves for p in s.places):
            if isinstance(state, TileState):
                self.select(state.vessel)
                return

    def _choose(self, index: QModelIndex) -> None:
        state = self.rack.place(index)
        if isinstance(state, TileState):
            self.opened.emit(state.vessel)
        elif isinstance(state, FreePlace):
            self.free_chosen.emit(state.shelf, state.position)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        state = self.current
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier and Qt.Key(event.key()) in rack_moves.STEPS:
            if isinstance(state, TileState):
                self.carried.emit(state.vessel, Qt.Key(event.key()))
            return
        if keys.command("Rack", event.key()) == "open":
            self._choose(self.currentIndex())
            return
        super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        state = self.rack.place(self.indexAt(event.position().toPoint()))
        left = event.button() == Qt.MouseButton.LeftButton
        self._pressed = (event.position().toPoint(), state) if left and isinstance(state, TileState) else None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._dragging(event):
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
            return  # no other tile is chosen while one is carried
        super().mouseMoveEvent(event)

    def _dragging(self, event: QMouseEvent) -> bool:
        if self._pressed is None or event.buttons() == Qt.MouseButton.RightButton:
            return False
        far = (event.position().toPoint() - self._pressed[0]).manhattanLength()
        return far >= QApplication.startDragDistance() * 2

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        pressed, far = self._pressed, self._dragging(event)
        self._pressed = None
        self.viewport().unsetCursor()
        there = self.rack.place(self.indexAt(event.position().toPoint()))
        if pressed is not None and far and there is not None and there != pressed[1]:
            self.dropped.emit(pressed[1].vessel, there)
            return
        super().mouseReleaseEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out(self.rack.shelves)

    def rows_within(self, area: QRect) -> range:
        """The rows that a part of the viewport shows, and the one above, whose board reaches into the next."""
        first, last = self.rowAt(area.top()), self.rowAt(area.bottom())
        return range(max(0, first - 1), self.rack.rowCount() if last < 0 else last + 1)

    def in_view(self) -> list[str]:
        """The vessels whose tiles are in view, in whole or in part."""
        rows, columns = self.rows_within(self.viewport().rect()), range(self.rack.columnCount())
        places = (self.rack.place(self.rack.index(row, column)) for row in rows for column in columns)
        return [place.vessel for place in places if isinstance(place, TileState)]

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self.viewport())
        for row in self.rows_within(event.rect()):
            top = self.rowViewportPosition(row)
            cell = QRectF(0, top, self.viewport().width() - 4, self.rowHeight(row))
            painter.fillRect(self.board(cell), self.theme.shelf)
        painter.end()
        super().paintEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.viewport().update()
