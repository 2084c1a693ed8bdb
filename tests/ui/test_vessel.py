"""A vessel's page: its history, the panel beside it, corrections, and what an action would lead to."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF

from rackview.core.errors import InputError
from rackview.core.events import Clean, Count, Feed, Harvest, Note, Reading, Rest, Restart, Return, Split, TopUp
from rackview.ui.forms.futures import futures
from rackview.ui.forms.moves import NEW
from rackview.ui.records.event_list import EventModel, newest_first
from rackview.ui.theme import DARK, LIGHT
from rackview.ui.vessel.history import AHEAD_DAYS, QUANTILES, ActionMark, history
from rackview.ui.vessel.screen import RANGES, VesselScreen
from rackview.ui.words import event_words


@pytest.fixture
def page(qtbot, session):
    screen = VesselScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.resize(1280, 680)
    screen.open("Dab")
    return screen


def of(session, kind, vessel="Dab"):
    return [e for e in session.rack.events() if isinstance(e, kind) and e.vessel == vessel]


def put(screen, **texts):
    for column, text in texts.items():
        screen.panel.form.input(column).setText(text)


def test_a_harvest_is_typed_in_the_panel(qtbot, session, page):
    page._wanted("harvest")
    put(page, volume_l="5", refill_l="4,5")
    with qtbot.waitSignal(page.said):
        page.panel.form.submit()
    assert [(e.volume_l, e.refill_l) for e in of(session, Harvest)] == [(5, 4.5)]
    assert page._stack.currentWidget() is page.side
    assert page.events.model.event_at(0).kind == "harvest"


def test_new_water_follows_the_harvest_until_something_else_is_typed_there(page):
    def typed(column, text):
        field = page.panel.form.input(column)
        field.setText(text)
        field.textEdited.emit(text)

    page._wanted("harvest")
    refill = page.panel.form.input("refill_l")
    for text in ("4", "4.", "4.5"):
        typed("volume_l", text)
        assert refill.text() == text
    typed("refill_l", "5")
    typed("volume_l", "6")
    assert refill.text() == "5"
    typed("refill_l", "")
    typed("volume_l", "3")
    assert refill.text() == "", "nor is it filled in again where it was cleared"


@pytest.mark.parametrize(("when", "told"), [("now", False), ("3 days ago", True)])
def test_an_entry_for_another_day_says_which(qtbot, page, when, told):
    page._wanted("harvest")
    put(page, volume_l="1", refill_l="1", at=when)
    with qtbot.waitSignal(page.said) as said:
        page.panel.form.submit()
    assert ("(" in said.args[0]) is told


def test_a_count_typed_in_the_panel_is_diluted_as_the_last_one_was(session, page, clock):
    session.record([Count(at=session.now(), vessel="Dab", tallies=(30, 31), aliquot_ml=0.5, dilution=7.0)], "count")
    page._wanted("count")
    typed = page.panel.form.typed()
    assert (typed["aliquot_ml"], typed["dilution"], typed["fixative"]) == ("0.5", "7", "1")


def test_a_harvest_larger_than_the_vessel_is_refused_beside_the_field(qtbot, session, page):
    page._wanted("harvest")
    put(page, volume_l="25")
    page.panel.form.submit()
    assert "at most the 20 L that Dab holds" in page.panel.form.error_of("volume_l")
    assert page.panel.form.input("volume_l").text() == "25"
    assert of(session, Harvest) == []


def test_a_split_wakes_the_resting_vessel_and_can_be_undone_in_one_step(qtbot, session, page):
    before = len(list(session.rack.events()))
    page._wanted("split")
    put(page, volume_l="7", refill_l="7")
    page.panel.form.submit()
    assert [(e.to_vessel, e.volume_l) for e in of(session, Split)] == [("Weever", 7)]
    assert of(session, Return, "Weever")
    assert session.assessments()["Weever"].level_l == session.rack.vessels["Weever"].volume_l, "filled up"
    assert session.assessments()["Weever"].density_per_ml is not None
    session.undo()
    assert len(list(session.rack.events())) == before


def choose(screen, column, value):
    box = screen.panel.form.input(column)
    box.setCurrentIndex(box.findData(value))
    box.activated.emit(box.currentIndex())


def test_a_split_goes_into_a_new_vessel_made_in_the_same_step(qtbot, session, page):
    before = list(session.rack.events())
    page._wanted("split")
    name = page.panel.form.input("new_vessel")
    assert not name.isVisibleTo(page), "asked only where a new vessel is wanted"
    choose(page, "to_vessel", NEW)
    assert name.isVisibleTo(page)
    put(page, volume_l="7", refill_l="7", new_vessel="Sprat", new_place="a 1")
    page.panel.form.submit()
    assert "a free place" in page.panel.form.error_of("new_place"), "A1 is taken"
    put(page, new_place="C 4", new_volume_l="12")
    page.panel._foresee()
    assert {f.title for f in page.panel._futures._shown} == {"C4 Sprat", "A2 Dab"}
    page.panel.form.submit()
    made = session.rack.vessels["Sprat"]
    assert (made.strain, made.place, made.volume_l) == ("rotifer-L", "C4", 12)
    assert [(e.to_vessel, e.volume_l) for e in of(session, Split)] == [("Sprat", 7)]
    assert session.assessments()["Sprat"].level_l == 12, "filled up"
    session.undo()
    assert "Sprat" not in session.rack.vessels
    assert list(session.rack.events()) == before


def test_a_new_vessel_of_a_split_is_like_the_giver_where_nothing_else_is_said(session, page):
    page._wanted("split")
    choose(page, "to_vessel", NEW)
    put(page, volume_l="5")
    page.panel.form.submit()
    made = session.rack.vessels["A3"]
    assert (made.vessel, made.strain, made.volume_l, made.reserve) == ("A3", "rotifer-L", 20, False)


def test_a_split_into_a_full_vessel_offers_to_harvest_it_first(session, page):
    page._wanted("split")
    choose(page, "to_vessel", "Brill")
    put(page, volume_l="7")
    page.panel.form.submit()
    assert of(session, Split) == []
    assert "Harvest A1 first" in page.panel.form.error_of("to_vessel")
    page.panel.harvest_first.click()
    assert (page.vessel, page.panel.kind) == ("Brill", "harvest")
    page.open("Dab")
    page._wanted("split")
    assert page.panel.form.input("volume_l").text() == "7", "what was typed is kept"


def test_both_futures_of_a_split_are_shown(qtbot, session, page, clock):
    split = Split(at=clock.now, vessel="Dab", to_vessel="Weever", volume_l=7, refill_l=7)
    shown = futures(session.rack, [Return(at=clock.now, vessel="Weever"), split], clock.now)
    assert [f.title for f in shown] == ["B3 Weever", "A2 Dab"]
    giver = shown[1]
    assert giver.after[0][2] == pytest.approx(giver.without[0][2] * 13 / 20, rel=0.02)
    page._wanted("split")
    put(page, volume_l="7")
    page.panel._foresee()
    assert len(page.panel._futures._shown) == 2
    put(page, volume_l="70")
    page.panel._foresee()
    assert page.panel._futures._shown == ()


def test_a_restart_from_another_strain_is_warned_of_and_names_its_cautions(session, page):
    page._wanted("restart")
    cautions = page.panel._gravest.accessibleName()
    assert "Never mix bleach with acid or ammonia" in cautions
    donor = page.panel.form.input("from_vessel")
    for name, warned in (("Goby", True), ("Brill", False)):
        donor.setCurrentIndex(donor.findData(name))
        put(page, volume_l="5")
        page.panel._foresee()
        assert ("Two strains would mix" in page.panel._mixed.accessibleName()) is warned


@pytest.mark.parametrize(
    ("kind", "texts", "made"),
    [
        ("feed", {"feed": "algae concentrate", "amount": "4"}, Feed),
        ("clean", {}, Clean),
        ("note", {"text": "smells of the sea"}, Note),
        ("reading", {"temperature_c": "24,5", "ph": "7.9"}, Reading),
        ("top_up", {"volume_l": "0.5"}, TopUp),
        ("restart", {"volume_l": "5", "starter": "a friend's", "density_per_ml": "50"}, Restart),
    ],
)
def test_every_action_has_its_panel(qtbot, session, page, kind, texts, made):
    before = len(of(session, made))
    page._wanted(kind)
    put(page, **texts)
    page.panel.form.submit()
    assert len(of(session, made)) == before + 1


def test_rest_and_return_take_one_press(qtbot, session, page):
    page._wanted("rest")
    assert of(session, Rest)
    assert session.assessments()["Dab"].state == "resting"
    assert page.side._by_name["return"].isVisibleTo(page)
    page._wanted("return")
    assert of(session, Return)


def test_a_correction_half_typed_is_there_again(qtbot, session, page):
    page._wanted("harvest")
    put(page, volume_l="5")
    page.panel.form.submit()
    event = of(session, Harvest)[0]
    page._correct(event)
    page.save()
    assert not any(n.endswith(event.id) for n in session.drafts()), "nothing was typed yet"
    put(page, volume_l="4,x")
    page.save()
    page.panel.form.cancelled.emit()
    page._correct(event)
    assert page.panel.form.input("volume_l").text() == "4,x"
    put(page, volume_l="4")
    page.panel.form.submit()
    assert [e.volume_l for e in of(session, Harvest)] == [4]
    assert not any(n.endswith(event.id) for n in session.drafts())


def test_a_row_is_corrected_and_taken_back(qtbot, session, page):
    row = next(n for n in range(9) if isinstance(page.events.model.event_at(n), Count))
    page.events.table.selectRow(row)
    qtbot.keyClick(page.events.table, Qt.Key.Key_Return)
    assert page.panel.form is not None
    put(page, tallies="1 2 -3")
    page.panel.form.submit()
    assert "whole numbers of 0 or more" in page.panel.form.error_of("tallies")
    put(page, tallies="40 41 42")
    page.panel.form.submit()
    newest = [e for e in of(session, Count) if e.tallies == (40, 41, 42)]
    assert len(newest) == 1
    assert newest[0].replaces is not None
    assert newest[0].with_eggs == 14
    count = len(of(session, Count))
    page.events.table.selectRow(row)
    qtbot.keyClick(page.events.table, Qt.Key.Key_Delete)
    assert len(of(session, Count)) == count - 1
    session.undo()
    assert len(of(session, Count)) == count


def test_a_count_corrected_to_a_wild_one_asks_to_be_made_again(qtbot, session, page):
    newest = next(e for e in reversed(of(session, Count)))
    page._correct(newest)
    put(page, tallies="301 298 310")
    page.panel.form.submit()
    assert any(c.tallies == (301, 298, 310) for c in of(session, Count)), "kept"
    assert (
        page._message.text() == "Kept as typed. Implausible count: it does not fit the counts before it. Count again."
    )
    page._correct(next(c for c in of(session, Count) if c.tallies == (301, 298, 310)))
    put(page, tallies="34 33 34")
    page.panel.form.submit()
    assert page._message.isHidden()


def test_a_date_in_the_future_is_refused_beside_the_field(qtbot, session, page):
    page.events.table.selectRow(0)
    page._correct(page.events.chosen())
    put(page, at="2027-01-01 07:30")
    page.panel.form.submit()
    assert "not in the future" in page.panel.form.error_of("at")


def test_what_is_typed_in_the_panel_is_kept(qtbot, session, page):
    page._wanted("note")
    put(page, text="foam on top")
    page.save()
    page._back_to_side()
    page._wanted("note")
    assert page.panel.form.input("text").text() == "foam on top"


def test_a_suggestion_opens_pre_filled_with_its_why(qtbot, session, page):
    suggestion = next(s for s in session.suggestions() if s.action == "feed")
    page.start(suggestion)
    assert page.vessel == suggestion.vessel
    assert float(page.panel.form.input("amount").text()) == pytest.approx(suggestion.amount)


def test_keys_change_the_range_and_the_vessel(qtbot, session, page):
    page._draw()
    for n, days in enumerate(RANGES):
        qtbot.keyClick(page, str(n + 1))
        assert page._days == days
    qtbot.keyClick(page, Qt.Key.Key_PageDown)
    assert page.vessel == "Goby"
    qtbot.keyClick(page, Qt.Key.Key_PageUp)
    assert page.vessel == "Dab"
    with qtbot.waitSignal(page.leave):
        qtbot.keyClick(page, Qt.Key.Key_Escape)


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


def test_the_card_says_how_sure_and_how_old_each_number_is(session, page):
    known = {row.what: row for row in page.card.shown.rows}
    assert known["count"].value == "240 (200–280)"
    assert {"count", "with eggs", "under 60 tomorrow"} <= set(known)
    assert known["with eggs"].value == "28 % of 50"
    assert {known[n].age for n in ("count", "with eggs")} == {"1 d ago"}
    assert known["under 60 tomorrow"].age == "under 1 in 100"
    assert page.card.shown.facts[0].below.endswith("counted 1 d ago")
    assert all(row.what in page.card.accessibleName() for row in page.card.shown.rows)
    page.open("Brill")
    water = {row.what: row for row in page.card.shown.rows}
    assert (water["water"].value, water["water"].age) == ("25.0 °C", "1 d ago")


def test_an_empty_history_is_plotted_without_fuss(qtbot, session, page):
    page.open("Weever")
    page._draw()
    assert page.plots.density_plot.accessibleName() == "History: no counts in this range."


def test_events_are_listed_newest_first_and_fetched_as_needed(qtbot, session, clock, qtmodeltester):
    events = list(newest_first(session.rack))
    assert events == sorted(session.rack.events(), key=lambda e: e.order(), reverse=True)
    assert {e.kind for e in newest_first(session.rack, "Brill", "harvest")} == {"harvest"}
    model = EventModel()
    many = [Feed(at=clock.now - timedelta(hours=n), vessel="Dab", feed="f", amount=n) for n in range(450)]
    model.load(many, session.rack, clock.now)
    assert model.rowCount() == 200
    model.fetchMore(model.index(-1, -1))
    model.fetchMore(model.index(-1, -1))
    assert model.rowCount() == 450
    qtmodeltester.check(model)


def test_every_kind_of_event_has_words(session, clock):
    settings = session.rack.settings
    more = [
        Split(at=clock.now, vessel="Dab", to_vessel="Brill", volume_l=2),
        Restart(at=clock.now, vessel="Dab", from_vessel="Brill", volume_l=2, density_per_ml=40, reason="old"),
        TopUp(at=clock.now, vessel="Dab", volume_l=1),
        Note(at=clock.now, vessel="Dab", text="words"),
    ]
    for event in (*session.rack.events(), *more):
        assert event_words.summary(event, settings)
        assert "None" not in event_words.details(event, settings)
    assert event_words.summary(more[1], settings) == "restart from Brill"
    assert "40" in event_words.details(more[1], settings)
    assert event_words.summary(more[3], settings) == "words"


def test_the_record_refuses_what_the_store_refuses(session, clock):
    with pytest.raises(InputError, match="not in the future"):
        session.record(Feed(at=clock.now + timedelta(days=1), vessel="Dab", feed="f", amount=1))


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
    from rackview.ui.vessel.history_plot import apart

    assert apart([0.2, 0.5], 0.1, 0.0, 1.0) == [0.2, 0.5]
    assert apart([0.2, 0.21, 0.22], 0.1, 0.0, 1.0) == pytest.approx([0.2, 0.3, 0.4])
    assert apart([0.0], 0.1, 0.07, 1.0) == [0.07]
    assert apart([0.9, 0.97, 0.98], 0.1, 0.0, 0.95) == pytest.approx([0.75, 0.85, 0.95])


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
