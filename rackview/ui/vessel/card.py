"""One vessel as a card: its place and name, the gauge, what was last seen and done, the trend."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.core.dataclass import dataclass
from rackview.ui.paint.gauge import paint_gauge
from rackview.ui.paint.ink import elided, saved, width_of, wrapped, write
from rackview.ui.paint.marks import paint_severity
from rackview.ui.paint.trend import paint_trend
from rackview.ui.rack.tile import TileState
from rackview.ui.theme import Theme, fonts

LEAST_GAUGE = 190
"""Height that the drawn vessel keeps at scale 1, px."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A number with what it is above it and its range below: expected now, 212 /mL, 170-265."""

    caption: str
    number: str = ""
    unit: str = ""
    below: str = ""


@dataclass(frozen=True, slots=True)
class Known:
    """One row below the vessel: what, the value with how sure it is, how old it is."""

    what: str
    value: str = ""
    age: str = ""


@dataclass(frozen=True, slots=True)
class CardState:
    """What the card shows: the tile, two or three facts, short lines beside the vessel, and rows below it."""

    tile: TileState
    facts: tuple[Fact, ...] = ()
    lines: tuple[str, ...] = ()
    rows: tuple[Known, ...] = ()


class VesselCard(QWidget):
    """Paints one `CardState`."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.shown: CardState | None = None
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.set_scale(1.0)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.setFixedWidth(round(284 * scale))
        self.update()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def show_card(self, state: CardState) -> None:
        """Show this vessel; a screen reader gets its sentence."""
        if state != self.shown:
            self.shown = state
            facts = [" ".join(w for w in (f.caption, f.number, f.unit, f.below) if w) for f in state.facts]
            rows = [" ".join(w for w in (r.what, r.value, r.age) if w) for r in state.rows]
            self.setAccessibleName("; ".join([state.tile.accessible or state.tile.name, *facts, *state.lines, *rows]))
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(round(284 * self._scale), round(480 * self._scale))

    def minimumSizeHint(self) -> QSize:
        return QSize(round(284 * self._scale), round(380 * self._scale))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme, k = self.theme, self._scale
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        with saved(painter):
            painter.setPen(QPen(theme.edge, 1))
            painter.setBrush(theme.tile)
            painter.drawRoundedRect(box, 7 * k, 7 * k)
        if self.shown is None:
            return
        tile, pad = self.shown.tile, 22 * k
        room = self.width() - 2 * pad
        with saved(painter):
            large = 34 if width_of(tile.place, fonts.px(34, k), fonts.BOLD) <= room * 0.45 else 19
            wide = write(painter, pad, 48 * k, tile.place, fonts.px(large, k), theme.ink, fonts.BOLD, room=room * 0.6)
            left = room - wide - 12 * k
            size = 21 if width_of(tile.name, fonts.px(21, k), fonts.MEDIUM) <= left else 16
            write(
                painter, pad + wide + 12 * k, 48 * k, tile.name, fonts.px(size, k), theme.ink, fonts.MEDIUM, room=left
            )
            write(painter, pad, 74 * k, tile.title, fonts.px(14, k), theme.middle, room=room)
            foot = self._rows(painter, self.shown.rows, pad, room, self._foot(painter, tile, pad, room))
            top, bottom = 92 * k, foot - 16 * k
            gauge_high = min(bottom - top, (330 if tile.trend is not None else 460) * k)
            paint_gauge(painter, QRectF(pad, top, 104 * k, gauge_high), tile.gauge, theme)
            self._facts(painter, pad + 120 * k, top + 8 * k, room - 116 * k, top + gauge_high)

    def _foot(self, painter: QPainter, tile: TileState, pad: float, room: float) -> float:
        """The trend and the words beneath it, from the bottom up; gives the top of what was drawn."""
        k, theme = self._scale, self.theme
        y = self.height() - 18 * k
        for mark in reversed(tile.marks[:2]):
            paint_severity(painter, QRectF(pad, y - 12 * k, 14 * k, 14 * k), mark.severity, theme)
            text = elided(mark.word or mark.text, fonts.px(14, k), fonts.SEMIBOLD, room - 22 * k)
            tone = theme.severity(mark.severity)
            write(painter, pad + 22 * k, y, text, fonts.px(14, k), tone, fonts.SEMIBOLD)
            y -= 22 * k
        if tile.words:
            tone = theme.severity(tile.tone)
            write(painter, pad, y, tile.words, fonts.px(15, k), tone, fonts.MEDIUM, room=room)
            y -= 24 * k
        if tile.trend is None:
            return y
        high = 84 * k if self.height() > 520 * k else 66 * k
        paint_trend(painter, QRectF(pad, y - high, room, high), tile.trend, theme, 1.15 * k)
        return y - high

    def _rows(self, painter: QPainter, rows: tuple[Known, ...], pad: float, room: float, foot: float) -> float:
        """The rows above `foot`, as many as leave the vessel its room; gives the top of what was drawn."""
        k, theme = self._scale, self.theme
        pitch, px = 22 * k, fonts.px(14, k)
        fits = int((foot - (92 + LEAST_GAUGE) * k - 20 * k) / pitch)
        shown = rows[: max(0, fits)]
        if not shown:
            return foot
        column = max((width_of(row.what, px) for row in shown if row.value), default=0.0) + 10 * k
        y = top = foot - 12 * k - pitch * len(shown)
        painter.setPen(QPen(theme.edge, 1))
        painter.drawLine(QPointF(pad, top), QPointF(pad + room, top))
        for row in shown:
            y += pitch
            write(painter, pad, y, row.what, px, theme.middle, room=room)
            wide = write(painter, pad + room, y, row.age, px, theme.middle, right=True)
            # a value too long for its column begins further left, as far as its caption lets it
            end, least = room - wide - 6 * k, width_of(row.what, px) + 10 * k
            at = max(least, min(column, end - width_of(row.value, px)))
            write(painter, pad + at, y, row.value, px, theme.ink, room=end - at)
        return top

    def _facts(self, painter: QPainter, x: float, y: float, room: float, end: float) -> None:
        k, theme = self._scale, self.theme
        shown = self.shown
        if shown is None:
            return
        for fact in shown.facts:
            y += 14 * k
            write(painter, x, y, fact.caption, fonts.px(14, k), theme.middle, room=room)
            if fact.number:
                y += 32 * k
                wide = write(painter, x, y, fact.number, fonts.px(30, k), theme.ink, fonts.SEMIBOLD, room=room)
                write(painter, x + wide + 6 * k, y, fact.unit, fonts.px(14, k), theme.middle, room=room - wide)
            for text in fact.below.splitlines():
                y += 20 * k
                write(painter, x, y, text, fonts.px(14, k), theme.middle, room=room)
            y += 18 * k
        for line in shown.lines:
            for text in wrapped(line, fonts.px(14, k), fonts.REGULAR, room, 2):
                y += 20 * k
                if y > end:
                    return
                write(painter, x, y, text, fonts.px(14, k), theme.middle)
