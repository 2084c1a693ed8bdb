"""The rail: the day in one column. Supply against demand on top, below it what to do, in the order to do it.

The list is worked by keys alone: arrows, Enter for done, C to change, D to decline, W for why; the selected line shows
the same four as buttons. A decline asks for its reason in the line itself.
"""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QLabel, QListView, QSizePolicy, QVBoxLayout, QWidget

from rackview.core.assessment import Suggestion
from rackview.language import _
from rackview.ui.paint.supply import paint_supply, supply_height
from rackview.ui.rack.day_view import BAR, SIDE, DayModel, DayView, ItemDelegate
from rackview.ui.rack.item_bar import ItemBar
from rackview.ui.rack.rack_state import DayList, Item, Supply
from rackview.ui.theme import Theme, fonts


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
    done(tuple of Suggestion) : what the selected line records, which may be several feedings at once
    change(Suggestion), decline(tuple of Suggestion, str) : what else the keeper chose for the selected line
    why(Suggestion) : what stands behind the selected line is asked for
    pointed(str) : the vessel of the line that was selected
    """

    done = Signal(object)
    change = Signal(object)
    decline = Signal(object, str)
    why = Signal(object)
    pointed = Signal(str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._read_only = False
        self._asked: Suggestion | None = None
        self.setAutoFillBackground(True)
        self._title = QLabel(_("Today"), self)
        self._progress = QLabel(self)
        self._foot = QLabel(self)
        self._foot.setWordWrap(True)
        self._calm = QLabel(_("Nothing left to do today."), self)
        self.supplies = Supplies(theme, self)
        self.model = DayModel(self)
        self.view = DayView(self.model, self)
        self._lines = ItemDelegate(theme, self.view, self.model)
        self.view.setItemDelegate(self._lines)
        self.view.setObjectName("day")
        self.view.setAccessibleName(_("What to do today, in order"))
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
        self.bar.why.connect(self._why)
        self.bar.asked.connect(self._ask)
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

    def show_day(self, today: DayList, *, read_only: bool = False, waiting: bool = False) -> None:
        """Show the day; the line that was selected stays selected while it is there."""
        kept, typing = self._onward(), self.bar.reason.hasFocus()
        self._read_only = self._lines.read_only = read_only
        self._progress.setText(today.progress)
        self._foot.setText("\n".join((*today.cautions, *filter(None, (today.foot,)))))
        self._foot.setVisible(bool(self._foot.text()))
        self.supplies.show_supplies(today.supplies)
        self.supplies.setVisible(bool(today.supplies))
        self.model.show(today.items)
        row = next((r for r in map(self._row_of, kept) if r >= 0), -1)
        self.view.setCurrentIndex(self.model.index(row if row >= 0 else self.model.first_open()))
        self._calm.setText(_("One moment…") if waiting else _("Nothing left to do today."))
        self._calm.setVisible(self.model.first_open() < 0)
        if self.view.currentIndex().isValid():
            self.view.scrollTo(self.view.currentIndex(), QAbstractItemView.ScrollHint.EnsureVisible)
        self._place_bar()
        if typing:
            (self.bar.reason if self.bar.asking and self.bar.isVisibleTo(self) else self.view).setFocus()

    def _onward(self) -> list[tuple[str, str, str]]:
        """The selected line and those after it: when it is done the next one is selected, not the first of the day."""
        index = self.view.currentIndex()
        rest = self.model.items[index.row() :] if index.isValid() else ()
        return [known for item in rest if (known := _known_by(item)) is not None]

    def _row_of(self, kept: tuple[str, str, str]) -> int:
        return next((row for row, item in enumerate(self.model.items) if _known_by(item) == kept), -1)

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
        self.view.ground = theme.rail
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
        self.bar.name_deed(self.selected.action)
        whole: QRect = self.view.visualRect(index)
        item = self.model.items[index.row()]
        top = whole.top() + round(self._lines.text_height(item, opened=True, width=self.view.viewport().width()))
        self.bar.setGeometry(SIDE, top, self.view.viewport().width() - 2 * SIDE, BAR - 4)
        if self.bar.asking and _same(self._asked) != _same(self.selected):
            self.bar.rest()
        self.bar.show()

    def _point(self) -> None:
        if self.view.hasFocus() and self.selected is not None:
            self.pointed.emit(self.selected.vessel)

    def _key(self, chosen: str) -> None:
        if chosen == "why":
            self._why()
        if chosen == "done" and self.view.fold(self.view.currentIndex()):
            return
        if self.selected is None or self._read_only:
            return
        if chosen == "done":
            self._done()
        elif chosen == "change":
            self._change()
        elif chosen == "decline":
            self.bar.ask()

    def _why(self) -> None:
        if self.selected is not None:
            self.why.emit(self.selected)

    def _done(self) -> None:
        if self.selected is not None:
            self.done.emit(self._chosen())

    def _change(self) -> None:
        if self.selected is not None:
            self.change.emit(self.selected)

    def _ask(self) -> None:
        self._asked = self.selected

    def _declined(self, reason: str) -> None:
        if self.selected is not None:
            self.decline.emit(self._chosen(), reason)

    def _chosen(self) -> tuple[Suggestion, ...]:
        """All that the selected line stands for."""
        item = self.model.items[self.view.currentIndex().row()]
        return item.together or ((item.suggestion,) if item.suggestion is not None else ())


def _same(one: Suggestion | None) -> tuple[str, str, str] | None:
    """What makes a suggestion the same as one made a minute ago."""
    return None if one is None else (one.vessel, one.action, one.code)


def _known_by(item: Item) -> tuple[str, str, str] | None:
    """What makes a line that can be selected the same as one of a minute ago."""
    return ("", "", item.gathers) if item.members else _same(item.suggestion)
