"""Whatever is in a rack comes back from its export: corrections, withdrawals, declines, kits, settings, profiles."""

from __future__ import annotations

import tempfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview import advise, plan
from rackview.core import events as ev
from rackview.core import profile as prof
from rackview.core.parse import event_from_row
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Vessel
from rackview.exchange.dictionary import TABLES
from rackview.exchange.intake import Intake
from rackview.exchange.ledger import every_event
from rackview.exchange.workbook_out import export_workbook
from rackview.exchange.writer import export
from tests.exchange.own_files import read_files

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
NAMES = ("A1", "=B2", '- the, "odd"; one\n\'', "Ö")

words = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\ufffe\uffff"), max_size=12)
some = words.filter(lambda t: bool(t.strip()))
share = st.floats(0.001, 1)
litres = st.floats(0.01, 10)


def maybe(strategy: st.SearchStrategy[object]) -> st.SearchStrategy[object]:
    return st.none() | strategy


OWN: dict[str, dict[str, st.SearchStrategy[object]]] = {
    "count": {
        "tallies": st.lists(st.integers(0, 400), min_size=1, max_size=4),
        "aliquot_ml": share,
        "dilution": maybe(st.floats(1, 50)),
        "fixative": maybe(st.floats(1, 2)),
        "stage": maybe(st.sampled_from(ev.STAGES)),
        "swimming": maybe(st.integers(1, 5)),
        "ciliates": maybe(st.sampled_from(ev.CILIATES)),
        "tint": maybe(st.integers(0, 4)),
    },
    "reading": {"temperature_c": st.floats(-2, 45), "sg": maybe(st.floats(1, 1.03)), "ph": maybe(st.floats(4, 11))},
    "feed": {"feed": some, "amount": litres, "unit": maybe(st.sampled_from(ev.FEED_UNITS))},
    "harvest": {"volume_l": litres, "refill_l": maybe(litres), "mesh_um": maybe(st.floats(1, 500)), "to": words},
    "clean": {"what": st.sampled_from(ev.CLEANED)},
    "top_up": {"volume_l": litres, "salinity": maybe(st.floats(0, 40))},
    "split": {"to_vessel": st.just("to"), "volume_l": litres, "refill_l": maybe(litres)},
    "restart": {"starter": words, "volume_l": maybe(litres), "density_per_ml": maybe(litres), "reason": words},
    "rest": {},
    "return": {},
    "note": {"text": some},
    "decline": {"action": st.sampled_from(ev.DECLINABLE), "reason": words, "days": maybe(share)},
}


@st.composite
def histories(draw: st.DrawFn) -> list[ev.Event]:
    """Events of every kind in any order, some corrected, some withdrawn, some of those brought back."""
    found: list[ev.Event] = []
    for number in range(draw(st.integers(0, 8))):
        kind = draw(st.sampled_from(sorted(OWN)))
        vessel = draw(st.sampled_from(NAMES))
        row = {name: draw(strategy) for name, strategy in OWN[kind].items()}
        if kind == "count" and draw(st.booleans()):
            row = {"density_per_ml": draw(st.floats(0, 1e6)), "stage": row["stage"]}
        if kind == "split":
            row["to_vessel"] = draw(st.sampled_from([n for n in NAMES if n.strip() != vessel.strip()]))
        row |= {
            "at": NOW - timedelta(microseconds=draw(st.integers(0, 10**12))),
            "vessel": vessel,
            "kind": kind,
            "note": draw(words),
            "id": f"e{number}" if draw(st.booleans()) else "",
            "entered_at": draw(maybe(st.just(NOW - timedelta(days=1)))),
            "entered_by": draw(words),
            "entered_on": draw(words),
        }
        targets = [e.id for e in found if e.id]
        if targets and draw(st.booleans()):
            row["replaces"] = draw(st.sampled_from(targets))
            if draw(st.booleans()):
                row = {k: row[k] for k in ("at", "vessel", "id", "replaces")} | {"kind": "withdraw"}
        found.append(event_from_row(row))
    return found


