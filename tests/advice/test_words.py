"""The sentences: short, in the keeper's units, one for a tile."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from rackview import advise, assess
from rackview.advice.words import suggestions as words
from rackview.advice.words.suggestions import Speech, figures, million, tile_sentence
from rackview.core.assessment import Suggestion
from rackview.core.tables import Settings
from rackview.rules.catalogue.table import RULES

AT = datetime(2026, 3, 8, 9, tzinfo=UTC)
LONGEST = 110
NEAR_MARKS = {"Harvest 6.5 L": "harvest", "Feed 4 mL": "feed"}


def suggestion(action, text, code=""):
    return Suggestion("A", action, None, None, None, 3, AT, "why", (), 1.0, code=code, text=text)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ([("harvest", "Harvest 6.5 L"), ("feed", "Feed 4 mL")], "Harvest 6.5 L, feed 4 mL"),
        ([("feed", "Feed 4 mL"), ("clean", "Rinse floss")], "Rinse floss, feed 4 mL"),
        (
            [("split", "Split 7 L into A4"), ("feed", "Feed 4 mL"), ("clean", "Rinse floss")],
            "Split 7 L into A4, rinse floss",
        ),
        ([("count", "Count again"), ("hold", "Do not harvest")], "Count again, do not harvest"),
        ([("hold", "Do not harvest"), ("feed", "Feed 1 mL")], "Do not harvest, feed 1 mL"),
        ([("restart", "Restart with 6 L from A1")], "Restart with 6 L from A1"),
        ([("test", "Test the water")], "Test the water"),
        ([], "Nothing due"),
    ],
)
def test_one_sentence_for_a_tile(given, sentence):
    assert tile_sentence([suggestion(a, t) for a, t in given]) == sentence


def test_a_tile_without_suggestions_says_what_the_vessel_is(build, at):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 200.0), "B": ("rotifer-L", "1", 2, 20.0, None)})
    for kind, sentence in (("rest", "Resting"), ("return", "Ready to take a split")):
        rack = rack.record({"at": at(7, 10 if kind == "rest" else 20), "vessel": "B", "kind": kind})
        assert tile_sentence([], assess(rack, "B", at(7, 30))) == sentence
    assert tile_sentence([], assess(rack, "A", at(7, 30))) == "Nothing due"


def test_a_young_vessel_is_left_to_grow(build, at):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, [60.0, 75.0, 90.0, 110.0])}, days=4)
    now = at(3, 60)
    found = [s for s in advise(rack, now) if s.action == "feed"]
    assert tile_sentence(found, assess(rack, "A", now)).startswith("Leave to grow, feed")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"),
        (5.23, "5.2"),
        (212, "210"),
        (0.284, "0.28"),
        (12.5, "12"),
        (1e-4, "0.0001"),
        (99.6, "100"),
        (9.6, "9.6"),
        (9.96, "10"),
    ],
)
def test_no_more_figures_than_a_count_supports(value, text):
    assert figures(value) == text


def test_animals_in_trade_words():
    assert million(1_130_000) == "1.1 million"
    assert million(560_000) == "560 thousand"
    assert million(120) == "120"


def test_volumes_and_temperatures_in_the_keepers_units():
    gallons = Speech(Settings(volume_unit="US gal", temperature_unit="degF"))
    assert gallons.volume(3.785411784) == "1 US gal"
    assert gallons.temperature(25.0) == "77 °F"
    assert gallons.temperature(3.0, step=True) == "5 °F"
    assert Speech().volume(5.2) == "5.2 L"
    assert Speech(Settings(volume_unit="mL")).volume(0.5) == "500 mL"


def test_the_keepers_units_change_words_and_never_amounts(three, at):
    from dataclasses import replace

    american = three.with_settings(replace(three.settings, volume_unit="US gal"))
    plain, other = advise(three, at(7, 60.0)), advise(american, at(7, 60.0))
    assert [s.amount for s in plain] == [s.amount for s in other]
    assert any("US gal" in s.text for s in other)
    assert not any("gal" in s.text for s in plain)


def test_every_alarm_has_its_words():
    rack_wide = {"common", "no_reserve", "one_place"}
    alarms = {r.code for r in RULES if r.severity is not None}
    why_a_restart = {"age"}
    assert alarms | why_a_restart == set(words.FLAG_WORDS) | rack_wide


def test_sentences_are_short(three, at, count):
    sick = three.record(count(at(7, 20), "B", 60.0, ciliates="many", swimming=2, tint=4))
    for s in advise(sick, at(7, 60.0)):
        assert len(s.text) <= 40, s.text
        assert len(s.why) <= LONGEST + 40, s.why
        assert s.text[0].isupper()
        assert s.why.endswith(".")
    for name in sick.vessels:
        for flag in assess(sick, name, at(7, 60.0)).flags:
            assert len(flag.text) <= LONGEST, flag.text
            assert len(flag.short) <= 17, flag.short


def test_cautions_stand_where_the_hazard_is(three, at):
    found = advise(three, at(7, 60.0))
    for s in found:
        joined = " ".join(s.cautions)
        if s.action in {"harvest", "clean", "count"}:
            assert "gloves" in joined
        if s.action == "clean":
            assert "heaters" in joined
        if s.action == "harvest":
            assert "same salinity" in joined
    bleach = words.CAUTIONS["bleach"]
    for word in ("label", "acid", "ammonia", "gloves", "zero chlorine"):
        assert word in bleach
    assert "is safe" not in " ".join(words.CAUTIONS.values())


def test_a_crash_that_recovered_is_told_by_what_is_there_now():
    speech = Speech(Settings(), {})
    low, back, unknown = (words.flag("crash", {"per_ml": n, "limit": 20.0}, speech) for n in (8.0, 45.0, None))
    assert low == unknown == "Crashed: under 20 /mL. Restart it from a clean vessel."
    assert back == "Was under 20 /mL, now near 45 /mL. Restart it, or decline this flag."
