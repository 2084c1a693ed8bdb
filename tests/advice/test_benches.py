"""Looking before acting, the record of the rules, and the page after a loss."""

from __future__ import annotations

from datetime import timedelta

import pytest

from rackview.advice.record.aftermath import aftermath
from rackview.advice.record.flag_log import RuleRecord, records, vessel_log
from rackview.advice.what_if.vessel import MEDIAN, what_if
from rackview.core.errors import InputError

DAY, NOON = 4, 60.0
LEVEL = ("rotifer-L", "1", 1, 20.0, 210.0)


@pytest.fixture
def pair(build):
    """A vessel and an empty one beside it."""
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 320.0), "E": ("rotifer-L", "1", 2, 20.0, None)}, days=5)
    return rack.record({"at": rack_start(rack), "vessel": "E", "kind": "return"})


def rack_start(rack):
    return min(e.at for e in rack.events())


# --- what if ---


def test_both_futures_of_a_harvest(pair, at):
    act = {"at": at(DAY, NOON), "vessel": "A", "kind": "harvest", "volume_l": 8.0, "refill_l": 8.0}
    found = what_if(pair, at(DAY, NOON), [act], days=(0, 1, 2, 3))
    (left,), (done,) = found.without, found.with_act
    assert done.fan[0][MEDIAN] == pytest.approx(0.6 * left.fan[0][MEDIAN], rel=0.02)
    assert done.per_ml == pytest.approx(0.6 * left.per_ml, rel=0.02)
    assert done.chances[0] >= left.chances[0]  # later the full one is the likelier to collapse
    assert 0.0 < found.most_l <= 10.0
    for row in done.fan:
        assert list(row) == sorted(row)


def test_both_vessels_of_a_split(pair, at):
    act = {"at": at(DAY, NOON), "vessel": "A", "kind": "split", "to_vessel": "E", "volume_l": 7.0, "refill_l": 7.0}
    fill = {"at": at(DAY, NOON), "vessel": "E", "kind": "top_up", "volume_l": 13.0, "salinity": 29.0}
    found = what_if(pair, at(DAY, NOON), [act, fill])
    assert [f.vessel for f in found.with_act] == ["A", "E"]
    donor, young = found.with_act
    assert found.without[1].per_ml == 0.0
    assert all(row[MEDIAN] == 0.0 for row in found.without[1].fan)
    assert young.per_ml == pytest.approx(0.35 * found.without[0].per_ml, rel=0.03)
    assert donor.fan[0][MEDIAN] > young.fan[0][MEDIAN]
    assert young.fan[-1][MEDIAN] > 1.5 * young.fan[0][MEDIAN]


def test_a_larger_split_leaves_the_young_denser_and_the_old_thinner(pair, at):
    after = []
    for litres in (4.0, 8.0, 12.0):
        act = {"at": at(DAY, NOON), "vessel": "A", "kind": "split", "to_vessel": "E", "volume_l": litres,
               "refill_l": litres}  # fmt: skip
        fill = {"at": at(DAY, NOON), "vessel": "E", "kind": "top_up", "volume_l": 20.0 - litres, "salinity": 29.0}
        donor, young = what_if(pair, at(DAY, NOON), [act, fill]).with_act
        after.append((donor.per_ml, young.fan[2][MEDIAN]))
    assert [a[0] for a in after] == sorted((a[0] for a in after), reverse=True)
    assert [a[1] for a in after] == sorted(a[1] for a in after)


def test_a_restart_names_its_donor_first(pair, at):
    act = {"at": at(DAY, NOON), "vessel": "E", "kind": "restart", "from_vessel": "A", "volume_l": 6.0}
    found = what_if(pair, at(DAY, NOON), [act])
    assert [f.vessel for f in found.with_act] == ["A", "E"]


def test_looking_changes_nothing_and_needs_something_to_look_at(pair, at):
    before = list(pair.events())
    what_if(pair, at(DAY, NOON), [{"at": at(DAY, NOON), "vessel": "A", "kind": "harvest", "volume_l": 5.0}], days=(1,))
    assert list(pair.events()) == before
    with pytest.raises(InputError, match="action"):
        what_if(pair, at(DAY, NOON), [])
    with pytest.raises(InputError, match="at most the 20 L"):
        what_if(pair, at(DAY, NOON), [{"at": at(DAY, NOON), "vessel": "A", "kind": "harvest", "volume_l": 25.0}])


