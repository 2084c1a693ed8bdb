"""A vessel's page: the card, the panel beside its history, and what an action would lead to."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from rackview.core.events import Clean, Count, Feed, Harvest, Note, Reading, Rest, Restart, Return, Split, TopUp
from rackview.ui.forms.futures import futures
from rackview.ui.forms.moves import NEW
from rackview.ui.vessel.screen import RANGES
from tests.ui.vessel_page import of, put


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
