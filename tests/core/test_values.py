"""Clock, ids, cells, tables and profiles."""

from __future__ import annotations

import math
import pickle
import uuid
from datetime import UTC, date, datetime, timedelta, timezone
from importlib import resources

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core import clock, ids, read
from rackview.core import profile as prof
from rackview.core.errors import InputError
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry, strain_scope
from rackview.core.vessel import Kit, Vessel


def test_moments_become_utc():
    aware = datetime(2026, 3, 1, 10, tzinfo=timezone(timedelta(hours=2)))
    assert clock.as_utc(aware) == datetime(2026, 3, 1, 8, tzinfo=UTC)
    assert clock.as_utc("2026-03-01T10:00+02:00").tzinfo is UTC
    assert clock.as_utc("2026-03-01") == datetime(2026, 3, 1, tzinfo=UTC)
    for spreadsheet in ("2026-03-01 8:00", " 2026-03-01T8:00:00Z", "2026-03-01 08:00"):
        assert clock.as_utc(spreadsheet) == datetime(2026, 3, 1, 8, tzinfo=UTC)
        assert clock.as_date(spreadsheet) == date(2026, 3, 1)
    with pytest.raises(InputError):
        clock.as_utc("2026-03-01 8")
    assert clock.as_utc(date(2026, 3, 1)) == datetime(2026, 3, 1, tzinfo=UTC)
    assert clock.as_utc(datetime(2026, 3, 1, 8)) == datetime(2026, 3, 1, 8, tzinfo=UTC)  # noqa: DTZ001 - as it stands


@pytest.mark.parametrize("bad", ["", "noon", 5, None, "9999-12-31T23:59-14:00", "0026-03-01", date(2200, 1, 1)])
def test_what_is_no_moment_is_refused(bad):
    with pytest.raises(InputError):
        clock.as_utc(bad)


@given(st.datetimes(datetime(1900, 1, 1), datetime(2200, 1, 1)))  # noqa: DTZ001 - made aware below
def test_day_numbers_go_both_ways_and_keep_order(at):
    at = at.replace(tzinfo=UTC)
    day = clock.day_number(at)
    assert abs(clock.from_day_number(day) - at) <= timedelta(microseconds=5)
    assert clock.day_number(at + timedelta(microseconds=1)) >= day
    assert day == pytest.approx((at - clock.EPOCH) / timedelta(days=1), rel=1e-15)


def test_a_version_7_uuid_as_the_rfc_prints_it():
    """RFC 9562, appendix A.6: 2022-02-22T14:22:22.00-05:00, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F."""
    at = datetime(2022, 2, 22, 14, 22, 22, tzinfo=timezone(timedelta(hours=-5)))
    entropy = (0xCC3 << 64 | 0x18C4DC0C0C07398F).to_bytes(10, "big")
    assert ids.uuid7(at, entropy) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


@given(st.binary(min_size=10, max_size=10))
def test_ids_sort_by_time(entropy):
    at = datetime(2026, 3, 1, tzinfo=UTC)
    early, late = ids.uuid7(at, entropy), ids.uuid7(at + timedelta(milliseconds=1), bytes(10))
    assert early < late
    assert uuid.UUID(early).version == 7
    assert uuid.UUID(early).variant == uuid.RFC_4122


def test_content_ids_are_version_8():
    assert uuid.UUID(ids.content_id("a", 1)).version == 8
    assert ids.content_id("a", 1) != ids.content_id("a", 2)


@pytest.mark.parametrize("nothing", [None, "", "  ", math.nan])
def test_blank_cells(nothing):
    assert read.blank(nothing)
    assert read.number_in({"x": nothing}, "x", "a number") is None
    assert read.text({"x": nothing}, "x") == ""
    assert read.whole_numbers({"x": nothing}, "x", "numbers") == ()


@pytest.mark.parametrize(
    ("typed", "value"),
    [("1,5", 1.5), (" 2 ", 2.0), ("1.5", 1.5), (3, 3.0), ("1e-3", 0.001), ("٣٫٥", 3.5), ("١٬٢٣٤", 1234), ("३४", 34)],
)
def test_numbers_as_typed(typed, value):
    assert read.number_in({"x": typed}, "x", "a number") == value


