"""Marks are told apart by shape alone; the gauge and the trend show what they are given, where it belongs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from rackview.core.assessment import Severity
from rackview.ui.paint import ink
from rackview.ui.paint import tile as tile_module
from rackview.ui.paint.gauge import paint_gauge
from rackview.ui.paint.marks import paint_dash, paint_severity, paint_tick
from rackview.ui.paint.supply import paint_bar
from rackview.ui.paint.tile import FULL_WIDTH, Sizes, glance_place_px, paint_tile
from rackview.ui.paint.trend import paint_trend
from rackview.ui.rack.rack_state import Supply, Trend
from rackview.ui.rack.tile import Gauge
from rackview.ui.theme import DARK, LIGHT, THEMES, Theme, fonts
from tests.ui.contrast import contrast

both = pytest.mark.parametrize("which", [LIGHT, DARK], ids=lambda t: t.name)


def draw(width: int, height: int, ground: QColor, call: Callable[[QPainter, QRectF], None]) -> np.ndarray:
    """The picture as an array of red, green, blue from 0 to 255."""
    image = QImage(width, height, QImage.Format.Format_RGBA8888)
    image.fill(ground)
    painter = QPainter(image)
    call(painter, QRectF(0, 0, width, height))
    painter.end()
    return np.frombuffer(image.constBits(), np.uint8).reshape(height, width, 4)[:, :, :3].astype(int)


def near(picture: np.ndarray, colour: QColor, step: int = 12) -> np.ndarray:
    """Where the picture has a colour."""
    return np.abs(picture - np.array(colour.getRgb()[:3])).max(axis=2) <= step


# --- marks ----------------------------------------------------------------------------------------------------------


def silhouettes(which: Theme) -> dict[str, np.ndarray]:
    """The marks as shapes without colour, at the size they have beside a line of type."""
    calls = {s.name: (lambda p, r, s=s: paint_severity(p, r, s, which)) for s in Severity}
    calls["done"] = lambda p, r: paint_tick(p, r, which.ink)
    calls["declined"] = lambda p, r: paint_dash(p, r, which.ink)
    ground = np.array(which.tile.getRgb()[:3])
    return {n: np.abs(draw(16, 16, which.tile, c) - ground).sum(axis=2) > 90 for n, c in calls.items()}


@both
def test_marks_are_told_apart_without_colour(qapp, which: Theme) -> None:
    shapes = silhouettes(which)
    names = list(shapes)
    for n, one in enumerate(names):
        assert shapes[one].sum() > 15
        for other in names[n + 1 :]:
            together = (shapes[one] | shapes[other]).sum()
            differ = (shapes[one] ^ shapes[other]).sum()
            assert differ > 0.25 * together, (one, other)


# Simulated colour-vision deficiency, full severity, in linear light: Machado, Oliveira & Fernandes 2009, IEEE
# Transactions on Visualization and Computer Graphics 15:1291-1298, table 1 (values from memory, unverified).
DEFICIENT = {
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
    "grey": [[0.2126, 0.7152, 0.0722]] * 3,
}


def seen_by(colour: QColor, eye: str) -> QColor:
    linear = np.array([((c + 0.055) / 1.055) ** 2.4 if c > 0.04045 else c / 12.92 for c in colour.getRgbF()[:3]])
    changed = np.clip(np.array(DEFICIENT[eye]) @ linear, 0, 1)
    back = np.where(changed > 0.0031308, 1.055 * changed ** (1 / 2.4) - 0.055, changed * 12.92)
    return QColor.fromRgbF(*(float(c) for c in back))


@both
@pytest.mark.parametrize("eye", list(DEFICIENT))
@pytest.mark.parametrize("ground", ["tile", "strip", "rail", "field"])
def test_marks_stand_out_to_every_eye(which: Theme, eye: str, ground: str) -> None:
    for severity in Severity:
        mark, under = (seen_by(c, eye) for c in (which.severity(severity), getattr(which, ground)))
        assert contrast(mark, under) >= 3.0


# --- gauge ----------------------------------------------------------------------------------------------------------


def gauge_of(which: Theme, gauge: Gauge) -> np.ndarray:
    return draw(80, 140, which.tile, lambda p, r: paint_gauge(p, r, gauge, which))


def needle(picture: np.ndarray, which: Theme) -> float:
    """How high the needle stands beside the vessel, as a share of the picture's height from the bottom."""
    rows = np.flatnonzero(near(picture[:, 58:66], which.ink, 30).all(axis=1))
    assert rows.size, "the needle is missing"
    return 1 - rows.mean() / picture.shape[0]


def surface(picture: np.ndarray, which: Theme) -> float:
    """How high the water stands in the vessel, as a share of the picture's height from the bottom."""
    air = near(picture[:, 20:26], which.air, 4).all(axis=1)
    return 1 - np.flatnonzero(~air & (np.arange(140) > 2)).min() / picture.shape[0]


