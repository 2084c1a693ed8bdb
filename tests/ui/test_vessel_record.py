"""The record on a vessel's page: entries are listed, said in words, corrected and taken back."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt

from rackview.core.errors import InputError
from rackview.core.events import Count, Feed, Harvest, Note, Restart, Split, TopUp
from rackview.ui.records.event_list import EventModel, newest_first
from rackview.ui.words import event_words
from tests.ui.vessel_page import of, put


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
