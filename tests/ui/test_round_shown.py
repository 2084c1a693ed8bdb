"""What a round shows while it is typed: density, words told whole, type that can be read, sizes and names."""

from __future__ import annotations

from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QLabel, QLineEdit, QWidget

from rackview.core.events import Count
from rackview.ui.round.fields.field import Field
from rackview.ui.round.fields.hint_line import Hint, HintLine
from rackview.ui.round.reckoning import Reckoned, Reckoning
from rackview.ui.theme import DARK, LIGHT, fonts
from tests.ui.rounds import press, today


def test_the_round_says_when_more_counting_changes_nothing(qtbot, session, opened):
    screen = opened(session)
    expected = screen.entry.assessment.density_per_ml.median / 7.0
    press(qtbot, f"{expected:.0f}\n")
    qtbot.waitUntil(lambda: screen.entry.counting is not None and screen.entry.counting.code == "more")
    assert screen.count.reckoning.shown.verdict.endswith("one more aliquot is worth its minute")
    press(qtbot, f"{expected:.0f}\n")
    qtbot.waitUntil(lambda: screen.entry.counting.code == "enough")
    assert "; enough: " in screen.count.reckoning.shown.verdict


def test_the_density_appears_while_typing(qtbot, session, opened):
    screen = opened(session, "Dab")
    assert screen.count.reckoning.shown.number == ""
    press(qtbot, "31\n28")
    assert screen.count.reckoning.shown.number == "210"
    assert "from 59 animals" in screen.count.reckoning.shown.detail
    press(qtbot, "\n30\n")
    assert "as expected" in screen.count.reckoning.shown.verdict
    assert "±20 %" in screen.count.reckoning.shown.verdict
    assert "210 per mL" in screen.count.reckoning.accessibleName()


def test_targets_are_large_and_every_field_has_a_name(qtbot, session, opened):
    screen = opened(session, "Dab")
    for field in screen.findChildren(Field):
        if field.isVisible():
            assert field.height() >= 44
            assert field.width() >= 44
            told = QAccessible.queryAccessibleInterface(field.line)
            assert told.text(QAccessible.Text.Name)
    assert screen.do.button.height() >= 44


def test_it_fits_and_takes_the_other_theme(qtbot, session, opened):
    screen = opened(session, "Goby")
    screen.count.by_stage.click()
    qtbot.waitUntil(lambda: screen.layout().minimumSize().height() <= 680)
    assert screen.layout().minimumSize().width() <= 1280
    screen.set_theme(DARK)
    assert all(f.theme is DARK for f in screen.findChildren(Field))
    assert all(isinstance(f.line, QLineEdit) for f in screen.findChildren(Field))


def test_a_minute_that_passes_leaves_the_tallies_by_stage(qtbot, session, clock, opened):
    screen = opened(session, "Goby")
    screen.count.by_stage.click()
    screen.refresh()
    press(qtbot, "31")
    screen.refresh()
    assert screen.entry.stages == ("nauplii", "copepodites", "adults")
    screen.record()
    assert [(c.stage, c.tallies) for c in today(session, clock, Count)] == [("nauplii", (31,))]


def test_a_small_window_keeps_type_that_can_be_read(qtbot, session, opened):
    screen = opened(session, "Dab")
    screen.resize(1024, 580)
    assert screen._scale < 0.85
    labels = [w for w in screen.findChildren(QLabel) if w.isVisible()]
    assert min(w.font().pixelSize() for w in labels) == fonts.LEAST
    qtbot.waitUntil(lambda: screen.layout().minimumSize().height() <= 580)


def test_the_words_beneath_a_field_never_move_it_and_are_told_whole_elsewhere(qtbot):
    host = QWidget()
    qtbot.addWidget(host)
    line = HintLine(LIGHT, host, lines=2)
    line.resize(150, 20)
    text = "green algae concentrate, 0.33 g a million, and much more besides"
    line.show_hints((Hint(host, "green"),))
    low = line.height()
    line.show_hints((Hint(host, text),))
    assert line.height() == low
    assert line.accessibleName() == line.toolTip() == text
    assert [len(lines) for _, lines, _ in line.set_out()] == [2]
    line.show_hints((Hint(host, text), Hint(host, "wrong", wrong=True)))
    assert [lines for _, lines, _ in line.set_out()] == [["wrong"]], "what is wrong pushes the rest aside"


def test_a_count_not_whole_yet_is_not_called_nothing_to_record(qtbot, session, opened):
    screen = opened(session, "Goby")
    screen.count.by_stage.click()
    press(qtbot, "31\n33\n")
    screen.count.fields["adults.0"].line.setFocus()
    press(qtbot, "4")
    assert screen.entry.kinds() == []
    assert screen.do._key.text() == "+ key: record"


def test_a_long_verdict_is_told_whole(qtbot):
    host = QWidget()
    qtbot.addWidget(host)
    made = Reckoning(LIGHT, host)
    made.resize(420, made.height())
    made.show_reckoned(Reckoned("200", "160–250 from 90 animals", "as expected"))
    high = made.height()
    verdict = "lower than expected: count again; kept, and believed meanwhile"
    made.show_reckoned(Reckoned("200", "160–250 from 90 animals", verdict, odd=True))
    assert " ".join(made._words()[1]) == verdict
    assert made.height() == high, "and moves nothing below"
