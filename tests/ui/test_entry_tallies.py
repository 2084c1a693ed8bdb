"""Tallies of one vessel's entry without a window: what they come to, and what is asked about them."""

from __future__ import annotations

import pytest

from rackview.core.assessment import Counting, Interval
from rackview.core.errors import InputError
from rackview.core.events import Count
from rackview.core.tables import Settings
from rackview.ui.round import words as round_words
from rackview.ui.round.entry.model import Entry
from tests.ui.entries import NOW, believed, entry, rack, tally


def test_density_comes_from_the_tallies_in_the_volume_looked_at() -> None:
    made = tally(entry(aliquot="1", dilution="7"), "31", "28", "30")
    density = made.density()
    assert density is not None
    assert density.animals == 89
    assert density.per_ml == pytest.approx(89 / 3 * 7)
    assert density.low < density.per_ml < density.high


def test_no_tallies_give_no_density() -> None:
    assert entry().density() is None
    assert tally(entry(), "").density() is None


def test_zero_animals_leave_an_upper_limit() -> None:
    density = tally(entry(), "0", "0").density()
    assert density is not None
    assert density.per_ml == 0
    assert density.high > 0


def test_who_mixes_badly_gets_a_wider_interval_and_counts_more_aliquots() -> None:
    even, uneven = entry(), entry()
    even.assessment, uneven.assessment = (
        believed(rack(), "Alder", Interval(200, 160, 250), aliquot_cv=cv) for cv in (0.0, 0.4)
    )
    for made in (even, uneven):
        tally(made, "31", "28", "30")
    density, narrow, wide = even.density(), even.interval(), uneven.interval()
    assert density is not None
    assert narrow is not None
    assert wide is not None
    assert (narrow.low90, narrow.high90) == pytest.approx((density.poisson_low, density.poisson_high))
    assert wide.median == narrow.median
    assert wide.high90 / wide.low90 > 1.7 * narrow.high90 / narrow.low90
    assert even.more(0.2) == 1
    assert uneven.more(0.2) == 16


def test_an_interval_waits_for_tallies_that_can_be_taken() -> None:
    assert entry().interval() is None
    assert tally(entry(), "31", "three").interval() is None
    assert tally(entry(), "31", "three").more(0.2) is None


def test_one_stage_may_be_counted_in_more_aliquots_than_the_others_so_far() -> None:
    made = entry(vessel="Cedar")
    made.count_by_stage(by_stage=True)
    tally(tally(made, "12", "9", stage="nauplii"), "4", stage="adults")
    whole, nauplii = made.interval(), made.interval("nauplii")
    assert whole is not None
    assert nauplii is not None
    assert (whole.median, nauplii.median) == (16.0, 10.5)
    assert made.interval("copepodites") is None


@pytest.mark.parametrize("texts", [("31 28 30",), ("31;28", "30"), ("31 ", " 28 30 ")])
def test_tallies_pasted_into_one_field_are_taken_one_by_one(texts: tuple[str, ...]) -> None:
    pasted, typed = tally(entry(), *texts), tally(entry(), "31", "28", "30")
    assert pasted.density() == typed.density()
    assert pasted.more(0.1) == typed.more(0.1)
    (count,) = (e for e in pasted.events(NOW) if isinstance(e, Count))
    assert count.tallies == (31, 28, 30)
    assert pasted.text("all.0") == texts[0]


@pytest.mark.parametrize("text", ["-3", "2.5", "1e3", "three", "28 x"])
def test_a_tally_that_is_no_count_is_named_and_kept(text: str) -> None:
    made = tally(entry(), "31", text)
    error = made.error("all.1")
    assert isinstance(error, InputError)
    assert text in str(error)
    assert "whole numbers of 0 or more" in str(error)
    assert made.text("all.1") == text
    assert made.error("all.0") is None
    with pytest.raises(InputError):
        made.rows(NOW)


def test_more_eggs_than_females_is_named() -> None:
    made = tally(entry(females_checked="20", with_eggs="25"), "30")
    assert "at most the 20 females checked" in str(made.error("with_eggs"))


def test_a_field_is_not_blamed_for_what_is_wrong_in_another() -> None:
    made = tally(entry(with_eggs="9", females_checked="some", eggs="12"), "30")
    assert made.error("with_eggs") is None
    assert made.error("eggs") is None
    assert "some" in str(made.error("females_checked"))
    assert list(made.errors()) == ["females_checked"]
    made = tally(entry(with_eggs="few", females_checked="40", eggs="12"), "30")
    assert list(made.errors()) == ["with_eggs"]


@pytest.mark.parametrize(
    ("tallies", "named"),
    [
        (("45", "52", "4900"), "4900"),
        (("45", "52", "4900", "12", "40"), "4900"),
        (("0", "50", "52"), "0"),
        (("40", "60", "75"), ""),
        (("10", "50"), ""),
    ],
)
def test_of_uneven_aliquots_the_one_far_from_the_others_is_named_and_none_is_sure(tallies, named) -> None:
    made = entry()
    made.assessment = believed(made.rack, "Alder")
    tally(made, *tallies)
    told, odd = round_words.verdict(made, made.interval())
    assert odd
    assert told.startswith(f"uneven: {named} is far" if named else "uneven: mix")
    found, by_these = made.interval(), made.density()
    assert (found.low90, found.high90) == (by_these.low, by_these.high)