@st.composite
def racks(draw: st.DrawFn) -> Rack:
    vessels = [
        Vessel.from_row(
            {
                "vessel": name,
                "strain": "rotifer-L",
                "shelf": "A",
                "position": place,
                "volume_l": draw(st.floats(10, 60)),
            }
            | {"reserve": draw(st.sampled_from(["yes", ""])), "vessel_type": draw(words), "lid": draw(words)}
            | {"cost": draw(maybe(st.floats(0, 1e6))), "origin": draw(st.sampled_from(["", "bought", "home-made"]))}
            | {"note": draw(words)}
        )
        for place, name in enumerate(NAMES, 1)
    ]
    day = date(2026, 1, 1)
    return Rack.build(
        vessels,
        draw(histories()),
        stock=[Stock.from_row({"feed": draw(some), "dry_g_per_ml": draw(maybe(share)), "opened": day})],
        broods=[Brood.from_row({"brood": draw(some), "hatched": day, "larvae": draw(maybe(st.integers(0, 9999)))})],
        demand=[Demand.from_row({"date": day, "strain": "rotifer-L", "animals": draw(st.floats(0, 1e9))})],
        standing=[
            Standing.from_row({"consumer": "older fish", "strain": "rotifer-L", "animals_per_day": draw(maybe(share))})
        ],
        tanks=[
            TankEntry.from_row({"date": day, "tank": draw(some), "left_per_ml": draw(st.floats(0, 99))}),
            TankEntry.from_row({"date": day, "tank": "two", "feed": draw(some), "amount": draw(share)}),
        ],
        settings=Settings.from_row(
            {"name": draw(words), "invented": draw(st.sampled_from(["yes", "no"])), "volume_unit": "US gal"}
            | {"count_precision": draw(st.floats(0.02, 1)), "threshold::floor_per_ml": draw(st.floats(1, 99))}
            | {"worth:brood": draw(maybe(st.floats(0, 1e6))), "starter_days": draw(st.floats(0, 30))}
            | {"threshold:A1:band_low_per_ml": draw(st.floats(1, 99))}
            | {"threshold:strain:rotifer-L:count_days": draw(st.floats(1, 9))}
        ),
    )


def everything(rack: Rack) -> list[object]:
    """All that a rack holds, in a form that compares."""
    own = [p for n, p in rack.strains.items() if p is not prof.strains().get(n)]
    larvae = [g for n, g in rack.groups.items() if g is not prof.groups().get(n)]
    return [
        dict(rack.vessels),
        every_event(rack),
        list(rack.events()),
        rack.stock,
        rack.broods,
        rack.demand,
        rack.standing,
        rack.tanks,
        rack.settings,
        [(p.name, prof.mapping_of(p)) for p in (*own, *larvae)],
    ]


def taken(rack: Rack, intake: Intake) -> Rack:
    """The rack with an intake written to it."""
    assert [str(line) for line in intake.refused] == []
    return Rack.build(
        {**rack.vessels, **{v.vessel: v for v in intake.vessels}}.values(),
        [*every_event(rack), *intake.events],
        stock=[*rack.stock, *intake.stock],
        broods=[*rack.broods, *intake.broods],
        demand=[*rack.demand, *intake.demand],
        standing=[*rack.standing, *intake.standing],
        tanks=[*rack.tanks, *intake.tanks],
        settings=intake.settings or rack.settings,
        strains={**rack.strains, **{p.name: p for p in intake.strains}},
        groups={**rack.groups, **{g.name: g for g in intake.groups}},
    )


def there_and_back(rack: Rack, again: Rack) -> tuple[Intake, Rack]:
    with tempfile.TemporaryDirectory() as folder:
        intake = read_files(sorted(export(rack, folder)), again, NOW)
    return intake, taken(again, intake)


@given(racks())
def test_an_export_gives_the_same_rack_back(rack: Rack) -> None:
    _, back = there_and_back(rack, Rack.build([]))
    assert everything(back) == everything(rack)


@given(racks())
@settings(max_examples=60)
def test_a_workbook_gives_the_same_rack_back(rack: Rack) -> None:
    """U+FFFE and U+FFFF are left out above: they are no characters, and no workbook can hold them."""
    with tempfile.TemporaryDirectory() as folder:
        intake = read_files([export_workbook(rack, folder)], Rack.build([]), NOW)
    assert everything(taken(Rack.build([]), intake)) == everything(rack)


def written(rack: Rack) -> dict[str, bytes]:
    with tempfile.TemporaryDirectory() as folder:
        return {p.name: p.read_bytes() for p in export(rack, folder)}


@given(racks())
@settings(max_examples=30)
def test_an_export_of_what_came_back_is_the_same_to_the_byte_and_so_is_the_advice(rack: Rack) -> None:
    _, back = there_and_back(rack, Rack.build([]))
    assert written(back) == written(rack)
    assert advise(back, NOW) == advise(rack, NOW)
    assert plan(back, NOW, 2) == plan(rack, NOW, 2)


@given(racks())
def test_importing_ones_own_export_adds_nothing(rack: Rack) -> None:
    intake, back = there_and_back(rack, rack)
    assert intake.count("taken") == 0
    assert everything(back) == everything(rack)


def test_a_whole_number_is_written_one_way(tmp_path: Path) -> None:
    racks = [
        Rack.build(
            [Vessel("A1", "rotifer-L", "A", 1, number(20))],
            stock=[Stock("paste", amount=number(900))],
            settings=Settings(overrides={("", "floor_per_ml"): number(30)}),
        ).with_history([ev.TopUp(at=NOW, vessel="A1", volume_l=number(7), id="t")])
        for number in (int, float)
    ]
    files = [[f.read_bytes() for f in export(rack, tmp_path / str(i))] for i, rack in enumerate(racks)]
    assert files[0] == files[1]
    assert b"A1,rotifer-L,A,1,20,," in files[0][0]


