"""The plot on a vessel's page: counts, marks, forecast and water, with every word inside it and legible."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF

from rackview.core.events import Count, Reading, Rest, TopUp
from rackview.ui.theme import DARK, LIGHT
from rackview.ui.vessel.history import AHEAD_DAYS, QUANTILES, ActionMark, history
from tests.ui.vessel_page import of


def test_the_plot_shows_counts_marks_and_forecast(qtbot, session, page, clock):
    page._draw()
    shown = history(session.rack, "Brill", clock.now, 30.0)
    assert len(shown.counts) == 5
    assert all(c.low < c.per_ml < c.high for c in shown.counts)
    assert {m.kind for m in shown.marks} == {"harvest", "feed", "clean", "reading"}
    assert shown.fan.shape == (len(AHEAD_DAYS), len(QUANTILES))
    assert np.all(np.diff(shown.fan, axis=1) >= 0)
    assert list(shown.eggs) == [(c.day, pytest.approx(0.28)) for c in shown.counts]
    page.plots.density_plot.show_history(shown, timedelta(0))
    page.set_theme(DARK)
    assert page.plots.density_plot.theme is DARK
    assert [r[0] for r in shown.rates] == sorted(r[0] for r in shown.rates)
    assert len(shown.rates) > 30, "births and losses over the whole range"
    assert "Fan: 50 and 90 %" in page.plots.density_plot.toolTip()
    assert "5 counts" in page.plots.density_plot.accessibleName()


def test_water_rest_and_use_are_marked_and_an_empty_vessel_has_no_fan(session, clock):
    session.record(TopUp(at=clock.now, vessel="Dab", volume_l=0.5), "")
    session.record(Rest(at=clock.now, vessel="Dab"), "")
    shown = history(session.rack, "Dab", clock.now, 30.0)
    assert {"top_up", "rest"} <= {m.kind for m in shown.marks}
    assert shown.fan is None


def test_an_empty_history_is_plotted_without_fuss(qtbot, session, page):
    page.open("Weever")
    page._draw()
    assert page.plots.density_plot.accessibleName() == "History: no counts in this range."


def test_the_plot_library_waits_for_the_first_vessel_page():
    code = (
        "import sys; import rackview.ui.vessel.screen, rackview.ui.round.screen, rackview.ui.records.screen;"
        "sys.exit(any(m.partition('.')[0] in {'pyqtgraph', 'pandas', 'scipy'} for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def plotted(qtbot, shown, width):
    """The plot of a history at a width, drawn."""
    from rackview.ui.vessel.history_plot import HistoryPlot

    plot = HistoryPlot(LIGHT)
    qtbot.addWidget(plot)
    plot.resize(width, 500)
    plot.show()
    plot.show_history(shown, timedelta(0))
    plot.grab()
    return plot


@pytest.mark.parametrize("width", [420, 700, 1500])
def test_the_words_of_breaks_stay_inside_the_plot_and_clear_of_each_other(qtbot, session, clock, width):
    shown = history(session.rack, "Dab", clock.now, 90)
    days = [shown.first + (shown.last - shown.first) * share for share in (0.0, 0.05, 0.07, 0.4, 0.42, 0.44, 0.95)]
    broken = replace(shown, marks=tuple(ActionMark(day, "restart", of(session, Count)[0]) for day in days))
    plot = plotted(qtbot, broken, width)
    words = [label.textItem.sceneBoundingRect() for _, label in plot._words]
    within = plot.main.getViewBox().sceneBoundingRect()
    assert all(within.left() - 1 <= w.left() and w.right() <= within.right() + 1 for w in words)
    inner = [w.adjusted(1, 3, -1, -3) for w in words]
    assert not any(a.intersects(b) for n, a in enumerate(inner) for b in inner[:n])


def test_a_word_goes_to_the_other_side_of_its_line_before_it_steps_down(qtbot, session, clock):
    shown = history(session.rack, "Dab", clock.now, 90)
    days = [shown.first + (shown.last - shown.first) * share for share in (0.3, 0.33)]
    broken = replace(shown, marks=tuple(ActionMark(day, "restart", of(session, Count)[0]) for day in days))
    plot = plotted(qtbot, broken, 700)
    one, other = (label.textItem.sceneBoundingRect() for _, label in plot._words)
    assert one.top() == pytest.approx(other.top())
    assert one.right() < other.left()


@pytest.mark.parametrize("width", [420, 1500])
def test_the_names_of_the_lines_are_seen_whole(qtbot, session, clock, width):
    shown = history(session.rack, "Dab", clock.now, 90)
    plot = plotted(qtbot, replace(shown, first=shown.first - 400), width)
    within = plot.rates.getViewBox().sceneBoundingRect()
    names = [i.textItem.sceneBoundingRect() for i in plot.rates.items if hasattr(i, "textItem")]
    assert len(names) == 3
    assert all(name.right() <= within.right() + 1 for name in names)


@pytest.mark.parametrize(("height", "least"), [(240, 60), (500, 250)])
def test_the_densities_keep_their_room_in_a_low_plot(qtbot, session, clock, height, least):
    from rackview.ui.vessel.history_plot import HistoryPlot

    plot = HistoryPlot(LIGHT)
    qtbot.addWidget(plot)
    plot.resize(420, height)
    plot.show()
    plot.show_history(history(session.rack, "Dab", clock.now, 30), timedelta(0))
    qtbot.waitUntil(lambda: plot.main.getViewBox().sceneBoundingRect().height() >= least)


def test_names_of_lines_keep_apart_and_within_the_plot():
    from rackview.ui.vessel.history_plot import spaced_apart

    assert spaced_apart([0.2, 0.5], 0.1, 0.0, 1.0) == [0.2, 0.5]
    assert spaced_apart([0.2, 0.21, 0.22], 0.1, 0.0, 1.0) == pytest.approx([0.2, 0.3, 0.4])
    assert spaced_apart([0.0], 0.1, 0.07, 1.0) == [0.07]
    assert spaced_apart([0.9, 0.97, 0.98], 0.1, 0.0, 0.95) == pytest.approx([0.75, 0.85, 0.95])


@pytest.mark.parametrize(
    ("high", "size", "ticks"), [(0.92, 50, [0.0, 0.5]), (0.5, 90, [0.0, 0.2, 0.4]), (2.4, 90, [0, 1, 2])]
)
def test_ticks_of_rates_have_room(qapp, high, size, ticks):
    from rackview.ui.vessel.history_plot import Rates

    ((step, found),) = Rates("left").tickValues(0.0, high, size)
    assert found == pytest.approx(ticks)
    assert step * size / high >= 24


def test_names_of_lines_are_whole_in_a_low_plot(qtbot, session, clock):
    from rackview.ui.vessel.history_plot import HistoryPlot

    plot = HistoryPlot(LIGHT)
    qtbot.addWidget(plot)
    plot.resize(360, 300)
    plot.show()
    plot.show_history(history(session.rack, "Dab", clock.now, 30), timedelta(0))
    view = plot.rates.getViewBox()
    qtbot.waitUntil(lambda: view.height() > 40)
    plot._names(plot._shown.now, [(0.0, "eggs", LIGHT.ink), (0.01, "birth", LIGHT.ink), (0.02, "loss", LIGHT.ink)], 0.5)
    plot.rates.setYRange(0.0, 0.5, padding=0.02)
    qtbot.wait(50)
    low, high = view.sceneBoundingRect().top(), view.sceneBoundingRect().bottom()
    for _, label in plot._ends:
        middle = view.mapViewToScene(label.pos()).y()
        half = 0.5 * QFontMetricsF(label.textItem.font()).ascent()
        assert low <= middle - half
        assert middle + half <= high


def test_the_water_has_curves_of_its_own_which_are_loaded_when_they_are_asked_for(qtbot, session, page, clock):
    page.open("Brill")
    page._draw()
    assert page.plots.water_plot is None
    qtbot.keyClick(page, Qt.Key.Key_5)
    plot = page.plots.water_plot
    assert page.plots.currentWidget() is plot
    assert plot.accessibleName().startswith("Water, newest first of each: water, °C 25, 1 tests; salinity 29")
    rows = [line.split("\t") for line in page.as_text().splitlines()]
    assert rows[0] == ["When", "What", "Value"]
    assert {row[1] for row in rows[1:]} == {"water, °C", "salinity", "pH"}
    session.record(
        [
            Reading(at=clock.now, vessel="Brill", temperature_c=24, ph=8.1, tan_mg_l=1.0, oxygen_mg_l=6),
            Reading(at=clock.now - timedelta(days=40), vessel="Brill", temperature_c=20),
        ]
    )
    page.refresh()
    page._draw()
    told = {line.split("\t")[1]: line.split("\t")[2] for line in page.as_text().splitlines()[1:]}
    assert told["TAN, mg/L"] == "1"
    assert 0.03 < float(told["NH3-N, mg/L"]) < 0.1, "derived at 24 degC, pH 8.1 and the salinity of the day before"
    assert "20" not in {v for line in page.as_text().splitlines() for v in line.split("\t")[2:3]}, "40 days ago"
    qtbot.keyClick(page, Qt.Key.Key_4)
    assert "\t20\n" in page.as_text()
    page.open("Goby")
    page._draw()
    assert plot.accessibleName() == "Water: no test in this time."
    qtbot.keyClick(page, Qt.Key.Key_5)
    assert "count per mL" in page.as_text()
