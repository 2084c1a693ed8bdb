"""Pictures that guard the look of the tile, its marks and the supply bar.

Each is drawn anew and compared with the one in tests/golden. After a change that is meant, look at the new pictures
and keep them with

    RACKVIEW_GOLDEN=keep python -m pytest tests/ui/test_paint_golden.py

A failure leaves what was drawn and where it differs (white on black) in the test's folder and names it.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from rackview.ui.paint.shelf import paint_board, paint_free
from rackview.ui.paint.supply import paint_brief, paint_supply
from rackview.ui.paint.tile import paint_focus, paint_tile
from rackview.ui.rack.rack_state import FreePlace
from rackview.ui.theme import DARK, LIGHT, THEMES, Theme

GOLDEN = Path(__file__).parents[1] / "golden"
STEP = 40
"""Grey levels by which a pixel may differ before it counts: machines smooth letters differently."""
SHARE = 0.012
"""Share of pixels that may differ by more than that."""

Draw = Callable[[QPainter, QRectF, Theme], None]


def drawn(width: int, height: int, theme: Theme, draw: Draw, margin: int = 8) -> QImage:
    image = QImage(width + 2 * margin, height + 2 * margin, QImage.Format.Format_RGB32)
    image.fill(theme.field)
    painter = QPainter(image)
    draw(painter, QRectF(margin, margin, width, height), theme)
    painter.end()
    return image


def pixels(image: QImage) -> np.ndarray:
    image = image.convertToFormat(QImage.Format.Format_RGBA8888)
    return np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)[:, :, :3].astype(int)


def difference(one: QImage, other: QImage) -> tuple[float, np.ndarray]:
    """The share of pixels that differ visibly, and by how much each does; all of them if the sizes differ."""
    if one.size() != other.size():
        return 1.0, np.full((one.height(), one.width()), 255)
    by = np.abs(pixels(one) - pixels(other)).max(axis=2)
    return float((by > STEP).mean()), by


def compare(image: QImage, name: str, folder: Path) -> None:
    place = GOLDEN / f"{name}.png"
    if os.environ.get("RACKVIEW_GOLDEN") == "keep":
        GOLDEN.mkdir(exist_ok=True)
        assert image.save(str(place))
        return
    assert place.exists(), f"{place.name} is missing from tests/golden; see the top of this file"
    share, by = difference(image, QImage(str(place)))
    if share > SHARE:
        image.save(str(folder / f"{name}-drawn.png"))
        grey = np.ascontiguousarray(by.astype(np.uint8))
        marked = QImage(grey.data, grey.shape[1], grey.shape[0], grey.shape[1], QImage.Format.Format_Grayscale8)
        marked.save(str(folder / f"{name}-differs.png"))
        pytest.fail(f"{name}: {share:.1%} of the pixels differ; see {folder}")


@pytest.mark.parametrize(
    ("kind", "look"),
    [(k, "light") for k in ("rising", "failing", "dense", "reserve", "resting", "uncounted")]
    + [("failing", "dark"), ("uncounted", "dark")],
)
def test_tile(qapp, tmp_path, tiles, kind, look) -> None:
    image = drawn(268, 236, THEMES[look], lambda p, r, t: paint_tile(p, r, tiles[kind], t))
    compare(image, f"tile-{kind}-{look}", tmp_path)


@pytest.mark.parametrize("width", [176, 228])
def test_narrow_tile(qapp, tmp_path, tiles, width) -> None:
    image = drawn(width, 190, LIGHT, lambda p, r, t: paint_tile(p, r, tiles["failing"], t))
    compare(image, f"tile-narrow-{width}", tmp_path)


@pytest.mark.parametrize("height", [106, 150])
def test_compact_tile(qapp, tmp_path, tiles, height) -> None:
    image = drawn(150, height, LIGHT, lambda p, r, t: paint_tile(p, r, tiles["dense"], t))
    compare(image, f"tile-compact-{height}", tmp_path)


@pytest.mark.parametrize("look", list(THEMES))
def test_tile_from_afar(qapp, tmp_path, tiles, look) -> None:
    image = drawn(268, 200, THEMES[look], lambda p, r, t: paint_tile(p, r, tiles["failing"], t, glance=True))
    compare(image, f"tile-afar-{look}", tmp_path)


def test_focus_and_free_place(qapp, tmp_path, tiles) -> None:
    def draw(painter: QPainter, rect: QRectF, theme: Theme) -> None:
        left, right = QRectF(rect), QRectF(rect)
        left.setWidth(268)
        right.setLeft(rect.left() + 284)
        paint_tile(painter, left, tiles["rising"], theme, hovered=True)
        paint_focus(painter, left, theme)
        paint_free(painter, right, FreePlace("A", 2), "free place", theme)
        paint_board(painter, rect.adjusted(0, 0, 0, 8), theme)

    compare(drawn(500, 236, DARK, draw), "shelf", tmp_path)


@pytest.mark.parametrize("kind", ["enough", "short"])
def test_supply(qapp, tmp_path, supplies, kind) -> None:
    def draw(painter: QPainter, rect: QRectF, theme: Theme) -> None:
        paint_supply(painter, QRectF(rect.left(), rect.top(), 270, 100), supplies[kind], theme)
        paint_brief(painter, QRectF(rect.left(), rect.top() + 110, rect.width(), 60), supplies[kind], theme)

    compare(drawn(480, 180, LIGHT, draw), f"supply-{kind}", tmp_path)


def test_a_changed_tile_is_noticed(qapp, tiles) -> None:
    """The comparison can fail: another severity, another fill, another theme are each seen."""
    one = drawn(268, 236, LIGHT, lambda p, r, t: paint_tile(p, r, tiles["dense"], t))
    other = drawn(268, 236, LIGHT, lambda p, r, t: paint_tile(p, r, tiles["rising"], t))
    dark = drawn(268, 236, DARK, lambda p, r, t: paint_tile(p, r, tiles["dense"], t))
    assert difference(one, one)[0] == 0.0
    assert difference(one, other)[0] > SHARE
    assert difference(one, dark)[0] > 0.5


def test_a_shifted_mark_is_noticed(qapp) -> None:
    one = drawn(40, 40, LIGHT, lambda p, r, t: p.fillRect(r.adjusted(0, 0, -20, -20), QColor("black")))
    other = drawn(40, 40, LIGHT, lambda p, r, t: p.fillRect(r.adjusted(2, 2, -18, -18), QColor("black")))
    assert difference(one, other)[0] > SHARE
