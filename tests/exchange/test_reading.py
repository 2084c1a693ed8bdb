"""Each line of a table is taken, known or refused with a reason: the line, the column, what would be right."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Demand, Stock
from rackview.core.vessel import Vessel
from rackview.exchange.draft import draft_of, read_all
from rackview.exchange.intake import Intake
from tests.exchange.own_files import read_files

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
RACK = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0), Vessel("A2", "rotifer-L", "A", 2, 15.0)])
HEAD = "at,vessel,kind,tallies,aliquot_ml\n"


def berlin(at: datetime) -> datetime:
    return at.replace(tzinfo=ZoneInfo("Europe/Berlin"))


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Intake]:
    """Read texts as files, on a rack of A1 and A2 unless another is given."""

    def reading(*texts: str | bytes, rack: Rack = RACK, local: Callable[[datetime], datetime] = berlin) -> Intake:
        paths = []
        for number, text in enumerate(texts):
            paths.append(tmp_path / f"t{number}.csv")
            paths[-1].write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_files(paths, rack, NOW, local)

    return reading


def test_columns_in_any_order_with_spaces_and_capitals(read: Callable[..., Intake]) -> None:
    text = " Tallies , KIND,  vessel ,Aliquot ML,at\n  98 104 ,count , A1, 1 , 2026-03-01T08:00 \n"
    (event,) = read(text).events
    assert event == ev.Count(
        at=datetime(2026, 3, 1, 7, tzinfo=UTC), vessel="A1", id=event.id, tallies=(98, 104), aliquot_ml=1.0
    )


@pytest.mark.parametrize(
    "text",
    [
        "at;vessel;kind;volume_l;refill_l\n2026-03-01T08:00;A1;harvest;5,5;4\n",
        "at\tvessel\tkind\tvolume_l\trefill_l\n2026-03-01T08:00\tA1\tharvest\t5,5\t4\n",
        'at,vessel,kind,volume_l,refill_l\r\n2026-03-01T08:00,A1,harvest,"5,5",4\r\n',
        "\ufeffat,vessel,kind,volume_l,refill_l\r2026-03-01T08:00,A1,harvest,5.5,4\r",
        "\n\nat,vessel,kind,volume_l,refill_l,\n,,,,,\n2026-03-01T08:00,A1,harvest,5.5,4,\n",
    ],
    ids=["semicolon", "tab", "quoted decimal comma", "byte order mark and old line ends", "blank lines and column"],
)
def test_ways_of_writing_the_same_table(read: Callable[..., Intake], text: str) -> None:
    (event,) = read(text).events
    assert isinstance(event, ev.Harvest)
    assert (event.volume_l, event.refill_l) == (5.5, 4.0)


def test_a_note_over_several_lines_and_the_line_numbers_after_it(read: Callable[..., Intake]) -> None:
    text = 'at,vessel,kind,text\n2026-03-01,A1,note,"one\ntwo, ""three"""\n2026-03-02,Z9,note,x\n'
    intake = read(text)
    assert [e.text for e in intake.events if isinstance(e, ev.Note)] == ['one\ntwo, "three"']
    assert [(line.line, line.verdict) for line in intake.lines] == [(2, "taken"), (4, "refused")]


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (
            "2026-03-04T08:00,A1,count,-3,1",
            "tallies: found “-3”, but needs whole numbers of 0 or more, one per aliquot",
        ),
        ("2026-03-04T08:00,A1,count,3.5,1", "tallies: found “3.5”"),
        ('2026-03-04T08:00,A1,count,"3,5",1', "tallies: found “3,5”"),
        ("2026-03-04T08:00,Z9,count,3,1", "vessel: found “Z9”, but needs a vessel of this rack: A1, A2"),
        ("2026-13-04T08:00,A1,count,3,1", "at: found “2026-13-04T08:00”, but needs a date and time such as"),
        ("yesterday,A1,count,3,1", "at: found “yesterday”"),
        (",A1,count,3,1", "at: found nothing"),
        ("2026-03-04T08:00,A1,tally,3,1", "kind: found “tally”, but needs one of count, reading"),
        ("2026-03-04T08:00,A1,count,,1", "tallies: found nothing"),
        ("2026-03-04T08:00,A1,feed,3,", "tallies: found “3”, but needs nothing there, as a feed has no tallies"),
        ("2026-03-10T09:11,A1,count,3,1", "at: found “2026-03-10 09:11”, but needs a time that is not after now"),
        ("2026-03-04T08:00,A1,count,3,1,7", "It has 6 cells, but the header names 5 columns"),
    ],
)
def test_a_line_that_can_not_be_taken_says_why(read: Callable[..., Intake], row: str, says: str) -> None:
    intake = read(HEAD + row + "\n")
    (line,) = intake.refused
    assert (line.file, line.line) == ("t0.csv", 2)
    assert says in line.sentence
    assert not intake.events


def test_an_entry_a_few_minutes_ahead_is_two_clocks_that_differ(read: Callable[..., Intake]) -> None:
    assert read(HEAD + "2026-03-10T09:09,A1,count,3,1\n").count("taken") == 1


