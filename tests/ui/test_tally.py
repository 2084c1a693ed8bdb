"""Counting by key: what each key adds, how it is taken back, what is advised, and how it reaches the round."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from rackview.ui.tally.model import ANIMAL, CARRYING, CILIATE, NEXT, Square, Tally
from rackview.ui.tally.page import TallyPage
from rackview.ui.theme import DARK, LIGHT

KEYS = (ANIMAL, CARRYING, CILIATE, NEXT)


def pressed(*keys: str) -> Tally:
    made = Tally()
    for key in keys:
        made.press(key)
    return made


@given(st.lists(st.sampled_from(KEYS)))
def test_every_key_counts_once_and_the_last_one_can_be_taken_back(keys):
    made = pressed(*keys)
    assert sum(made.tallies) == keys.count(ANIMAL) + keys.count(CARRYING)
    assert made.with_eggs == keys.count(CARRYING)
    assert sum(s.ciliates for s in made.whole()) == keys.count(CILIATE)
    assert len(made.squares) == keys.count(NEXT)
    if keys:
        assert made.undo()
        before = pressed(*keys[:-1])
        assert (made.squares, made.current) == (before.squares, before.current)


def test_an_empty_square_counts_if_it_was_closed_and_not_if_it_was_not():
    assert pressed(ANIMAL, NEXT, NEXT).tallies == (1, 0)
    assert pressed(ANIMAL, NEXT).tallies == (1,)
    assert not Tally().undo()
    with pytest.raises(ValueError, match="no key"):
        Tally().press("rotifer")


@pytest.mark.parametrize(("seen", "word"), [(0, "none"), (1, "some"), (9, "some"), (10, "many")])
def test_ciliates_in_the_words_of_the_round(seen, word):
    assert pressed(*[CILIATE] * seen).ciliates == word


def test_advice_on_squares_and_dilution():
    """12 to 20 animals in a square, three squares at least: common practice, no source."""
    few = Tally()
    few.squares = (Square(15), Square(14))
    assert "1 more" in few.advice()
    few.squares = (Square(15), Square(14), Square(16))
    assert "Enough" in few.advice()
    few.squares = (Square(3),)
    assert "larger aliquot" in few.advice()
    assert "dilute less" in few.advice(dilution=5.0)
    few.squares = (Square(80),)
    assert "about 5-fold" in few.advice()
    assert "about 20-fold" in few.advice(dilution=5.0)
    few.squares = ()
    few.current = Square(45)
    assert "Finish this square" in few.advice()


@pytest.fixture
def page(qtbot):
    made = TallyPage(LIGHT)
    qtbot.addWidget(made)
    made.resize(900, 560)
    made.begin("A1 Brill", 1.0)
    made.show()
    return made


def test_keys_at_the_microscope(qtbot, page):
    for key in (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_J, Qt.Key.Key_F, Qt.Key.Key_3, Qt.Key.Key_0, Qt.Key.Key_1):
        qtbot.keyClick(page, key)
    assert (page.tally.squares, page.tally.current) == ((Square(4, 2, 1),), Square(1))
    qtbot.keyClick(page, Qt.Key.Key_Minus)
    qtbot.keyClick(page, Qt.Key.Key_Backspace)
    assert page.tally.current == Square(4, 2, 1), "a square that was closed is open again"
    with qtbot.waitSignal(page.finished):
        qtbot.keyClick(page, Qt.Key.Key_Return)
    with qtbot.waitSignal(page.left):
        qtbot.keyClick(page, Qt.Key.Key_Escape)


def test_enter_on_nothing_takes_nothing_over(qtbot, page):
    with qtbot.assertNotEmitted(page.finished):
        qtbot.keyClick(page, Qt.Key.Key_Return)


def test_a_tick_of_sound_only_if_asked_for(qtbot, page, monkeypatch):
    beeps = []
    monkeypatch.setattr(QApplication, "beep", lambda: beeps.append(1))
    qtbot.keyClick(page, Qt.Key.Key_1)
    assert not beeps
    qtbot.keyClick(page, Qt.Key.Key_S)
    before = len(beeps)
    qtbot.keyClick(page, Qt.Key.Key_1)
    assert len(beeps) == before + 1


@pytest.mark.parametrize("size", [(640, 380), (900, 560), (1600, 900)])
@pytest.mark.parametrize("look", [LIGHT, DARK])
def test_it_draws_at_every_size(qtbot, page, size, look):
    page.set_theme(look)
    page.resize(*size)
    for _ in range(23):
        page.tally.press(ANIMAL)
        page.tally.press(NEXT)
    assert not page.grab().isNull()
