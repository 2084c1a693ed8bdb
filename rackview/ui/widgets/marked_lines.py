"""A few sentences, each with the shape of its severity before it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass
from rackview.ui.paint.ink import wrapped, write
from rackview.ui.paint.marks import paint_severity
from rackview.ui.theme import Theme, fonts


@dataclass(frozen=True, slots=True)
class Marked:
    """One sentence with its severity, if it has one; `strong` words are set heavier."""

    text: str
    severity: Severity | None = None
    strong: bool = False


class MarkedLines(QWidget):
    """Paints sentences one under the other, as high as they need; a screen reader gets them as one name."""

    def __init__(self, theme: Theme, *, px: int = 15, most: int = 3, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._px = px
        self._most = most
        self._scale = 1.0
        self._lines: tuple[Marked, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_lines(self, lines: tuple[Marked, ...]) -> None:
        """Show these sentences; none takes no room."""
        self.setVisible(bool(lines))
        if lines != self._lines:
            self._lines = lines
            self.setAccessibleName(" ".join(line.text for line in lines))
            self._fit()
            self.update()

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self._fit()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def _set(self) -> list[tuple[Marked, list[str]]]:
        px = fonts.px(self._px, self._scale)
        found = []
        for line in self._lines:
            weight = fonts.SEMIBOLD if line.strong else fonts.REGULAR
            room = self.width() - (24 * self._scale if line.severity is not None else 0)
            found.append((line, wrapped(line.text, px, weight, max(room, 40), self._most)))
        return found

    def _pitch(self) -> float:
        return fonts.px(self._px, self._scale) * 1.4

    def _fit(self) -> None:
        rows = sum(len(texts) for _, texts in self._set())
        gaps = max(0, len(self._lines) - 1) * 6 * self._scale
        self.setFixedHeight(round(rows * self._pitch() + gaps) if rows else 0)

    def sizeHint(self) -> QSize:
        return QSize(200, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():
            self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        k, px, y = self._scale, fonts.px(self._px, self._scale), 0.0
        for line, texts in self._set():
            x = 0.0
            if line.severity is not None:
                paint_severity(painter, QRectF(0, y + 1.5 * k, 16 * k, 16 * k), line.severity, self.theme)
                x = 24 * k
            for text in texts:
                tone = self.theme.ink if line.strong or line.severity is not None else self.theme.middle
                weight = fonts.SEMIBOLD if line.strong else fonts.REGULAR
                write(painter, x, y + px * 1.05, text, px, tone, weight)
                y += self._pitch()
            y += 6 * k
