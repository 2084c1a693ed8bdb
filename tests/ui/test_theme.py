import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontInfo, QFontMetricsF, QPalette
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QWidget

from rackview import cli
from rackview.core.assessment import Severity
from rackview.ui import theme
from rackview.ui.preferences import LOOKS
from rackview.ui.theme import DARK, HIGH_DARK, HIGH_LIGHT, LIGHT, Theme, fonts
from tests.ui.contrast import contrast

GROUNDS = ("field", "tile", "strip", "rail", "chosen", "entry")
WORDS = ("ink", "middle", "soft", "today", "week", "notice")

TEXT_PAIRS = [(word, ground) for word in WORDS for ground in GROUNDS] + [
    ("on_press", "press"),
    ("tile", "ink"),
]
MARK_PAIRS = [
    # gauge: outline on the tile, the water line against water and air
    ("glass", "tile"),
    ("ink", "water"),
    ("ink", "air"),
    ("ink", "band"),
    # trend: line and points over the band, the fan's inner half on the tile
    ("fan50", "tile"),
    # edges of controls, the focus ring on all grounds
    *[("rim", g) for g in GROUNDS],
    *[("focus", g) for g in GROUNDS],
    # a severity mark on any ground and on the shelf board
    *[(s, g) for s in ("today", "week", "notice") for g in (*GROUNDS, "band")],
]


@pytest.mark.parametrize("which", theme.THEMES.values(), ids=theme.THEMES)
class TestContrast:
    """WCAG 2.2: 1.4.3 text 4.5:1, 1.4.11 marks and controls 3:1, 2.4.13 focus 3:1."""

    @pytest.mark.parametrize(("word", "ground"), TEXT_PAIRS)
    def test_text(self, which: Theme, word: str, ground: str) -> None:
        assert contrast(getattr(which, word), getattr(which, ground)) >= 4.5

    @pytest.mark.parametrize(("mark", "ground"), MARK_PAIRS)
    def test_marks(self, which: Theme, mark: str, ground: str) -> None:
        assert contrast(getattr(which, mark), getattr(which, ground)) >= 3.0


@pytest.mark.parametrize("which", [HIGH_LIGHT, HIGH_DARK], ids=lambda t: t.name)
class TestHighContrast:
    """WCAG 2.2: 1.4.6 text 7:1; what is decoration elsewhere can be seen here, 3:1 (1.4.11)."""

    @pytest.mark.parametrize(("word", "ground"), TEXT_PAIRS)
    def test_text(self, which: Theme, word: str, ground: str) -> None:
        assert contrast(getattr(which, word), getattr(which, ground)) >= 7.0

    @pytest.mark.parametrize("mark", ["edge", "shelf", "band", "fan50", "water", "glass", "rim"])
    def test_marks(self, which: Theme, mark: str) -> None:
        least = 2.5 if mark == "water" else 3.0 - 1e-9  # its outline and the line of its surface are the mark
        assert contrast(getattr(which, mark), which.tile) >= least


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # WCAG 2.2, Understanding 1.4.3: black on white is 21:1; #777777 on white is 4.48:1 and #767676 is 4.54:1
        ("#000000", "#FFFFFF", 21.0),
        ("#777777", "#FFFFFF", 4.48),
        ("#767676", "#FFFFFF", 4.54),
        ("#FFFFFF", "#767676", 4.54),
    ],
)
def test_contrast_formula(one: str, other: str, ratio: float) -> None:
    assert contrast(QColor(one), QColor(other)) == pytest.approx(ratio, abs=0.005)


def test_scheme_chooses_the_theme() -> None:
    assert theme.for_scheme(Qt.ColorScheme.Dark) is DARK
    assert theme.for_scheme(Qt.ColorScheme.Light) is LIGHT
    assert theme.for_scheme(Qt.ColorScheme.Unknown) is LIGHT
    assert theme.for_scheme(Qt.ColorScheme.Dark, high_contrast=True) is HIGH_DARK
    assert theme.for_scheme(Qt.ColorScheme.Unknown, high_contrast=True) is HIGH_LIGHT
    assert DARK.dark
    assert not LIGHT.dark


