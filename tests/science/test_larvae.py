"""Prey for larvae, their ages and their calendar."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.core.profile import group_from, groups, mapping_of
from rackview.science import larvae


@given(st.floats(1, 500), st.floats(0, 30), st.floats(0, 30))
def test_a_tank_is_filled_to_its_target_and_never_emptied(litres, target, left):
    added = larvae.animals_to_add(litres, target, left)
    assert added / (litres * 1000) + left == pytest.approx(max(target, left), abs=1e-9)


@given(st.floats(5, 500), st.floats(5, 20), st.integers(0, 500), st.floats(10, 300), st.integers(1, 8))
def test_in_balance_a_day_takes_what_the_larvae_eat(litres, target, count, eaten, feeds):
    """A tank filled to its target at every feed has lost one feed's share of the appetite by the next morning."""
    appetite = count * eaten
    left = target - appetite / feeds / (litres * 1000)
    if left < 0:
        return
    needed = larvae.prey_per_day(litres, target, left, count, eaten, feeds)
    assert needed == pytest.approx(appetite, rel=1e-6, abs=1e-3)


@given(st.floats(6, 12.9), st.floats(0.01, 0.1))
def test_appetite_rises_with_age_and_stays_under_the_upper_figure(age, older):
    assert larvae.eaten_per_larva(age + older) > larvae.eaten_per_larva(age)
    assert larvae.eaten_per_larva(age) < larvae.RATIONS["upper figure"].value[0] / 6


@given(st.floats(1, 1e5), st.floats(0.5, 1), st.floats(0.5, 40))
def test_survival_inverts(hatched, survival, days):
    alive = larvae.larvae_alive(hatched, survival, days)
    assert larvae.survival_per_day(alive / hatched, days) == pytest.approx(survival, rel=1e-6)


@given(st.floats(24, 27.9), st.floats(0.01, 0.1))
def test_eggs_of_anemonefish_hatch_no_later_when_warmer(temperature, warmer):
    assert larvae.embryo_days(temperature + warmer) <= larvae.embryo_days(temperature)


@given(st.floats(0, 1e8), st.floats(1, 500))
def test_larvae_for_a_supply(animals, eaten):
    assert larvae.larvae_for(animals, eaten) * eaten == pytest.approx(animals)


@pytest.mark.parametrize(
    ("group", "day", "prey"),
    [
        ("anemonefish", 0, {"rotifers"}),
        ("anemonefish", 5, {"rotifers", "Artemia nauplii", "dry diet"}),
        ("anemonefish", 8, {"Artemia nauplii", "dry diet"}),
        ("anemonefish", 60, set()),
        # Treece & Davis 2000, SRAC Publication 701: rotifers on days 3 to 11, Artemia on 11 to 21
        ("red drum", 2, set()),
        ("red drum", 11, {"rotifers", "Artemia nauplii"}),
        ("red drum", 21, {"Artemia nauplii"}),
    ],
)
def test_the_calendar_says_what_is_fed_on_a_day(group, day, prey):
    assert {f.prey for f in larvae.prey_on(group, day)} == prey


def test_every_calendar_entry_has_a_source_and_sensible_days():
    for group in larvae.CALENDAR:
        for feeding in larvae.calendar(group):
            assert 0 <= feeding.first_day < feeding.last_day <= 60
            assert len(feeding.source) > 10
            assert feeding.per_ml is None or 0 < feeding.per_ml[0] <= feeding.per_ml[1] <= 30


@pytest.mark.parametrize(
    ("prey", "mouth", "word"),
    [
        (144, 400, "good"),  # turbot, 0.36 of mouth height: Cunha & Planas, Aquaculture 175:103-110
        (95, 169.7, "possible"),  # malabar grouper on rotifers 91 to 100 wide, 0.54 to 0.59
        (99, 110, "doubtful"),  # 0.90, the largest seen: dusky grouper, citing Glamuzina et al. 1998
        (120, 110, "too large"),
        (20, 110, "small"),
        (25, 100, "good"),
        (40, 100, "good"),
        (60, 100, "possible"),
    ],
)
def test_a_prey_fits_by_its_ratio(prey, mouth, word):
    assert larvae.prey_fits(prey, mouth) == word


@given(st.floats(1e3, 1e9), st.floats(1, 1000), st.floats(0.01, 1), st.floats(0.5, 0.999))
def test_larvae_supported_is_a_quantile_of_scipy(animals, eaten, scatter, chance):
    from scipy.stats import lognorm

    supply = lognorm.ppf(1 - chance, scatter, scale=animals)
    assert larvae.larvae_supported(animals, eaten, scatter, chance) == pytest.approx(supply / eaten, rel=1e-6)
    assert larvae.larvae_supported(animals, eaten, 0.0, chance) == pytest.approx(larvae.larvae_for(animals, eaten))


def test_appetite_is_that_of_the_age_and_not_of_the_first_feed():
    """62 rotifers a larva and day on day 6 after hatching, 301 on day 13: summer flounder, University of Rhode
    Island."""
    for group in groups().values():

        def eaten(age, group=group):
            return group.eaten_per_larva * math.exp(group.eaten_growth_per_day * (age - group.eaten_at_day))

        assert eaten(6) == pytest.approx(larvae.eaten_per_larva(6)) == 62
        assert eaten(13) == pytest.approx(301, abs=0.2)
        assert eaten(7) == pytest.approx(larvae.eaten_per_larva(7), rel=1e-3)
        assert eaten(group.first_day) < 62


def test_a_group_written_with_the_old_name_of_the_appetite_is_read():
    table = mapping_of(groups()["anemonefish"])
    del table["eaten_at_day"]
    table["eaten_first_day"] = table.pop("eaten_per_larva")
    found = group_from("mine", table)
    assert (found.eaten_per_larva, found.eaten_at_day) == (62, 6)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: larvae.animals_to_add(0, 8), "tank_l: found “0”, but needs a number above 0 and at most 1000000 L"),
        (lambda: larvae.animals_to_add(40, -1), "target_per_ml: found “-1”"),
        (
            lambda: larvae.prey_per_day(40, 8, feeds_per_day=0),
            "feeds_per_day: found “0”, but needs a number from 1 to 48",
        ),
        (lambda: larvae.eaten_per_larva(5), "age_days: found “5”, but needs a number from 6 to 13 days after hatching"),
        (lambda: larvae.eaten_per_larva(10, "guess"), "by: found “guess”"),
        (lambda: larvae.embryo_days(23), "temperature_c: found “23”, but needs a number from 24 to 28 degC"),
        (lambda: larvae.larvae_alive(100, 1.1, 3), "survival_per_day: found “1.1”"),
        (lambda: larvae.calendar("sharks"), "group: found “sharks”, but needs one of anemonefish"),
        (lambda: larvae.prey_on("anemonefish", 2.5), "day: found “2.5”, but needs a whole number from 0 to 365 days"),
        (lambda: larvae.rotifers_per_larva(7, float("nan")), "eaten_per_day: found “nan”"),
    ],
)
def test_bad_larvae_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
