"""Development times, life tables, births from eggs."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.core.profile import strains
from rackview.science import development

EGGS, DAYS = st.floats(0, 3), st.floats(0.1, 5)


@given(st.floats(15, 24.9), st.floats(0.01, 0.1), st.sampled_from(["Brachionus plicatilis", "planktonic rotifers"]))
def test_eggs_hatch_sooner_when_it_is_warmer(temperature, warmer, animal):
    assert development.egg_days(temperature + warmer, animal) < development.egg_days(temperature, animal)


@given(st.floats(15, 25))
def test_pooled_rotifers_stay_near_the_handbook_table(temperature):
    """Within 14 % at the table's own temperatures, and hardly more between them."""
    pooled = development.egg_days(temperature, "planktonic rotifers")
    assert pooled == pytest.approx(development.egg_days(temperature), rel=0.17)


@given(st.floats(15, 25))
def test_eggs_of_the_unread_acartia_hatch_between_those_of_its_kin(temperature):
    """Acartia erythraea, pacifica and spinicauda: Yoshida et al. 2012, Zool. Stud. 51:644-654."""
    kin = [development.egg_days(temperature, f"Acartia {one}") for one in ("erythraea", "pacifica", "spinicauda")]
    assert min(kin) < development.egg_days(temperature, "Acartia tonsa") < max(kin)


@given(st.floats(5, 30), st.floats(1, 1000), st.floats(-5, 4))
def test_belehradek_scales_with_its_factor(temperature, a, alpha):
    days = development.belehradek(temperature, a, alpha)
    assert days == pytest.approx(a * development.belehradek(temperature, 1, alpha), rel=1e-12)
    assert development.belehradek(temperature + 1, a, alpha) < days


def test_what_the_handbook_says_twice_is_kept_twice():
    assert development.life_days(25) == (7.0, 7.0)
    assert development.life_days(25, by="text") == (3.4, 4.4)
    assert {"table", "text", "cohort"} == set(development.LIFE_DAYS)
    assert development.ZERO_GROWTH_EGGS["Snell"].value < development.ZERO_GROWTH_EGGS["rule of thumb"].value


@given(EGGS, DAYS)
def test_birth_rates_meet_at_one_day_and_part_by_their_sources(eggs, days):
    paloheimo = development.birth_rate(eggs, days)
    edmondson = development.birth_rate(eggs, days, "Edmondson")
    assert development.birth_rate(eggs, 1) == pytest.approx(development.birth_rate(eggs, 1, "Edmondson"))
    if eggs > 0.01 and abs(days - 1) > 0.01:
        assert (edmondson < paloheimo) == (days < 1)


@given(EGGS, DAYS)
def test_egg_ratio_inverts_and_days_cancel(eggs, days):
    rate = development.birth_rate(eggs, days)
    if rate <= 5:
        assert development.egg_ratio_for(rate, days) == pytest.approx(eggs, abs=1e-9)
    assert development.birth_rate(eggs, 2 * days) == pytest.approx(rate / 2)


@given(st.floats(0, 2), st.floats(-2, 2))
def test_loss_and_finite_birth(birth, net):
    assert development.loss_rate(birth, net) + net == pytest.approx(birth)
    # births over a day at rate b to a population growing as exp(r t), by the trapezoid rule
    times = np.linspace(0, 1, 2001)
    expected = np.trapezoid(birth * np.exp(net * times), times)
    assert development.finite_birth_rate(birth, net) == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_finite_birth_rate_of_arrays_and_at_rest():
    assert development.finite_birth_rate(np.array([0.5, 0.2]), np.array([0.0, 0.0])).tolist() == [0.5, 0.2]
    assert development.birth_rate(np.array([0.0, 1.0]), 1.0) == pytest.approx([0, math.log(2)])


@pytest.mark.parametrize(
    ("ratio", "band"),
    [
        (0, "falling"),
        (0.1299, "falling"),
        (0.13, "stationary"),
        (0.4999, "stationary"),
        (0.5, "growing"),
        (1.2, "growing"),
        (1.3, "above"),
    ],
)
def test_egg_bands_of_snell(ratio, band):
    assert development.egg_band(ratio) == band


def test_the_keeper_may_move_the_egg_bands():
    assert development.egg_band(0.18) == "stationary"
    assert development.egg_band(0.18, edges=(0.2, 0.5, 1.2)) == "falling"


@given(st.lists(st.floats(0.01, 8), min_size=1, max_size=12), st.floats(0.6, 0.99))
def test_euler_lotka_solves_its_equation(births, survival):
    ages = [0.5 + x for x in range(len(births))]
    alive = [survival**x for x in ages]
    r = development.euler_lotka(ages, alive, births)
    assert sum(lx * mx * math.exp(-r * x) for x, lx, mx in zip(ages, alive, births, strict=True)) == pytest.approx(1)
    r0 = development.net_reproduction(alive, births)
    assert (r > 0) == (r0 > 1) or abs(r0 - 1) < 1e-9


