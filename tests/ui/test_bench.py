"""The bench: sums fed from a vessel, errors beside the field, cautions that always stand there."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import chain

import pytest
from PySide6.QtWidgets import QLineEdit

from rackview.core.tables import Settings
from rackview.science.registry import formula, formulas
from rackview.ui.bench import benches, sums
from rackview.ui.bench.screen import BenchScreen

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
PLAIN = Settings()


@pytest.fixture(scope="module")
def session(demo_at):
    made = demo_at(lambda: NOW)
    yield made
    made.close()


@pytest.fixture
def screen(qtbot, session):
    made = BenchScreen(session)
    qtbot.addWidget(made)
    return made


def card(screen: BenchScreen, bench: str, question: str):
    screen.show_bench(bench)
    return next(c for c in screen.cards if c.sum.question == question)


def type_in(one, name: str, text: str) -> None:
    made = one._inputs[name]
    if isinstance(made, QLineEdit):
        made.setText(text)
        made.textEdited.emit(text)
    else:
        made.setCurrentIndex(made.findData(text))
        made.activated.emit(made.currentIndex())


@pytest.mark.parametrize(
    ("bench", "question", "typed", "shown"),
    [
        # reading 1.022 at 25/25 degC is SP 29.2195: TEOS-10 by gsw 3.6.23
        ("Salinity", "Salinity from a specific gravity", {"sg": "1,022", "temperature_c": "25"}, "29.2"),
        # NBS pH 8.0, SP 35, 25 degC: 3.977 % un-ionised, Clegg & Whitfield 1995 by PyCO2SYS 1.8.3
        (
            "Ammonia",
            "Un-ionised ammonia",
            {"total_mg_l": "1", "ph": "8.0", "temperature_c": "25", "salinity": "35"},
            "0.04",
        ),
        # mass balance with TEOS-10 densities: 4.1055 L dilute 10 L of SP 35 to SP 25 at 25 degC
        (
            "Mixing",
            "Fresh water to make it less salty",
            {"volume_l": "10", "salinity": "35", "wanted": "25", "temperature_c": "25"},
            "4.11",
        ),
        # arithmetic with molar masses: 10 mg/L in 100 L from a 50 mg/mL stock is 20 mL
        (
            "Disinfection",
            "Chlorine for a job",
            {"volume_l": "100", "stock_mg_per_ml": "50", "mg_per_l": "10"},
            "20",
        ),
    ],
)
def test_known_sums(screen, bench, question, typed, shown):
    one = card(screen, bench, question)
    for name, text in typed.items():
        type_in(one, name, text)
    assert f">{shown}<" in one.result.text()


def test_the_vessel_fills_in_what_it_tells(screen):
    screen.open("Limpet")
    one = card(screen, "Transfer", "Most to take and stay safe")
    assessment = screen.session.assessments()["Limpet"]
    assert float(one._inputs["per_ml"].text()) == pytest.approx(assessment.density_per_ml.median, rel=1e-3)
    assert one._words["per_ml"].text() == ""
    type_in(one, "per_ml", "300")
    screen.open("Whelk")
    assert one._inputs["per_ml"].text() == "300", "what was typed is gone"


def test_what_cannot_be_is_said_beside_its_field(screen):
    one = card(screen, "Ammonia", "Un-ionised ammonia")
    type_in(one, "ph", "80")
    assert "ph" in one.error_of("ph").lower()
    assert "80" in one.error_of("ph")
    assert one._inputs["ph"].text() == "80"
    assert not one._words["ph"].isHidden()
    type_in(one, "ph", "8")
    assert one.error_of("ph") == ""


def test_a_word_is_no_number(screen):
    one = card(screen, "Feed", "Dry feed for the animals present")
    type_in(one, "animals", "many")
    assert "many" in one.error_of("animals")


def test_a_disinfectant_never_comes_without_its_cautions(screen):
    for question in ("Chlorine for a job", "Thiosulphate to neutralise it"):
        assert card(screen, "Disinfection", question)
        assert not screen.cautions.isHidden(), "at the head of the page, once for all of its sums"
        assert "label" in screen.cautions.text()
        assert "acid" in screen.cautions.text()
    screen.sought.setText("thiosulphate neutralise")
    alone = [c for c in screen.cards if c.sum.function == "disinfection.neutralise"]
    assert "acid" in screen.cautions.text() + alone[0].cautions.text(), "found by a word it has them too"


def test_no_caution_stands_twice_on_a_page_of_the_bench(screen):
    for bench in benches.benches():
        screen.show_bench(bench)
        said = [line for one in (screen, *screen.cards) for line in one.cautions.text().splitlines()]
        assert len(said) == len(set(said)), bench


def test_a_dose_of_chlorine_is_never_worked_out_for_a_living_vessel(screen):
    screen.open("Limpet")
    screen.show_bench("Disinfection")
    for one in screen.cards:
        for name, words in one._words.items():
            assert "example" in words.text() or not isinstance(one._inputs[name], QLineEdit), (one.sum.function, name)
    salt = card(screen, "Feed", "Dry feed for the animals present")
    assert salt._words["animals"].text() == "", "elsewhere the vessel fills in"


def test_the_two_doses_before_a_drain_begin_with_how_far_they_are_apart(screen):
    one = card(screen, "Disinfection", "Chlorine for a job")
    for rule, dose, words in (
        ("emergency", "2900", "2,900 mg/L: 181 times the dose"),
        ("lighter", "16", "16 mg/L: 1/181 of the dose"),
    ):
        type_in(one, "purpose", f"culture water before a drain, {rule} rule")
        if "mg_per_l" in one._inputs:
            type_in(one, "mg_per_l", dose)
        said = one.result.text()
        assert words in said
        assert said.index(words) < said.index("mL of stock")
    type_in(one, "purpose", "seawater for cultures")
    assert "times the dose" not in one.result.text()


@pytest.mark.parametrize("bench", benches.benches())
def test_every_sum_works_on_its_example_and_shows_its_basis(screen, bench):
    screen.show_bench(bench)
    screen.vessel.setCurrentIndex(0)
    screen._refill()
    for one in screen.cards:
        assert not [n for n in one._inputs if one.error_of(n)], one.sum.question
        assert "Source:" in one._basis()
        assert one.sum.formula.text in one._basis()


def test_units_of_the_keeper():
    gallons = Settings(volume_unit="US gal", temperature_unit="degF")
    one = next(s for s in benches.benches()["Mixing"] if s.function == "mixing.fresh_to_dilute")
    volume, *_, temperature = one.asks
    assert sums.from_keeper(volume, 1.0, gallons) == pytest.approx(3.785411784)  # NIST Handbook 44, appendix C
    assert sums.to_keeper(temperature, 25.0, gallons) == pytest.approx(77.0)
    values = {"volume_l": 10.0, "salinity": 35.0, "wanted": 25.0, "temperature_c": 25.0}
    assert one.work_out(values, gallons).results[0].value == "1.08"
    assert one.work_out(values, PLAIN).results[0].unit == "L of fresh water"


def test_boxes_side_by_side_stand_level_however_long_their_labels_are(qtbot, screen):
    screen.resize(1024, 640)
    screen.show()
    qtbot.waitExposed(screen)
    for one in screen.cards:
        tops = [made.mapTo(one, made.rect().topLeft()).y() for made in one._inputs.values()]
        assert len(set(tops[:4])) == 1, one.sum.question


def test_what_a_sum_rests_on_is_told_without_the_names_of_functions() -> None:
    asks = formula("transfer.move").inputs
    said = benches.for_keepers("as for `salinity_from_sg`; `floor_per_ml` and `some_name`, `gsw.SP_from_C`", asks)
    assert said == "as for “Salinity from a specific gravity”; density the donor keeps and some name, gsw.SP_from_C"
    for one in chain.from_iterable(benches.benches().values()):
        rests = " ".join((one.formula.text, one.formula.range_words, one.formula.source))
        assert "`" not in benches.for_keepers(rests)


NOT_ON_THE_BENCH = {
    "units.to_display",
    "units.from_display",
    "seawater.salinity_to_display",
    "seawater.salinity_from_display",
    "growth.known_shifts",
}
"""Every field of the window turns units; the shifts of harvests stand inside the sum of a series."""


def test_a_keeper_meets_every_formula_of_the_shelf() -> None:
    shown = {one.function for one in chain.from_iterable(benches.benches().values())}
    assert {f.function for f in formulas()} - shown == NOT_ON_THE_BENCH
    questions = [one.question for one in chain.from_iterable(benches.benches().values())]
    assert len(questions) == len(set(questions)), "a question stands twice"


def test_a_word_finds_a_sum_on_any_bench(screen):
    screen.sought.setText("resting eggs")
    assert [c.sum.function for c in screen.cards][:2] == ["storage.resting_eggs_for", "storage.resting_eggs_made"]
    screen.sought.setText("Rotifer mouth prey")
    assert len(screen.cards) <= 15
    screen.sought.setText("no such thing")
    assert screen.cards == []
    assert screen._group.checkedButton() is None
    screen.show_bench("Ammonia")
    assert screen.sought.text() == ""
    assert screen.cards[0].sum.function == "ammonia.unionised_mg_l"


@pytest.mark.parametrize(
    ("bench", "question", "typed", "shown"),
    [
        # 22, 28, 31, 42, 61, 74 in 2 mL each, no harvest: Poisson regression by statsmodels 0.15.0
        (
            "Growth",
            "Growth from a series, harvests taken out",
            {
                "days": "0 1 2 3 4 5",
                "animals": "44 60 71 95 140 171",
                "looked_at_ml": "2 2 2 2 2 2",
                "harvest_days": "9",
                "harvest_shares": "0",
            },
            "0.278",
        ),
        # 12, 15, 9, 18, 11 in 1 mL each: 13 per mL
        ("Counting", "Density from a count", {"tallies": "12 15 9 18 11"}, "13"),
        # Jepsen et al. 2015: 0.030 mg/L of NH3 harms no nauplii of Acartia
        ("Ammonia", "A limit printed as NH3, as nitrogen", {"mg_nh3_l": "0.030"}, "0.0247"),
        # Yoshinaga et al. 2001: 70 % with eggs, five each
        ("Eggs", "Eggs per female from a share", {"ovigerous_share": "0.7", "eggs_per_clutch": "5"}, "3.5"),
        # summer flounder on day 7 after hatching: 62 exp(0.2257)
        ("Larvae", "What a larva eats", {"age_days": "7"}, "77.7"),
    ],
)
def test_known_sums_of_the_newer_benches(screen, bench, question, typed, shown):
    one = card(screen, bench, question)
    for name, text in typed.items():
        type_in(one, name, text)
    assert f">{shown}<" in one.result.text()


def test_several_numbers_in_one_field(screen):
    one = card(screen, "Counting", "Density from a count")
    type_in(one, "tallies", "12; 15 9")
    assert "36" in one.result.text()
    type_in(one, "tallies", "12 some")
    assert "numbers with spaces between" in one.error_of("tallies")
    type_in(one, "tallies", "")
    assert "numbers with spaces between" in one.error_of("tallies")


def test_no_dose_of_peroxide_is_given_and_bleach_always_has_its_cautions(screen):
    one = card(screen, "Disinfection", "Hydrogen peroxide")
    assert "no dose" in one.result.text()
    assert "gloves" in one.cautions.text()
    for question in ("Dry chlorine for the same", "Residual that an organism stands"):
        assert card(screen, "Disinfection", question)
        assert not screen.cautions.isHidden()


def test_the_rack_tells_what_it_yields(screen):
    screen.open("Limpet")
    one = card(screen, "Larvae", "Larvae that the rack can support")
    assert one._words["animals_per_day"].text() == ""
    assert float(one._inputs["animals_per_day"].text().replace(" million", "")) > 0
