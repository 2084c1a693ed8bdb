"""The pictures in docs show the window as it is today; drawn anew with RACKVIEW_GOLDEN=keep.

Only the large forms are compared, as a number that changed by a digit does not make a picture stale.
"""

from __future__ import annotations

import os
import re
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage

from rackview import app

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "docs" / "pictures"
NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
SHOWN = {
    "rack-light": ("rack", "light"),
    "rack-dark": ("rack", "dark"),
    "round-light": ("round", "light"),
    "vessel-light": ("vessel", "light"),
    "larvae-light": ("larvae", "light"),
    "loss-light": ("loss", "light"),
}
DIFFERENT = 9.0
"""Mean difference in grey levels, of pictures shrunk to an eighth, above which one is stale."""


@pytest.fixture(scope="module")
def store(demo_copy):
    return demo_copy(lambda: NOW)


def small(file: Path) -> np.ndarray:
    image = QImage(str(file)).convertToFormat(QImage.Format.Format_Grayscale8)
    shrunk = image.scaled(
        QSize(160, 100), Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
    )
    lines = np.frombuffer(shrunk.constBits(), np.uint8).reshape(shrunk.height(), shrunk.bytesPerLine())
    return lines[:, :160].astype(float)


@pytest.mark.parametrize("name", SHOWN)
def test_a_picture_in_the_docs_is_of_today(qapp, store, tmp_path, name):
    screen, look = SHOWN[name]
    keep = os.environ.get("RACKVIEW_GOLDEN") == "keep"
    fresh = PICTURES / f"{name}.png" if keep else tmp_path / "fresh.png"
    app.picture(store, fresh, screen=screen, size=(1280, 800), theme=look, at=NOW)
    shown = PICTURES / f"{name}.png"
    assert shown.exists(), f"docs/pictures/{name}.png is missing"
    differs = float(np.abs(small(fresh) - small(shown)).mean())
    assert differs < DIFFERENT, f"docs/pictures/{name}.png is stale: {differs:.1f} grey levels off"


def test_a_picture_for_a_small_screen_is_of_a_window_that_fits_it(qapp, store, tmp_path):
    small = tmp_path / "small.png"
    app.picture(store, small, screen="vessel", size=(1024, 600), theme="light", at=NOW)
    image = QImage(str(small))
    below = [image.pixelColor(x, 596) for x in range(0, 1024, 4)]
    assert len({one.rgb() for one in below}) <= 3, "something is cut off at the lower edge"


def test_every_picture_named_in_the_pages_is_there():
    pages = [ROOT / "README.md", *(ROOT / "docs").glob("*.md")]
    named = {(p, m) for p in pages for m in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", p.read_text(encoding="utf-8"))}
    assert named
    missing = [f"{p.name}: {m}" for p, m in named if not (p.parent / m).is_file()]
    assert not missing
