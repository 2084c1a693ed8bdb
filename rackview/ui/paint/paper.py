"""What stands on a page, in the window or on paper: blocks that know their height at a width, laid out into pages.

Lengths are in 1/96 inch, so that 13 is a readable size of type on paper and on screen alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass
from rackview.ui.paint.ink import pen, saved, wrapped, write
from rackview.ui.paint.marks import paint_severity
from rackview.ui.theme import LIGHT, Theme, fonts

WHITE, BLACK = QColor("#FFFFFF"), QColor("#000000")
PAPER = replace(
    LIGHT,
    name="paper",
    field=WHITE,
    tile=WHITE,
    strip=QColor("#F0F0F0"),
    chosen=WHITE,
    entry=WHITE,
    edge=QColor("#C8C8C8"),
    rim=QColor("#606060"),
    ink=BLACK,
    middle=QColor("#303030"),
    soft=QColor("#505050"),
    glass=BLACK,
    water=QColor("#9A9A9A"),
    band=QColor("#E8E8E8"),
    fan50=QColor("#B8B8B8"),
    fan90=QColor("#D8D8D8"),
    today=BLACK,
    week=BLACK,
    notice=BLACK,
    focus=BLACK,
)
"""Black on white, for any printer."""
MANY = 99


class Block(Protocol):
    """A piece of a page that is not broken; with `keep` it stays with the block after it."""

    @property
    def keep(self) -> bool: ...

    def height(self, width: float) -> float:
        """How high it is at a width."""

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        """Draw it; `rect` is as high as `height` said."""


@dataclass(frozen=True, slots=True)
class Text:
    """Words, broken at spaces. `quiet` sets them softer; `above` and `below` are gaps."""

    text: str
    px: int = 13
    weight: int = fonts.REGULAR
    quiet: bool = False
    above: float = 0.0
    below: float = 4.0
    keep: bool = False
    severity: Severity | None = None

    def _lines(self, width: float) -> list[str]:
        room = width - (self.px * 1.6 if self.severity is not None else 0)
        return wrapped(self.text, self.px, self.weight, max(room, 40.0), MANY)

    def height(self, width: float) -> float:
        return self.above + len(self._lines(width)) * self.px * 1.38 + self.below

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        x, y = rect.left(), rect.top() + self.above + self.px * 1.05
        if self.severity is not None:
            paint_severity(painter, QRectF(x, y - self.px * 0.92, self.px, self.px), self.severity, theme)
            x += self.px * 1.6
        for line in self._lines(rect.width()):
            write(painter, x, y, line, self.px, theme.middle if self.quiet else theme.ink, self.weight)
            y += self.px * 1.38


def heading(text: str) -> Text:
    """The heading of a part."""
    return Text(text, 16, fonts.BOLD, above=14.0, below=5.0, keep=True)


@dataclass(frozen=True, slots=True)
class CellRow:
    """Cells side by side, each broken at spaces within its share of the width; a hairline above."""

    cells: tuple[str, ...]
    shares: tuple[float, ...]
    px: int = 12
    strong: bool = False
    keep: bool = False

    def _cells(self, width: float) -> list[tuple[float, list[str]]]:
        whole, x, found = sum(self.shares), 0.0, []
        for n, (cell, share) in enumerate(zip(self.cells, self.shares, strict=True)):
            room = width * share / whole - (10.0 if n + 1 < len(self.cells) else 0.0)
            found.append((x, wrapped(cell, self.px, self._weight(n), max(room, 20.0), MANY)))
            x += width * share / whole
        return found

    def _weight(self, n: int) -> int:
        return fonts.SEMIBOLD if self.strong and n == len(self.cells) - 1 else fonts.REGULAR

    def height(self, width: float) -> float:
        return max(len(lines) for _, lines in self._cells(width)) * self.px * 1.35 + 7.0

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        with saved(painter):
            painter.setPen(pen(theme.edge, 0.7))
            painter.drawLine(QLineF(rect.topLeft(), rect.topRight()))
        for n, (x, lines) in enumerate(self._cells(rect.width())):
            tone = theme.ink if n == len(self.cells) - 1 else theme.middle
            for k, line in enumerate(lines):
                y = rect.top() + 4.0 + self.px * (1.05 + 1.35 * k)
                write(painter, rect.left() + x, y, line, self.px, tone, self._weight(n))


@dataclass(frozen=True, slots=True)
class Page:
    """Blocks with the height at which each begins."""

    blocks: tuple[tuple[float, Block], ...]

    def paint(self, painter: QPainter, width: float, theme: Theme) -> None:
        """Draw the page from the painter's origin."""
        for top, block in self.blocks:
            block.paint(painter, QRectF(0.0, top, width, block.height(width)), theme)


def pages(
    blocks: Sequence[Block], width: float, height: float, head: Block | None = None, headed: int = 0
) -> tuple[Page, ...]:
    """The blocks on as many pages as they need.

    `head` stands at the top of every page that begins with one of the first `headed` blocks, but for the first page.
    Blocks that keep with the next are moved to the next page together with it.
    """
    under = {id(b) for b in blocks[:headed]}
    made: list[Page] = []
    here: list[tuple[float, Block]] = []
    y = 0.0
    for group in _groups(blocks):
        tall = sum(b.height(width) for b in group)
        if here and y + tall > height:
            made.append(Page(tuple(here)))
            here, y = [], 0.0
            if head is not None and id(group[0]) in under:
                here, y = [(0.0, head)], head.height(width)
        for block in group:
            here.append((y, block))
            y += block.height(width)
    if here:
        made.append(Page(tuple(here)))
    return tuple(made)


def _groups(blocks: Sequence[Block]) -> list[list[Block]]:
    groups: list[list[Block]] = []
    kept = False
    for block in blocks:
        if kept:
            groups[-1].append(block)
        else:
            groups.append([block])
        kept = block.keep
    return groups


def columns(parts: Sequence[Sequence[Block]], width: float, gap: float = 40.0) -> tuple[list[list[Block]], float]:
    """Parts laid into two columns of even height, in order; with their width."""
    half = (width - gap) / 2
    heights = [sum(b.height(half) for b in part) for part in parts]
    total = sum(heights)
    best = min(range(len(parts) + 1), key=lambda n: max(sum(heights[:n]), total - sum(heights[:n])))
    split = [[b for part in parts[:best] for b in part], [b for part in parts[best:] for b in part]]
    return split, half


def empty_box(painter: QPainter, rect: QRectF, theme: Theme, width: float = 1.0) -> None:
    """A box to write in."""
    with saved(painter):
        painter.setPen(pen(theme.rim, width))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(rect, 2.5, 2.5)


def dashed(painter: QPainter, left: QPointF, right: QPointF, colour: QColor, width: float = 1.6) -> None:
    """A broken line across."""
    with saved(painter):
        painter.setPen(pen(colour, width, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(left, right))
