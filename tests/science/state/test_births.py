"""Births and losses: what eggs on females say, tallied or not, and how sure that is."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.profile import strains
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science import development, fecundity
from rackview.science.state.estimate import Estimate, estimate

START = datetime(2026, 1, 1, 8, tzinfo=UTC)


def believed(kind: str, eggs: list[tuple[int, int, int | None]], animals: int = 200) -> Estimate:
    """The estimate after daily counts of a vessel with (females with eggs, females checked, eggs tallied)."""
    looks = [
        ev.Count(
            at=START + timedelta(days=n),
            vessel="A",
            tallies=(animals,) * 3,
            aliquot_ml=1.0,
            with_eggs=carrying,
            females_checked=checked,
            eggs=tallied,
        )
        for n, (carrying, checked, tallied) in enumerate(eggs)
    ]
    rack = Rack.build([Vessel("A", kind, "A", 1, 20.0)], looks)
    return estimate(rack.log("A"), strains()[kind], day_number(START + timedelta(days=len(eggs) - 1)))


def test_births_count_eggs_and_not_the_females_that_carry_them():
    """Paloheimo 1974, Limnol. Oceanogr. 19:692-694 is in eggs per female: a share of 0.7 alone would be 0.88 a day."""
    found = believed("rotifer-L", [(70, 100, 210)])
    assert found.ovigerous_share == pytest.approx(0.7)
    days = development.egg_days(25, "Brachionus plicatilis")
    assert found.birth_per_day.median == pytest.approx(math.log(1 + 2.1) / days)
    assert found.loss_per_day.median == pytest.approx(found.birth_per_day.median - found.net_per_day.median)


def test_a_share_stands_for_eggs_by_a_stated_clutch_whose_doubt_is_told():
    alone, tallied = (believed("rotifer-L", [(40, 100, eggs)]) for eggs in (None, 60))
    assert fecundity.ROTIFER_CLUTCH.value * 40 == 60, "so both believe the same number of eggs"
    assert alone.birth_per_day.median == pytest.approx(tallied.birth_per_day.median)
    days = development.egg_days(25, "Brachionus plicatilis")
    for clutch in (1.0, 3.0):
        births = math.log(1 + 0.4 * clutch) / days
        assert alone.birth_per_day.low90 < births < alone.birth_per_day.high90, f"{clutch} eggs each are possible"
    low, high = (
        (s.birth_per_day.high90 - s.birth_per_day.low90, s.loss_per_day.high90 - s.loss_per_day.low90)
        for s in (tallied, alone)
    )
    assert high[0] > 1.3 * low[0]
    assert high[1] > 1.1 * low[1], "the doubt is one of the losses too"


@pytest.mark.parametrize(("share", "low", "high"), [(0.70, 0.5, 1.2), (0.10, 0.13, 0.5), (0.20, 0.13, 0.5)])
def test_the_stated_clutch_brings_the_shares_of_one_study_into_the_egg_ratios_of_another(share, low, high):
    """Growing and stationary: females with eggs in Yoshinaga et al. 2001, eggs per female in Snell et al. 1987."""
    assert low <= fecundity.egg_ratio_from_share(share, fecundity.ROTIFER_CLUTCH.value) <= high


def test_eggs_of_copepods_say_nothing_of_births_per_animal():
    """Of the animals counted the nauplii are most, and how many are females nobody counts: losses are by life span."""
    found = believed("copepod-benthic", [(16, 40, 240)], 20)
    assert found.loss_per_day.median == pytest.approx(max(1 / 20, -found.net_per_day.median))
    assert found.birth_per_day.median == pytest.approx(found.net_per_day.median + found.loss_per_day.median)


def test_a_look_without_a_tally_ends_what_older_tallies_said():
    """The eggs that a female carries fell from 5 to 1 within five days: Yoshinaga et al. 2001."""
    tallied = [(30, 100, 90), (30, 100, 90)]
    days = development.egg_days(25, "Brachionus plicatilis")
    assert believed("rotifer-L", tallied).birth_per_day.median == pytest.approx(math.log(1 + 0.9) / days)
    after = believed("rotifer-L", [*tallied, (30, 100, None)])
    assert after.birth_per_day.median == pytest.approx(math.log(1 + 0.3 * 1.5) / days)


def test_older_tallies_fade():
    rising = believed("rotifer-L", [(30, 100, 30), (30, 100, 90)])
    days = development.egg_days(25, "Brachionus plicatilis")
    eggs = math.expm1(rising.birth_per_day.median * days)
    assert 0.3 * 2.1 < eggs < 0.3 * 2.3, "nearer to the newest three than to the one of yesterday"


LOOKS = st.integers(0, 60).flatmap(
    lambda n: st.tuples(st.just(n), st.just(60), st.none() | (st.integers(n, 9999) if n else st.just(0)))
)


@settings(max_examples=40)
@given(st.lists(LOOKS, min_size=1, max_size=5))
def test_any_tally_gives_births_that_are_ordered_and_finite(looks):
    found = believed("rotifer-S", looks)
    for span in (found.birth_per_day, found.loss_per_day):
        assert 0.0 <= span.low90 <= span.median <= span.high90 < 20.0
