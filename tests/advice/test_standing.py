"""Those who can do without get what is spare: after the larvae, before the drain, never what is doubted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rackview import advise
from rackview.advice.choice.problem import delivered_today, given_today, standing_left
from rackview.advice.moment import when
from rackview.advice.situation import situation
from rackview.core.tables import Brood, Settings, Standing, TankEntry

DAY = 7
NOON = 60.0
FISH = Standing("older fish", "rotifer-L", 4e6)


def harvests(rack, moment):
    return [s for s in advise(rack, moment) if s.action == "harvest"]


@pytest.fixture
def spare(three, at):
    """A rack whose small brood leaves much to be thinned out."""
    return three.with_broods([Brood("fish 1", "anemonefish", hatched=at(DAY - 3).date(), tank_l=20.0, larvae=300)])


def test_what_would_be_thrown_away_is_given_to_them(spare, at):
    now = at(DAY, NOON)
    assert any(s.to == "discard" for s in harvests(spare, now))
    found = harvests(spare.with_standing([FISH]), now)
    assert not any(s.to == "discard" for s in found)
    given = [s for s in found if s.to == "older fish"]
    assert given
    assert all("spare, so older fish get it" in s.why for s in given)
    assert any(s.to == "fish 1" for s in found), "the larvae first"
    assert not any("drain" in c for s in given for c in s.cautions), "nothing is thrown away"


def test_they_get_no_more_than_they_eat_and_what_they_had_counts(spare, at, do):
    now = at(DAY, NOON)
    little = spare.with_standing([replace(FISH, animals_per_day=1e5)])
    assert any(s.to == "discard" for s in harvests(little, now))
    rack = spare.with_standing([FISH])
    given = [s for s in harvests(rack, now) if s.to == "older fish"]
    done = do(rack, given[:1], now)
    rest = [s for s in harvests(done, at(DAY, NOON + 5)) if s.to == "older fish"]
    amount = sum(s.amount * s.density_per_ml * 1e3 for s in (*given[:1], *rest))
    assert amount <= FISH.animals_per_day / 0.6


def test_what_they_got_is_not_taken_for_the_larvaes(spare, at):
    rack = spare.with_standing([FISH])
    first = {"at": at(DAY, 40), "vessel": "A", "kind": "harvest", "volume_l": 2.0, "refill_l": 2.0, "to": "older fish"}
    to_fish, to_larvae = (rack.record({**first, "to": to}) for to in ("older fish", "fish 1"))
    counted = [situation(r, when(at(DAY, NOON))) for r in (to_fish, to_larvae)]
    assert delivered_today(counted[0], "rotifer-L") == 0.0
    assert delivered_today(counted[1], "rotifer-L") == pytest.approx(given_today(counted[0], "rotifer-L")["older fish"])
    assert next(most for _, most in standing_left(counted[0], "rotifer-L")) < FISH.animals_per_day


def test_a_doubted_vessel_does_not_feed_them(spare, at, count):
    few = {"with_eggs": 0, "females_checked": 60, "swimming": 2}
    sick = spare.record(*(count(at(DAY, 20), n, 230.0, **few) for n in "AB")).with_standing([FISH])
    found = harvests(sick, at(DAY, NOON))
    doubted = {name for name, flags in situation(sick, when(at(DAY, NOON))).suspects.items() if flags}
    assert doubted
    assert not any(s.to == "older fish" for s in found if s.vessel in doubted)


def test_the_keepers_own_worth_moves_the_choice(three, at):
    """Where time is dear, or what is thrown away, little is thinned for its own sake; where feed is, no less."""
    now = at(DAY, NOON)
    idle = three.with_broods([Brood("old", "anemonefish", hatched=at(-30).date(), tank_l=100.0, larvae=300)])
    taken = {
        name: sum(s.amount for s in harvests(idle.with_settings(Settings(worth={name: value})), now))
        for name, value in (("feed_g", 30.0), ("brood", 200.0), ("minute", 30.0), ("spare_m", 60.0))
    }
    assert taken["feed_g"] >= taken["brood"] > 0.0
    assert max(taken["minute"], taken["spare_m"]) < 0.5 * taken["brood"]


def test_what_was_left_in_the_tank_is_said_to_stand_behind_the_need(spare, at):
    tanks = [TankEntry(at(DAY - k).date(), "fish 1", 6.0) for k in (1, 2)]
    plain, learned = (
        next(s for s in harvests(rack, at(DAY, NOON)) if s.to == "fish 1" and s.code == "demand")
        for rack in (spare, spare.with_tanks(tanks))
    )
    assert not any("left in their tanks" in e.text for e in plain.evidence)
    assert any("left in their tanks" in e.text for e in learned.evidence)