@pytest.mark.parametrize(
    "bad", ["2026-03-01x", "2026-03-011", "1.3.2026", "0026-03-01", "", 5, None, date(1899, 12, 31)]
)
def test_what_is_no_date_is_refused(bad):
    with pytest.raises(InputError, match="hatched: found"):
        clock.as_date(bad, "hatched")


def test_a_date_is_read_with_or_without_a_time_of_day():
    for said in ("2026-03-01", " 20260301", "2026-03-01T23:30", datetime(2026, 3, 1, 8, tzinfo=UTC), date(2026, 3, 1)):
        assert clock.as_date(said) == date(2026, 3, 1)


def test_moments_and_days_of_numpy_are_read():
    assert clock.as_utc(np.datetime64("2026-03-01T08:00")) == datetime(2026, 3, 1, 8, tzinfo=UTC)
    assert clock.as_date(np.datetime64("2026-03-01")) == date(2026, 3, 1)
    with pytest.raises(InputError):
        clock.as_utc(np.datetime64("NaT", "s"))
    with pytest.raises(InputError, match="found nothing"):
        clock.as_utc(pd.NaT)


@pytest.mark.parametrize("bad", ["1_000", 10**400, "1,000.5", "1,2,3", "inf", "nan", "x", [], math.inf])
def test_what_is_no_number(bad):
    with pytest.raises(InputError, match="x: found"):
        read.number_in({"x": bad}, "x", "a number")


@pytest.mark.parametrize(("typed", "said"), [("Yes", True), (True, True), (1.0, True), ("", False), ("no", False)])
def test_yes_or_no(typed, said):
    assert read.yes_no({"x": typed}, "x") is said


def test_a_name_that_is_no_number_is_text_all_the_same():
    assert read.text({"x": math.inf}, "x") == "inf"
    assert read.text({"x": 3.0}, "x") == "3"


def test_the_sentence_of_a_spoilt_cell_stays_short():
    error = InputError("note", "x" * 100_000, "less")
    assert len(str(error)) < 200
    assert error.found == "x" * 100_000


def test_yes_or_no_but_nothing_else():
    with pytest.raises(InputError, match="yes or no"):
        read.yes_no({"x": "perhaps"}, "x")


def test_an_error_is_one_sentence_and_travels_between_processes():
    error = InputError("volume_l", "-3", "a volume above 0")
    assert str(error) == "volume_l: found “-3”, but needs a volume above 0."
    assert str(InputError("at", None, "a time")) == "at: found nothing, but needs a time."
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own bytes
    assert (str(again), again.field, again.found) == (str(error), "volume_l", "-3")


@pytest.mark.parametrize(
    "record",
    [
        Vessel("A1", "mixed", "top", 3, 12.5, reserve=True, kit=Kit("jar", cost=3.5, origin="home-made"), note="n"),
        Stock("yeast", "powder", 0.3, 100, "g", date(2026, 1, 1), date(2026, 6, 1), 4),
        Brood("No 1", "anemonefish", "rotifer-L", date(2026, 1, 1), date(2026, 1, 8), 40, 300, 5, 3, 0, 12),
        Demand(date(2026, 3, 1), "rotifer-L", 1.5e6),
        Settings("loft", invented=True, keep_reserve=False, overrides={("A:1", "floor_per_ml"): 3.0}),
        Settings(keeper="Ann", volume_unit="US gal", temperature_unit="degF", salinity_unit="ppt"),
    ],
)  # fmt: skip
def test_records_come_back_from_their_rows(record):
    assert type(record).from_row(record.row()) == record


@pytest.mark.parametrize(
    ("kind", "row", "field"),
    [
        (Vessel, {"strain": "mixed", "shelf": "A", "position": 1, "volume_l": 1}, "vessel"),
        (Vessel, {"vessel": "A", "strain": "mixed", "shelf": "A", "position": 0, "volume_l": 1}, "position"),
        (Vessel, {"vessel": "A", "strain": "mixed", "shelf": "A", "position": 1, "volume_l": 0}, "volume_l"),
        (Stock, {"feed": "a", "dry_g_per_ml": 2}, "dry_g_per_ml"),
        (Brood, {"brood": "a"}, "hatched"),
        (Brood, {"brood": "a", "spawned": "2026-03-02", "hatched": "2026-03-01"}, "hatched"),
        (Demand, {"date": "2026-03-01", "strain": "mixed"}, "animals"),
        (Demand, {"date": "soon", "strain": "mixed", "animals": 1}, "date"),
        (Settings, {"volume_unit": "pint"}, "volume_unit"),
    ],
)
def test_a_bad_record_is_refused_by_the_name_of_its_field(kind, row, field):
    with pytest.raises(InputError) as caught:
        kind.from_row(row)
    assert caught.value.field == field