def test_what_if_knows_nothing_later(pair, at, count):
    act = {"at": at(DAY, NOON), "vessel": "A", "kind": "harvest", "volume_l": 5.0, "refill_l": 5.0}
    later = pair.record(count(at(DAY + 1), "A", 9.0))
    assert what_if(later, at(DAY, NOON), [act], (0, 1)) == what_if(pair, at(DAY, NOON), [act], (0, 1))


# --- the record of the rules ---


@pytest.fixture
def troubled(build, at, count):
    """A vessel whose oxygen was low on day 1 (answered), whose pH is off since day 2, declined once."""
    rack = build({"A": LEVEL}, days=5)
    low = {"at": at(1, 40), "vessel": "A", "kind": "reading", "oxygen_mg_l": 2.0}
    air = {"at": at(1, 50), "vessel": "A", "kind": "clean", "what": "airline"}
    fine = {"at": at(2, 40), "vessel": "A", "kind": "reading", "oxygen_mg_l": 6.0, "ph": 6.8}
    no = {"at": at(2, 50), "vessel": "A", "kind": "decline", "code": "ph", "reason": "meter is off", "days": 1}
    skip = {"at": at(3, 50), "vessel": "A", "kind": "decline", "action": "harvest", "reason": "no tank"}
    return rack.record(low, air, fine, no, skip)


def test_spells_say_when_a_flag_came_and_went(troubled, at):
    found = {s.code: s for s in vessel_log(troubled, "A", at(4, 300), days=6).spells}
    assert found["oxygen"].acted_on
    assert found["oxygen"].cleared is not None
    assert found["ph"].cleared is None
    assert found["ph"].declined


def test_records_count_by_rule_with_the_reasons(troubled, at):
    logs = [vessel_log(troubled, name, at(4, 300), days=6) for name in troubled.vessels]
    found = {r.code: r for r in records(logs)}
    assert (found["oxygen"].raised, found["oxygen"].acted_on, found["oxygen"].declined) == (1, 1, 0)
    assert (found["ph"].raised, found["ph"].declined, found["ph"].reasons) == (1, 1, ("meter is off",))
    assert found["ph"].thresholds == ("ph_low", "ph_high")
    assert [(d.code, d.action, d.reason) for log in logs for d in log.declines] == [
        ("", "harvest", "no tank"),
        ("ph", "", "meter is off"),
    ]


def test_a_rule_often_declined_is_called_so():
    assert not RuleRecord("ph", 4, 0, 2, (), ()).often_declined
    assert RuleRecord("ph", 4, 0, 3, (), ()).often_declined
    assert not RuleRecord("ph", 20, 0, 3, (), ()).often_declined


# --- after a loss ---


@pytest.fixture
def lost(build, at, count):
    """A vessel that crashed on day 9 after a change of feed, with a neighbour full of ciliates served before it."""
    densities = [210.0] * 7 + [120.0, 20.0, 3.0, 1.0]
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, densities), "B": ("rotifer-L", "1", 2, 20.0, 200.0)}, days=11)
    dirty = count(at(6, -60), "B", 200.0, ciliates="many")
    other = {"at": at(7, 200), "vessel": "A", "kind": "feed", "feed": "other algae", "amount": 60.0, "unit": "mL"}
    warm = {"at": at(8, 5), "vessel": "A", "kind": "reading", "temperature_c": 31.0}
    return rack.record(dirty, other, warm)


def test_the_page_after_a_loss(lost, at):
    page = aftermath(lost, "A", at(10, NOON), days=9)
    assert page.lost_at is not None
    assert at(7) < page.lost_at <= at(10)
    assert page.begins == page.lost_at - timedelta(days=9)
    assert any("feed was changed" in c for c in page.changes)
    assert any("Temperature moved" in c for c in page.changes)
    assert any(line.vessel == "B" for line in page.contacts)
    assert page.lines == tuple(sorted(page.lines, key=lambda line: line.at))
    assert all(line.text and line.event for line in page.lines)
    said = [text for one in page.said for text in one.texts]
    assert any("do not harvest" in text.lower() or "Crashed" in text for text in said)


def test_a_vessel_that_is_well_has_a_page_up_to_now(lost, at):
    page = aftermath(lost, "B", at(10, NOON), days=3)
    assert page.lost_at is None
    assert page.begins == at(7, NOON)


def test_the_page_ends_with_the_loss_even_after_a_restart(lost, at):
    anew = {"at": at(10, NOON), "vessel": "A", "kind": "restart", "starter": "bought", "volume_l": 5.0,
            "density_per_ml": 100.0}  # fmt: skip
    page = aftermath(lost.record(anew), "A", at(12, NOON), days=9)
    assert page.lost_at is not None
    assert page.lost_at <= at(10)