def test_profiles_of_the_keepers_own_come_back() -> None:
    strain = prof.strain_from(
        "loft-L", prof.mapping_of(prof.strains()["rotifer-L"].with_values({"floor_per_ml": 33.0}))
    )
    group = prof.group_from("loft-larvae", prof.mapping_of(prof.groups()["anemonefish"]))
    rack = Rack.build(
        [Vessel("A1", "loft-L", "A", 1, 20.0)],
        broods=[Brood("b", "loft-larvae", "loft-L", hatched=date(2026, 3, 1))],
        strains={"loft-L": strain},
        groups={"loft-larvae": group},
    )
    intake, back = there_and_back(rack, Rack.build([]))
    assert everything(back) == everything(rack)
    assert back.profile("A1").sources["floor_per_ml"] == "the keeper's own setting"
    assert there_and_back(rack, rack)[0].count("taken") == 0
    assert intake.count("taken") == 4  # a vessel, a brood and two profiles


def test_a_threshold_of_a_vessel_that_is_gone_stays_behind() -> None:
    settings = Settings(overrides={("gone", "floor_per_ml"): 5.0, ("", "floor_per_ml"): 6.0})
    _, back = there_and_back(Rack.build([], settings=settings), Rack.build([]))
    assert back.settings.overrides == {("", "floor_per_ml"): 6.0}


def test_what_was_harvested_before_a_vessel_was_made_smaller_comes_back() -> None:
    large, small = (Vessel("A1", "rotifer-L", "A", 1, volume) for volume in (20.0, 10.0))
    harvest = ev.Harvest(at=NOW, vessel="A1", volume_l=15.0, id="h", entered_at=NOW, entered_on="the old PC")
    rack = Rack.build([large], [harvest]).with_vessels([small])
    _, back = there_and_back(rack, Rack.build([]))
    assert everything(back) == everything(rack)


@pytest.mark.parametrize("name", ["Europe/Berlin", "Australia/Lord_Howe", "UTC"])
def test_times_come_back_to_the_microsecond_from_any_zone(name: str, tmp_path: Path) -> None:
    zone = ZoneInfo(name)
    # in Berlin both are half past two of the night on which the clocks go back
    moments = [datetime(2025, 10, 26, hour, 30, 1, 234567, tzinfo=UTC) for hour in (0, 1)]
    rack = Rack.build(
        [Vessel("A1", "rotifer-L", "A", 1, 20.0)],
        [ev.Rest(at=at, vessel="A1", id=f"e{n}") for n, at in enumerate(moments)],
    )
    intake = read_files(export(rack, tmp_path, lambda at: at.astimezone(zone)), Rack.build([]), NOW)
    assert [e.at for e in intake.events] == moments


def test_a_workbook_has_dates_as_dates_a_frozen_header_and_the_dictionary(tmp_path: Path) -> None:
    at = datetime(2026, 3, 4, 8, 30, 15, 123456, tzinfo=UTC)
    rack = Rack.build(
        [Vessel("A1", "rotifer-L", "A", 1, 20.0)],
        [ev.Harvest(at=at, vessel="A1", volume_l=5.5, note="=1+1", id="h")],
        stock=[Stock("paste", opened=date(2026, 3, 1))],
    )
    book = openpyxl.load_workbook(export_workbook(rack, tmp_path, lambda moment: moment.astimezone(UTC)))
    assert book.sheetnames == [t.name for t in TABLES]
    assert all(sheet.freeze_panes == "A2" for sheet in book)
    row = dict(zip(*(tuple(c.value for c in r) for r in book["events"].iter_rows()), strict=True))
    assert row["at"] == at.replace(tzinfo=None, microsecond=0)
    assert (row["volume_l"], row["note"]) == (5.5, "'=1+1")
    assert datetime.fromisoformat(row["at_exact"]) == at
    opened = [c.value for r in book["stock"].iter_rows() for c in r if isinstance(c.value, datetime)]
    assert opened == [datetime(2026, 3, 1, tzinfo=UTC).replace(tzinfo=None)]
    meanings = {(r[0].value, r[1].value) for r in book["dictionary"].iter_rows(min_row=2)}
    assert ("events", "volume_l") in meanings


def test_a_day_changed_in_the_workbook_is_the_one_that_counts(tmp_path: Path) -> None:
    at = datetime(2026, 3, 4, 8, 30, 15, 5, tzinfo=UTC)
    rack = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0)], [ev.Rest(at=at, vessel="A1", id="r")])
    path = export_workbook(rack, tmp_path, lambda moment: moment.astimezone(UTC))
    book = openpyxl.load_workbook(path)
    book["events"]["A2"] = datetime(2026, 3, 5, 9, tzinfo=UTC).replace(tzinfo=None)
    book.save(path)
    (event,) = read_files([path], Rack.build([]), NOW, lambda m: m.replace(tzinfo=UTC)).events
    assert event.at == datetime(2026, 3, 5, 9, tzinfo=UTC)