def test_every_shipped_value_has_a_source():
    for profile in (*prof.strains().values(), *prof.groups().values()):
        assert profile.title
        assert all(profile.sources.values())
    files = resources.files("rackview.resources.profiles").iterdir()
    names = {*prof.BUILT_IN_STRAINS, *(f"larvae-{name}" for name in prof.BUILT_IN_GROUPS)}
    assert {p.name for p in files if p.name.endswith(".json")} == {f"{name}.json" for name in names}


def test_shipped_profiles_make_sense():
    for p in prof.strains().values():
        assert 0 < p.floor_per_ml <= p.band_low_per_ml <= p.band_high_per_ml <= p.ceiling_per_ml
        assert 0 <= p.share_low <= p.share_high <= p.share_most <= 1
        assert p.temperature_low_c < p.temperature_high_c
        assert p.nh3_notice_mg_l <= p.nh3_act_mg_l
        assert p.floss_days_heavy <= p.floss_days <= p.floss_days_longest
        assert p.ration_least_g_per_million <= p.ration_g_per_million <= p.ration_most_g_per_million
    for g in prof.groups().values():
        assert g.strain in prof.strains()
        assert g.first_day <= g.last_day


NAMES = ("title", "animal", *prof.mapping_of(prof.strains()["mixed"]))
PLAIN = st.none() | st.booleans() | st.floats() | st.text(max_size=9)
TOLD = PLAIN | st.lists(PLAIN, max_size=2) | st.dictionaries(st.sampled_from(("value", "source")), PLAIN, max_size=2)


@given(st.dictionaries(st.sampled_from(NAMES) | st.text(max_size=9), TOLD, max_size=9))
def test_no_table_makes_a_profile_by_chance(table):
    with pytest.raises(InputError):
        prof.strain_from("x", table)


@pytest.mark.parametrize(
    ("field", "bad"),
    [("ceiling_per_ml", 0), ("rate_per_day", 1000), ("count_days", -1), ("mesh_um", math.inf), ("ph_low", math.nan)],
)
def test_a_profile_that_nothing_can_be_reckoned_with_is_refused(field, bad):
    table = prof.mapping_of(prof.strains()["rotifer-L"]) | {field: {"value": bad, "source": "mine"}}
    with pytest.raises(InputError, match=f"profile mine, {field}: found .* needs a number from"):
        prof.strain_from("mine", table)


def test_an_unknown_threshold_is_refused():
    with pytest.raises(InputError, match="threshold"):
        prof.strains()["mixed"].with_values({"colour": 3})


def test_a_profile_written_before_a_value_was_part_of_it_still_loads():
    shipped = prof.strains()["rotifer-L"]
    older = {k: v for k, v in prof.mapping_of(shipped).items() if k not in prof.LATER}
    assert len(older) < len(prof.mapping_of(shipped))
    profile = prof.strain_from("rotifer-L", older)
    for name, value in prof.LATER.items():
        assert getattr(profile, name) == value
        assert profile.sources[name] == "common practice, no source"
    older.pop("floor_per_ml")
    with pytest.raises(InputError, match="floor_per_ml"):
        prof.strain_from("rotifer-L", older)


def test_the_narrower_scope_of_a_threshold_holds():
    from rackview.core.rack import Rack

    vessels = [
        Vessel("Brill", "rotifer-L", "A", 1, 20),
        Vessel("Dab", "rotifer-L", "A", 2, 20),
        Vessel("Goby", "rotifer-S", "A", 3, 20),
    ]
    over = {
        ("", "floor_per_ml"): 10.0,
        (strain_scope("rotifer-L"), "floor_per_ml"): 20.0,
        ("Dab", "floor_per_ml"): 30.0,
    }
    settings = Settings(overrides=over)
    rack = Rack.build(vessels, settings=Settings.from_row(settings.row()))
    assert rack.settings == settings
    assert [rack.profile(n).floor_per_ml for n in rack.vessels] == [20.0, 30.0, 10.0]


