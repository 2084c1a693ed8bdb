"""Marks for how soon something wants a hand, and for done and declined: told apart by shape alone."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from rackview.core.assessment import Severity
from rackview.ui.paint.ink import pen, saved
from rackview.ui.theme import Theme


def paint_severity(painter: QPainter, rect: QRectF, severity: Severity, theme: Theme) -> None:
    """A triangle (today), a square (this week) or a ring (notice), in the largest square centred in `rect`."""
    side = min(rect.width(), rect.height())
    box = QRectF(rect.center().x() - side / 2, rect.center().y() - side / 2, side, side)
    colour = theme.severity(severity)
    with saved(painter):
        if severity is Severity.notice:
            stroke = max(2.0, side * 0.14)
            inset = stroke / 2 + side * 0.06
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen(colour, stroke))
            painter.drawEllipse(box.adjusted(inset, inset, -inset, -inset))
            return
        painter.setPen(pen(colour, side * 0.1))
        painter.setBrush(colour)
        if severity is Severity.today:
            inset = side * 0.06
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(box.center().x(), box.top() + inset),
                        QPointF(box.right() - inset, box.bottom() - inset * 1.6),
                        QPointF(box.left() + inset, box.bottom() - inset * 1.6),
                    ]
                )
            )
        else:
            inset = side * 0.14
            painter.drawRoundedRect(box.adjusted(inset, inset, -inset, -inset), side * 0.05, side * 0.05)


def paint_tick(painter: QPainter, rect: QRectF, colour: QColor) -> None:
    """The hook of a thing done."""
    side = min(rect.width(), rect.height())
    x, y = rect.center().x() - side / 2, rect.center().y() - side / 2
    with saved(painter):
        painter.setPen(pen(colour, max(1.8, side * 0.12)))
        painter.drawPolyline(
            QPolygonF([QPointF(x + side * u, y + side * v) for u, v in ((0.08, 0.55), (0.36, 0.82), (0.92, 0.2))])
        )


def paint_dash(painter: QPainter, rect: QRectF, colour: QColor) -> None:
    """The bar of a thing declined."""
    side = min(rect.width(), rect.height())
    with saved(painter):
        painter.setPen(pen(colour, max(1.8, side * 0.12)))
        middle = rect.center()
        painter.drawLine(QPointF(middle.x() - side * 0.34, middle.y()), QPointF(middle.x() + side * 0.34, middle.y()))


def paint_fold(painter: QPainter, rect: QRectF, colour: QColor, *, unfolded: bool) -> None:
    """The corner of a line that opens: to the right while it is closed, down while what it stands for is shown."""
    side = min(rect.width(), rect.height())
    x, y = rect.center().x() - side / 2, rect.center().y() - side / 2
    corner = ((0.15, 0.34), (0.5, 0.7), (0.85, 0.34)) if unfolded else ((0.34, 0.15), (0.7, 0.5), (0.34, 0.85))
    with saved(painter):
        painter.setPen(pen(colour, max(1.8, side * 0.14)))
        painter.drawPolyline(QPolygonF([QPointF(x + side * u, y + side * v) for u, v in corner]))
