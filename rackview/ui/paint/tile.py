"""One vessel's tile: where it stands, how dense it is and how sure that is, where it is heading, what to do next.

Sizes follow the room given. Three layouts: full, compact where many vessels share a screen, and one to be read from
3 m that keeps the place, the severity's shape, the gauge and the first thing to do, or the name where nothing is left.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath

from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass
from rackview.ui.paint.gauge import paint_gauge
from rackview.ui.paint.ink import CAP, cut, pen, saved, width_of, wrapped, write
from rackview.ui.paint.marks import paint_severity
from rackview.ui.paint.trend import paint_trend
from rackview.ui.rack.tile import FlagMark, TileState
from rackview.ui.theme import Theme, fonts
from rackview.ui.words.formats import ordinal

WIDE, TALL = 268.0, 236.0
"""The size at which the full layout is drawn to scale 1."""
FULL_WIDTH, FULL_HEIGHT = 168.0, 158.0
"""Below this the compact layout is used."""
AMOUNT = re.compile(r"\D*\d[\d.,]* \S+")
"""What to do with how much, without what follows."""
TREND = 22.0
"""The least height in which a small tile draws its trend, px."""
SEPARATOR = " · "


@dataclass(frozen=True, slots=True)
class Sizes:
    """Type and distances of the full layout at one scale, px; the smallest type keeps 10 px capitals."""

    scale: float
    pad: float
    small: int
    name: int
    place: int
    number: int

    @classmethod
    def fitting(cls, width: float, height: float) -> Sizes:
        """The sizes for a tile of this width and height."""
        scale = max(0.75, min(width / WIDE, height / TALL, 3.0))
        return cls(
            scale,
            14 * scale if scale > 0.75 else 8.0,
            max(14, round(14 * scale)),
            max(15, round(17 * scale)),
            max(19, round(22 * scale)),
            max(28, round(38 * scale)),
        )

    @property
    def line(self) -> float:
        """Distance of two lines of small type."""
        return self.small * 1.32

    def beside(self, room: float) -> bool:
        """Whether interval and age have room beside a number of three figures; below it otherwise."""
        number = width_of("888", self.number, fonts.BOLD, display=True)
        upper = number + 6 + width_of("888–888", self.small)
        lower = number + 4 + width_of("/mL", self.small) + 6 + width_of("8 d ago", self.small)
        return max(upper, lower) <= room


def paint_tile(
    painter: QPainter, rect: QRectF, state: TileState, theme: Theme, *, glance: bool = False, hovered: bool = False
) -> None:
    """Draw one tile in `rect`; `glance` for reading from 3 m."""
    with saved(painter):
        _card(painter, rect, state, theme, hovered)
        if glance:
            _glance(painter, rect, state, theme)
        elif rect.width() < FULL_WIDTH or rect.height() < FULL_HEIGHT:
            _compact(painter, rect, state, theme)
        else:
            _full(painter, rect, state, theme)


def paint_focus(painter: QPainter, rect: QRectF, theme: Theme) -> None:
    """The ring round the tile that the keyboard acts on, just outside of it."""
    with saved(painter):
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(theme.focus, 2.5))
        painter.drawRoundedRect(rect.adjusted(-2.75, -2.75, 2.75, 2.75), 8.5, 8.5)


def _card(painter: QPainter, rect: QRectF, state: TileState, theme: Theme, hovered: bool) -> None:
    urgent = state.severity is Severity.today
    stroke = 2.0 if urgent else 1.0
    edge = theme.today if urgent else theme.rim if hovered else theme.edge
    half = stroke / 2
    painter.setPen(pen(edge, stroke))
    painter.setBrush(theme.tile)
    painter.drawRoundedRect(rect.adjusted(half, half, -half, -half), 6, 6)


def _strip(painter: QPainter, rect: QRectF, height: float, state: TileState, theme: Theme) -> QRectF:
    """The foot of the tile on its own ground, inside the card's edge."""
    inset = 2.0 if state.severity is Severity.today else 1.0
    strip = QRectF(rect.left() + inset, rect.bottom() - height, rect.width() - 2 * inset, height - inset)
    path = QPainterPath(strip.topLeft())
    path.lineTo(strip.topRight())
    path.lineTo(strip.right(), strip.bottom() - 5)
    path.quadTo(strip.bottomRight(), QPointF(strip.right() - 5, strip.bottom()))
    path.lineTo(strip.left() + 5, strip.bottom())
    path.quadTo(strip.bottomLeft(), QPointF(strip.left(), strip.bottom() - 5))
    painter.fillPath(path, theme.strip)
    return strip


