"""The bench: sums fed from a vessel, errors beside the field, cautions that always stand there."""

from __future__ import annotations

from datetime import UTC, date, datetime
from itertools import chain

import pytest

from rackview.core.tables import Settings
from rackview.science.registry import formula, formulas
from rackview.services.sessions import demo_session
from rackview.ui.bench import benches, sums
from rackview.ui.bench.screen import BenchScreen

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
PLAIN = Settings()


@pytest.fixture(scope="module")
def session(tmp_path_factory):
    made = demo_session(tmp_path_factory.mktemp("bench") / "rack.db", lambda: NOW, date(2026, 5, 14))
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


@pytest.mark.parametrize(
    ("bench", "question", "typed", "shown"),
    [
        # reading 1.022 at 25/25 degC is SP 29.2195: TEOS-10 by gsw 3.6.23
        ("Salinity", "Salinity from a gravity", {"sg": "1,022", "temperature_c": "25"}, "29.2"),
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
        one.type_in(name, text)
    assert f">{shown}<" in one.result.text()


def test_the_vessel_fills_in_what_it_tells(screen):
    screen.open("Limpet")
    one = card(screen, "Transfer", "Most to take and stay safe")
    assessment = screen.session.assessments()["Limpet"]
    assert float(one._inputs["per_ml"].text()) == pytest.approx(assessment.density_per_ml.median, rel=1e-3)
    assert one._words["per_ml"].text() == ""
    one.type_in("per_ml", "300")
    screen.open("Whelk")
    assert one._inputs["per_ml"].text() == "300", "what was typed is gone"


def test_what_cannot_be_is_said_beside_its_field(screen):
    one = card(screen, "Ammonia", "Un-ionised ammonia")
    one.type_in("ph", "80")
    assert "ph" in one.error_of("ph").lower()
    assert "80" in one.error_of("ph")
    assert one._inputs["ph"].text() == "80"
    assert not one._words["ph"].isHidden()
    one.type_in("ph", "8")
    assert one.error_of("ph") == ""


def test_a_word_is_no_number(screen):
    one = card(screen, "Feed", "Dry feed for the animals present")
    one.type_in("animals", "many")
    assert "many" in one.error_of("animals")


def test_a_disinfectant_never_comes_without_its_cautions(screen):
    for question in ("Chlorine for a job", "Thiosulphate to neutralise it"):
        one = card(screen, "Disinfection", question)
        assert not one.cautions.isHidden()
        assert "label" in one.cautions.text()
        assert "acid" in one.cautions.text()


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
    assert said == "as for “Salinity from a gravity”; density the donor keeps and some name, gsw.SP_from_C"
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
        one.type_in(name, text)
    assert f">{shown}<" in one.result.text()


def test_several_numbers_in_one_field(screen):
    one = card(screen, "Counting", "Density from a count")
    one.type_in("tallies", "12; 15 9")
    assert "36" in one.result.text()
    one.type_in("tallies", "12 some")
    assert "numbers with spaces between" in one.error_of("tallies")
    one.type_in("tallies", "")
    assert "numbers with spaces between" in one.error_of("tallies")


def test_no_dose_of_peroxide_is_given_and_bleach_always_has_its_cautions(screen):
    one = card(screen, "Disinfection", "Hydrogen peroxide")
    assert "no dose" in one.result.text()
    assert "gloves" in one.cautions.text()
    for question in ("Dry chlorine for the same", "Residual that an organism stands"):
        assert not card(screen, "Disinfection", question).cautions.isHidden()


def test_the_rack_tells_what_it_yields(screen):
    screen.open("Limpet")
    one = card(screen, "Larvae", "Larvae that the rack can support")
    assert one._words["animals_per_day"].text() == ""
    assert float(one._inputs["animals_per_day"].text().replace(" million", "")) > 0