def test_even_aliquots_keep_the_narrow_interval() -> None:
    made = tally(entry(), "50", "52", "49")
    assert not made.density().clumped
    assert made.interval().low90 > 40


def test_eggs_without_the_females_checked_ask_for_them() -> None:
    made = tally(entry(with_eggs="14"), "30")
    assert made.error("with_eggs") is None
    assert "how many females were checked" in str(made.errors()["females_checked"])


@pytest.mark.parametrize(
    ("eggs", "says"),
    [
        # Snell, Childress, Boyer & Hoff 1987, J. World Aquacult. Soc. 18:270-277: under 0.13 a population declines, to
        # 0.5 it stands still, to 1.2 it grows
        ("5", "0.10 per female, as in a falling culture"),
        ("20", "0.40 per female, as at a standstill"),
        ("40", "0.80 per female, as in growth"),
        ("90", "1.80 per female"),
    ],
)
def test_eggs_per_female_are_judged_by_the_published_bands_and_the_share_is_not(eggs: str, says: str) -> None:
    made = tally(entry(with_eggs="5", females_checked="50", eggs=eggs), "30")
    assert round_words.hints(made)["eggs"] == says
    assert round_words.hints(made)["with_eggs"] == "10 %"
    without = tally(entry(vessel="Cedar", with_eggs="5", females_checked="50", eggs=eggs), "30")
    assert round_words.hints(without)["eggs"].endswith(" per female"), "no band is published for copepods"


def test_signs_without_a_tally_ask_for_one() -> None:
    assert "at least one tally" in str(entry(tint="2").errors()["all.0"])


def test_copepods_may_be_counted_by_stage() -> None:
    made = entry(vessel="Cedar")
    assert made.stages == ("all",)
    made.count_by_stage(by_stage=True)
    tally(made, "12", "9", stage="nauplii")
    tally(made, "4", "5", stage="adults")
    made.put("tint", "1", NOW)
    assert not made.complete
    counts = [e for e in made.events(NOW) if isinstance(e, Count)]
    assert [(c.stage, c.tallies, c.tint) for c in counts] == [("nauplii", (12, 9), 1), ("adults", (4, 5), None)]


def test_all_stages_counted_give_the_whole_as_well() -> None:
    made = entry(vessel="Cedar")
    made.count_by_stage(by_stage=True)
    tally(made, "12", "9", stage="nauplii")
    tally(made, "0", "2", stage="copepodites")
    tally(made, "4", "5", stage="adults")
    made.put("tint", "1", NOW)
    counts = [e for e in made.events(NOW) if isinstance(e, Count)]
    assert [(c.stage, c.tallies, c.tint) for c in counts[:2]] == [("all", (16, 16), 1), ("nauplii", (12, 9), None)]
    assert len(counts) == 4
    whole = made.density()
    assert whole is not None
    assert whole.animals == 32
    again = Entry(made.rack, "Cedar", believed(made.rack, "Cedar"), (), made.draft())
    assert again.stages == made.stages


def test_stages_with_unequal_tallies_are_asked_about() -> None:
    made = entry(vessel="Cedar")
    made.count_by_stage(by_stage=True)
    tally(made, "12", "9", stage="nauplii")
    tally(made, "4", stage="adults")
    assert list(made.errors()) == ["adults.1"]


def test_words_tell_a_low_count_from_an_expected_one() -> None:
    low = tally(entry(dilution="7"), "3", "4", "3")
    counted = low.interval()
    assert counted is not None
    assert round_words.verdict(low, counted) == ("lower than expected: count again", True)
    good = tally(entry(dilution="7"), "31", "28", "30")
    counted = good.interval()
    assert counted is not None
    assert round_words.verdict(good, counted) == ("as expected", False)


def test_counting_is_told_by_what_it_changes_today() -> None:
    one = entry()
    assert round_words.uncounted(one) == "The density appears as you type."
    one.counting = Counting(one.vessel, "none")
    assert round_words.uncounted(one).startswith("No count needed today")
    counted = tally(entry(), "38", "41")
    counted.counting = Counting(counted.vessel, "more", 0.4)
    assert round_words.counting_advice(counted) == "one more aliquot is worth its minute"
    counted.counting = Counting(counted.vessel, "enough")
    counted.suggested = {"harvest": "6.0"}
    assert round_words.counting_advice(counted) == "enough: harvest stays 6.0 L"
    counted.suggested = {}
    assert round_words.counting_advice(counted) == "enough: nothing to take today"
    counted.counting = None
    assert round_words.counting_advice(counted) == round_words.precision(counted)


def test_the_wanted_precision_comes_from_the_settings() -> None:
    few = tally(entry(of=rack(Settings(count_precision=0.1))), "38", "41")
    assert round_words.precision(few).endswith("for ±10 %")


def test_a_tally_keeps_the_aliquot_it_was_typed_with():
    made = tally(entry(), "30")
    since = Count(at=NOW, vessel="Alder", tallies=(12,), aliquot_ml=0.5, dilution=2.0)
    of = rack(events=(since,))
    again = Entry(of, "Alder", believed(of, "Alder"), (), made.draft())
    counted = next(e for e in again.events(NOW) if isinstance(e, Count))
    assert (counted.aliquot_ml, counted.dilution) == (1.0, 1.0)
    assert entry(of=of).text("aliquot") == "0.5", "a fresh entry takes the newest habit"