@both
def test_needle_rises_with_the_density_and_the_water_keeps_its_level(qapp, which: Theme) -> None:
    shares = [0.1, 0.4, 0.7, 0.95]
    pictures = [gauge_of(which, Gauge(f, f - 0.02, f + 0.02)) for f in shares]
    heights = [needle(p, which) for p in pictures]
    assert np.allclose(np.diff(heights) / np.diff(shares), 0.94, atol=0.06)
    assert len({round(surface(p, which), 2) for p in pictures}) == 1
    levels = [surface(gauge_of(which, Gauge(0.5, water=w)), which) for w in (0.25, 0.5, 1.0)]
    assert np.allclose(np.diff(levels), [0.225, 0.45], atol=0.02), "in proportion, a full one a tenth below the rim"


@both
def test_a_denser_culture_is_deeper_in_tone_and_fuller(qapp, which: Theme) -> None:
    thin, dense = (gauge_of(which, Gauge(f, f, f))[20:130, 12:40].astype(int) for f in (0.15, 0.9))
    tones = [np.median(body, axis=(0, 1)) for body in (thin, dense)]
    specks = [
        int((np.abs(body - tone).sum(axis=2) > 12).sum()) for body, tone in zip((thin, dense), tones, strict=True)
    ]
    assert specks[1] > 3 * specks[0] > 0
    assert np.abs(tones[1] - tones[0]).sum() > 40


@both
def test_doubt_is_a_bar_about_the_needle_that_fades(qapp, which: Theme) -> None:
    sure, unsure = (gauge_of(which, Gauge(0.5, 0.5 - d, 0.5 + d)) for d in (0.0, 0.3))
    assert needle(sure, which) == pytest.approx(needle(unsure, which), abs=0.02)

    def bar(picture: np.ndarray) -> int:
        return int((~near(picture[:, 61:63], which.tile, 6)).all(axis=1).sum())

    assert bar(sure) < 10
    assert bar(unsure) == pytest.approx(0.6 * 0.94 * 140, abs=6)


@both
def test_nothing_known_shows_no_needle_and_rest_shows_empty_glass(qapp, which: Theme) -> None:
    unknown, resting = gauge_of(which, Gauge(band=(0.4, 0.7))), gauge_of(which, Gauge(band=(0.4, 0.7), resting=True))
    assert near(unknown[:, 56:66], which.tile, 2).all()
    assert not near(unknown[:, 10:40], which.grain, 8).any()
    assert near(resting[20:100, 14:34], which.tile, 2).all()
    assert near(unknown[:, 72:], which.soft, 40).any(), "the working band is bracketed"
    assert near(resting[:, 56:], which.tile, 2).all()


def test_band_stands_where_its_densities_are(qapp) -> None:
    picture = gauge_of(LIGHT, Gauge(0.5, 0.5, 0.5, (0.2, 0.6)))
    rows = np.flatnonzero(near(picture[:, 76:], LIGHT.soft, 60).any(axis=1))
    ends = 1 - np.array([rows.max(), rows.min()]) / 140
    needles = [needle(gauge_of(LIGHT, Gauge(f, f, f)), LIGHT) for f in (0.2, 0.6)]
    assert np.allclose(ends, needles, atol=0.02)


# --- trend ----------------------------------------------------------------------------------------------------------


def trend_of(trend: Trend) -> np.ndarray:
    return draw(200, 80, LIGHT.tile, lambda p, r: paint_trend(p, r, trend, LIGHT))


def test_trend_draws_each_part_it_is_given(qapp) -> None:
    bare = trend_of(Trend())
    assert near(bare, LIGHT.tile, 1).all()
    assert near(trend_of(Trend(band=(0.4, 0.6))), LIGHT.band, 2).sum() > 150 * 10
    fan = trend_of(Trend(fan=((0.8, 0.5, 0.5, 0.5, 0.5), (1.0, 0.2, 0.4, 0.6, 0.8))))
    assert near(fan, LIGHT.fan90, 2).sum() > 100
    assert near(fan, LIGHT.fan50, 2).sum() > 50
    assert near(trend_of(Trend(last=(0.5, 0.5))), LIGHT.ink, 8).sum() > 15


def test_a_gap_stays_a_gap(qapp) -> None:
    whole = tuple((x / 10, 0.5) for x in range(11))
    parted = trend_of(Trend(lines=(whole[:5], whole[6:])))
    row = near(parted, LIGHT.ink, 60).any(axis=0)
    assert row[20:78].all()
    assert not row[88:114].any()
    assert row[124:190].all()


def test_values_outside_the_scale_stay_inside_the_picture(qapp) -> None:
    wild = Trend(lines=(((0.1, -3.0), (0.9, 4.0)),), points=((0.5, 9.0),), last=(0.5, -9.0))
    picture = draw(200, 80, LIGHT.tile, lambda p, r: paint_trend(p, r.adjusted(0, 10, 0, -10), wild, LIGHT))
    assert near(picture[:10], LIGHT.tile, 1).all()
    assert near(picture[70:], LIGHT.tile, 1).all()


