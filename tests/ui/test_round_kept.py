"""What was typed in a round is kept: drafted, taken back by undo, past a full disk, and never changed by advice."""

from __future__ import annotations

from PySide6.QtCore import Qt

from rackview.core.events import Count, Feed
from rackview.services.faults import StoreError
from rackview.ui.round.drafts import form
from tests.ui.rounds import press, today


def test_what_the_keeper_typed_is_not_changed_by_advice(qtbot, session, opened):
    screen = opened(session, "Brill")
    screen.do.fields["harvest"].line.setFocus()
    press(qtbot, "3")
    screen.count.fields["all.0"].line.setFocus()
    press(qtbot, "2\n1\n2\n")
    qtbot.waitUntil(lambda: not screen.thinking.waits)
    assert screen.do.fields["harvest"].text() == "3"


def test_escape_restores_the_field_and_then_leaves_with_the_draft_kept(qtbot, session, opened):
    screen = opened(session, "Dab")
    press(qtbot, "31\n")
    press(qtbot, [Qt.Key.Key_Up, Qt.Key.Key_Left])
    press(qtbot, "99")
    press(qtbot, [Qt.Key.Key_Escape])
    assert screen.count.fields["all.0"].text() == "31"
    with qtbot.waitSignal(screen.leave):
        press(qtbot, [Qt.Key.Key_Escape])
    assert session.draft(form("Dab"))["typed"]["all.0"] == "31"


def test_the_draft_survives_a_closed_store(qtbot, session, session_at, opened):
    screen = opened(session, "Dab")
    press(qtbot, "31\n2.5\n")
    screen.close()
    session.close()
    again = session_at()
    screen = opened(again, "Dab")
    assert [screen.count.fields[f"all.{n}"].text() for n in range(2)] == ["31", "2.5"]
    assert [s.drafted for s in screen.order if s.vessel == "Dab"] == [True]
    assert today(again, again._clock, Count) == []


def test_the_round_opens_where_something_was_begun_wherever_that_stands_on_the_way(qtbot, session, session_at, opened):
    last = opened(session, None).order[-1].vessel
    screen = opened(session, last)
    press(qtbot, "31\n")
    screen.close()
    session.close()
    again = session_at()
    screen = opened(again, None)
    assert screen.order[0].vessel != last
    assert screen.entry.vessel == last
    assert screen.count.fields["all.0"].text() == "31"


def test_a_draft_is_saved_a_moment_after_the_key(qtbot, session, opened):
    screen = opened(session, "Dab")
    press(qtbot, "31")
    assert screen.entry.draft()
    qtbot.waitUntil(lambda: session.draft(form("Dab")) is not None)
    assert session.draft(form("Dab"))["typed"] == {"all.0": "31"}


def test_minus_takes_the_record_back_with_all_that_was_typed(qtbot, session, clock, opened):
    screen = opened(session, "Dab")
    press(qtbot, "31\n28\n30\n\n14\n")
    press(qtbot, "+")
    assert len(today(session, clock, Count)) == 1
    press(qtbot, "-")
    assert today(session, clock, Count) == []
    assert screen.entry.vessel == "Dab"
    assert screen.entry.tallies("all") == ["31", "28", "30"]
    assert screen.count.fields["with_eggs"].text() == "14"
    press(qtbot, "+")
    assert [c.with_eggs for c in today(session, clock, Count)] == [14]


def test_undo_in_the_menu_brings_what_was_typed_back_too(qtbot, session, clock, opened):
    screen = opened(session, "Dab")
    session.subscribe(screen.refresh)
    press(qtbot, "31\n28\n")
    press(qtbot, "+")
    assert session.draft(form("Dab")) is None
    session.undo()
    assert today(session, clock, Count) == []
    assert session.draft(form("Dab"))["typed"]["all.1"] == "28"
    assert [s.drafted for s in screen.order if s.vessel == "Dab"] == [True]


def test_what_was_taken_back_never_replaces_what_was_typed_since(qtbot, session, opened):
    screen = opened(session, "Dab")
    press(qtbot, "31\n28\n")
    press(qtbot, "+")
    screen.go("Dab")
    press(qtbot, "44\n")
    screen.go("Brill")
    assert session.draft(form("Dab"))["typed"]["all.0"] == "44"
    session.undo()
    assert screen._drafts.bring_back() == "Dab"
    assert session.draft(form("Dab"))["typed"]["all.0"] == "44"


def test_a_full_disk_is_said_and_what_was_typed_stays(qtbot, session, opened, monkeypatch):
    screen = opened(session, "Dab")
    sentence = "The disk is full, so nothing was written; free some space and save again."

    def full(**_: object) -> None:
        raise StoreError("full", sentence)

    monkeypatch.setattr(session, "take", full)
    press(qtbot, "31\n28\n")
    press(qtbot, "+")
    assert screen.page.saved.text() == sentence
    assert screen.entry.tallies("all") == ["31", "28"]
    monkeypatch.undo()
    press(qtbot, "+")
    assert screen.entry is None or screen.entry.vessel != "Dab"


def test_a_store_that_can_only_be_read_says_so(qtbot, session, opened):
    session.read_only = "The store can only be read, so nothing can be recorded."
    screen = opened(session, "Dab")
    assert screen.page.saved.text() == session.read_only
    assert not screen.do.button.isEnabled()


def test_another_entry_leaves_what_is_typed(qtbot, session, clock, opened):
    screen = opened(session, "Dab")
    press(qtbot, "31\n28")
    change = session.record(Feed(at=clock.now, vessel="Brill", feed="algae concentrate", amount=2), "elsewhere")
    screen.refresh(change)
    assert screen.entry.tallies("all") == ["31", "28"]
    assert screen.count.fields["all.1"].text() == "28"
