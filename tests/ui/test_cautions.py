"""On no page and no sheet of paper does a caution stand twice; forms and suggestions say the same."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from rackview.advice.words.cautions import CAUTIONS, cautions, general
from rackview.core.events import Count
from rackview.ui.help.screen import page_text
from rackview.ui.paint.paper import Text
from rackview.ui.rack.day_list import day_list
from rackview.ui.round.screen import RoundScreen
from rackview.ui.round.sheet import round_sheet
from rackview.ui.theme import LIGHT
from rackview.ui.vessel.screen import VesselScreen

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
KNOWN = set(CAUTIONS.values())


@pytest.fixture(scope="module")
def demo(demo_at):
    made = demo_at(lambda: NOW)
    yield made
    made.close()


def once(lines) -> list[str]:
    """The lines, asserted to hold no caution twice."""
    found = list(lines)
    assert len(found) == len(set(found)), [line for line in found if found.count(line) > 1]
    return found


def texts(marked) -> list[str]:
    return [line.text for line in marked._lines]


def in_form(screen) -> list[str]:
    """The cautions of the open form: the gravest before its fields, the others after them."""
    return [*texts(screen.panel._gravest), *texts(screen.panel._cautions)]


def test_a_form_says_those_of_its_task_and_of_its_suggestion_once(qtbot, demo):
    screen = VesselScreen(demo, LIGHT)
    qtbot.addWidget(screen)
    begun = set()
    for one in demo.suggestions():
        kind = {"test": "reading"}.get(one.action, one.action)
        if kind == "hold":
            continue
        screen.open(one.vessel)
        screen.panel.begin(one.vessel, kind, one, from_draft=False)
        said = once(in_form(screen))
        assert set(one.cautions) <= set(said)
        begun.add(kind)
    assert {"harvest", "feed", "count"} <= begun


@pytest.mark.parametrize(
    ("kind", "task"),
    [("harvest", "discard"), ("clean", "clean"), ("split", "split"), ("restart", "restart"), ("top_up", "top_up"),
     ("reading", "test"), ("count", "count"), ("rest", "rest")],
)  # fmt: skip
def test_a_form_opened_by_hand_says_what_the_table_says(qtbot, demo, kind, task):
    screen = VesselScreen(demo, LIGHT)
    qtbot.addWidget(screen)
    screen.open("Limpet")
    screen.panel.begin("Limpet", kind, from_draft=False)
    said = once(in_form(screen))
    assert set(cautions([task])) <= set(said)


def test_what_goes_with_a_task_is_said_when_it_is_typed(qtbot, demo):
    screen = VesselScreen(demo, LIGHT)
    qtbot.addWidget(screen)
    screen.open("Limpet")
    screen.panel.begin("Limpet", "count", from_draft=False)
    assert CAUTIONS["fixative"] not in in_form(screen)
    screen.panel.form.fill({"fixative": 1.05})
    screen.panel.form.changed.emit()
    assert CAUTIONS["fixative"] in once(in_form(screen))
    screen.panel.begin("Limpet", "clean", from_draft=False)
    assert CAUTIONS["glass"] not in in_form(screen)
    screen.panel.form._put(next(a for a in screen.panel.form.asks if a.column == "what"), "vessel")
    screen.panel.form.changed.emit()
    assert CAUTIONS["glass"] in in_form(screen)


def test_a_correction_puts_no_hand_into_the_water(qtbot, demo):
    screen = VesselScreen(demo, LIGHT)
    qtbot.addWidget(screen)
    screen.open("Limpet")
    screen.panel.correct(next(e for e in demo.rack.events() if isinstance(e, Count) and e.vessel == "Limpet"))
    assert in_form(screen) == []


def test_the_round_says_the_general_ones_at_its_first_vessel_and_none_twice(qtbot, demo):
    screen = RoundScreen(demo, LIGHT)
    qtbot.addWidget(screen)
    screen.refresh()
    first = True
    for stop in screen.order:
        screen.open(stop.vessel)
        said = once(texts(screen.do._cautions))
        assert set(general()) <= set(said) or not first
        first = False


def test_a_sheet_of_paper_says_each_once(demo):
    said = [b.text.split("  ", 1)[-1] for b in round_sheet(demo).end if isinstance(b, Text)]
    found = [t for t in said if t in KNOWN]
    assert len(once(found)) > 2


def test_the_list_of_the_day_says_the_common_ones_once_and_the_rest_at_their_line(demo):
    shown = day_list(demo.rack, demo.suggestions(), demo.plan(1), NOW)
    assert shown.cautions
    for item in shown.items:
        once((*shown.cautions, *item.cautions))


def test_the_page_of_help_says_each_once():
    page = page_text("safety")
    assert all(page.count(text) <= 1 for text in KNOWN)
