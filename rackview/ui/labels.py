"""Labels for the vessels, to be printed and cut out: place, name, strain, volume, and a code that says the name."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.core.vessel import by_place
from rackview.language import _
from rackview.services import files
from rackview.ui.paint.ink import pen, saved, wrapped, write
from rackview.ui.paint.paper import Page, pages
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import keeper_units as ku

MM = 96.0 / 25.4
WIDE, HIGH, GAP = 84.0 * MM, 30.0 * MM, 4.0 * MM
CODE = 26.0 * MM
"""Side of the code with its quiet border: 25 squares of a millimetre can be read by any camera at arm's length."""


@dataclass(frozen=True, slots=True)
class Label:
    """One vessel's label."""

    name: str
    place: str
    words: str
    code: tuple[tuple[bool, ...], ...]

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        """Draw the label with the line along which it is cut."""
        with saved(painter):
            painter.setPen(pen(theme.edge, 0.8))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(rect, 2 * MM, 2 * MM)
            middle = rect.center().y()
            self._code(painter, QRectF(rect.left() + 2 * MM, middle - CODE / 2, CODE, CODE), theme)
        left = rect.left() + CODE + 5 * MM
        room = rect.right() - left - 2 * MM
        write(painter, left, rect.top() + 11 * MM, self.place, 34, theme.ink, fonts.BOLD, display=True, room=room)
        write(painter, left, rect.top() + 18 * MM, self.name, 18, theme.ink, fonts.SEMIBOLD, room=room)
        for n, line in enumerate(wrapped(self.words, 12, fonts.REGULAR, room, 2)):
            write(painter, left, rect.top() + (23 + 4 * n) * MM, line, 12, theme.middle)

    def _code(self, painter: QPainter, box: QRectF, theme: Theme) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.ink)
        side = box.width() / len(self.code)
        for y, row in enumerate(self.code):
            for first, last in _runs(row):
                painter.drawRect(QRectF(box.left() + first * side, box.top() + y * side, (last - first) * side, side))


def _runs(row: tuple[bool, ...]) -> Iterator[tuple[int, int]]:
    """The stretches of dark squares: drawn as one, so that no light line shows between them."""
    start = None
    for n, dark in enumerate((*row, False)):
        if dark and start is None:
            start = n
        elif not dark and start is not None:
            yield start, n
            start = None


@dataclass(frozen=True, slots=True)
class LabelRow:
    """Labels side by side."""

    labels: tuple[Label, ...]
    keep: bool = False

    def height(self, width: float) -> float:
        return HIGH + GAP

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        for n, label in enumerate(self.labels):
            label.paint(painter, QRectF(rect.left() + n * (WIDE + GAP), rect.top() + GAP / 2, WIDE, HIGH), theme)


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """All labels, as many side by side as the paper has room for."""

    title: str
    file: str
    labels: tuple[Label, ...]

    def pages(self, width: float, height: float) -> tuple[Page, ...]:
        """All of it on pages of paper."""
        beside = max(1, int((width + GAP) / (WIDE + GAP)))
        rows = [LabelRow(self.labels[n : n + beside]) for n in range(0, len(self.labels), beside)]
        return pages(rows, width, height)


def label_sheet(rack: Rack) -> LabelSheet:
    """A label for each vessel in the order of the shelves."""
    shown = []
    for vessel in by_place(rack.vessels.values()):
        words = f"{rack.profile(vessel.vessel).title}, {ku.with_unit(vessel.volume_l, rack.settings)}"
        if vessel.reserve:
            words = _("{words}, reserve").format(words=words)
        name = "" if vessel.vessel == vessel.place else vessel.vessel
        shown.append(Label(name, vessel.place, words, files.label_code(vessel.vessel)))
    return LabelSheet(_("Labels for the vessels"), "labels.pdf", tuple(shown))
