"""The filter written out straight does the same operations on the same floats: the same to the last digit."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.science.state import forms, kernel, mixture, single
from rackview.science.state.carrier import SCALARS, Carrier, Value
from rackview.science.state.mixture import Fall, Mixture, Part
from rackview.science.state.model import MODEL, Model, paced
from rackview.science.state.straight import written
from rackview.science.state.tape import Tape, shape

MODELS = (MODEL, paced(0.12))
NUMBERS = st.floats(-900.0, 900.0)
SCALES = 0.2, 0.1, 0.4, 0.3
POSITIVE = st.floats(1e-6, 1e6)


def numbers(mix: Mixture) -> list[float]:
    return [*mix.fall, *itertools.chain.from_iterable(part_numbers(part) for part in mix.parts)]


def part_numbers(part: Part) -> list[float]:
    return [*part.m, *itertools.chain.from_iterable(part.p), *part[2:]]


def departures(signs: int) -> st.SearchStrategy[list[float]]:
    return st.lists(st.floats(-2.0, 2.0), min_size=signs, max_size=signs)


@st.composite
def beliefs(draw: st.DrawFn, signs: int) -> Mixture:
    """Any means, covariances (as squares of random factors), weights and leans."""
    size, unit = kernel.BASE + signs, st.floats(-1.0, 1.0)
    n = len(MODEL.alternatives)
    weights = draw(st.lists(st.floats(1e-9, 1.0), min_size=2 * n, max_size=2 * n))
    parts = []
    for k in range(n):
        factor = [[draw(unit) for _ in range(2)] for _ in range(size)]
        p = [[sum(map(float.__mul__, a, b)) + 0.01 * (a is b) for b in factor] for a in factor]
        m = [draw(st.floats(-12.0, 14.0)), *(draw(unit) for _ in range(size - 1))]
        shares = weights[k] / sum(weights), weights[k + n] / sum(weights)
        parts.append(Part(m, p, draw(st.floats(-2.0, 8.0)), *shares, draw(unit)))
    positive = st.floats(0.1, 1.0)
    fall = Fall(draw(st.floats(-12.0, 9.0)), draw(unit), draw(st.floats(0.01, 6.0)), 0.01, draw(positive), draw(unit))
    return Mixture(tuple(parts), fall)


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("signs", [0, 1, 3])
def test_the_passing_of_time_to_the_last_digit(model: Model, signs: int) -> None:
    straight = single.write_elapsed(model, mixture.fresh(model, 4.0, 0.1, 5.0, 0.3, 0.1, [SCALES] * signs))

    @settings(max_examples=40, deadline=None)
    @given(beliefs(signs), st.floats(1e-3, 1.05), departures(signs), departures(signs))
    def holds(mix: Mixture, dt: float, push: list[float], shows: list[float]) -> None:
        plain = mixture.elapsed(model, mix, dt, push, shows, SCALARS)
        found = straight(mix, dt, push, shows)
        if found is None:  # a variance was to be bounded: a branch that is not written out
            assert max(part.p[0][0] for part in plain.parts) == pytest.approx(mixture.WIDEST)
        else:
            assert numbers(found) == numbers(plain)

    holds()


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("signs", [0, 1, 3])
def test_a_count_to_the_last_digit(model: Model, signs: int) -> None:
    straight = single.write_counted(model, mixture.fresh(model, 4.0, 0.1, 5.0, 0.3, 0.1, [SCALES] * signs))

    @settings(max_examples=40, deadline=None)
    @given(beliefs(signs), st.integers(kernel.FEW, 10**7), st.floats(1e-3, 1e3), st.floats(0.0, 0.5))
    def holds(mix: Mixture, animals: int, ml: float, cv2: float) -> None:
        tally = kernel.Tally.of(float(animals), ml, SCALARS)
        plain, like, bad = mixture.counted(model, mix, tally, cv2, SCALARS)
        found, straight_like, straight_bad = straight(mix, tally[:-1], cv2)
        assert numbers(found) == numbers(plain)
        assert (straight_like, straight_bad) == (like, bad)

    holds()


@pytest.mark.parametrize("row", [4, 5])
def test_a_look_at_what_shows_growth_to_the_last_digit(row: int) -> None:
    fresh = mixture.fresh(MODEL, 4.0, 0.1, 5.0, 0.3, 0.1, [SCALES] * 2)
    straight = single.write_shown(MODEL, fresh, row)

    @settings(max_examples=40, deadline=None)
    @given(beliefs(2), st.floats(-2.0, 2.0), st.floats(1e-4, 1.0))
    def holds(mix: Mixture, departed: float, var: float) -> None:
        assert numbers(straight(mix, departed, var)) == numbers(mixture.shown(MODEL, mix, row, departed, var, SCALARS))

    holds()


@pytest.mark.parametrize("signs", [0, 2])
def test_the_net_rates_to_the_last_digit(signs: int) -> None:
    straight = single.write_drifts(MODEL, mixture.fresh(MODEL, 4.0, 0.1, 5.0, 0.3, 0.1, [SCALES] * signs))

    @settings(max_examples=40, deadline=None)
    @given(beliefs(signs), departures(signs), departures(signs))
    def holds(mix: Mixture, push: list[float], shows: list[float]) -> None:
        assert straight(mix, push, shows) == mixture.drifts(MODEL, mix, push, shows, SCALARS)

    holds()


def test_a_variance_that_is_to_be_bounded_goes_the_plain_way() -> None:
    mix = mixture.fresh(MODEL, 4.0, 2.0 * mixture.WIDEST, 5.0, 0.3, 0.1, [])
    assert single.write_elapsed(MODEL, mix)(mix, 1.0, [], []) is None
    for _ in range(forms.OFTEN + 2):
        found = single.elapsed(MODEL, mix, 1.0, [], [])
    assert numbers(found) == numbers(mixture.elapsed(MODEL, mix, 1.0, [], [], SCALARS))


def test_it_is_written_out_once_it_pays() -> None:
    model = Model(MODEL.alternatives)
    mix = mixture.fresh(model, 4.0, 0.1, 5.0, 0.3, 0.1, [])
    few, many = (kernel.Tally.of(n, 3.0, SCALARS) for n in (2.0, 400.0))
    for _ in range(forms.OFTEN):
        single.elapsed(model, mix, 1.0, [], [])
        single.counted(model, mix, few, 0.01)
    assert [form.made for form in model.forms.values()] == [None]
    single.elapsed(model, mix, 1.0, [], [])
    assert [form.made is None for form in model.forms.values()] == [False]
    for _ in range(forms.OFTEN + 1):
        found = single.counted(model, mix, many, 0.01)
    assert len(model.forms) == 2
    plain = mixture.counted(model, mix, many, 0.01, SCALARS)
    assert (numbers(found[0]), found[1:]) == (numbers(plain[0]), plain[1:])
    assert single.counted(model, mix, few, 0.01) == mixture.counted(model, mix, few, 0.01, SCALARS)


def everything(x: Value, y: Value, positive: Value, c: Carrier) -> list[Value]:
    """Every operation a term knows."""
    total = c.total([x, y, positive])
    found = [x + y, y - x, 1.0 - x, x - 0.0, x + 0.0, 0.0 + x, -x, x * y, 2.0 * x, x * 1.0, x * 0.0, total * total]
    found += [x / positive, 1.0 / positive, c.root(positive), c.exp(x), c.log(positive), c.log_gamma(positive)]
    found += [c.least(x, y), c.least(x, 0.5), c.most(x, y), c.most(x, -0.5), c.peak([x, y, positive])]
    return [*found, *c.decays(y, positive), *c.decays(1e-9, positive), c.chosen([(x, y), (y, x)], (1, 0))[0][0]]


@settings(max_examples=200)
@given(NUMBERS, NUMBERS, POSITIVE)
def test_every_operation(x: float, y: float, positive: float) -> None:
    assert STRAIGHT(x, y, positive) == tuple(everything(x, y, positive, SCALARS))


def _straight() -> object:
    tape = Tape()
    given_ = [shape(tape, name, 0.0) for name in ("x", "y", "positive")]
    return written(tape, given_, everything(*given_, tape.floats()))


STRAIGHT = _straight()


def test_what_occurs_twice_is_done_once() -> None:
    tape = Tape()
    x, y = shape(tape, "x", 0.0), shape(tape, "y", 0.0)
    assert x * y is y * x
    assert tape.floats().exp(x + y) is tape.floats().exp(y + x)
    assert x - y is not y - x


def test_a_long_sum_keeps_within_the_brackets_that_python_takes() -> None:
    tape = Tape()
    x = shape(tape, "x", 0.0)
    total = x
    for k in range(1000):
        total = total * 0.5 + float(k)
    plain = 3.0
    for k in range(1000):
        plain = plain * 0.5 + float(k)
    assert written(tape, [x], [total])(3.0) == (plain,)
    assert not math.isnan(plain)
