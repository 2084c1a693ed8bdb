"""What a way to act makes of each vessel today, and the sound keeper's rules beneath it, where sums on paper tell."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from rackview.core.outlook import Outlook
from rackview.planner import constants as c
from rackview.planner import policy
from rackview.planner.candidates import Way, acts, alternatives, median_animals, openings, transfers
from rackview.planner.choose import _together, choose, look_ahead, strain_lost
from rackview.planner.culture import Culture, NeedAhead, Problem, Transfer
from rackview.planner.futures import sample
from rackview.planner.rollout import Bench
from rackview.planner.value import Worth


def culture(name: str, per_ml: float | None, litres: float = 20.0, **more) -> Culture:
    """A vessel under a ceiling of 400 per mL that is known exactly."""
    look = None if per_ml is None else Outlook(math.log(per_ml), 0.0, 0.5, 0.0, math.log(400.0), 0.0, 0.0, 0.0, 0.0)
    return Culture(name, litres, litres, look, **more)


def shares(*cultures: Culture, need: float = 0.0, way: Way | None = None, now: float = 0.8) -> list[float]:
    """What a way takes of each vessel today, where cultures are let up to a share `now` of their ceilings."""
    problem = Problem(tuple(cultures), NeedAhead((need,), (False,)))
    bench = replace(Bench.of(problem, sample(problem, 8, 4)), now=now)
    return [round(float(s), 3) for s in acts(problem, bench, [way or Way()]).take[:, 0]]


def test_what_stands_over_the_aim_is_taken_down_to_it():
    """To 0.8 of 400, or 0.5: of 360 and 250 per mL."""
    assert shares(culture("A", 360.0), culture("B", 250.0)) == pytest.approx([40 / 360, 0.0], abs=1e-3)
    assert shares(culture("A", 360.0), culture("B", 250.0), now=0.5) == pytest.approx([160 / 360, 50 / 250], abs=1e-3)
    assert shares(culture("A", 360.0), way=Way(scale=0.6)) == pytest.approx([168 / 360], abs=1e-3)
    assert shares(culture("A", 360.0), way=Way(scale=5.0)) == pytest.approx([40 / 360], abs=1e-3), "no higher than 0.8"


def test_no_culture_is_thinned_under_its_least_or_by_more_than_its_most():
    assert shares(culture("A", 200.0, least_per_ml=150.0), now=0.1) == pytest.approx([0.25], abs=1e-3)
    assert shares(culture("A", 200.0, most=0.2), now=0.1) == pytest.approx([0.2], abs=1e-3)
    assert shares(culture("A", 360.0, thins=False)) == [0.0]
    assert shares(culture("A", 360.0), culture("B", 360.0), way=Way(kept=frozenset({0}))) == [0.0, 0.111]


def test_a_rinse_is_taken_as_far_as_what_must_stay_allows():
    assert shares(culture("A", 200.0, rinse=0.3)) == [0.3]
    assert shares(culture("A", 110.0, rinse=0.3, least_per_ml=100.0)) == [0.091]
    assert shares(culture("A", 200.0, rinse=0.3, reserve=True)) == [0.0]
    assert shares(culture("A", 200.0, rinse=0.3, gives=False)) == [0.0]
    assert shares(culture("A", 200.0, rinse=0.3), way=Way(left=frozenset({0}))) == [0.0]
    assert shares(culture("A", 200.0), way=Way(cut=((0, 0.2),))) == [0.2]
    assert shares(culture("A", 200.0, rinse=0.3), way=Way(cut=((0, 0.2),))) == [0.3]


def test_larvae_are_served_evenly_from_level_to_level_with_the_keepers_margin():
    """4 and 5 million; 1.12 million from what is over 0.45 of 8: by what each has over it, 0.4 to 1.4."""
    found = shares(culture("A", 200.0), culture("B", 250.0), need=1.0)
    assert found == pytest.approx([1.12 * 0.4 / 1.8 / 4.0, 1.12 * 1.4 / 1.8 / 5.0], abs=1e-3)
    deeper = shares(culture("A", 200.0), culture("B", 250.0), need=2.5)
    rooms = 1.6, 0.55 * 5.0 - 1.4  # down to 0.25 of 8, or to what may be taken in a day; 1 million is missing
    part = 1.0 / sum(rooms)
    assert deeper == pytest.approx([(0.4 + part * rooms[0]) / 4.0, (1.4 + part * rooms[1]) / 5.0], abs=1e-3)


def test_some_serve_first_some_last_and_some_not():
    both = (culture("A", 200.0), culture("B", 250.0))
    assert shares(*both, need=1.0, way=Way(aside=frozenset({1}))) == pytest.approx([1.12 / 4.0, 0.0], abs=1e-3)
    first = shares(*both, need=1.0, way=Way(first=frozenset({0})))
    assert first[0] == pytest.approx(1.12 * (2.2 / 3.6) / 4.0, abs=2e-3)
    assert shares(*both, need=1.0, way=Way(left=frozenset({0}))) == pytest.approx([0.0, 1.12 / 5.0], abs=1e-3)
    assert shares(culture("A", 200.0), culture("B", 250.0, food=False), need=1.0)[1] == 0.0
    doubted = shares(culture("A", 200.0), culture("B", 250.0, doubted=True), need=0.35)
    assert doubted == pytest.approx([0.392 / 4.0, 0.0], abs=1e-3)
    assert shares(culture("A", 200.0), culture("B", 250.0, reserve=True), need=3.0)[1] == 0.0


def test_deep_serving_goes_to_the_thinnest_that_is_lived_at_and_no_culture_is_emptied():
    """0.1 of 400 per mL is where serving ends, or 25 per mL."""
    assert shares(culture("A", 50.0), need=1.0) == pytest.approx([10 / 50], abs=2e-3)
    assert shares(culture("A", 50.0), need=1.0, way=Way(deep=True)) == pytest.approx([25 / 50], abs=2e-3)
    low = culture("A", 50.0, lowest_per_ml=5.0, most=0.9)
    assert shares(low, need=1.0, way=Way(deep=True)) == pytest.approx([(50 - c.DEEPEST * 400) / 50], abs=2e-3)


def test_what_a_hand_would_not_take_is_left():
    assert shares(culture("A", 200.0), need=0.1) == [0.0], "0.112 of 4 million is under a thirtieth"
    assert shares(culture("A", 200.0), need=0.11) == [0.031]


def test_animals_believed_are_the_median_times_what_stands():
    problem = Problem((replace(culture("A", 200.0), level_l=15.0), culture("E", None)), NeedAhead())
    assert median_animals(problem).tolist() == pytest.approx([3.0, 0.0])


def test_what_transfers_cost_are_minutes_what_the_giver_lacks_and_what_is_gained():
    """A giver at half its ceiling that grows half as fast as the best; six minutes; a fifth of a vessel gained."""
    slow = replace(culture("A", 200.0).outlook, rate_per_day=0.25)
    cultures = (replace(culture("A", 200.0), outlook=slow), culture("B", 200.0), culture("E", None, anew=0.2))
    problem = Problem(cultures, NeedAhead(), Worth(vessel=20.0, minute=1.0))
    bench = Bench.of(problem, sample(problem, 8, 4))
    moves = [Transfer("restart", giver, "E", 0.25) for giver in "AB"]
    cost = acts(problem, bench, [Way(), *(Way(transfers=(m,)) for m in moves)]).cost
    half = 0.5 * c.GIVER_SHARE * 20.0
    assert cost == pytest.approx([0.0, 6.0 + half + 0.5 * c.SLOW_SHARE * 20.0 - 4.0, 6.0 + half - 4.0], rel=1e-3)


def test_who_takes_what_share_from_whom():
    """A start at 100 per mL in 20 L is 2 million, of which 1.2 and 2.2 times are tried, half of a giver at most."""
    rack = Problem((culture("A", 300.0), culture("B", 150.0), culture("E", None, takes="split")), NeedAhead())
    found = transfers(rack, Way())
    assert [(t.action, t.giver, t.taker, t.share) for t in found] == [
        ("split", "A", "E", 0.4), ("split", "A", "E", 0.5), ("split", "B", "E", 0.5)
    ]  # fmt: skip
    used = Way(transfers=(found[0],))
    assert transfers(rack, used) == [], "the vessel is taken, and so is its giver"
    other = replace(rack, cultures=(*rack.cultures, culture("F", None, takes="split")))
    assert {(t.giver, t.taker) for t in transfers(other, used)} == {("B", "F")}
    assert not transfers(replace(rack, cultures=(rack.cultures[0], culture("B", 150.0))), Way())


def test_givers_are_looked_at_in_order_of_what_they_hold_and_how_sound_they_are():
    """Density and volume tell; a likely fall takes off; a reserve comes last and starts no new one."""
    ill = replace(culture("A", 300.0).outlook, collapse_chance=0.3)
    rack = (
        replace(culture("A", 300.0), outlook=ill), culture("B", 150.0), culture("C", 100.0, litres=80.0),
        culture("R", 390.0, reserve=True), culture("E", 3.0, takes="restart", urgent=True),
    )  # fmt: skip
    found = transfers(Problem(rack, NeedAhead()), Way())
    names = list(dict.fromkeys(t.giver for t in found))
    assert names == ["C", "B", "A", "R"][: c.GIVERS]
    only = transfers(Problem((rack[3], rack[4]), NeedAhead()), Way())
    assert {t.share for t in only} == {0.3}
    assert transfers(Problem((rack[3], replace(rack[4], takes="split")), NeedAhead()), Way()) == []


def test_ways_to_begin_are_many_where_larvae_are_fed_and_one_where_none_are():
    assert openings(Problem((), NeedAhead())) == [Way()]
    idle = openings(Problem((), NeedAhead(more=True, margin=0.25)))
    assert {w.want for w in idle} == {1.25}
    assert len({w.scale for w in idle}) == len(idle) >= 3
    today = openings(Problem((), NeedAhead((1.0,), (False,), margin=0.25)))
    assert {1.25, 1.5 * 1.25, 1.0, 0.0} <= {w.want for w in today}
    assert min(w.want for w in today if w.deep) >= c.DEEP_WANTS
    assert all(w.later == c.MARGIN for w in today)
    ahead = openings(Problem((), NeedAhead((1.0, 1.0), (False,) * 2)))
    assert {w.later for w in ahead} == {c.MARGIN, *c.LESS}


def test_changes_touch_one_vessel_at_a_time_and_none_that_gives_nothing():
    rack = (
        culture("A", 200.0),
        culture("B", 200.0, gives=False),
        culture("R", 200.0, reserve=True),
        culture("E", None),
    )
    fed = alternatives(Problem(rack, NeedAhead((1.0,), (False,))), Way())
    assert [w for w in fed if not w.transfers] == [
        Way(kept=frozenset({0})), Way(cut=((0, c.CUT),)), Way(aside=frozenset({0})), Way(first=frozenset({0}))
    ]  # fmt: skip
    idle = alternatives(Problem(rack, NeedAhead(more=True)), Way())
    assert idle == [Way(kept=frozenset({0})), Way(cut=((0, c.CUT),))]
    assert alternatives(Problem(rack, NeedAhead()), Way()) == []
    empty = (culture("A", 200.0), culture("E", None, takes="split"))
    (*_, moved) = alternatives(Problem(empty, NeedAhead()), Way())
    assert moved.kept == {0}, "what is moved out thins it"


def test_the_need_that_is_coming_is_the_greatest_within_the_days_looked_ahead():
    need = np.zeros((12, 1))
    need[8] = 3.0
    need[1] = 1.0
    ahead = policy.coming(need)[:, 0].tolist()
    assert ahead == [1.0, 1.0, *[3.0] * 7, 0.0, 0.0, 0.0]
    assert policy.coming(np.array([[1.0], [2.0]]))[:, 0].tolist() == [2.0, 2.0]


def test_the_share_kept_rises_with_what_is_coming_from_idle_through_what_is_just_borne():
    """A full rack of 10 million at 0.5 a day bears 0.4 x 0.5 x 10 = 2 million a day."""
    coming = np.array([0.0, 1.0, 2.0, 50.0])
    found = policy.aim_share(coming, 10.0, 0.5).tolist()
    assert found == pytest.approx([c.IDLE, 0.5 * (c.IDLE + c.SPARE_AIM), c.SPARE_AIM, c.TOP])
    assert policy.aim_share(coming, 10.0, 0.0) == pytest.approx(policy.aim_share(coming, 10.0, c.SLOWEST))


def test_litres_and_millions_of_the_days_ahead_fit_and_are_those_of_the_choice_today():
    problem = Problem((culture("A", 250.0), culture("B", 200.0, litres=50.0)), NeedAhead((4.0,), (False,)))
    chosen = choose(problem)
    told = look_ahead(problem, chosen, problem.need, 4)
    assert set(told.gives[0]) == set(chosen.shares)
    for name, (litres, millions) in told.gives[0].items():
        one = next(k for k in problem.cultures if k.vessel == name)
        assert litres == pytest.approx(chosen.shares[name] * one.volume_l, rel=1e-4)
        assert millions * 1e3 / litres == pytest.approx(math.exp(one.outlook.log_density), rel=1e-4)
    assert told.short[0] == pytest.approx(told.missed[0].mean())


def test_a_strain_is_gone_when_no_culture_has_a_third_of_what_starts_one():
    thin, dense = culture("A", 29.0), culture("B", 31.0)
    assert strain_lost(Problem((thin, culture("E", None)), NeedAhead()))
    assert not strain_lost(Problem((thin, dense), NeedAhead()))


def test_changes_are_put_on_top_of_each_other_as_far_as_they_touch_different_vessels():
    base = Way(scale=1.25)
    options = [replace(base, kept=frozenset({0})), replace(base, cut=((0, 0.2),)), replace(base, first=frozenset({1}))]
    assert _together(base, options, [0, 1, 2]) == [replace(base, kept=frozenset({0}), first=frozenset({1}))]
    assert _together(base, options, [1, 2]) == [replace(base, cut=((0, 0.2),), first=frozenset({1}))]
    assert _together(base, options, [0, 1]) == []
