"""Every screen, light at three sizes and dark at one, and the main ones of an empty, a healthy and a failing rack.

A golden sheet holds small pictures of all screens of one kind. What is drawn now is compared with it in blocks of
four by four of its pixels: other numbers in the same places pass, a part that is gone, moved or in another colour does
not. After a change that is meant, look at the sheets under tests/golden/screens and draw them anew:

    RACKVIEW_GOLDEN=keep .venv/bin/python -m pytest tests/ui/test_screens_golden.py
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QCoreApplication, QRect, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from rackview.core.events import Clean, Count, Event, Feed, Harvest, Reading
from rackview.core.tables import Stock
from rackview.core.vessel import Vessel
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session
from rackview.ui.picture import grab
from rackview.ui.registry import SCREENS
from rackview.ui.theme import DARK, LIGHT, blend
from rackview.ui.window import MainWindow

GOLDEN = Path(__file__).parents[1] / "golden" / "screens"
AT = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
SIZES = ((1024, 600), (1366, 768), (1920, 1080))
FEW = ("rack", "round", "vessel", "larvae", "stock", "records")
POOR = ("empty", "healthy", "failing")
TONES = ("water", "today", "week", "notice", "field", "shelf", "tile", "strip", "chosen", "band", "rail")
PALETTE = [QColor(n * 8, n * 8, n * 8).rgb() for n in range(32)] + [
    blend(getattr(theme, tone), theme.tile, share).rgb()
    for theme in (LIGHT, DARK)
    for tone in TONES
    for share in (0.0, 0.35, 0.7)
]
"""Greys, and the colours of both themes with what lies between them and a tile."""
LATER = frozenset({"rack", "vessel", "compare", "larvae"})
"""Screens of which a part comes a moment after the rest."""
COLUMNS, CELL = 3, QSize(320, 180)
BLOCK, APART, MOST = 4, 40, 0.05
"""A block differs where its mean is so far (of 255) from the golden one's; so many of a screen's blocks may."""


def counts(vessel: str, level: float, growth: float, eggs: int, swimming: int, ciliates: str) -> list[Event]:
    """Ten days of a vessel: counted, fed and harvested; `growth` a day."""
    made: list[Event] = []
    for day in range(10, 0, -1):
        at, seen = AT - timedelta(days=day), round(level * (1 + growth) ** (10 - day))
        signs = {"with_eggs": eggs, "females_checked": 50, "swimming": swimming, "ciliates": ciliates, "tint": 2}
        made.append(Count(at=at, vessel=vessel, tallies=(seen, seen + 2, seen - 1), dilution=7, **signs))
        made.append(Feed(at=at, vessel=vessel, feed="algae concentrate", amount=4))
        if growth >= 0:
            made.append(Harvest(at=at, vessel=vessel, volume_l=4, refill_l=4))
        if day % 3 == 0:
            made.append(Clean(at=at, vessel=vessel, what="floss"))
            made.append(Reading(at=at, vessel=vessel, temperature_c=25, sg=1.022, sg_reference="25/25", ph=7.9))
    return made


def filled(session: RackSession, *, failing: bool) -> RackSession:
    """Six vessels on two shelves that all do well, or of which two fail."""
    names = ("Brill", "Dab", "Goby", "Gurnard", "Lumpsucker", "Ruffe")
    vessels = [Vessel(name, "rotifer-L", "AB"[n // 3], n % 3 + 1, 20) for n, name in enumerate(names)]
    events: list[Event] = []
    for n, name in enumerate(names):
        ill = failing and n in {1, 3}
        events += counts(
            name, 34 - n, -0.28 if ill else 0.0, 3 if ill else 15, 2 if ill else 5, "many" if ill else "none"
        )
    session.take(vessels=vessels, events=events, stock=[Stock("algae concentrate", dry_g_per_ml=0.1, amount=500.0)])
    return session


@pytest.fixture(scope="module")
def racks(tmp_path_factory: pytest.TempPathFactory, demo_at) -> Iterator[dict[str, RackSession]]:
    folder = tmp_path_factory.mktemp("screens")
    made = {name: open_session(folder / f"{name}.db", lambda: AT) for name in POOR}
    filled(made["healthy"], failing=False)
    filled(made["failing"], failing=True)
    made["full"] = demo_at(lambda: AT)
    yield made
    for session in made.values():
        session.close()


def opened(session: RackSession) -> MainWindow:
    """The window on a rack, as small as asked for."""
    window = MainWindow(session, None, look="light")
    window.setMinimumSize(1, 1)
    return window


def sheet(window: MainWindow, size: tuple[int, int], screens: tuple[str, ...]) -> QImage:
    """Small pictures of the screens on one sheet, as the window shows them at that size."""
    rows = -(-len(screens) // COLUMNS)
    made = QImage(COLUMNS * CELL.width(), rows * CELL.height(), QImage.Format.Format_RGB32)
    made.fill(QColor("#808080"))
    painter = QPainter(made)
    for n, name in enumerate(screens):
        window.go(name)
        window.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
        window.resize(*size)
        window.show()
        for _ in range(20 if name in LATER else 3):
            QCoreApplication.processEvents()
        whole = grab(window, QSize(*size))
        small = whole.scaled(CELL, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)
        painter.drawImage(n % COLUMNS * CELL.width(), n // COLUMNS * CELL.height(), small)
    painter.end()
    return made.convertToFormat(QImage.Format.Format_Indexed8, PALETTE, Qt.ImageConversionFlag.ThresholdDither)


def blocks(image: QImage) -> np.ndarray:
    """The mean colour of every block: rows, columns, red green blue."""
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    lines = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), plain.bytesPerLine())
    dots = lines[:, : 3 * plain.width()].reshape(plain.height() // BLOCK, BLOCK, plain.width() // BLOCK, BLOCK, 3)
    return dots.mean(axis=(1, 3))


def apart(one: QImage, other: QImage, screens: tuple[str, ...]) -> dict[str, float]:
    """The share of blocks that differ, of every screen in which too many do."""
    differ = np.abs(blocks(one) - blocks(other)).max(axis=2) > APART
    wide, high = CELL.width() // BLOCK, CELL.height() // BLOCK
    found = {}
    for n, name in enumerate(screens):
        top, left = n // COLUMNS * high, n % COLUMNS * wide
        share = float(differ[top : top + high, left : left + wide].mean())
        if share > MOST:
            found[name] = round(share, 3)
    return found


KINDS = {"full": (SIZES, SCREENS), **{state: (SIZES[n : n + 1], FEW) for n, state in enumerate(POOR)}}
"""State of the rack: the sizes and the screens of its sheets. Where there are several, the middle one also in dark:
a look is of colours alone."""


@pytest.mark.parametrize("state", KINDS)
def test_every_screen_looks_as_it_was_looked_at(qapp, racks, tmp_path, state) -> None:
    window, wrong = opened(racks[state]), {}
    sizes, screens = KINDS[state]
    for look, at in (("light", sizes), ("dark", sizes[len(sizes) // 2 :][:1])):
        window.look.choose(look)
        for size in at:
            drawn, place = sheet(window, size, screens), GOLDEN / f"{state}-{look}-{size[0]}.png"
            if os.environ.get("RACKVIEW_GOLDEN") == "keep":
                GOLDEN.mkdir(exist_ok=True)
                assert drawn.save(str(place))
                continue
            kept = QImage(str(place))
            assert kept.size() == drawn.size(), f"{place.name}: a screen came or went; see the top of this file"
            drawn.save(str(tmp_path / place.name))
            if differ := apart(drawn, kept, screens):
                wrong[str(tmp_path / place.name)] = differ
    window.close()
    window.deleteLater()
    assert not wrong, f"these look otherwise than in {GOLDEN}"


def test_a_part_that_is_gone_moved_or_of_another_colour_is_seen(racks) -> None:
    window = opened(racks["healthy"])
    whole = sheet(window, SIZES[1], ("rack",)).convertToFormat(QImage.Format.Format_RGB32)
    assert apart(whole, whole, ("rack",)) == {}
    for spoil in (QRect(250, 20, 70, 160), QRect(10, 70, 180, 60)):  # the list of the day; a shelf
        other = whole.copy()
        painter = QPainter(other)
        painter.fillRect(spoil, QColor("#101010"))
        painter.end()
        assert "rack" in apart(whole, other, ("rack",))
    window.look.choose("dark")
    dark = sheet(window, SIZES[1], ("rack",))
    assert apart(whole, dark, ("rack",))["rack"] > 0.8
    moved = QImage(whole.size(), whole.format())
    moved.fill(QColor("#E9E9E4"))
    painter = QPainter(moved)
    painter.drawImage(12, 8, whole)
    painter.end()
    assert "rack" in apart(whole, moved, ("rack",))
    window.close()


def test_the_sheets_stay_small() -> None:
    assert sum(f.stat().st_size for f in GOLDEN.glob("*.png")) < 6e6
