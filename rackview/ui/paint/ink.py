"""Small helpers of the painters: crisp pens, measured text."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache, lru_cache

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPen

from rackview.ui.theme import fonts

CAP = 0.727
"""Height of a capital letter of the family as a share of its size."""


@contextmanager
def saved(painter: QPainter) -> Iterator[None]:
    """Leave the painter as it was found; smooth edges meanwhile."""
    painter.save()
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    try:
        yield
    finally:
        painter.restore()


def pen(colour: QColor, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """A pen with round ends and joins."""
    return QPen(QBrush(colour), width, style, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)


def faded(colour: QColor, alpha: float) -> QColor:
    """The colour at an opacity of 0 to 1."""
    made = QColor(colour)
    made.setAlphaF(alpha)
    return made


@cache
def metrics(px: int, weight: int, display: bool = False) -> QFontMetricsF:
    """Measures of a face."""
    return QFontMetricsF(_face(px, weight, display))


def _face(px: int, weight: int, display: bool) -> QFont:
    return fonts.display(px, weight) if display else fonts.font(px, weight)


@lru_cache(maxsize=4096)
def width_of(text: str, px: int, weight: int = fonts.REGULAR, *, display: bool = False) -> float:
    """How wide a text runs, px."""
    return metrics(px, weight, display).horizontalAdvance(text)


def cut(text: str, px: int, weight: int, room: float) -> str:
    """The text, cut after a word with an ellipsis where it is wider than `room`; within the first word if it must."""
    words, said = text.split(), text
    while width_of(said, px, weight) > room and len(words) > 1:
        words.pop()
        said = " ".join(words) + "…"
    return elided(said, px, weight, room)


def elided(text: str, px: int, weight: int, room: float) -> str:
    """The text, cut at the end with an ellipsis where it is wider than `room`."""
    measure = metrics(px, weight)
    if measure.horizontalAdvance(text) <= room:
        return text
    return measure.elidedText(text, Qt.TextElideMode.ElideRight, room)


def write(
    painter: QPainter,
    x: float,
    baseline: float,
    text: str,
    px: int,
    colour: QColor,
    weight: int = fonts.REGULAR,
    *,
    right: bool = False,
    room: float | None = None,
    display: bool = False,
) -> float:
    """Draw one line of text from `x` (or up to it) on a baseline, cut to `room`; gives the width drawn."""
    if not text:
        return 0.0
    if room is not None:
        text = elided(text, px, weight, room)
    width = width_of(text, px, weight, display=display)
    painter.setFont(_face(px, weight, display))
    painter.setPen(colour)
    painter.drawText(QPointF(x - width if right else x, baseline), text)
    return width


def wrapped(text: str, px: int, weight: int, room: float, most: int) -> list[str]:
    """The text in at most `most` lines no wider than `room`, broken at spaces; the last one cut where it must be."""
    words = [w for w in text.split(" ") if w]  # a no-break space holds an amount and its unit together
    lines: list[str] = []
    while words and len(lines) < most - 1:
        taken = 1
        while taken < len(words) and width_of(" ".join(words[: taken + 1]), px, weight) <= room:
            taken += 1
        lines.append(elided(" ".join(words[:taken]), px, weight, room))
        words = words[taken:]
    if words:
        lines.append(elided(" ".join(words), px, weight, room))
    return lines
