"""After a loss: one page of the days before it, to look for the cause, to print and to keep as a PDF."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.forms.choose import Choose
from rackview.ui.loss.page import LossPage, loss_page
from rackview.ui.paint.paper import Block, columns, pages
from rackview.ui.theme import fonts
from rackview.ui.widgets.aside import Aside
from rackview.ui.widgets.fields import tall, to_read

if TYPE_CHECKING:
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme

SIDE_BY_SIDE = 900.0
"""From this width on the parts stand in two columns."""
WIDEST = 1180.0
MARGIN = 28.0
ENDLESS = 1e9
LARGEST = 1.55


class LossScreen(SubPage):
    """The page of one vessel after its loss.

    Signals
    -------
    print_wanted() : the page is to go on paper, or into a PDF
    """

    print_wanted = Signal()

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        self.page: LossPage | None = None
        self._drawn: object = None
        self._aside = Aside(self)
        self._aside.found.connect(self._show)
        title = QLabel(_("After a loss"), self)
        title.setFont(fonts.font(20, fonts.BOLD))
        self.vessel = Choose(self)
        self.vessel.setAccessibleName(_("Vessel"))
        self.vessel.setFixedWidth(220)
        self.vessel.activated.connect(lambda _: self.refresh())
        self.button = QPushButton(_("&Print or save as PDF…"), self)
        self.button.clicked.connect(self.print_wanted)
        tall(self.button, 44)
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(title)
        head.addStretch(1)
        head.addWidget(self.vessel)
        head.addWidget(self.button)
        self.sheet = LossView(theme, self)
        self._scroll = to_read(self.sheet, _("The days before the loss"), self)
        self._empty = QLabel(
            _(
                "No vessel yet. When a culture is lost, the 14 days before it stand here on one page: density, eggs, "
                "feed, water, what changed, and which vessels hands and tools came from."
            ),
            self,
        )
        self._empty.setWordWrap(True)
        self._empty.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._empty.setProperty("voice", "soft")
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 10, 12, 0)
        column.setSpacing(10)
        column.addLayout(head)
        column.addWidget(self._empty, 1)
        column.addWidget(self._scroll, 1)

    def take_keyboard(self) -> None:
        self._scroll.setFocus(Qt.FocusReason.OtherFocusReason)

    def open(self, vessel: str | None = None) -> None:
        """Show the page of a vessel, or of the one that was lost last."""
        self._offer()
        if vessel is None and self.session.rack.known_vessels:
            from rackview.advice.record.aftermath import newest_loss

            vessel = newest_loss(self.session.rack, self.session.now())
        found = self.vessel.findData(vessel) if vessel else -1
        if found >= 0:
            self.vessel.setCurrentIndex(found)
        self._scroll.verticalScrollBar().setValue(0)

    def _offer(self) -> None:
        names = [(n, n if v.place == n else f"{v.place} {n}") for n, v in self.session.rack.known_vessels.items()]
        if [self.vessel.itemData(n) for n in range(self.vessel.count())] != [n for n, _ in names]:
            kept = self.vessel.currentData()
            self.vessel.clear()
            for name, words in names:
                self.vessel.addItem(words, name)
            self.vessel.setCurrentIndex(max(0, self.vessel.findData(kept)))

    def refresh(self, change: Change | None = None) -> None:
        """Show the page as the record stands now."""
        self._offer()
        name, rack = self.vessel.currentData(), self.session.rack
        for part in (self._scroll, self.button, self.vessel):
            part.setVisible(bool(name))
        self._empty.setVisible(not name)
        if not name:
            self.page, self._drawn = None, None
            return
        now = self.session.now().astimezone()
        drawn = (name, rack, now.replace(second=0, microsecond=0))
        if self._drawn != drawn:
            self._drawn = drawn
            self._aside.work(partial(loss_page, rack, name, now), behind=self.session.advises_behind)

    def _show(self, page: LossPage) -> None:
        self.page = page
        self.sheet.show_page(page)

    def document(self) -> LossPage | None:
        """What is printed from here."""
        return self.page

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.sheet.set_theme(theme)


class LossView(QWidget):
    """The page painted at the width there is; a screen reader gets it in a few sentences."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._page: LossPage | None = None

    def show_page(self, page: LossPage) -> None:
        """Show a page."""
        self._page = page
        self.setAccessibleName(page.told)
        self._fit()
        self.update()

    def as_text(self) -> str:
        """The days before as lines with tabs, for a spreadsheet."""
        return "" if self._page is None else self._page.as_text()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def _scale(self) -> float:
        return max(1.0, min(LARGEST, (self.width() - 20) / (WIDEST + 2 * MARGIN)))

    def _width(self) -> float:
        return float(min((self.width() - 20) / self._scale() - 2 * MARGIN, WIDEST))

    def _columns(self) -> list[tuple[float, float, float, list[Block]]]:
        """Where each stack of blocks stands: left, top, width."""
        if self._page is None:
            return []
        width = self._width()
        begin = list(self._page.begin)
        below = sum(b.height(width) for b in begin)
        found: list[tuple[float, float, float, list[Block]]] = [(0.0, 0.0, width, begin)]
        if width < SIDE_BY_SIDE:
            found.append((0.0, below, width, [b for part in self._page.parts for b in part]))
            return found
        stacks, half = columns(self._page.parts, width)
        found.append((0.0, below, half, stacks[0]))
        found.append((width - half, below, half, stacks[1]))
        return found

    def _fit(self) -> None:
        tallest = max((t + sum(b.height(w) for b in bs) for _, t, w, bs in self._columns()), default=0.0)
        self.setFixedHeight(round((tallest + 2 * MARGIN) * self._scale()) + 24)

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():
            self._fit()

    def sizeHint(self) -> QSize:
        return QSize(800, self.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._page is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = self._scale()
        painter.scale(scale, scale)
        painter.setPen(self.theme.edge)
        painter.setBrush(self.theme.tile)
        painter.drawRoundedRect(QRectF(0.5, 0.5, self._width() + 2 * MARGIN - 1, self.height() / scale - 24), 6, 6)
        for left, top, width, blocks in self._columns():
            painter.save()
            painter.translate(MARGIN + left, MARGIN - 6 + top)
            for page in pages(blocks, width, ENDLESS):
                page.paint(painter, width, self.theme)
            painter.restore()
