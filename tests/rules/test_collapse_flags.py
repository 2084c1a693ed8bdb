"""One flag for a fall to come: raised on its chance, named by the cause, worded as how often it came."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rackview.advice.words.speech import Speech, chance_text
from rackview.advice.words.suggestions import flag
from rackview.core.assessment import Severity
from rackview.rules.catalogue.counts import FALL_CLEAR, FALL_RAISE, FALL_TODAY
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.flags import collapse as collapse_flags
from rackview.rules.flags.vessel import flags
from rackview.science.risk.causes import CAUSES, SHIFTS
from rackview.science.risk.model import Taught
from rackview.science.risk.record import Risk

WELL = {"with_eggs": 18, "females_checked": 60, "swimming": 4, "ciliates": "none"}
ILL = {"with_eggs": 1, "females_checked": 60, "swimming": 2, "ciliates": "none"}


def season(count, *last, days=12):
    return [
        *(count(float(k), **WELL) for k in range(days)),
        *(count(float(days + k), **one) for k, one in enumerate(last)),
    ]


def test_a_culture_that_is_well_raises_nothing(vessel_view, count):
    view = vessel_view(season(count), day=11.1)
    assert collapse_flags.collapse(view) is None
    assert view.risk.chance < 0.05
    assert view.risk.hazard_per_day < view.risk.chance


def test_few_eggs_and_slow_swimming_together_raise_one_flag(vessel_view, count):
    view = vessel_view(season(count, ILL), day=12.1)
    found = collapse_flags.collapse(view)
    assert found.code in {"early", "swimming", "eggs_low"}
    assert found.chance == view.risk.chance >= FALL_RAISE
    assert [f.code for f in flags(view) if f.code in collapse_flags.CODES] == [found.code]
    assert found.since == view.care.counts[-1].day
    assert view.care.counts[-1].id in found.events


@pytest.mark.parametrize("one", [{**WELL, "with_eggs": 10}, {**WELL, "swimming": 3}])
def test_one_sign_a_little_off_raises_nothing(vessel_view, count, one):
    assert collapse_flags.collapse(vessel_view(season(count, one), day=12.1)) is None


def test_few_eggs_are_no_sickness_where_they_are_usual(vessel_view, count):
    poor = [count(float(k), **{**WELL, "with_eggs": 9}) for k in range(20)]
    assert collapse_flags.collapse(vessel_view(poor, day=19.1)) is None
    habit = vessel_view(poor, day=19.1).risk.usual_eggs
    assert habit == pytest.approx(9.5 / 60.5, abs=0.05)


def test_a_feeding_left_out_explains_few_eggs(vessel_view, count, monkeypatch):
    fed = [{"day": k + 0.1, "kind": "feed", "feed": "algae", "amount": 5.0} for k in range(10)]
    view = vessel_view([*season(count, ILL), *fed], day=12.1)
    monkeypatch.setattr(collapse_flags, "_named", lambda said: "eggs_low")
    assert collapse_flags.collapse(view) is None
    meanwhile = [{"day": k + 0.1, "kind": "feed", "feed": "algae", "amount": 5.0} for k in (10, 11)]
    assert collapse_flags.collapse(vessel_view([*season(count, ILL), *fed, *meanwhile], day=12.1)) is not None


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ({"eggs": 2.0, "swimming": 1.9}, "early"),
        ({"eggs": 2.0, "swimming": 0.5}, "eggs_low"),
        ({"eggs": 0.5, "swimming": 2.0}, "swimming"),
        ({"eggs": 0.5, "swimming": 0.4, "count": 2.0}, "falling"),
        ({"eggs": 2.0, "swimming": 0.5, "crowded": 1.21}, "dense"),
        ({"eggs": 2.0, "swimming": 0.5, "crowded": 1.19}, "eggs_low"),
        ({"eggs": 2.0, "ciliates": 1.5, "crowded": 1.3}, "ciliates"),
        ({"eggs": 1.0, "ammonia": 0.9}, "ammonia"),
        ({"eggs": -1.0, "swimming": -0.5, "count": -2.0, "crowded": 0.1}, "dense"),
    ],
)
def test_a_cause_is_named_in_place_of_its_signs(said, code):
    assert collapse_flags._named(said) == code


def raised(view, chance):
    known = Risk(chance, view.risk.numbers, view.taught, 0.3, 11.0, 2.0)
    ill = replace(view)
    ill.__dict__["risk"] = known
    return collapse_flags.collapse(ill)


def test_severity_follows_the_chance_and_the_flag_goes_when_it_has_passed(vessel_view, count):
    view = vessel_view(season(count, ILL), day=12.1)
    assert raised(view, FALL_TODAY - 0.01).severity is Severity.week
    assert raised(view, FALL_TODAY).severity is Severity.today
    assert raised(view, FALL_CLEAR + 0.01) is not None
    assert raised(view, FALL_CLEAR) is None


def test_a_flag_keeps_its_name_and_its_first_day_while_it_stands(vessel_view, count):
    more = {**ILL, "swimming": 4}
    first = collapse_flags.collapse(vessel_view(season(count, ILL), day=12.1))
    then = collapse_flags.collapse(vessel_view(season(count, ILL, more), day=13.1))
    assert then is not None
    assert (then.code, then.since) == (first.code, first.since)


def test_what_ciliates_stand_beside_a_fall_to_come_are_named_as_its_cause(vessel_view, count):
    view = vessel_view(season(count, {**ILL, "ciliates": "many"}), day=12.1)
    found = [f for f in flags(view) if f.code in collapse_flags.CODES]
    assert [f.code for f in found] == ["ciliates"]
    assert found[0].chance == view.risk.chance
    assert found[0].values["many"]


def test_the_words_say_how_often_such_mornings_were_followed_by_a_fall():
    values = {"share": 0.05, "usual": 0.3, "odds": 0.24, "mornings": 11.0, "falls": 2.2}
    said = flag("eggs_low", values, Speech())
    assert said == (
        "Only 5 % carry eggs where 30 % are usual."
        " Chance of a fall within three days: about 1 in 4 (here after 2 of 11 such mornings)."
        " Serve it last, count again."
    )
    assert "(here after 2 of 11 such mornings, on other racks about 1 in 10)." in flag(
        "eggs_low", {**values, "elsewhere": 0.1}, Speech()
    )
    assert "(here" not in flag("eggs_low", {**values, "mornings": 4.0}, Speech())
    assert "Chance" not in flag("swimming", {"score": 1}, Speech())


@pytest.mark.parametrize(
    ("chance", "text"),
    [
        (0.001, "under 1 in 100"), (0.01, "about 1 in 100"), (0.03, "about 1 in 35"),
        (0.05, "about 1 in 20"), (0.125, "about 1 in 8"),
        (0.3, "about 1 in 3"), (0.5, "about half"), (0.67, "about 2 in 3"), (0.8, "about 3 in 4"),
        (0.9, "about 9 in 10"), (0.97, "about 9 in 10"), (0.99, "nearly certain"),
    ],
)  # fmt: skip
def test_a_chance_as_people_say_it(chance, text):
    assert chance_text(chance) == text


def test_what_other_vessels_taught_moves_the_chance(vessel_view, count):
    view = vessel_view(season(count, ILL), day=12.1)
    often = Taught(tuple(2.0 * k for k in range(len(CAUSES) * len(SHIFTS))))
    assert replace(view, taught=often).risk.chance != view.risk.chance


def test_every_code_of_a_fall_is_a_rule_with_a_band_that_clears():
    for code in collapse_flags.CODES:
        assert BY_CODE[code].raise_at == FALL_RAISE or code == "ammonia"