# --- full -----------------------------------------------------------------------------------------------------------


def _full(painter: QPainter, rect: QRectF, state: TileState, theme: Theme) -> None:
    size = Sizes.fitting(rect.width(), rect.height())
    inner = rect.adjusted(size.pad, 0, -size.pad, 0)
    head = rect.top() + size.pad * 0.8 + size.place * CAP
    wide = min(66 * size.scale, rect.height() * 0.4, inner.width() * (0.22 if size.scale < 0.9 else 0.26))
    beside = size.beside(inner.width() - wide - size.pad)
    _head(painter, inner, head, state, theme, size, crowded=beside and size.scale < 0.9)
    foot = 2 * size.line + size.pad * 0.9
    strip = _strip(painter, rect, foot, state, theme)
    _next(painter, inner, strip, state, theme, size)
    top, bottom = head + size.pad * 0.9, strip.top() - size.pad * 0.7
    body = QRectF(inner.left(), top, inner.width(), bottom - top)
    gauge = QRectF(body.left(), body.top(), wide, body.height())
    paint_gauge(painter, gauge, state.gauge, theme)
    right = QRectF(gauge.right() + size.pad, body.top(), body.right() - gauge.right() - size.pad, body.height())
    if state.density:
        _numbers(painter, right, state, theme, size, beside=beside)
    else:
        _unnumbered(painter, right, state, theme, size)


def _head(
    painter: QPainter, inner: QRectF, base: float, state: TileState, theme: Theme, size: Sizes, *, crowded: bool
) -> None:
    """Place, name and strain, or what there is room for of it: reserve, copepod.

    Where the interval stands close under the right end the strain keeps to the name.
    """
    used = write(painter, inner.left(), base, state.place, size.place, theme.ink, fonts.BOLD, display=True)
    start = inner.left() + used + max(7.0, 8 * size.scale)
    used = write(painter, start, base, state.name, size.name, theme.ink, fonts.MEDIUM, room=inner.right() - start)
    room = inner.right() - start - used - 12
    shorter = state.title, state.title.rpartition(", ")[2], state.title.rpartition(" ")[2]
    title = next((t for t in shorter if width_of(t, size.small) <= room), "")
    if crowded:
        write(painter, start + used + 9, base, title, size.small, theme.soft)
    else:
        write(painter, inner.right(), base, title, size.small, theme.middle, right=True)


def _numbers(painter: QPainter, area: QRectF, state: TileState, theme: Theme, size: Sizes, *, beside: bool) -> None:
    base = _number(painter, area, state, theme, size, beside=beside)
    words = base + size.line * 1.12
    tone = theme.ink if state.tone is None else theme.severity(state.tone)
    write(painter, area.left(), words, state.words, size.small, tone, fonts.MEDIUM, room=area.width())
    care = area.bottom() - 1
    top = words + size.small * 0.4
    bottom = care - size.small * 0.95
    if state.trend is not None and bottom - top >= 14:
        paint_trend(painter, QRectF(area.left(), top, area.width(), bottom - top), state.trend, theme, size.scale)
    if care - words >= size.line * 0.9:
        used = write(painter, area.left(), care, state.care, size.small, theme.middle, room=area.width())
        room = area.width() - used - 8
        signs = next((s for s in (state.signs, state.signs_brief) if width_of(s, size.small) <= room), "")
        write(painter, area.right(), care, signs, size.small, theme.middle, right=True)


