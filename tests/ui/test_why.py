"""Why: from any suggestion to the counts behind it in two keys, with weights; what was learned, in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import QSize, Qt

from rackview.advice.record.grounds import Lessons, density_grounds, lessons
from rackview.core.assessment import Evidence, Interval
from rackview.core.events import DECLINABLE, Count
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.learned import Lesson, Scatter
from rackview.ui.picture import grab
from rackview.ui.theme import DARK
from rackview.ui.vessel import lesson_words
from rackview.ui.vessel.screen import VesselScreen
from rackview.ui.vessel.why import why_lines
from rackview.ui.window import MainWindow

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
MOMENTS = (NOW, NOW - timedelta(days=12))
"""Between them every kind of action is suggested on the demo rack."""


class Turned:
    """A clock that can be turned back."""

    now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture(scope="module")
def clock():
    return Turned()


@pytest.fixture(scope="module")
def demo(demo_at, clock):
    made = demo_at(clock)
    yield made
    made.close()


@pytest.fixture
def window(qtbot, demo, clock):
    made = MainWindow(demo, look="light")
    qtbot.addWidget(made)
    yield made
    clock.now = NOW


def test_from_every_kind_of_suggestion_to_its_counts_in_two_keys(qtbot, window, demo, clock):
    kinds = set()
    for clock.now in MOMENTS:
        window.go("rack")
        rail = window.screen_widget().rail
        window.screen_widget().work_out()
        for suggestion in demo.suggestions():
            if suggestion.action in kinds:
                continue
            kinds.add(suggestion.action)
            window.go("rack")
            told = [item.together or (item.suggestion,) for item in rail.model.items]
            row = next(n for n, those in enumerate(told) if suggestion in those)
            rail.view.setCurrentIndex(rail.model.index(row))
            qtbot.keyClick(rail.view, Qt.Key.Key_W)
            page = window.screen_widget()
            assert isinstance(page, VesselScreen), suggestion.action
            assert page._stack.currentWidget() is page.why
            shown = page.why.list.lines()
            counts = {e.id for e in demo.rack.events() if isinstance(e, Count)}
            behind = [line for line in shown if line.event in counts]
            assert behind, f"{suggestion.action} at {suggestion.vessel} leads to no count"
            assert any(line.weight is not None for line in shown), suggestion.action
            shown_ids = {line.event for line in shown}
            for fact in suggestion.evidence:
                assert set(fact.events) <= shown_ids, f"{suggestion.action}: {fact.text}"
    assert kinds == set(DECLINABLE)


def test_a_restart_tells_of_the_donor_too(window, demo, clock):
    clock.now = MOMENTS[1]
    restart = next(s for s in demo.suggestions() if s.action == "restart")
    window.go("vessel", restart.vessel)
    window.screen_widget().explain(restart)
    place = demo.rack.vessels[restart.other_vessel].place
    assert any(line.text.startswith(f"{place}: Counted") for line in window.screen_widget().why.list.lines())
    assert any(f"in {place} rests on" in line.text for line in window.screen_widget().why.list.lines())


def test_w_goes_from_reason_to_reason_and_esc_goes_back(qtbot, page):
    reasons = page.side.reasons()
    assert len(reasons) > 1
    for what in (*reasons, reasons[0]):
        qtbot.keyClick(page if page._stack.currentWidget() is page.side else page.why.list, Qt.Key.Key_W)
        assert page._explained is what
    qtbot.keyClick(page.why.list, Qt.Key.Key_Escape)
    assert page._stack.currentWidget() is page.side


def test_the_why_button_does_the_same(page):
    reason = next(w for w in page.side._list.children() if hasattr(w, "why_button"))
    reason.why_button.click()
    assert page._stack.currentWidget() is page.why
    assert page._explained is page.side.reasons()[0]


def test_a_line_leads_to_its_row_in_the_list(qtbot, session, page):
    page.explain(None)
    entries = [n for n, line in enumerate(page.why.list.lines()) if line.event]
    for n in entries:
        page.why.list.setCurrentRow(n)
        assert page.events.chosen().id == page.why.list.lines()[n].event
    page.why.list.setCurrentRow(entries[0])
    page.show()
    qtbot.keyClick(page.why.list, Qt.Key.Key_Return)
    assert page.focusWidget() is page.events.table


def test_a_line_of_another_vessel_opens_its_page(page, session):
    other = next(e for e in session.rack.events() if e.vessel == "Brill")
    page._to_entry(other.id, "Brill")
    assert page.vessel == "Brill"
    assert page.events.chosen().id == other.id


def test_the_weights_shown_are_those_of_the_estimate(session, clock):
    seen = session.assessments()["Dab"]
    shown = [line for line in why_lines(session.rack, seen, clock.now) if line.weight is not None]
    grounds = density_grounds(session.rack, "Dab", clock.now)
    told = {line.event: line.weight for line in shown if line.event}
    assert told == {s.event.id: s.weight for s in grounds.sources if s.event.id in told}
    assert len(told) >= 3
    assert sum(line.weight for line in shown) == pytest.approx(1.0, abs=0.03)
    assert shown[0].right == f"{100 * shown[0].weight:.0f} %"
    assert "weight" in shown[0].accessible


def test_a_fact_of_several_entries_lists_them_newest_first(session, clock):
    counts = [e for e in session.rack.events() if isinstance(e, Count) and e.vessel == "Dab"]
    what = session.suggestions()[0]
    what = replace(what, vessel="Dab", evidence=(Evidence("it grows", tuple(c.id for c in counts[-3:])),))
    shown = why_lines(session.rack, session.assessments()["Dab"], clock.now, what)
    assert [line.text for line in shown[:2]] == ["Shown by", "It grows."]
    assert [line.event for line in shown[2:5]] == [c.id for c in reversed(counts[-3:])]


def test_nothing_known_says_nothing_of_weights(session, clock):
    assert why_lines(session.rack, session.assessments()["Weever"], clock.now) == ()


def test_the_page_of_why_is_painted_in_both_looks(page):
    page.explain(page.side.reasons()[0])
    light = grab(page, QSize(1280, 680))
    page.set_theme(DARK)
    assert grab(page, QSize(1280, 680)) != light


# --- what was learned -----------------------------------------------------------------------------------------------


def told(session, vessel):
    found = lessons(session.rack, vessel, session.now())
    return "\n".join(lesson_words.sentences(found, session.rack.profile(vessel), session.rack.settings))


def test_a_well_counted_vessel_is_told_from_its_strain(demo):
    words = told(demo, "Limpet")
    assert "too few" not in words
    for part in ("Growth: 0.", "doubles in", "stops growing near", "beyond chance", "give ±20 %", "at its usual 24."):
        assert part in words
    assert lesson_words.from_counts(lessons(demo.rack, "Limpet", demo.now())) == "from 76 counts"


def test_a_new_vessel_is_not_given_numbers_it_has_not_earned():
    vessels = [Vessel("Brill", "rotifer-L", "A", 1, 20)]
    rack = Rack.build(vessels, [Count(at=NOW - timedelta(hours=1), vessel="Brill", tallies=(30, 31), dilution=7)])
    found = lessons(rack, "Brill", NOW)
    words = lesson_words.sentences(found, rack.profile("Brill"), rack.settings)
    assert all("too few" in sentence for sentence in words)
    assert len(words) == 3
    assert "usually grows by 0." in words[0]
    assert "near 450 /mL" in words[1]
    assert lesson_words.from_counts(found) == "from 1 count"


def test_never_counted_says_nothing():
    rack = Rack.build([Vessel("Brill", "rotifer-L", "A", 1, 20)])
    found = lessons(rack, "Brill", NOW)
    assert lesson_words.sentences(found, rack.profile("Brill"), rack.settings) == ()
    assert lesson_words.from_counts(found) == "never counted"


def test_the_page_shows_what_was_learned(page):
    learned = page.side._shown[-1]
    assert learned.counts == "from 5 counts"
    assert len(learned.sentences) == 3


def changed(found: Lessons, **parts) -> Lessons:
    return replace(found, learned=replace(found.learned, **parts))


def test_a_ceiling_that_may_be_anywhere_is_said_to_be_unsure(demo):
    found = lessons(demo.rack, "Limpet", NOW)
    profile, settings = demo.rack.profile("Limpet"), demo.rack.settings
    wide = Lesson(Interval(500, 200, 1200), Interval(450, 100, 2000), 0.7)
    assert "not sure yet, somewhere from 200 to 1200 /mL" in " ".join(
        lesson_words.sentences(changed(found, ceiling=wide), profile, settings)
    )


@pytest.mark.parametrize(
    ("scatter", "words"),
    [
        (Scatter(0.02, 0.14, 0.9), "no more than chance makes them"),
        (Scatter(0.3, 0.14, 0.9), "differ by 30 % beyond chance"),
        (Scatter(0.13, 0.14, 0.1), "too few repeated aliquots"),
    ],
)
def test_scatter_is_said_for_what_it_is(demo, scatter, words):
    found = changed(lessons(demo.rack, "Limpet", NOW), scatter=scatter)
    said = lesson_words.sentences(found, demo.rack.profile("Limpet"), demo.rack.settings)[-1]
    assert words in said


@pytest.mark.parametrize(
    ("rate", "words"),
    [
        (Interval(0.35, 0.3, 0.4), "doubles in 2.0 days (1.7 to 2.3)"),
        (Interval(0.1, -0.1, 0.3), "doubles in 6.9 days, 2.3 at best"),
        (Interval(-0.1, -0.2, 0.1), "it does not double"),
    ],
)
def test_doubling(rate, words):
    assert lesson_words.doubling(rate) == words
