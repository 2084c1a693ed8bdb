"""Stock, larvae and records: rows shown, added, changed, removed, refused, and how long a feed lasts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from rackview.advice.feeding.stock import lasting
from rackview.core.assessment import Interval, Plan, PlanDay
from rackview.core.events import Feed
from rackview.core.tables import Brood, Demand, Stock
from rackview.ui.larvae.days_ahead import DaysAhead
from rackview.ui.larvae.screen import LarvaeScreen, brood_days
from rackview.ui.records.screen import RecordsScreen
from rackview.ui.settings.screen import SettingsScreen
from rackview.ui.stock.screen import StockScreen
from rackview.ui.theme import DARK, LIGHT

TODAY = date(2026, 5, 14)


def shown(qtbot, kind, session):
    screen = kind(session, LIGHT)
    qtbot.addWidget(screen)
    screen.refresh()
    session.subscribe(screen.refresh)
    return screen


def put(form, **texts):
    for column, text in texts.items():
        form.input(column).setText(text)


def test_what_is_left_is_what_was_not_fed_since_opening(session, clock):
    session.put_stock(Stock("algae concentrate", amount=100.0, opened=TODAY - timedelta(days=3), delivery_days=2))
    found = next(f for f in lasting(session.rack, clock.now) if f.stock.feed == "algae concentrate")
    fed_since = [e for e in session.rack.events() if isinstance(e, Feed) and e.at.date() >= TODAY - timedelta(days=3)]
    assert found.left == pytest.approx(100 - sum(f.amount for f in fed_since))
    fed = [e for e in session.rack.events() if isinstance(e, Feed)]
    assert found.a_day == pytest.approx(sum(f.amount for f in fed) / 5)
    assert found.until == TODAY + timedelta(days=int(found.left / found.a_day))
    assert found.order_by == found.until - timedelta(days=3)


def test_a_feed_that_spoils_first_ends_on_its_date(session, clock):
    session.put_stock(Stock("algae concentrate", amount=1e5, expires=TODAY + timedelta(days=4), delivery_days=1))
    found = next(f for f in lasting(session.rack, clock.now) if f.stock.feed == "algae concentrate")
    assert found.spoils
    assert found.until == TODAY + timedelta(days=4)


def test_the_end_is_as_unsure_as_use_differs_from_day_to_day(session, clock):
    """By simulation: days drawn anew from those of the record empty the bottle within the interval 9 times in 10."""
    vessel = next(iter(session.rack.vessels))
    amounts = [4.0, 9.0, 6.0, 12.0, 5.0, 8.0, 3.0, 11.0, 7.0, 6.0, 9.0, 4.0, 10.0, 6.0]
    session.put_stock(Stock("test algae", amount=300.0, opened=TODAY - timedelta(days=20), delivery_days=2))
    for n, amount in enumerate(amounts):
        at = clock.now - timedelta(days=n, hours=1)
        session.record(
            {"at": at, "vessel": vessel, "kind": "feed", "feed": "test algae", "amount": amount, "unit": "mL"}
        )
    found = next(f for f in lasting(session.rack, clock.now) if f.stock.feed == "test algae")
    assert found.soonest < found.until < found.latest
    rng, inside = np.random.default_rng(3), 0
    for _ in range(400):
        seen = rng.choice(amounts, len(amounts))  # the days that we happened to see
        rate, left = rng.choice(amounts, 300), found.left * seen.mean() / np.mean(amounts)
        lasted = int(np.searchsorted(np.cumsum(rate), left))
        inside += (found.soonest - TODAY).days <= lasted <= (found.latest - TODAY).days + 1
    assert 0.84 <= inside / 400 <= 0.99


def test_a_feed_never_given_has_no_end(session, clock):
    found = next(f for f in lasting(session.rack, clock.now) if f.stock.feed == "dried algae")
    assert (found.a_day, found.until, found.order_by) == (None, None, None)


def test_a_change_half_typed_is_there_again_unless_the_row_changed_meanwhile(qtbot, session):
    screen = shown(qtbot, StockScreen, session)
    screen.page.table.selectRow(0)
    screen.page.change()
    feed = screen.page.chosen().feed
    put(screen.page.form, amount="77x")
    screen.page.save()
    screen.page.close_form()
    screen.page.change()
    assert screen.page.form.input("amount").text() == "77x"
    screen.page.close_form()
    session.put_stock(replace(next(s for s in session.rack.stock if s.feed == feed), amount=12.0))
    screen.page.table.selectRow([line.record.feed for line in screen.page.model.lines].index(feed))
    screen.page.change()
    assert screen.page.form.input("amount").text() == "12"


def test_settings_half_typed_are_there_again(qtbot, session):
    screen = SettingsScreen(session)
    qtbot.addWidget(screen)
    put(screen.form, name="South shed", count_precision="lots")
    screen.save()
    again = SettingsScreen(session)
    qtbot.addWidget(again)
    assert again.form.input("count_precision").text() == "lots"
    again.form.submit()
    assert "lots" in again.form.error_of("count_precision")
    put(again.form, count_precision="0,3")
    again.form.submit()
    assert (session.rack.settings.name, session.rack.settings.count_precision) == ("South shed", 0.3)
    assert session.draft("settings") is None


def test_stock_is_added_changed_and_removed(qtbot, session):
    screen = shown(qtbot, StockScreen, session)
    screen.page.add()
    put(screen.page.form, feed="yeast", amount="-4")
    screen.page.form.submit()
    assert "an amount from 0 to 1000000" in screen.page.form.error_of("amount")
    assert screen.page.form.input("feed").text() == "yeast"
    put(screen.page.form, amount="4,5")
    screen.page.form.submit()
    assert next(s for s in session.rack.stock if s.feed == "yeast").amount == 4.5
    row = [line.record.feed for line in screen.page.model.lines].index("yeast")
    screen.page.table.selectRow(row)
    screen.page.change()
    put(screen.page.form, opened="2026-05-99")
    screen.page.form.submit()
    assert "a day such as" in screen.page.form.error_of("opened")
    put(screen.page.form, opened="2026-05-01")
    screen.page.form.submit()
    screen.page.table.selectRow(row)
    screen.page.remove()
    assert "yeast" not in [s.feed for s in session.rack.stock]
    session.undo()
    assert "yeast" in [s.feed for s in session.rack.stock]


def test_a_second_feed_of_the_same_name_is_refused(qtbot, session):
    screen = shown(qtbot, StockScreen, session)
    screen.page.add()
    put(screen.page.form, feed="dried algae")
    screen.page.form.submit()
    assert "no feed has yet" in screen.page.form.error_of("feed")


def test_a_brood_shows_in_the_days_ahead(qtbot, session):
    screen = shown(qtbot, LarvaeScreen, session)
    assert screen.ahead.accessibleName() == "No larvae to feed."
    screen.broods.add()
    form = screen.broods.form
    put(form, brood="Amber 1", hatched="2026-05-10", tank_l="60", larvae="300")
    form.input("group").setCurrentIndex(form.input("group").findData("anemonefish"))
    form.submit()
    assert session.rack.broods == (Brood("Amber 1", "anemonefish", hatched=date(2026, 5, 10), tank_l=60, larvae=300),)
    assert "rotifer" in screen.ahead.accessibleName()
    assert screen.broods.model.lines[0].cells[1] == "4 dph"
    screen.set_theme(DARK)
    screen.resize(1000, 600)
    assert not screen.grab().isNull()


def test_a_brood_without_a_day_is_refused_and_kept(qtbot, session):
    screen = shown(qtbot, LarvaeScreen, session)
    screen.broods.add()
    put(screen.broods.form, brood="Amber 1")
    screen.broods.form.submit()
    assert "the day of spawning or of hatching" in screen.broods.form.error_of("hatched")
    screen.save()
    screen.broods.close_form()
    screen.broods.add()
    assert screen.broods.form.input("brood").text() == "Amber 1"


def test_the_keepers_own_word_is_taken_and_taken_back(qtbot, session):
    screen = shown(qtbot, LarvaeScreen, session)
    screen.demand.add()
    form = screen.demand.form
    put(form, date="2026-05-16", animals="2000000")
    form.input("strain").setCurrentIndex(form.input("strain").findData("rotifer-L"))
    form.submit()
    assert session.rack.demand == (Demand(date(2026, 5, 16), "rotifer-L", 2e6),)
    assert screen.demand.model.lines[0].cells[2] == "2.0 million"
    screen.demand.table.selectRow(0)
    screen.demand.remove()
    assert session.rack.demand == ()


def test_records_are_filtered_corrected_and_taken_back(qtbot, session):
    screen = shown(qtbot, RecordsScreen, session)
    whole = screen.events.model.rowCount()
    screen.vessel.setCurrentIndex(screen.vessel.findData("Dab"))
    screen.kind.setCurrentIndex(screen.kind.findData("feed"))
    screen.refresh()
    assert screen.events.model.rowCount() == 5 < whole
    screen.events.table.selectRow(0)
    chosen = screen.events.chosen()
    screen._correct(chosen)
    put(screen.panel.form, amount="9")
    screen.panel.form.submit()
    assert [e.amount for e in session.rack.events() if e.replaces == chosen.id] == [9]
    screen.events.table.selectRow(0)
    screen._withdraw(screen.events.chosen())
    assert screen.events.model.rowCount() == 4


def test_a_store_that_can_only_be_read_lets_nothing_be_changed(qtbot, session):
    session.read_only = "It can only be read."
    screen = shown(qtbot, RecordsScreen, session)
    screen.events.table.selectRow(0)
    assert not screen.events._correct.isEnabled()
    stock = shown(qtbot, StockScreen, session)
    stock.page.table.selectRow(0)
    assert not stock.page._change.isEnabled()
    assert not stock.page._add.isEnabled()


def active(awake, screen):
    screen.resize(1000, 640)
    awake(screen)
    return screen


def test_keys_act_on_a_row_that_is_seen_to_be_chosen(qtbot, awake, session):
    screen = active(awake, shown(qtbot, RecordsScreen, session))
    table = screen.events.table
    assert screen.events.chosen() is None
    table.setFocus()
    assert table.selectionModel().hasSelection()
    assert screen.events._withdraw.isEnabled()
    newest = screen.events.chosen()
    qtbot.keyClick(table, Qt.Key.Key_Return)
    assert QApplication.focusWidget() is not table
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert QApplication.focusWidget() is table, "back where the keeper was"
    assert screen.events.chosen() == newest


def test_the_keyboard_goes_back_to_the_rows_and_the_chosen_row_stays(qtbot, awake, session):
    screen = active(awake, shown(qtbot, StockScreen, session))
    page = screen.page
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_Down)
    chosen = page.chosen()
    qtbot.keyClick(page.table, Qt.Key.Key_Return)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert QApplication.focusWidget() is page.table
    page.load([replace(page.model.lines[0], record=Stock("new feed")), *page.model.lines])
    assert page.chosen() == chosen, "another window put a row above it"


def test_the_notes_of_the_plan_are_shown_whole_and_call_strains_as_the_screens_do(qtbot, session):
    screen = shown(qtbot, LarvaeScreen, session)
    assert screen.notes.isHidden()
    for n in range(3):
        session.put_brood(Brood(f"Amber {n}", "anemonefish", hatched=TODAY, tank_l=3000, larvae=90000))
    notes = session.plan(session.larvae_days()).notes
    assert any(note.startswith("rotifer-L: ") for note in notes)
    assert not screen.notes.isHidden()
    told = screen.notes.accessibleName()
    assert told == " ".join(note.replace("rotifer-L", "L rotifer") for note in notes)


def test_a_table_without_rows_stands_together_at_the_top(qtbot, session):
    screen = shown(qtbot, LarvaeScreen, session)
    screen.resize(1280, 760)
    screen.show()
    qtbot.waitExposed(screen)
    page = screen.broods
    far = page._add.mapTo(page, page._add.rect().topLeft()).y()
    assert far < 120
    session.put_brood(Brood("Amber 1", "anemonefish", hatched=TODAY, tank_l=60, larvae=300))
    qtbot.waitUntil(lambda: page._add.mapTo(page, page._add.rect().topLeft()).y() > page.height() - 60)


def test_broods_stand_as_bands_over_the_days_they_eat(qtbot, session):
    session.put_brood(Brood("Amber 1", "anemonefish", hatched=TODAY - timedelta(days=2), tank_l=60, larvae=300), "")
    session.put_brood(Brood("Amber 2", "anemonefish", spawned=TODAY, tank_l=60, larvae=300), "")
    session.put_brood(Brood("Old", "anemonefish", hatched=TODAY - timedelta(days=60), tank_l=60, larvae=300), "")
    group = session.rack.groups["anemonefish"]
    first, second, _ = brood_days(session.rack)
    assert (first.first - TODAY).days == group.first_day - 2
    assert (first.last - TODAY).days == group.last_day - 2
    assert first.sure
    assert not second.sure
    assert (second.first - TODAY).days == round(group.hatch_days) + group.first_day
    screen = shown(qtbot, LarvaeScreen, session)
    assert [b.brood for b in screen.ahead._bands["rotifer-L"]] == ["Amber 1", "Amber 2"], "the weaned one is over"


def test_a_day_that_may_fall_short_shows_a_gap_in_colour(qtbot, session):
    day = PlanDay(TODAY, "rotifer-L", 2e6, Interval(1.5e6, 1.0e6, 2.2e6), 0.6)
    calm = replace(day, demand=0.8e6, chance_short=0.01)
    made = DaysAhead(LIGHT)
    qtbot.addWidget(made)
    made.resize(700, 200)

    def reddish(*days: PlanDay) -> int:
        made.show_plan(Plan(days), {})
        picture = made.grab().toImage()
        found = (picture.pixelColor(x, y) for x in range(140, 690, 3) for y in range(40, made.height(), 3))
        return sum(c.red() > c.green() + 40 for c in found)

    assert reddish(day, calm) > 40
    assert reddish(calm, calm) == 0
    assert "chance of a shortfall about 2 in 3" in (made.show_plan(Plan((day,)), {}), made.accessibleName())[1]


def test_a_standing_need_is_added_changed_and_taken_back(qtbot, session):
    screen = shown(qtbot, LarvaeScreen, session)
    screen.standing.add()
    form = screen.standing.form
    put(form, animals_per_day="many")
    form.submit()
    assert "who eats what is spare" in form.error_of("consumer")
    put(form, consumer="older fish")
    form.submit()
    assert "above 0" in form.error_of("animals_per_day")
    assert form.typed()["consumer"] == "older fish", "what was typed stays"
    put(form, animals_per_day="400000")
    form.submit()
    assert [s.animals_per_day for s in session.rack.standing] == [4e5]
    assert screen.standing.model.lines[0].cells[0] == "older fish"
    session.undo()
    assert session.rack.standing == ()


def test_a_tank_is_noted_for_today_and_the_broods_appetite_follows(qtbot, session):
    screen = shown(qtbot, LarvaeScreen, session)
    session.put_brood(Brood("Amber 1", "anemonefish", hatched=TODAY - timedelta(days=4), tank_l=60, larvae=300))
    screen.refresh()
    assert screen.broods.model.lines[0].cells[4] == ""
    screen.tanks.add()
    form = screen.tanks.form
    put(form, tank="Amber 1")
    form.submit()
    assert "what was left per mL" in form.error_of("left_per_ml")
    put(form, left_per_ml="6")
    form.submit()
    (noted,) = session.rack.tanks
    assert (noted.date, noted.left_per_ml) == (TODAY, 6.0)
    assert screen.broods.model.lines[0].cells[4].startswith("× 0.")
    screen.tanks.table.selectRow(0)
    screen.tanks.remove()
    assert session.rack.tanks == ()
    session.undo()
    assert session.rack.tanks == (noted,)


def test_algae_dosed_into_a_tank_run_the_bottle_down(qtbot, session):
    session.put_stock(Stock("algae concentrate", amount=400.0, opened=TODAY - timedelta(days=3)))
    before = lasting(session.rack, session.now())[0].left
    screen = shown(qtbot, LarvaeScreen, session)
    screen.tanks.add()
    put(screen.tanks.form, tank="Amber 1", feed=session.rack.stock[0].feed)
    screen.tanks.form.submit()
    assert "an amount above 0" in screen.tanks.form.error_of("amount")
    put(screen.tanks.form, amount="20")
    screen.tanks.form.submit()
    assert lasting(session.rack, session.now())[0].left == pytest.approx(before - 20.0)


@pytest.mark.parametrize(
    ("table", "typed", "said"),
    [
        ("tanks", {"tank": "one", "left_per_ml": "2", "date": "2027-01-01"}, "not in the future"),
        ("tanks", {"left_per_ml": "2"}, "the brood or the tank"),
        ("standing", {"consumer": "larvae"}, "another name"),
        ("standing", {"consumer": "old fish", "worth": "-1"}, "a worth from 0"),
    ],
)
def test_what_can_t_be_is_said_at_its_field(qtbot, session, table, typed, said):
    page = getattr(shown(qtbot, LarvaeScreen, session), table)
    page.add()
    put(page.form, **typed)
    page.form.submit()
    assert any(said in page.form.error_of(column) for column in page.form.typed())
    assert session.rack.tanks == session.rack.standing == ()