def _number(painter: QPainter, area: QRectF, state: TileState, theme: Theme, size: Sizes, *, beside: bool) -> float:
    """The density with its interval and age, beside it or below; gives the last baseline."""
    if not beside:
        base = area.top() + size.number * CAP
        used = write(painter, area.left(), base, state.density, size.number, theme.ink, fonts.BOLD, display=True)
        write(painter, area.left() + used + 4, base, "/mL", size.small, theme.middle, room=area.width() - used - 4)
        both = f"{state.interval}  {state.age}"
        said = both if width_of(both, size.small) <= area.width() else state.age
        base += size.line * 1.1
        write(painter, area.left(), base, said, size.small, theme.middle)
        return base
    number, room = size.number, area.width() - width_of(state.interval, size.small) - 6
    while number > size.number * 0.7 and width_of(state.density, number, fonts.BOLD, display=True) > room:
        number -= 1
    base = area.top() + max(size.number * CAP, size.small * CAP + size.line)
    used = 4 * size.scale + write(
        painter, area.left(), base, state.density, number, theme.ink, fonts.BOLD, display=True
    )
    if used + width_of("/mL", size.small) + 4 + width_of(state.age, size.small) <= area.width():
        write(painter, area.left() + used, base, "/mL", size.small, theme.middle)
    write(painter, area.right(), base - size.line, state.interval, size.small, theme.middle, right=True)
    write(painter, area.right(), base, state.age, size.small, theme.middle, right=True)
    return base


def _unnumbered(painter: QPainter, area: QRectF, state: TileState, theme: Theme, size: Sizes) -> None:
    """A vessel out of use, empty or never counted: its state in a word, and since when."""
    large = round(size.number * 0.56)
    base = area.top() + size.number * CAP
    write(painter, area.left(), base, state.words, large, theme.soft, fonts.MEDIUM, room=area.width())
    for n, line in enumerate(wrapped(state.detail, size.small, fonts.REGULAR, area.width(), 2)):
        write(painter, area.left(), base + (n + 1.1) * size.line, line, size.small, theme.soft)
    write(painter, area.left(), area.bottom() - 1, state.care, size.small, theme.middle, room=area.width())


def _next(painter: QPainter, inner: QRectF, strip: QRectF, state: TileState, theme: Theme, size: Sizes) -> None:
    """What to do next, first thing first; under it the flag's word and the rest."""
    left = inner.left()
    severity, first_said = state.severity, state.actions[0] if state.actions else ""
    if severity is not None:
        side = size.small * 1.1
        indent = side + size.pad * 0.6
        middle = strip.center().y()
        if indent + width_of(first_said, size.small, fonts.SEMIBOLD) > inner.width():
            middle += size.line / 2  # an amount must not be cut: the shape goes down to its word
        else:
            left += indent
        paint_severity(painter, QRectF(inner.left(), middle - side / 2, side, side), severity, theme)
    room = inner.right() - left
    colour = theme.soft if state.settled else theme.ink
    more = bool(state.marks or state.actions[1:])
    face = (size.small, fonts.SEMIBOLD, room)
    first = [cut(first_said, *face)] if more else wrapped(first_said, *face, 2)
    base = strip.center().y() + size.small * CAP / 2 - (size.line / 2 if more or len(first) > 1 else 0)
    for line in first:
        write(painter, left, base, line, size.small, colour, fonts.SEMIBOLD)
        base += size.line
    if state.rank and left + width_of(first[0], size.small, fonts.SEMIBOLD) + size.small * 2 <= inner.right():
        top = base - len(first) * size.line
        write(painter, inner.right(), top, ordinal(state.rank), size.small, theme.today, fonts.BOLD, right=True)
    if severity is not None:
        left = _words(painter, inner.left() + indent, base, inner.right(), state.marks, theme, size.small)
    room = inner.right() - left
    rest = _fitting(state.actions[1:], size.small, room, SEPARATOR if state.marks else "", first=not state.marks)
    write(painter, left, base, rest, size.small, theme.middle, room=room)


def _fitting(actions: Sequence[str], px: int, room: float, lead: str, *, first: bool) -> str:
    """As many of the actions as there is room for; `first` has the first one in any case, cut after a word of it."""
    for count in range(len(actions), 0, -1):
        said = lead + SEPARATOR.join(actions[:count])
        if width_of(said, px) <= room:
            return said
    return cut(lead + actions[0], px, fonts.REGULAR, room) if first and actions else ""