def test_times_without_an_offset_are_local_also_across_the_change_of_clocks(read: Callable[..., Intake]) -> None:
    text = HEAD + "2025-10-25T08:00,A1,count,1,1\n2025-10-27T08:00,A1,count,1,1\n2025-10-27T08:00+05:00,A1,count,1,1\n"
    at = [e.at for e in read(text).events]
    assert at == [datetime(2025, 10, d, h, tzinfo=UTC) for d, h in ((25, 6), (27, 7), (27, 3))]


def test_vessels_may_come_in_the_same_call_in_any_order(read: Callable[..., Intake]) -> None:
    vessels = "vessel,strain,shelf,position,volume_l\nB1,rotifer-S,B,1,10\n"
    intake = read(HEAD + "2026-03-01T08:00,B1,count,5,1\n", vessels)
    assert [v.vessel for v in intake.vessels] == ["B1"]
    assert [e.vessel for e in intake.events] == ["B1"]


def test_a_broken_vessel_line_is_the_one_that_is_named(read: Callable[..., Intake]) -> None:
    vessels = "vessel,strain,shelf,position,volume_l\nB1,rotifer-XL,B,1,10\n"
    intake = read(HEAD + "2026-03-01T08:00,B1,count,5,1\n", vessels)
    (line,) = intake.refused
    assert str(line).startswith("t1.csv, line 2: strain: found “rotifer-XL”, but needs one of rotifer-L, rotifer-S")


@pytest.mark.parametrize(
    ("rows", "refused"),
    [
        ("B1,mixed,A,2,10", [(2, "position: found “2”, but needs a free place, as A2 stands on shelf A there.")]),
        ("B1,mixed,B,1,10\nB2,mixed,B,1,10", [(3, "position: found “1”, but needs a free place, as B1")]),
        ("B1,mixed,B,1,10\nB1,mixed,B,1,12", [(3, "vessel B1 stands otherwise in line 2 of t0.csv")]),
        ("B1,mixed,B,0,10", [(2, "position: found “0”, but needs a whole number from 1 to 999")]),
        (f"{'B' * 201},mixed,B,1,10", [(2, "a name may have at most 200 characters")]),
        ("A1,rotifer-L,A,2,20\nA2,rotifer-L,A,1,15", []),
    ],
    ids=["taken place", "same place twice", "same name twice", "no place", "long name", "places swapped"],
)
def test_vessels_stand_each_in_a_place_of_its_own(
    read: Callable[..., Intake], rows: str, refused: list[tuple[int, str]]
) -> None:
    found = read("vessel,strain,shelf,position,volume_l\n" + rows + "\n").refused
    assert [line.line for line in found] == [n for n, _ in refused]
    assert all(says in line.sentence for line, (_, says) in zip(found, refused, strict=True))


def test_a_changed_vessel_says_what_changes(read: Callable[..., Intake]) -> None:
    intake = read("vessel,strain,shelf,position,volume_l,lid\nA1,rotifer-L,A,1,18,film\nA2,rotifer-L,A,2,15,\n")
    assert [line.sentence for line in intake.lines] == ["vessel A1, changes volume_l, lid", "vessel A2"]
    assert intake.vessels == (Vessel.from_row({**RACK.vessel("A1").row(), "volume_l": 18, "lid": "film"}),)


def test_more_than_a_vessel_holds_is_refused(read: Callable[..., Intake]) -> None:
    (line,) = read("at,vessel,kind,volume_l\n2026-03-01,A2,harvest,16\n").refused
    assert "volume_l: found “16”, but needs at most the 15 L that A2 holds" in line.sentence


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("feed,kind,kind\n", "line 1: The column kind stands there twice"),
        ("feed,shade\npaste,3\n", "line 1: The table of stock has no column shade; it has feed, kind"),
        ("feed,kindd\npaste,3\n", "line 1: The table of stock has no column kindd; is kind meant?"),
        ("at,vessel," + ",".join(f"c{n}" for n in range(300)) + "\n", "line 1: It names more than 200 columns"),
        ("feed," + ",".join(f"c{n}" for n in range(300)) + "\n", "line 1: It names more than 200 columns"),
        ("", "t0.csv: It holds no rows"),
    ],
)
def test_a_header_that_is_wrong_is_refused_once(read: Callable[..., Intake], text: str, says: str) -> None:
    (line,) = read(text).refused
    assert says in str(line)


@pytest.mark.parametrize(
    "text",
    [
        "day,algae,rotifers\n7.0,35.3,0.5\n",
        "at,vessel,kind,volum_l\n2026-03-01,A1,harvest,3\n",
        "PK,vessel\n",
    ],
)
def test_a_header_that_is_not_ours_is_asked_about_and_nothing_taken(tmp_path: Path, text: str) -> None:
    (tmp_path / "t.csv").write_text(text)
    found = draft_of(read_all([tmp_path / "t.csv"]), RACK, NOW, berlin)
    (asked,) = found.foreign
    assert asked.open
    assert not found.intake.lines


