"""The colours of the window: light, dark, and both once more for eyes that need the most contrast.

Colour is kept for what needs a hand; a healthy rack is greys and one water tone. Every pair that carries meaning is
held to WCAG 2.2 by a test: 4.5:1 for text (1.4.3), 3:1 for marks and control edges (1.4.11, 2.4.13); in high contrast
7:1 for text (1.4.6), and the edges of tiles, bands and shelves carry 3:1 too.
"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication

from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass


@dataclass(frozen=True, slots=True, eq=False)
class Theme:
    """One set of colours. `soft` still carries text; `edge` is decoration only; `rim` marks a control's edge."""

    name: str
    field: QColor
    """behind the tiles"""
    shelf: QColor
    """the board that vessels stand on"""
    tile: QColor
    edge: QColor
    strip: QColor
    """the foot of a tile, where the next action stands"""
    rail: QColor
    """the side column: today's list, the round's actions"""
    chosen: QColor
    """the selected row of a list"""
    entry: QColor
    """inside a field to type in"""
    rim: QColor
    """round a field or an outlined button"""
    ink: QColor
    middle: QColor
    soft: QColor
    water: QColor
    """the one tone of living culture"""
    grain: QColor
    """specks of animals in the water"""
    air: QColor
    """the vessel above its filling"""
    glass: QColor
    """the outline of a vessel"""
    band: QColor
    """working range"""
    fan50: QColor
    fan90: QColor
    today: QColor
    week: QColor
    notice: QColor
    focus: QColor
    """the ring round what the keyboard acts on"""
    press: QColor
    """a filled button"""
    on_press: QColor
    """words on a filled button"""

    @property
    def dark(self) -> bool:
        """Whether light marks stand on a dark field."""
        return self.field.lightness() < 128

    def severity(self, severity: Severity | None) -> QColor:
        """The colour of a severity; plain ink where there is none. Never the only carrier: see paint.marks."""
        match severity:
            case Severity.today:
                return self.today
            case Severity.week:
                return self.week
            case Severity.notice:
                return self.notice
            case _:
                return self.ink


LIGHT = Theme(
    name="light",
    field=QColor("#E9E9E4"),
    shelf=QColor("#CFCCC2"),
    tile=QColor("#F8F7F3"),
    edge=QColor("#D8D6CD"),
    strip=QColor("#EFEDE6"),
    rail=QColor("#F2F1EC"),
    chosen=QColor("#FBFAF7"),
    entry=QColor("#FCFBF8"),
    rim=QColor("#7F837D"),
    ink=QColor("#1C1F1E"),
    middle=QColor("#565B58"),
    soft=QColor("#636865"),
    water=QColor("#7FA39A"),
    grain=QColor("#DCE6E1"),
    air=QColor("#E6E4DC"),
    glass=QColor("#565B58"),
    band=QColor("#E3E1D8"),
    fan50=QColor("#8B8F89"),
    fan90=QColor("#BFC1BA"),
    today=QColor("#AD4216"),
    week=QColor("#7E5800"),
    notice=QColor("#3D5A80"),
    focus=QColor("#1C1F1E"),
    press=QColor("#1C1F1E"),
    on_press=QColor("#F8F7F3"),
)

DARK = Theme(
    name="dark",
    field=QColor("#191C1C"),
    shelf=QColor("#353937"),
    tile=QColor("#232726"),
    edge=QColor("#333837"),
    strip=QColor("#2A2E2D"),
    rail=QColor("#1F2322"),
    chosen=QColor("#2A2F2E"),
    entry=QColor("#1B1F1E"),
    rim=QColor("#7C8380"),
    ink=QColor("#ECEBE6"),
    middle=QColor("#B4B7B2"),
    soft=QColor("#989D99"),
    water=QColor("#578A7E"),
    grain=QColor("#23433D"),
    air=QColor("#2F3433"),
    glass=QColor("#B4B7B2"),
    band=QColor("#2F3433"),
    fan50=QColor("#7D8380"),
    fan90=QColor("#4B504E"),
    today=QColor("#F08A5D"),
    week=QColor("#E6B84A"),
    notice=QColor("#8FB3DE"),
    focus=QColor("#ECEBE6"),
    press=QColor("#ECEBE6"),
    on_press=QColor("#1C1F1E"),
)

HIGH_LIGHT = Theme(
    name="high-contrast-light",
    field=QColor("#FFFFFF"),
    shelf=QColor("#6B6B6B"),
    tile=QColor("#FFFFFF"),
    edge=QColor("#767676"),
    strip=QColor("#F2F2F2"),
    rail=QColor("#FFFFFF"),
    chosen=QColor("#E8E8E8"),
    entry=QColor("#FFFFFF"),
    rim=QColor("#000000"),
    ink=QColor("#000000"),
    middle=QColor("#000000"),
    soft=QColor("#2B2B2B"),
    water=QColor("#6FA99B"),
    grain=QColor("#FFFFFF"),
    air=QColor("#FFFFFF"),
    glass=QColor("#000000"),
    band=QColor("#949494"),
    fan50=QColor("#4A4A4A"),
    fan90=QColor("#767676"),
    today=QColor("#8A1200"),
    week=QColor("#573A00"),
    notice=QColor("#0B3A75"),
    focus=QColor("#0A3FD1"),
    press=QColor("#000000"),
    on_press=QColor("#FFFFFF"),
)

HIGH_DARK = Theme(
    name="high-contrast-dark",
    field=QColor("#000000"),
    shelf=QColor("#9A9A9A"),
    tile=QColor("#000000"),
    edge=QColor("#767676"),
    strip=QColor("#141414"),
    rail=QColor("#000000"),
    chosen=QColor("#242424"),
    entry=QColor("#000000"),
    rim=QColor("#FFFFFF"),
    ink=QColor("#FFFFFF"),
    middle=QColor("#FFFFFF"),
    soft=QColor("#DADADA"),
    water=QColor("#377A6E"),
    grain=QColor("#FFFFFF"),
    air=QColor("#000000"),
    glass=QColor("#FFFFFF"),
    band=QColor("#5E5E5E"),
    fan50=QColor("#C4C4C4"),
    fan90=QColor("#8C8C8C"),
    today=QColor("#FFA988"),
    week=QColor("#FFD257"),
    notice=QColor("#A8CBFF"),
    focus=QColor("#FFE14D"),
    press=QColor("#FFFFFF"),
    on_press=QColor("#000000"),
)

THEMES = {theme.name: theme for theme in (LIGHT, DARK, HIGH_LIGHT, HIGH_DARK)}


def for_scheme(scheme: Qt.ColorScheme, *, high_contrast: bool = False) -> Theme:
    """The theme that follows the system's light or dark scheme and its wish for contrast; light where it says none."""
    dark = scheme == Qt.ColorScheme.Dark
    if high_contrast:
        return HIGH_DARK if dark else HIGH_LIGHT
    return DARK if dark else LIGHT


def for_system() -> Theme:
    """The theme that the system asks for now."""
    hints = QGuiApplication.styleHints()
    high = hints.accessibility().contrastPreference() == Qt.ContrastPreference.HighContrast
    return for_scheme(hints.colorScheme(), high_contrast=high)


def blend(under: QColor, over: QColor, share: float) -> QColor:
    """The opaque colour that `share` (0 to 1) of `over` makes on `under`."""
    rest = 1.0 - share
    return QColor.fromRgbF(
        under.redF() * rest + over.redF() * share,
        under.greenF() * rest + over.greenF() * share,
        under.blueF() * rest + over.blueF() * share,
    )