def test_euler_lotka_of_one_brood_is_ln_of_it_over_its_age():
    assert development.euler_lotka([4.0], [1.0], [8.0]) == pytest.approx(math.log(8) / 4)
    assert development.generation_days(8.0, math.log(8) / 4) == pytest.approx(4)


def test_euler_lotka_against_a_root_of_scipy():
    from scipy.optimize import brentq

    ages, alive, births = [1.5, 2.5, 3.5, 4.5, 5.5], [1, 0.95, 0.8, 0.5, 0.1], [0, 3.2, 4.1, 2.5, 0.4]
    root = brentq(
        lambda r: sum(a * b * math.exp(-r * x) for x, a, b in zip(ages, alive, births, strict=True)) - 1,
        -5,
        5,
        xtol=1e-14,
    )
    assert development.euler_lotka(ages, alive, births) == pytest.approx(root, rel=1e-9)


@given(st.floats(0.1, 3), st.floats(10, 30), st.floats(0.5, 9), st.floats(1.1, 4))
def test_q10_inverts(rate, cold, warmer, factor):
    warm = development.rate_at(rate, cold, cold + warmer, factor)
    assert development.q10(rate, warm, cold, cold + warmer) == pytest.approx(factor, rel=1e-9)
    assert development.rate_at(warm, cold + warmer, cold, factor) == pytest.approx(rate, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: development.egg_days(26),
            "temperature_c: found “26”, but needs a number from 15 to 25 degC, where Brach",
        ),
        (lambda: development.egg_days(14.9, "planktonic rotifers"), "from 15 to 28 degC"),
        (lambda: development.egg_days(30, "Acartia tonsa"), "from 10 to 25 degC, where Acartia tonsa was measured"),
        (lambda: development.egg_days(20, "Mytilus"), "animal: found “Mytilus”, but needs one of Brachionus"),
        (lambda: development.life_days(20, "text"), "temperature_c: found “20”, but needs a number from 25 to 25 degC"),
        (lambda: development.from_table("colour", 20), "quantity: found “colour”"),
        (
            lambda: development.belehradek(3, 100, 5),
            "temperature_c: found “3”, but needs a number above 5 and at most 100 degC, where the least is alpha",
        ),
        (
            lambda: development.birth_rate(-0.1, 1),
            "egg_ratio: found “-0.1”, but needs a number from 0 to 20 eggs per fem",
        ),
        (lambda: development.birth_rate(0.5, 0), "egg_days: found “0”"),
        (lambda: development.birth_rate(0.5, 1, "guess"), "method: found “guess”"),
        (lambda: development.generation_days(10, -0.2), "rate: found “-0.2”"),
        (lambda: development.euler_lotka([1, 2], [1], [1]), "ages: found “2 values”"),
        (lambda: development.euler_lotka([1], [1], [0]), "births: found “none”"),
        (lambda: development.net_reproduction([1, 0.5], [1]), "one for each of the 2 ages"),
        (lambda: development.net_reproduction([1.5], [1]), "survival: found “1.5”"),
        (lambda: development.sum_of_stages([]), "days: found nothing"),
        (lambda: development.egg_band(0.2, (0.5, 0.13, 1.2)), "three rising egg ratios"),
        (lambda: development.q10(1, 2, 20, 20), "a temperature other than the first"),
        (lambda: development.rate_at(1, 10, 25, 2), "within 10 degC of 10"),
        (lambda: development.rate_by_rule(0.5, "mine"), "by: found “mine”, but needs one of Snell, rule of thumb"),
    ],
)
def test_bad_development_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_the_profiles_take_the_published_egg_bands():
    profile = strains()["rotifer-L"]
    assert (profile.eggs_falling, profile.eggs_growing, profile.eggs_high) == development.BANDS


def test_growth_in_weight_of_acartia():
    """Leandro, Tiselius & Queiroga 2006, Mar. Biol. 150:121-129: Q10 3.66 and 3.12; 0.185 and 0.880 at 10 and 22
    degC."""
    for stage, q10 in (("nauplii", 3.66), ("copepodites", 3.12)):
        cool, warm = (development.weight_growth(t, stage) for t in (10, 20))
        assert development.q10(cool, warm, 10, 20) == pytest.approx(q10, abs=0.015)
    assert development.weight_growth(10) == pytest.approx(0.185, rel=0.04)
    assert development.weight_growth(22) == pytest.approx(0.880, rel=0.04)
    with pytest.raises(InputError, match="stage: found “eggs”"):
        development.weight_growth(15, "eggs")