def test_the_command_line_draws_in_every_theme() -> None:
    assert tuple(theme.THEMES) == cli.LOOKS
    assert set(theme.THEMES) < set(LOOKS)


def test_severity_colours_differ_and_none_is_plain() -> None:
    for which in theme.THEMES.values():
        colours = {which.severity(s).name() for s in Severity}
        assert len(colours) == 3
        assert which.severity(None) == which.ink


def test_stylesheet_has_every_colour_filled_in() -> None:
    for which in (LIGHT, DARK):
        assert "$" not in theme.stylesheet(which)
        assert which.focus.name() in theme.stylesheet(which)
    assert theme.stylesheet(LIGHT) != theme.stylesheet(DARK)


def test_blend_runs_from_one_to_the_other() -> None:
    black, white = QColor("#000000"), QColor("#FFFFFF")
    assert theme.blend(black, white, 0).name() == "#000000"
    assert theme.blend(black, white, 1).name() == "#ffffff"
    assert theme.blend(black, white, 0.5).lightness() == pytest.approx(127, abs=1)


class Wardrobe:
    """An application that only notes how it is dressed; dressing the real one polishes every widget of every test."""

    def __init__(self) -> None:
        self.sheet = ""
        self.worn: list[str] = []

    def styleSheet(self) -> str:
        return self.sheet

    def setStyleSheet(self, sheet: str) -> None:
        self.sheet = sheet
        self.worn.append("sheet")

    def setStyle(self, style: str) -> None:
        self.worn.append(style)

    def setPalette(self, palette: QPalette) -> None:
        self.worn.append(palette.window().color().name())

    def setFont(self, font: QFont) -> None:
        self.worn.append(font.family())


def test_apply_dresses_the_application_once_for_each_theme(qapp) -> None:
    app = Wardrobe()
    theme.apply_theme(app, LIGHT)
    assert app.worn == ["Fusion", LIGHT.field.name(), "Inter", "sheet"]
    theme.apply_theme(app, LIGHT)
    assert len(app.worn) == 4
    theme.apply_theme(app, DARK)
    assert app.worn[4:] == [DARK.field.name(), "Inter", "sheet"], "the style itself is put on once"
    assert app.sheet == theme.stylesheet(DARK)


@pytest.mark.parametrize("which", [LIGHT, DARK], ids=lambda t: t.name)
def test_the_sheet_dresses_plain_widgets(qtbot, which: Theme) -> None:
    field, button = QLineEdit(), QPushButton("Done")
    button.setProperty("role", "primary")
    for widget in (field, button):
        qtbot.addWidget(widget)
        widget.setStyleSheet(theme.stylesheet(which))
        widget.setPalette(theme.palette(which))
        widget.resize(120, 40)
    assert button.grab().toImage().pixelColor(10, 20) == which.press
    assert field.grab().toImage().pixelColor(100, 20) == which.entry


def test_type_is_the_shipped_family_with_tabular_figures(qapp) -> None:
    for weight in (fonts.REGULAR, fonts.MEDIUM, fonts.SEMIBOLD, fonts.BOLD):
        face = fonts.font(32, weight)
        assert QFontInfo(face).family() == "Inter"
        measure = QFontMetricsF(face)
        widths = [measure.horizontalAdvance(str(d)) for d in range(10)]
        assert max(widths) - min(widths) < 0.1
    thin, heavy = (QFontMetricsF(fonts.font(32, w)).horizontalAdvance("Avocet") for w in (400, 700))
    assert heavy > thin


def test_a_button_shows_the_keyboard_by_its_ring_alone(qtbot) -> None:
    host = QWidget()
    qtbot.addWidget(host)
    theme.apply_theme(QApplication.instance(), LIGHT)
    before, button = QPushButton("Back", host), QPushButton(host)
    button.setGeometry(100, 10, 80, 40)
    host.show()
    host.activateWindow()
    qtbot.waitUntil(host.isActiveWindow)
    before.setFocus()
    calm = button.grab().toImage().pixelColor(40, 20)
    qtbot.keyClick(before, Qt.Key.Key_Tab)
    assert button.hasFocus()
    shown = button.grab().toImage()
    assert shown.pixelColor(40, 20) == calm
    assert shown.pixelColor(40, 1) == LIGHT.focus