# --- tile -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(132, 104), (150, 150), (FULL_WIDTH, 160), (228, 190), (268, 236), (620, 420)])
@pytest.mark.parametrize("look", list(THEMES))
def test_every_tile_draws_inside_its_rectangle(qapp, tiles, size, look) -> None:
    which = THEMES[look]
    width, height = (int(s) for s in size)
    for state in tiles.values():
        for glance in (False, True):
            picture = draw(
                width + 40,
                height + 40,
                which.field,
                lambda p, r, s=state, g=glance: paint_tile(p, r.adjusted(20, 20, -20, -20), s, which, glance=g),
            )
            assert near(picture[:19], which.field, 1).all()
            assert near(picture[-19:], which.field, 1).all()
            assert near(picture[:, :19], which.field, 1).all()
            assert near(picture[:, -19:], which.field, 1).all()


def test_long_words_are_cut_not_spilled(qapp, tiles) -> None:
    wordy = replace(
        tiles["failing"],
        name="A name that no label on a jar would hold",
        words="falling more than anybody ever saw a culture fall",
        density="120000",
        interval="100000–140000",
        actions=("Restart with 12.5 L from the vessel on the lowest shelf", "and wash everything that it touched"),
    )
    picture = draw(308, 276, LIGHT.field, lambda p, r: paint_tile(p, r.adjusted(20, 20, -20, -20), wordy, LIGHT))
    assert near(picture[:, -19:], LIGHT.field, 1).all()


def test_smallest_type_keeps_capitals_of_ten_pixels(qapp) -> None:
    """At 0.6 m nothing that is read has capitals under 10 px; the share is the one of the shipped face."""
    assert ink.metrics(100, fonts.REGULAR).capHeight() / 100 == pytest.approx(ink.CAP, abs=0.003)
    for width in range(170, 700, 30):
        assert round(Sizes.fitting(width, width * 0.8).small * ink.CAP) >= 10


def test_place_is_legible_from_three_metres(qapp) -> None:
    """16 arc minutes at 3 m are 14.0 mm (ISO 9241-3: at least 16'); a 24-inch 1920 x 1080 screen has 0.2768 mm a
    pixel. Twelve vessels on three shelves get tiles of about 450 x 270 px there, the list being away."""
    capital = glance_place_px(450, 270, 2) * ink.CAP * 0.2768
    assert capital >= 14.0


# --- supply ---------------------------------------------------------------------------------------------------------


def test_bar_is_full_as_far_as_the_rack_surely_gives_and_marks_the_need(qapp) -> None:
    supply = Supply("", "", need=0.25, sure=0.5, likely=0.6, most=0.7)
    picture = draw(200, 30, LIGHT.rail, lambda p, r: paint_bar(p, r.adjusted(0, 8, 0, -8), supply, LIGHT))
    line = picture[20]
    assert near(line[None, 5:45], LIGHT.water, 4).all()
    assert near(line[None, 55:98], LIGHT.water, 4).all()
    assert near(line[None, 145:190], LIGHT.band, 4).all()
    assert near(picture[:, 49:51], LIGHT.ink, 40).any(axis=1).sum() > 18, "the post stands out above and below"


def test_wrapping_breaks_at_spaces_and_cuts_the_last_line(qapp) -> None:
    text = "Fill A5 up with new water of the same salinity and temperature, then feed lightly"
    whole = ink.wrapped(text, 14, fonts.REGULAR, 160, 9)
    assert " ".join(whole) == text
    assert all(ink.width_of(line, 14) <= 160 for line in whole)
    cut = ink.wrapped(text, 14, fonts.REGULAR, 160, 2)
    assert len(cut) == 2
    assert cut[1].endswith("…")
    assert ink.wrapped("", 14, fonts.REGULAR, 160, 2) == []


def test_an_action_that_is_too_long_is_cut_after_a_word_and_never_in_its_amount(qapp) -> None:
    text = "feed 9.5 mL green algae concentrate"
    assert ink.cut(text, 14, fonts.REGULAR, 400) == text
    assert ink.cut(text, 14, fonts.REGULAR, 150) == "feed 9.5 mL green…"
    assert ink.cut(text, 14, fonts.REGULAR, 100) == "feed 9.5 mL…"
    assert ink.width_of(ink.cut("concentrate of algae", 14, fonts.REGULAR, 40), 14) <= 40


@pytest.mark.parametrize("said", ["Harvest 6.7 L", "Split 10 L into A4", "Count again", "Restart from the reserve C4"])
@pytest.mark.parametrize("room", [120.0, 180.0, 400.0])
def test_what_to_do_from_afar_is_whole_and_keeps_amount_and_unit_together(qapp, said: str, room: float) -> None:
    px, lines = tile_module._largest(tile_module._unbroken(said), room, 110.0, 60)
    assert " ".join(lines).replace("\u00a0", " ") == said
    assert all(ink.width_of(line, px, fonts.MEDIUM) <= room for line in lines)
    assert not any(line.startswith("L ") or line == "L" for line in lines)