def _words(
    painter: QPainter, left: float, base: float, right: float, marks: tuple[FlagMark, ...], theme: Theme, px: int
) -> float:
    """The flags' words; the worst has its shape beside the strip, each further one brings its own. Gives the end."""
    for n, mark in enumerate(marks):
        side = px * 0.9 if n else 0.0
        lead = px * 0.6 + side + px * 0.35 if n else 0.0
        if n and lead + width_of(mark.word, px, fonts.SEMIBOLD) > right - left:
            break
        if n:
            box = QRectF(left + px * 0.6, base - px * CAP / 2 - side / 2, side, side)
            paint_severity(painter, box, mark.severity, theme)
        left += lead
        left += write(
            painter, left, base, mark.word, px, theme.severity(mark.severity), fonts.SEMIBOLD, room=right - left
        )
    return left


# --- compact --------------------------------------------------------------------------------------------------------


def _compact(painter: QPainter, rect: QRectF, state: TileState, theme: Theme) -> None:
    pad, small = 9.0, 14
    line = small * 1.3
    inner = rect.adjusted(pad, 0, -pad, 0)
    head = rect.top() + 8 + 17 * CAP
    used = write(painter, inner.left(), head, state.place, 17, theme.ink, fonts.BOLD, display=True)
    room = inner.width() - used - 7
    write(painter, inner.left() + used + 7, head, state.name, small, theme.ink, fonts.MEDIUM, room=room)
    lines = 2 if rect.height() >= 136 else 1
    strip = _strip(painter, rect, lines * line + 9, state, theme)
    if lines == 2:
        _next(painter, inner, strip, state, theme, Sizes(0.75, pad, small, 15, 17, 26))
    else:
        _brief(painter, inner, strip.center().y(), state, theme, small)
    body = QRectF(inner.left(), head + 8, inner.width(), strip.top() - head - 15)
    gauge = QRectF(body.left(), body.top(), min(body.height() * 0.5, 34.0), body.height())
    paint_gauge(painter, gauge, state.gauge, theme)
    x = gauge.right() + 10
    if not state.density:
        write(painter, x, body.top() + 20 * CAP, state.words, 15, theme.soft, fonts.MEDIUM, room=body.right() - x)
        return
    _compact_numbers(painter, QRectF(x, body.top(), body.right() - x, body.height()), state, theme, small)


def _compact_numbers(painter: QPainter, area: QRectF, state: TileState, theme: Theme, small: int) -> None:
    """The density; its age beside it where the trend finds room below, as that is worth more than the unit's word."""
    number, line = 26 if area.height() >= 38 else 20, small * 1.3
    base = area.top() + number * CAP + 1
    drawn = area.bottom() - base - line - small * 0.45
    beside = area.width() - 6 - width_of(state.age, small)
    fits = [px for px in range(26, 20, -1) if width_of(state.density, px, fonts.BOLD, display=True) <= beside]
    trend = state.trend if drawn >= TREND and fits else None
    number = fits[0] if trend is not None else number
    used = write(painter, area.left(), base, state.density, number, theme.ink, fonts.BOLD, display=True)
    tone = theme.ink if state.tone is None else theme.severity(state.tone)
    said = state.words if width_of(state.words, small, fonts.MEDIUM) <= area.width() else state.words.split()[0]
    if trend is not None:
        write(painter, area.right(), base, state.age, small, theme.middle, right=True)
        write(painter, area.left(), base + line, said, small, tone, fonts.MEDIUM, room=area.width())
        paint_trend(painter, QRectF(area.left(), area.bottom() - drawn, area.width(), drawn), trend, theme, 0.75)
        return
    least = width_of("888", number, fonts.BOLD, display=True)
    unit = "/mL" if max(used, least) + 5 + width_of("/mL", small) <= area.width() else ""
    write(painter, area.left() + used + 5, base, unit, small, theme.middle)
    if area.bottom() - base >= line * 0.85:
        write(painter, area.left(), base + line, state.age, small, theme.middle, room=area.width())
    if area.bottom() - base >= line * 1.95:
        write(painter, area.left(), base + 2 * line, said, small, tone, fonts.MEDIUM, room=area.width())


