"""How long each feed lasts, as bars in time: until when surely, until when perhaps, when to order, when it spoils."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.advice.feeding.stock import Lasting
from rackview.language import _
from rackview.ui.paint.ink import faded, pen, saved, width_of, write
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats, spreadsheet

LABEL = 190.0
HEAD = 24.0
ROW = 46.0
BAR = 14.0
SHORTEST, LONGEST = 14, 60
"""Days that the axis spans at least and at most."""
TICKS = 7


class RunOut(QWidget):
    """One bar for each feed that is used, from today on."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._found: tuple[Lasting, ...] = ()
        self._today = date.min
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(0)

    def show_feeds(self, found: Sequence[Lasting], today: date) -> None:
        """Show these feeds; one of which no end is in sight has no bar."""
        self._found = tuple(f for f in found if f.until is not None)
        self._today = today
        self.setFixedHeight(round(HEAD + ROW * len(self._found)) if self._found else 0)
        self.setAccessibleName("; ".join(self._sentence(f) for f in self._found))
        self.update()

    def as_text(self) -> str:
        """How long each feed lasts as lines with tabs, for a spreadsheet."""
        titles = (_("Feed"), _("Left"), _("Lasts until"), _("Soonest"), _("Latest"))
        rows = [
            (
                f.stock.feed,
                "" if f.left is None else f"{f.left:.0f} {f.stock.unit}",
                *("" if day is None else day.isoformat() for day in (f.until, f.soonest, f.latest, f.order_by)),
            )
            for f in self._found
        ]
        return spreadsheet.tab_lines([(*titles, _("Order by")), *rows]) if rows else ""

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def _sentence(self, found: Lasting) -> str:
        said = _("{feed} lasts until {day}").format(feed=found.stock.feed, day=self._date(found.until))
        if found.order_by is None:
            return said
        return _("{said}, order by {day}").format(said=said, day=self._date(found.order_by))

    def _date(self, day: date | None) -> str:
        return "" if day is None else formats.short_date(day, self._today)

    def _span(self) -> int:
        ends = [(f.latest or f.until or self._today) - self._today for f in self._found]
        return min(LONGEST, max(SHORTEST, *(e.days + 2 for e in ends)))

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._found:
            return
        painter, theme, span = QPainter(self), self.theme, self._span()
        wide = (self.width() - LABEL - 8) / span
        with saved(painter):
            step = max(1, round(span / TICKS))
            for n in range(0, span, step):
                x = LABEL + n * wide
                word = _("today") if n == 0 else formats.short_date(self._today + timedelta(days=n), self._today)
                if x + width_of(word, 13, fonts.REGULAR) <= self.width():
                    write(painter, x, 14, word, 13, theme.middle, room=step * wide - 4)
                painter.setPen(pen(theme.edge, 1.0))
                painter.drawLine(QLineF(x, HEAD - 4, x, self.height() - 6))
            for n, found in enumerate(self._found):
                self._feed(painter, HEAD + n * ROW, found, wide, span)

    def _feed(self, painter: QPainter, top: float, found: Lasting, wide: float, span: int) -> None:
        theme = self.theme
        late = found.order_by is not None and found.order_by <= self._today
        write(painter, 0, top + 15, found.stock.feed, 14, theme.ink, fonts.MEDIUM, room=LABEL - 12)
        left = "" if found.left is None else _("{amount} left").format(amount=f"{found.left:.0f} {found.stock.unit}")
        write(painter, 0, top + 33, left, 13, theme.middle, room=LABEL - 12)

        def x(day: date) -> float:
            return LABEL + wide * min(span, max(0, (day - self._today).days))

        end = found.until or self._today
        bar = QRectF(LABEL, top + 4, x(found.latest or end) - LABEL, BAR)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(faded(theme.water, 0.35))
        painter.drawRoundedRect(bar, 3, 3)
        painter.setBrush(theme.water)
        painter.drawRoundedRect(QRectF(LABEL, bar.top(), x(found.soonest or end) - LABEL, BAR), 3, 3)
        if (end - self._today).days > span:
            beyond = _("until {day}").format(day=self._date(end))
            write(painter, self.width() - 12, bar.bottom() + 15, beyond, 13, theme.middle, right=True)
            return
        if found.spoils:
            painter.setPen(pen(theme.ink, 2.0))
            painter.drawLine(QLineF(x(end), bar.top() - 3, x(end), bar.bottom() + 3))
            write(painter, x(end) + 5, bar.bottom() - 2, _("use-by"), 13, theme.middle)
        if found.order_by is None:
            return
        at, tone = x(found.order_by), theme.week if late else theme.ink
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(tone)
        tip = bar.bottom() + 1
        painter.drawPolygon(QPolygonF([QPointF(at, tip), QPointF(at - 5, tip + 9), QPointF(at + 5, tip + 9)]))
        words = _("order now") if late else _("order by {day}").format(day=self._date(found.order_by))
        room = self.width() - at - 12
        start = at + 9 if width_of(words, 13, fonts.MEDIUM) <= room else at - 9 - width_of(words, 13, fonts.MEDIUM)
        write(painter, start, tip + 12, words, 13, tone, fonts.SEMIBOLD if late else fonts.MEDIUM)
