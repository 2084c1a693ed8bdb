"""What the tallies come to: the density scale, the number with its interval, and what to think of it."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.ui.paint.ink import saved, width_of, wrapped, write
from rackview.ui.paint.scale import ScaleState, draw_scale
from rackview.ui.theme import Theme, fonts

LINE = 21
"""Distance of two lines of words at scale 1, px."""


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
        self.setFixedHeight(round((111 + LINE) * scale))  # room for two lines of the verdict, whatever it says
        self.update()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def show_reckoned(self, reckoned: Reckoned) -> None:
        """Show these numbers."""
        if reckoned != self.shown:
            self.shown = reckoned
            told = [
                _("{number} per mL").format(number=reckoned.number) if reckoned.number else "",
                reckoned.detail,
                reckoned.verdict,
            ]
            self.setAccessibleName(", ".join(t for t in told if t))
            self.update()

    def _words(self) -> tuple[float, list[str]]:
        """Where the words beside the number begin, and the lines of the verdict."""
        k, x = self._scale, 0.0
        if self.shown.number:
            number = width_of(self.shown.number, round(46 * k), fonts.BOLD)
            x = max(number + width_of("/mL", fonts.px(18, k)) + 30 * k, 152 * k)
        return x, wrapped(self.shown.verdict, fonts.px(15, k), fonts.MEDIUM, max(60.0, self.width() - x), 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        k, theme, shown = self._scale, self.theme, self.shown
        if shown.scale is not None:
            draw_scale(painter, QRectF(2, -4 * k, self.width() - 4, 64 * k), shown.scale, theme, k)
        with saved(painter):
            base = 106 * k
            x, lines = self._words()
            if shown.number:
                after = write(painter, 0, base, shown.number, round(46 * k), theme.ink, fonts.BOLD) + 8 * k
                write(painter, after, base, "/mL", fonts.px(18, k), theme.middle)
            room = self.width() - x
            write(painter, x, base - LINE * k, shown.detail, fonts.px(15, k), theme.middle, room=room)
            tone = theme.today if shown.odd else theme.ink
            for n, line in enumerate(lines):
                write(painter, x, base + n * LINE * k, line, fonts.px(15, k), tone, fonts.MEDIUM, room=room)