def _brief(painter: QPainter, inner: QRectF, middle: float, state: TileState, theme: Theme, px: int) -> None:
    """One line: the flag with its word where there is one, else what to do next."""
    base, left = middle + px * CAP / 2, inner.left()
    severity = state.severity
    if severity is not None:
        paint_severity(painter, QRectF(left, middle - px / 2, px, px), severity, theme)
        _words(painter, left + px * 1.4, base, inner.right(), state.marks, theme, px)
        return
    first = state.actions[0] if state.actions else ""
    said = SEPARATOR.join(state.actions)
    if width_of(said, px, fonts.SEMIBOLD) > inner.width():
        said = first
    write(painter, left, base, said, px, theme.soft if state.settled else theme.ink, fonts.SEMIBOLD, room=inner.width())


# --- from 3 m -------------------------------------------------------------------------------------------------------


def _glance(painter: QPainter, rect: QRectF, state: TileState, theme: Theme) -> None:
    pad = max(8.0, min(rect.width(), rect.height()) * 0.07)
    inner = rect.adjusted(pad, pad, -pad, -pad)
    gauge = QRectF(inner.left(), inner.top(), min(inner.width() * 0.26, inner.height() * 0.55), inner.height())
    paint_gauge(painter, gauge, state.gauge, theme)
    left = gauge.right() + pad
    room = inner.right() - left
    ink = theme.soft if state.resting else theme.ink
    place = glance_place_px(rect.width(), rect.height(), len(state.place))
    base = inner.top() + place * CAP
    write(painter, left, base, state.place, place, ink, fonts.BOLD, display=True)
    severity = state.severity
    if severity is not None:
        side = place * CAP * 1.06
        mark = QRectF(inner.right() - side, base - side, side, side)
        paint_severity(painter, mark, severity, theme)
        if state.rank:
            px = round(side * 0.5)
            x = mark.center().x() + width_of(str(state.rank), px, fonts.BOLD) / 2
            write(painter, x, mark.bottom() - side * 0.14, str(state.rank), px, theme.tile, fonts.BOLD, right=True)
    quiet = (state.settled and not state.resting) or not state.actions
    said = state.name if quiet else state.actions[0]
    most, high = round(place * 0.56), inner.bottom() - base - pad * 0.7
    px, lines = _largest(_unbroken(said), room, high, most)
    amount = AMOUNT.match(said)
    if px < most * 0.6 and amount is not None:  # what of which feed can be read at the rack
        px, lines = _largest(_unbroken(amount.group()), room, high, most)
    bottom = inner.bottom() - 2 - (len(lines) - 1) * px * 1.16
    for n, line in enumerate(lines):
        write(painter, left, bottom + n * px * 1.16, line, px, ink, fonts.MEDIUM)


def _unbroken(said: str) -> str:
    """The words with each amount held together with its unit."""
    return re.sub(r"(\d) (?=\w)", "\\1\u00a0", said)


def _largest(said: str, room: float, height: float, most: int) -> tuple[int, list[str]]:
    """The largest type, up to `most` px, in which words go into one or two lines of this room, and the lines."""
    for px in range(min(most, int(height / CAP)), 16, -1):
        lines = wrapped(said, px, fonts.MEDIUM, room, 2)
        uncut = " ".join(lines) == said and all(width_of(line, px, fonts.MEDIUM) <= room for line in lines)
        if uncut and len(lines) * px * 1.16 <= height + px * 0.4:
            return px, lines
    return 16, wrapped(said, 16, fonts.MEDIUM, room, 2)


def glance_place_px(width: float, height: float, letters: int = 2) -> int:
    """The size of type in which a place of so many letters is drawn on a tile to be read from 3 m."""
    pad = max(8.0, min(width, height) * 0.07)
    room = width - 2 * pad
    room -= min(room * 0.26, (height - 2 * pad) * 0.55) + pad
    wide = 0.68 * letters + 0.2 + CAP * 1.06
    return max(14, int(min(room / wide, (height - 2 * pad) * 0.5 / CAP)))
