"""One table of cautions: each hazard reaches the tasks at which it can hurt, and nothing is said twice."""

from __future__ import annotations

import re

import pytest

from rackview.advice.api import advise
from rackview.advice.words.cautions import CAUTIONS, GENERAL, TASKS, TITLES, cautions, cautions_page, general
from rackview.advice.words.suggestions import SETTLED
from rackview.services.printout import advice_lines

HAZARDS = {
    # what hurts: words that must be said, and the tasks at which they are; common practice, no source, but for
    # residual-current devices (IEC 61140) and the data sheets of hypochlorite, iodine and formaldehyde
    "mains near water": (("at the wall", "on again", "residual-current device", "drip loop"), ("clean", "restart")),
    "siphoning back": (("non-return valve",), ("clean airline", "")),
    "bleach": (("label", "acid", "ammonia", "ventilate", "gloves", "eye protection", "zero chlorine"), ("restart",)),
    "reagents": (("off skin", "label", "collect"), ("test",)),
    "fixatives": (("Iodine", "formaldehyde", "cancer", "waste", "data sheet"), ("fixed",)),
    "tap water": (("chlorine or chloramine", "test for zero"), ("top_up", "restart", "new water")),
    "salt": (("Dissolve salt whole", "5 a step"), ("new water",)),
    "release": (
        ("open water", "siphon, rinse or discard", "local rules"),
        ("discard", "clean", "restart", "rest"),
    ),
    "rinsing": (("Rinse the harvest", "larvae"), ("to larvae",)),
    "lifting": (("siphon a large vessel",), ("split", "restart", "rest")),
    "wet floor": (("slippery",), ("",)),
    "glass": (("cracks",), ("clean vessel", "restart")),
    "dust": (("lungs", "mask"), ("dry feed",)),
    "cuts": (
        ("marine bacteria", "gloves", "Wash hands"),
        ("harvest", "split", "restart", "clean", "top_up", "count", ""),
    ),
    "shock": (("same salinity and temperature",), ("harvest", "split")),
}


@pytest.mark.parametrize("hazard", HAZARDS)
def test_each_hazard_is_said_at_its_tasks(hazard):
    words, tasks = HAZARDS[hazard]
    for task in tasks:
        said = [c for c in (cautions([task]) if task else general()) if all(w in c for w in words)]
        assert len(said) == 1, (hazard, task)


def test_every_task_has_a_title_and_every_caution_a_place():
    assert set(TASKS) == set(TITLES)
    used = {code for codes in TASKS.values() for code in codes} | set(GENERAL)
    asked = {"own_tools", "doubted", "guess", "expired", "return", "fill_up", "reserve_last"}
    assert set(CAUTIONS) == used | asked


def test_no_caution_calls_anything_safe_and_labels_come_first():
    assert not [c for c in CAUTIONS.values() if re.search(r"\bis safe|are safe\b", c)]
    assert cautions_page().index("Labels, local rules and licensed practice come first") < cautions_page().index("* ")


def test_the_safety_page_says_each_once_and_names_its_tasks():
    for code in {code for codes in TASKS.values() for code in codes} | set(GENERAL):
        assert cautions_page().count(CAUTIONS[code]) == 1, code
    assert re.search(r"\*\*.*restarting.*\.\*\* Disinfect", cautions_page(), re.IGNORECASE)


def test_several_tasks_together_say_nothing_twice():
    found = cautions([*TASKS, *TASKS])
    assert len(found) == len(set(found))
    assert CAUTIONS["gloves"] == found[0]
    assert not set(cautions(TASKS, said=general())) & set(general())


TASK_OF = {
    "harvest": "harvest",
    "split": "split",
    "restart": "restart",
    "clean": "clean",
    "count": "count",
    "test": "test",
}


def test_suggestions_take_theirs_from_the_table(three, at, count):
    rack = three.record({**count(at(7, 5), "B", 6.0), "swimming": 1}, {"at": at(7, 6), "vessel": "C", "kind": "feed",
                        "feed": "dust", "amount": 2.0, "unit": "g"})  # fmt: skip
    own = set(CAUTIONS.values())
    for day in (7, 8, 10):
        found = advise(rack, at(day, 60))
        assert found
        for one in found:
            assert len(one.cautions) == len(set(one.cautions)), one
            task = TASK_OF.get(one.action)
            if task:
                assert set(cautions([task])) <= set(one.cautions), one
            others = set(one.cautions) - own
            assert all(
                re.match("|".join(s.split("{")[0] for s in (*SETTLED.values(), CAUTIONS["fill_up"])), c) for c in others
            )


def test_the_printed_advice_says_nothing_twice(three, at):
    said = "\n".join(advice_lines(advise(three, at(7, 60)), three, at(7, 60)))
    flat = re.sub(r"\s+", " ", said)
    for text in CAUTIONS.values():
        assert flat.count(text) <= 1, text
