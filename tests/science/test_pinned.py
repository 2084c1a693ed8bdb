"""Constants that no other check holds to their last digit, each against the table or the text it was taken from.

Where the source is remembered the line says so: such a test keeps a value from drifting, and proves nothing more.
"""

import math

import numpy as np
import pytest
from scipy import special

from rackview.science import balance, counts, development, disinfection, feeding, larvae, mixing, seawater, transfer


@pytest.mark.parametrize(
    ("quantity", "printed"),
    [
        # FAO Fisheries Technical Paper 361, table 3.1 at 15, 20 and 25 degC, cells not read in print: common
        # practice, no source
        ("embryo days", (1.3, 1.0, 0.6)),
        ("first eggs days", (3.0, 1.9, 1.3)),
        ("egg interval hours", (7.0, 5.3, 4.0)),
        ("life days", (15, 10, 7)),
        ("eggs per life", (23, 23, 20)),
    ],
)
def test_life_of_a_rotifer_as_tabled(quantity, printed):
    found = [development.from_table(quantity, t) for t in (15, 20, 25)]
    assert found == pytest.approx(printed, abs=1e-9)


def test_the_remembered_table_agrees_with_what_was_read():
    """Read: an egg about every 4 h and 21 eggs in a life of 10.5 days at 20 degC (FAO 361, 3.3; life
    history by algal food, Oral Roberts University)."""
    assert development.from_table("egg interval hours", 25) == pytest.approx(4, abs=0.1)
    assert development.from_table("eggs per life", 20) == pytest.approx(21, rel=0.1)
    assert development.from_table("life days", 20) == pytest.approx(10.5, rel=0.06)
    assert 0.5 <= development.from_table("first eggs days", 25) <= 1.5


def test_weights_of_cells_as_tabled():
    """Common practice, no source."""
    assert dict(feeding.CELL_PG) == {
        "Nannochloropsis oculata": 6.1,
        "Isochrysis galbana": 30.5,
        "Isochrysis T-iso": 29.7,
        "Chaetoceros calcitrans": 11.3,
        "Nannochloris atomus": 21.4,
        "Tetraselmis suecica": 168.2,
        "Tetraselmis chui": 269.0,
        "Pavlova lutheri": 102.3,
        "Dunaliella tertiolecta": 99.9,
        "Rhodomonas salina": 122.5,
    }


def test_the_curve_of_rations_is_as_far_off_its_table_as_is_said():
    """Least squares by numpy through the middle of each step: within 2 % there, within 14 % at the ends of a step."""
    starts, rations = np.array(feeding.DENSITY_RATIONS[:-1]).T
    slope, height = np.polyfit(np.log(starts + 25), np.log(rations), 1)
    assert feeding.ration_from_curve(300) / feeding.ration_from_curve(100) == pytest.approx(3**slope, rel=1e-3)
    assert feeding.ration_from_curve(100) == pytest.approx(math.exp(height) * 100**slope, rel=2e-3)
    for shift, most in ((0, 0.14), (25, 0.02), (49.9, 0.14)):
        off = [abs(feeding.ration_from_curve(s + shift) / r - 1) for s, r in zip(starts, rations, strict=True)]
        assert max(off) < most


def test_hatching_of_anemonefish_eggs_as_noted():
    """11 and 8 days at 24 and 26 degC (common practice, no source); 152 h at 27 to 28, Yasir & Qin 2007."""
    found = [larvae.embryo_days(t) for t in (24, 25, 26, 27, 28)]
    assert found == pytest.approx([11, 9.5, 8, 152 / 24, 152 / 24])


def test_the_calendars_as_printed():
    """Gopakumar et al. 2001, Divya et al. 2011, Murray et al. 2025, Treece & Davis 2000, Wullur et al. 2007."""
    found = {
        group: [(f.prey, f.first_day, f.last_day, f.per_ml) for f in larvae.calendar(group)]
        for group in larvae.CALENDAR
    }
    assert found == {
        "anemonefish": [("rotifers", 0, 7, (6, 10)), ("Artemia nauplii", 5, 20, (4, 6)), ("dry diet", 5, 25, None)],
        "red drum": [("rotifers", 3, 11, (3, 5)), ("Artemia nauplii", 11, 21, None)],
        "striped mullet": [("rotifers", 3, 40, (10, 10))],
        "seven-band grouper": [("rotifers", 3, 12, (20, 20))],
    }


def test_meshes_and_recovery_as_noted():
    """Common practice, no source; that they hold the smallest is worked out below; 10 % lost in sieving: Attramadal &
    Sandvand 1993."""
    meshes = {name: mesh.value for name, mesh in transfer.MESHES.items()}
    assert meshes == {
        "rotifer-L": 60,
        "rotifer-S": 50,
        "rotifer-SS": 40,
        "copepod-benthic": 45,
        "copepod-pelagic": 38,
        "copepod adults": 150,
        "ciliate rinse": 50,
    }
    assert transfer.SIEVE_RECOVERY.value == 0.9
    assert mixing.SALINITY_STEP == 5
    for strain, smallest_um in (("rotifer-L", 130), ("rotifer-S", 100), ("rotifer-SS", 100)):
        held = 0.76 * smallest_um  # width over length of rotifers fed to cod, citing Puvanendran et al.
        assert transfer.mesh_diagonal(meshes[strain]) < held


