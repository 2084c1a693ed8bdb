"""The density scale, the strip of vessels and the keeper's units: numbers to places and words."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter

from rackview.core.assessment import Interval
from rackview.core.tables import TEMPERATURE_UNITS, VOLUME_UNITS, Settings
from rackview.ui.paint.ink import elided
from rackview.ui.paint.scale import ScaleState, around, draw_scale, ticks
from rackview.ui.round.fields.field import Field
from rackview.ui.round.order import Stop
from rackview.ui.round.strip import Strip
from rackview.ui.round.words import surprise
from rackview.ui.theme import DARK, LIGHT, THEMES, fonts
from rackview.ui.words import keeper_units as ku


def test_ticks_are_ones_twos_and_fives():
    assert list(ticks(40, 1000)) == [50, 100, 200, 500, 1000]
    assert list(ticks(0.5, 5000)) == [1, 10, 100, 1000]


def test_the_axis_holds_all_that_is_shown():
    low, high = around(60, 450, Interval(20, 5, 80), Interval(900, 700, 2000))
    assert low <= 5
    assert high >= 2000
    assert around(60, 450) == (30, 900)
    low, _ = around(60, 450, Interval(0, 0, 4))
    assert 0 < low < 4


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_what_was_counted_is_painted_in_the_water_tone(qapp, theme):
    image = QImage(400, 70, QImage.Format.Format_RGB32)
    image.fill(theme.field)
    painter = QPainter(image)
    draw_scale(painter, QRectF(0, 0, 400, 64), ScaleState(10, 1000, None, Interval(100, 60, 160)), theme)
    painter.end()
    assert image.pixelColor(190, 38) == theme.water
    assert image.pixelColor(200, 28) == theme.ink
    assert image.pixelColor(40, 30) == theme.field


@pytest.mark.parametrize(
    ("counted", "expected", "seen", "told"),
    [
        (Interval(200, 170, 235), Interval(210, 180, 245), (150, 3), 0),
        (Interval(90, 70, 115), Interval(210, 180, 245), (67, 3), -1),
        (Interval(420, 370, 470), Interval(210, 180, 245), (315, 3), 1),
        (Interval(0, 0, 4), Interval(210, 180, 245), (0, 1), -1),
        (Interval(150, 60, 380), Interval(210, 100, 440), (4, 1), 0),
        (Interval(200, 170, 235), None, (150, 3), 0),
    ],
)
def test_a_count_is_weighed_against_what_was_expected(counted, expected, seen, told):
    assert surprise(counted, expected, *seen, 0.12) == told


def test_one_aliquot_is_known_to_differ_more_than_three_together():
    counted, expected = Interval(300, 270, 330), Interval(210, 190, 232)
    assert [surprise(counted, expected, 400, aliquots, 0.15) for aliquots in (1, 3)] == [0, 1]
    assert surprise(counted, expected, 400, 1, 0.05) == 1


@pytest.mark.parametrize("cv", [0.05, 0.15])
@pytest.mark.parametrize("aliquots", [1, 3])
def test_of_good_counts_one_in_fifty_is_found_odd(cv, aliquots):
    rng = np.random.default_rng(1)
    odd = 0
    for _ in range(4000):
        truth = 200.0 * math.exp(0.1 * rng.standard_normal())
        sample = truth * rng.gamma(1 / 0.07**2, 0.07**2)
        animals = int(rng.poisson(0.5 * sample * rng.gamma(1 / cv**2, cv**2, aliquots)).sum())
        per_ml = animals / (0.5 * aliquots)
        expected = Interval(200.0, 200.0 * math.exp(-0.1645), 200.0 * math.exp(0.1645))
        odd += surprise(Interval(per_ml, per_ml, per_ml), expected, animals, aliquots, cv) != 0
    assert 0.012 < odd / 4000 < 0.03


@given(st.floats(0.001, 1000), st.sampled_from(VOLUME_UNITS))
def test_volumes_come_back_from_every_unit(litres, unit):
    settings = Settings(volume_unit=unit)
    assert ku.to_litres(ku.volume(litres, settings), settings) == pytest.approx(litres)


@given(st.floats(-2, 45), st.sampled_from(TEMPERATURE_UNITS))
def test_temperatures_come_back_from_every_unit(degrees, unit):
    settings = Settings(temperature_unit=unit)
    assert ku.to_celsius(ku.temperature(degrees, settings), settings) == pytest.approx(degrees)


def test_units_are_said_as_on_the_jug():
    assert ku.with_unit(5.24, Settings()) == "5.2 L"
    assert ku.with_unit(0.25, Settings(volume_unit="mL")) == "250 mL"
    assert ku.with_unit(3.785411784, Settings(volume_unit="US gal")) == "1.0 US gal"
    assert ku.temperature_text(25, Settings(temperature_unit="degF")) == "77.0 °F"


def stop(vessel: str, place: str, *, own_tools: bool = False, done: bool = False) -> Stop:
    return Stop(vessel, place, reserve=False, own_tools=own_tools, done=done, drafted=False, fill=0.5)


def test_the_strip_says_where_one_is_and_goes_by_keys_and_mouse(qtbot):
    strip = Strip(LIGHT)
    qtbot.addWidget(strip)
    strip.resize(400, 96)
    strip.show_stops((stop("Dab", "A1", done=True), stop("Goby", "A2"), stop("Brill", "B1", own_tools=True)), "Goby")
    assert strip.accessibleName() == "Order of the round, 1 of 3 done, now Goby"
    assert strip.sentence(strip.stops[2]) == "B1 Brill, separate tools"
    with qtbot.waitSignal(strip.chosen) as chosen:
        qtbot.keyClick(strip, Qt.Key.Key_Right)
        qtbot.keyClick(strip, Qt.Key.Key_Return)
    assert chosen.args == ["Brill"]
    with qtbot.waitSignal(strip.chosen) as chosen:
        qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=strip._place(0).center().toPoint())
    assert chosen.args == ["Dab"]
    strip.set_theme(DARK)
    assert not strip.grab().isNull()


def test_thirty_vessels_fit_the_strip(qtbot):
    strip = Strip(LIGHT)
    qtbot.addWidget(strip)
    strip.resize(900, 96)
    strip.show_stops(tuple(stop(f"V{n}", f"A{n}") for n in range(1, 31)), "V1")
    assert strip._place(0).left() >= 0
    assert strip._place(29).right() <= 900
    for n, s in enumerate(strip.stops):
        room = strip._place(n).width()
        assert elided(s.place, strip.place_px(s, room), fonts.BOLD, room) == s.place, "a place is never cut off"


def test_a_long_number_is_drawn_smaller_until_it_is_seen_whole(qtbot):
    field = Field("all.0", "tally", LIGHT, size=40, height=84, centred=True)
    qtbot.addWidget(field)
    field.resize(110, 84)
    field.show()
    large = field.line.font().pixelSize()
    field.show_text("38")
    assert field.line.font().pixelSize() == large
    field.show_text("12345")
    assert field.line.font().pixelSize() < large
    assert field.line.fontMetrics().horizontalAdvance("12345") <= field.line.width()
    field.show_text("")
    assert field.line.font().pixelSize() == large


@pytest.mark.parametrize("here", [1, 30, 60])
def test_where_one_is_stays_in_sight_on_a_strip_longer_than_its_room(qtbot, here):
    strip = Strip(LIGHT)
    qtbot.addWidget(strip)
    strip.resize(470, 96)
    strip.show_stops(tuple(stop(f"V{n}", f"A{n}") for n in range(1, 61)), f"V{here}")
    place = strip._place(here - 1)
    assert place.left() >= 0
    assert place.right() <= 470.5
    assert strip._place(0).left() <= 0.0 <= strip._place(59).right() - 469.5
