"""What the tallies come to: the density scale, the number with its interval, and what to think of it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.ui import fonts
from rackview.ui.paint.ink import saved, write
from rackview.ui.paint.scale import ScaleState, draw_scale
from rackview.ui.theme import Theme


@dataclass(frozen=True, slots=True)
class Reckoned:
    """The number and its words; `odd` when the count wants a second look."""

    number: str = ""
    detail: str = ""
    verdict: str = ""
    odd: bool = False
    scale: ScaleState | None = None


class Reckoning(QWidget):
    """Paints one `Reckoned`; a screen reader gets it as one sentence."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.shown = Reckoned()
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_scale(1.0)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.setFixedHeight(round(116 * scale))

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def show_reckoned(self, reckoned: Reckoned) -> None:
        """Show these numbers."""
        if reckoned != self.shown:
            self.shown = reckoned
            told = [f"{reckoned.number} per mL" if reckoned.number else "", reckoned.detail, reckoned.verdict]
            self.setAccessibleName(", ".join(t for t in told if t))
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        k, theme, shown = self._scale, self.theme, self.shown
        if shown.scale is not None:
            draw_scale(painter, QRectF(2, -4 * k, self.width() - 4, 64 * k), shown.scale, theme, k)
        with saved(painter):
            size, base = round(46 * k), 106 * k
            x = 0.0
            if shown.number:
                x = write(painter, 0, base, shown.number, size, theme.ink, fonts.BOLD) + 8 * k
                x += write(painter, x, base, "/mL", fonts.px(18, k), theme.middle) + 22 * k
                x = max(x, 152 * k)
            room = self.width() - x
            write(painter, x, base - 21 * k, shown.detail, fonts.px(15, k), theme.middle, room=room)
            tone = theme.today if shown.odd else theme.ink
            write(painter, x, base, shown.verdict, fonts.px(15, k), tone, fonts.MEDIUM, room=room)