def test_doses_of_chlorine_as_noted():
    """Lekang, Aquaculture Engineering; US Fish and Wildlife Service 2021; the others common practice, no source."""
    found = {name: (use.mg_l, use.minutes) for name, use in disinfection.PURPOSES.items()}
    assert found == {
        "seawater for cultures": ((5, 20), (720, 1440)),
        "clean water, short": ((3, 5), (1, 5)),
        "clean water, long": ((0.2, 0.5), (20, 30)),
        "clean hard equipment": ((200, 200), (30, 60)),
        "culture water before a drain, emergency rule": ((2900, 2900), (10, 10)),
        "culture water before a drain, lighter rule": ((16, 16), (10, 10)),
    }


@pytest.mark.outside(
    "seawater",
    "seawater.refractive_index",
    ("pure water", "sea water"),
    "Quan & Fry 1995, Appl. Opt. 34:3477-3480; tables of optics",
)
@pytest.mark.parametrize("salinity", [0.0, 20.0, 35.0])
@pytest.mark.parametrize("temperature", [1.0, 20.0, 29.0])
@pytest.mark.parametrize("wavelength", [405.0, 589.3, 700.0])
def test_every_term_of_the_refractive_index(salinity, temperature, wavelength):
    """Typed a second time from the paper's table of ten coefficients, term by term."""
    n0, n1, n2, n3, n4 = 1.31405, 1.779e-4, -1.05e-6, 1.6e-8, -2.02e-6
    n5, n6, n7, n8, n9 = 15.868, 0.01155, -0.00423, -4382.0, 1.1455e6
    s, t, w = salinity, temperature, wavelength
    second = n0 + (n1 + n2 * t + n3 * t**2) * s + n4 * t**2 + (n5 + n6 * s + n7 * t) / w + n8 / w**2 + n9 / w**3
    assert seawater.refractive_index(s, t, w) == pytest.approx(second, abs=1e-12)
    # sodium light at 20 degC: 1.3330 in pure water, 1.3394 in sea water of 35 ppt, as printed on refractometers
    assert seawater.refractive_index(0, 20) == pytest.approx(1.3330, abs=5e-5)
    assert seawater.refractive_index(35, 20) == pytest.approx(1.3394, abs=5e-5)


@pytest.mark.outside("counts", "counts.scattered_limits", "to the digit", "scipy.special.gammaincinv")
@pytest.mark.parametrize(("animals", "aliquots", "cv"), [(140, 3, 0.12), (25, 1, 0.4), (900, 6, 0.25)])
def test_limits_of_known_scatter_to_the_digit(animals, aliquots, cv):
    low, high = special.gammaincinv(animals, 0.025), special.gammaincinv(animals + 1, 0.975)
    wider = math.sqrt(1 + animals * cv**2 / aliquots)
    expected = animals * (low / animals) ** wider, animals * (high / animals) ** wider
    assert counts.scattered_limits(animals, aliquots, cv) == pytest.approx(expected, rel=1e-8)


@pytest.mark.outside("counts", "counts.aliquot_limits", "to the digit", "scipy.special gammaincinv and stdtrit")
@pytest.mark.parametrize("tallies", [(12, 15, 9, 18, 11), (34, 8, 51, 5, 22), (40,)])
def test_the_interval_of_a_count_to_the_digit(tallies):
    """Scatter of 0.30 worth three aliquots, a choice of the project, pooled with the aliquots' own."""
    n, r = sum(tallies), len(tallies)
    own = np.var(tallies, ddof=1) / np.mean(tallies) if r > 1 else 0.0
    phi = max((3 * (1 + n / r * 0.30**2) + (r - 1) * own) / (2 + r), 1)
    wider = math.sqrt(phi) * special.stdtrit(2 + r, 0.975) / special.ndtri(0.975)
    low, high = special.gammaincinv(n, 0.025), special.gammaincinv(n + 1, 0.975)
    expected = n * (low / n) ** wider, n * (high / n) ** wider
    assert counts.aliquot_limits(tallies) == pytest.approx(expected, rel=1e-8)


def test_make_up_of_algae_as_printed():
    """Macromolecular composition of microalgae (PMC4882041), medians in % of dry matter: protein 32.2, lipid 17.3,
    carbohydrate 15.0."""
    assert (balance.PROTEIN, balance.LIPID, balance.CARBOHYDRATE) == (0.322, 0.173, 0.150)


def test_factors_of_doubt_as_printed():
    """1.4: Salonen, Salmi & Keskitalo 2021, J. Plankton Res. 43:846-852."""
    assert counts.AGGREGATED == 1.4
    assert counts.lund_percent(100, aggregated=True) == pytest.approx(28.0, abs=1e-9)
    assert counts.CLUMPED_BELOW == 0.025
