"""The tables that go in and out have exactly the columns that the core reads and writes."""

from __future__ import annotations

from datetime import date

from rackview.core import events as ev
from rackview.core.tables import WORTHS, Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Vessel
from rackview.exchange import dictionary as dic


def test_the_event_table_has_the_columns_of_every_kind() -> None:
    own = {c for kind in ev.KINDS for c in ev.own_fields(kind)}
    assert set(dic.EVENTS.names) == own | set(ev.SHARED) | {"kind"}


def test_the_other_tables_have_the_columns_of_their_rows() -> None:
    whole = Vessel("A1", "rotifer-L", "A", 1, 20.0, formerly=("A9",), retired=True)
    assert dic.VESSELS.names == tuple(whole.row())
    assert dic.STOCK.names == tuple(Stock("paste").row())
    assert dic.BROODS.names == tuple(Brood("b").row())
    assert dic.DEMAND.names == tuple(Demand(date(2026, 3, 1), "rotifer-L", 1.0).row())
    assert dic.STANDING.names == tuple(Standing("older fish", "rotifer-L").row())
    assert dic.TANKS.names == tuple(TankEntry(date(2026, 3, 1), "b", 2.0).row())
    assert set(dic.SETTING_WORDS) == set(Settings(worth=dict.fromkeys(WORTHS, 1.0)).row())


def test_no_column_is_said_twice_and_each_says_something() -> None:
    for table in dic.TABLES:
        assert len(set(table.names)) == len(table.names)
        assert all(c.meaning for c in table.columns)
        assert set(table.needs) <= set(table.names)


def test_words_are_those_of_the_core() -> None:
    words = {c.name: c.words for c in dic.EVENTS.columns if c.words}
    assert words["kind"] == tuple(ev.KINDS)
    assert words["ciliates"] == ev.CILIATES
    assert words["stage"] == ev.STAGES
    assert words["sg_reference"] == ev.SG_REFERENCES


def test_each_table_is_known_by_its_own_header() -> None:
    for table in dic.TABLES:
        assert dic.table_by_header(table.names) is table
        assert dic.table_by_header(table.needs) is table
    assert dic.table_by_header(("day", "algae", "rotifers")) is None
