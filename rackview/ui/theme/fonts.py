"""The one type family of the window, Inter with tabular figures, shipped with the program."""

from __future__ import annotations

from functools import cache
from pkgutil import get_data

from PySide6.QtGui import QFont, QFontDatabase

FAMILY = "Inter"
REGULAR, MEDIUM, SEMIBOLD, BOLD = 400, 500, 600, 700
FILES = ("Inter-Regular.otf", "Inter-Medium.otf", "Inter-SemiBold.otf", "Inter-Bold.otf")
LEAST = 13
"""Type that a small window makes no smaller, px."""


@cache
def load_fonts() -> None:
    """Make the shipped faces known to Qt; call once a QGuiApplication exists (again does nothing)."""
    for name in FILES:
        QFontDatabase.addApplicationFontFromData(get_data("rackview.resources", f"fonts/{name}") or b"")


def px(size: float, scale: float) -> int:
    """A size of type at a scale, px: as small as the window asks for, but never too small to read at the keyboard."""
    return max(min(LEAST, round(size)), round(size * scale))


@cache
def font(px: int, weight: int = REGULAR) -> QFont:
    """A face `px` device-independent pixels high, its digits all of one width so that columns stand still.

    `weight` is one of REGULAR, MEDIUM, SEMIBOLD, BOLD. Take a copy before changing the font that is returned.
    """
    load_fonts()
    made = QFont(FAMILY)
    made.setPixelSize(px)
    made.setWeight(QFont.Weight(weight))
    made.setFeature(QFont.Tag("tnum"), 1)
    return made


@cache
def display(px: int, weight: int = BOLD) -> QFont:
    """The face for large figures and names that stand alone: set a little tighter, figures of their own width."""
    load_fonts()
    made = QFont(FAMILY)
    made.setPixelSize(px)
    made.setWeight(QFont.Weight(weight))
    made.setFeature(QFont.Tag("tnum"), 0)  # said aloud, or a painter takes it over from the widget's own font
    made.setLetterSpacing(QFont.SpacingType.PercentageSpacing, 98)
    return made