# --- standing needs, larval tanks, worth ---


@pytest.mark.parametrize(
    ("kind", "row", "field", "wanted"),
    [
        (Standing, {"strain": "rotifer-L"}, "consumer", "who eats what is spare"),
        (Standing, {"consumer": "older fish"}, "strain", "a strain such as"),
        (Standing, {"consumer": "larvae", "strain": "rotifer-L"}, "consumer", "another name"),
        (Standing, {"consumer": "fish", "strain": "x", "animals_per_day": 0}, "animals_per_day", "above 0"),
        (Standing, {"consumer": "fish", "strain": "x", "worth": -1}, "worth", "from 0 to 1000000"),
        (TankEntry, {"date": "2026-03-01", "left_per_ml": 2}, "tank", "the brood or the tank"),
        (TankEntry, {"date": "2026-03-01", "tank": "a"}, "left_per_ml", "what was left per mL"),
        (TankEntry, {"date": "2026-03-01", "tank": "a", "left_per_ml": -1}, "left_per_ml", "from 0 to 1000"),
        (TankEntry, {"date": "2026-03-01", "tank": "a", "feed": "algae"}, "amount", "an amount above 0"),
        (TankEntry, {"date": "2026-03-01", "tank": "a", "amount": 3}, "feed", "the name of the feed"),
        (TankEntry, {"tank": "a", "left_per_ml": 3}, "date", "a date"),
        (Settings, {"worth:brood": "much"}, "worth:brood", "from 0 to 1000000"),
        (Settings, {"worth:minute": -1}, "worth:minute", "from 0 to 1000000"),
        (Settings, {"starter_days": 400}, "starter_days", "from 0 to 365"),
    ],
)
def test_what_a_standing_need_a_tank_or_a_worth_can_t_be(kind, row, field, wanted):
    with pytest.raises(InputError) as caught:
        kind.from_row(row)
    assert caught.value.field == field
    assert wanted in str(caught.value)


def test_their_rows_say_the_same_again():
    for one in (
        Standing("older fish", "rotifer-L", 4e5, 0.2),
        Standing("display tank", "rotifer-S"),
        TankEntry(date(2026, 3, 1), "fish 1", 2.5, "algae", 4.0, "g"),
        TankEntry(date(2026, 3, 1), "fish 1", 0.0),
    ):
        assert type(one).from_row(one.row()) == one
    own = Settings(worth={"brood": 0.0, "feed_g": 0.5}, starter_days=3.0)
    assert Settings.from_row(own.row()) == own
    assert Settings.from_row(Settings().row()) == Settings()


def test_a_value_that_nothing_rests_on_any_more_is_passed_over() -> None:
    """Profiles and settings written when it was part of one are still read."""
    usual = prof.strains()["rotifer-L"]
    (gone,) = prof.RETIRED
    assert gone not in prof.THRESHOLDS
    table = {**prof.mapping_of(usual), gone: {"value": 0.2, "source": "common practice, no source"}}
    assert prof.mapping_of(prof.strain_from("rotifer-L", table)) == prof.mapping_of(usual)
    assert usual.with_values({gone: 0.3, "floor_per_ml": 33.0}).floor_per_ml == 33.0


@pytest.mark.parametrize(("low", "high"), [("growth_min_c", "growth_opt_c"), ("growth_opt_c", "growth_max_c")])
def test_cardinal_temperatures_that_are_equal_or_out_of_order_are_refused(low, high):
    usual = prof.strains()["rotifer-L"]
    table = prof.mapping_of(usual)
    for value in (getattr(usual, low), getattr(usual, low) - 1.0):
        with pytest.raises(InputError, match=high):
            prof.strain_from("mine", table | {high: {"value": value, "source": "mine"}})
    for value in (usual.growth_min_c, usual.growth_max_c):
        with pytest.raises(InputError, match="usual_c"):
            prof.strain_from("mine", table | {"usual_c": {"value": value, "source": "mine"}})