def test_stock_broods_demand_and_settings_are_told_by_their_headers(read: Callable[..., Intake]) -> None:
    intake = read(
        "feed,unit,dry_g_per_ml\npaste,mL,0.08\n",
        "brood,group,hatched\nMarch,anemonefish,2026-03-12\n",
        "animals,strain,date\n150000,rotifer-L,2026-03-20\n",
        "setting,value\nvolume_unit,US gal\nthreshold:A1:floor_per_ml,40\nthreshold:strain:rotifer-S:count_days,3\n",
    )
    assert not intake.refused
    assert intake.stock == (Stock("paste", dry_g_per_ml=0.08),)
    assert intake.broods == (Brood.from_row({"brood": "March", "group": "anemonefish", "hatched": "2026-03-12"}),)
    assert intake.demand == (Demand.from_row({"date": "2026-03-20", "strain": "rotifer-L", "animals": 150000}),)
    assert intake.settings is not None
    assert intake.settings.volume_unit == "US gal"
    assert intake.settings.overrides == {("A1", "floor_per_ml"): 40.0, ("strain:rotifer-S", "count_days"): 3.0}
    assert intake.settings.sg_reference == RACK.settings.sg_reference


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("setting,value\ncolour,red\n", "setting: found “colour”, but needs one of name, keeper"),
        (
            "setting,value\nthreshold:Z9:floor_per_ml,4\n",
            "needs a vessel of this rack, or strain:STRAIN, where “Z9” stands",
        ),
        ("setting,value\nthreshold::floor,4\n", "setting: found “floor”, but needs one of floor_per_ml"),
        ("setting,value\nthreshold::count_days,-3\n", "count_days: found “-3.0”, but needs a number from 0 to 1000000"),
        ("setting,value\nthreshold::ceiling_per_ml,0\n", "ceiling_per_ml: found “0.0”, but needs a number from 1e-06"),
        ("setting,value\nthreshold::floor_per_ml,1e308\n", "needs a number from 0 to 1000000"),
        ("setting,value\ncount_precision,7\n", "count_precision: found “7”, but needs a share from 0.02 to 1"),
        ("setting,value\nname,Shed\nname,Loft\n", "setting name stands otherwise in line 2 of t0.csv"),
        ("date,strain,animals\n2026-03-20,krill,1\n", "strain: found “krill”"),
        ("brood,group,hatched\nb,sharks,2026-03-12\n", "group: found “sharks”"),
        ("feed,unit\npaste,cup\n", "unit: found “cup”, but needs one of mL, g"),
        ("feed,unit\npaste,mL\npaste,g\n", "feed paste stands otherwise in line 2"),
        ("profile,about,field,value,source\nmine,strain,title,Mine,\n", "profile mine, floor_per_ml: found nothing"),
        ("profile,about,field,value,source\n,strain,title,Mine,\n", "profile: found nothing"),
    ],
)
def test_wrong_lines_of_the_other_tables(read: Callable[..., Intake], text: str, says: str) -> None:
    refused = read(text).refused
    assert len(refused) == 1
    assert says in refused[0].sentence


def test_lines_come_in_the_order_of_the_files(read: Callable[..., Intake]) -> None:
    events = HEAD + "2026-03-01,A1,count,1,1\n2026-03-01,A1,count,x,1\n2026-03-02,A1,count,1,1\n"
    lines = read(events, "feed\npaste\n", events).lines
    assert [(line.file, line.line) for line in lines] == [
        *(("t0.csv", n) for n in (2, 3, 4)),
        ("t1.csv", 2),
        *(("t2.csv", n) for n in (2, 3, 4)),
    ]


def test_a_sentence_stays_short_and_carries_no_control_characters(read: Callable[..., Intake]) -> None:
    (line,) = read(HEAD + f"2026-03-01,\x1b[2J{'x' * 500},count,1,1\n").refused
    assert "\x1b" not in line.sentence
    assert len(line.sentence) < 200


@pytest.mark.parametrize("head", ["at,vessel,kind,tallies", "Date,Tank,Notes,Count (per mL)"])
def test_how_far_a_long_table_is_looked_through_is_told(tmp_path: Path, head: str) -> None:
    rows = [f"2026-0{1 + n % 2}-{1 + n % 28:02d}T{n % 24:02d}:{n % 60:02d},A1,count,{90 + n % 50}" for n in range(2500)]
    (tmp_path / "t.csv").write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    told: list[float] = []
    sheets = read_all([tmp_path / "t.csv"])
    found = draft_of(sheets, RACK, NOW, berlin, tell=told.append)
    assert found.intake.count("taken") == 2500
    assert told == sorted(told)
    assert len(told) >= 5
    assert max(b - a for a, b in zip([0.0, *told], told, strict=False)) < 0.3
    assert told[-1] == 1.0
    assert found.intake == draft_of(sheets, RACK, NOW, berlin).intake
