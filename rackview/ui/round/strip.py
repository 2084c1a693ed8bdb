"""The strip of vessels at the top of the round: where the keeper is, what is done, where other tools begin."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFont,
    QFontMetricsF,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from rackview.language import _
from rackview.ui.paint.ink import elided
from rackview.ui.round.order import Stop
from rackview.ui.theme import Theme, fonts

WIDE, NARROW = 63, 44


class Strip(QWidget):
    """Small vessels on a board, in the order of the round; one can be gone to by mouse, or by arrows and Enter.

    Signals
    -------
    chosen(str) : the vessel to go to
    """

    chosen = Signal(str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.stops: tuple[Stop, ...] = ()
        self.current = ""
        self._cursor = 0
        self._scale = 1.0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_scale(1.0)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.setFixedHeight(round(96 * scale))

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def show_stops(self, stops: tuple[Stop, ...], current: str) -> None:
        """Show this order with the keeper at `current`."""
        self.stops, self.current = stops, current
        names = [s.vessel for s in stops]
        self._cursor = names.index(current) if current in names else 0
        done = sum(s.done for s in stops)
        self.setAccessibleName(
            _("Order of the round, {done} of {all} done, now {vessel}").format(
                done=done, all=len(stops), vessel=current or _("none")
            )
        )
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(round(WIDE * self._scale * max(1, len(self.stops))), self.height())

    def _pitch(self) -> float:
        gaps = 1 if any(s.own_tools for s in self.stops) else 0
        room = (self.width() - 16 * self._scale) / max(1, len(self.stops) + 0.3 * gaps)
        return min(WIDE * self._scale, max(room, 20.0))

    def _place(self, n: int) -> QRectF:
        pitch = self._pitch()
        gap = pitch * 0.3
        first = next((i for i, s in enumerate(self.stops) if s.own_tools), None)
        whole = pitch * len(self.stops) + (gap if first is not None else 0)
        start = (self.width() - whole) / 2
        if start < 0:  # the strip is longer than its room: the vessel one is at stays in sight
            start = min(0.0, max(2 * start, self.width() / 2 - (self._cursor + 0.5) * pitch))
        left = start + n * pitch + (gap if first is not None and n >= first else 0)
        return QRectF(left, 0, pitch, self.height())

    def _board_top(self) -> float:
        """Where the board lies: higher where the words beneath need more than their share, as type has a least size."""
        return min(76 * self._scale, self.height() - self._tools_height() - 6 * self._scale)

    def _tools_height(self) -> float:
        """The height of the words beneath the board."""
        return max(
            14 * self._scale, QFontMetricsF(self._tools_font()).tightBoundingRect(_("separate tools")).height() + 1
        )

    def _tools_font(self) -> QFont:
        return fonts.font(fonts.px(12, self._scale), fonts.SEMIBOLD)

    def _at(self, point: QPointF) -> int | None:
        return next((n for n in range(len(self.stops)) if self._place(n).contains(point)), None)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if not self.stops:
            return
        k = self._scale
        first, last = self._place(0), self._place(len(self.stops) - 1)
        board = QRectF(first.left(), self._board_top(), last.right() - first.left(), 6 * k)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.theme.shelf)
        painter.drawRoundedRect(board, 3 * k, 3 * k)
        for n, stop in enumerate(self.stops):
            place = self._place(n)
            self._vessel(painter, place, stop)
            if n == self._cursor and self.hasFocus():
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.setPen(QPen(self.theme.focus, 2))
                painter.drawRoundedRect(place.adjusted(3, 1, -3, -20 * k), 5, 5)
        mark = next((n for n, s in enumerate(self.stops) if s.own_tools), None)
        if mark is not None:
            self._own_tools(painter, self._place(mark))

    def _vessel(self, painter: QPainter, place: QRectF, stop: Stop) -> None:
        k, here = self._scale, stop.vessel == self.current
        board = self._board_top()
        width, height = min(36 * k, place.width() * 0.62), board - 32 * k
        box = QRectF(place.center().x() - width / 2, 6 * k, width, height)
        slant = width * 0.07
        glass = QPainterPath(box.topLeft())
        glass.lineTo(box.left() + slant, box.bottom() - 6 * k)
        glass.quadTo(box.left() + slant, box.bottom(), box.left() + slant + 6 * k, box.bottom())
        glass.lineTo(box.right() - slant - 6 * k, box.bottom())
        glass.quadTo(box.right() - slant, box.bottom(), box.right() - slant, box.bottom() - 6 * k)
        glass.lineTo(box.topRight())
        water = QRectF(box.left(), box.bottom() - height * stop.fill, width, height * stop.fill)
        painter.save()
        painter.setClipPath(glass)
        painter.fillRect(water, self.theme.water if stop.done or here else self.theme.shelf)
        painter.restore()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self.theme.ink if here else self.theme.soft, (2.6 if here else 1.3) * k))
        painter.drawPath(glass)
        if stop.done:
            c = box.center() + QPointF(0, height * 0.12)
            pen = QPen(self.theme.ink, 2.4 * k)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            painter.setPen(pen)
            painter.drawPolyline([c + QPointF(-8 * k, 0), c + QPointF(-2.5 * k, 5.5 * k), c + QPointF(9 * k, -6 * k)])
        elif stop.drafted:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self.theme.ink)
            for step in (-1, 0, 1):
                painter.drawEllipse(box.center() + QPointF(step * 6 * k, height * 0.12), 1.8 * k, 1.8 * k)
        px, weight = self.place_px(stop, place.width()), fonts.BOLD if here else fonts.MEDIUM
        painter.setFont(fonts.font(px, weight))
        painter.setPen(self.theme.ink if here else self.theme.middle)
        words = elided(stop.place, px, weight, place.width())
        painter.drawText(
            QRectF(place.left(), board - 23 * k, place.width(), 20 * k), Qt.AlignmentFlag.AlignCenter, words
        )

    def place_px(self, stop: Stop, room: float) -> int:
        """The size of a place's letters, smaller on a full rack so that the place is still read."""
        whole = fonts.px(14, self._scale)
        wide = QFontMetricsF(fonts.font(whole, fonts.BOLD)).horizontalAdvance(stop.place)
        return max(9, min(whole, int(whole * (room - 1) / wide))) if wide > 0 else whole

    def _own_tools(self, painter: QPainter, place: QRectF) -> None:
        k = self._scale
        x = place.left() - self._pitch() * 0.15
        pen = QPen(self.theme.today, 2 * k)
        pen.setDashPattern([3, 2])
        painter.setPen(pen)
        painter.drawLine(QLineF(x, 4 * k, x, self._board_top() - 2 * k))
        painter.setPen(self.theme.today)
        face, words = self._tools_font(), _("separate tools")
        painter.setFont(face)
        ink = QFontMetricsF(face).tightBoundingRect(words)
        left = min(x - ink.width() / 2, self.width() - ink.width() - 2)
        below = self._board_top() + 6 * k
        base = below + (self.height() - below - ink.height()) / 2 - ink.top()  # the ink in the middle of its room
        painter.drawText(QPointF(left, base), words)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        n = self._at(event.position())
        if n is not None:
            self.chosen.emit(self.stops[n].vessel)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Left, Qt.Key.Key_Right}:
            step = 1 if event.key() == Qt.Key.Key_Right else -1
            self._cursor = max(0, min(len(self.stops) - 1, self._cursor + step))
            stop = self.stops[self._cursor] if self.stops else None
            self.setAccessibleDescription(self.sentence(stop) if stop else "")
            self.update()
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space} and self.stops:
            self.chosen.emit(self.stops[self._cursor].vessel)
        else:
            super().keyPressEvent(event)

    def sentence(self, stop: Stop) -> str:
        """One vessel of the strip in words."""
        words = [f"{stop.place} {stop.vessel}"]
        if stop.reserve:
            words.append(_("reserve"))
        if stop.done:
            words.append(_("recorded today"))
        elif stop.drafted:
            words.append(_("begun, not recorded"))
        if stop.own_tools:
            words.append(_("separate tools"))
        return ", ".join(words)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            n = self._at(QPointF(event.pos()))
            QToolTip.showText(event.globalPos(), "" if n is None else self.sentence(self.stops[n]), self)
            return True
        return super().event(event)
