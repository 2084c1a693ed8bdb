"""By how much water that is put in moves the density: what evaporated thickened the culture before."""

from __future__ import annotations

import math

import pytest

from rackview.science.state.water import VesselWater


@pytest.mark.parametrize(("counted", "share"), [(None, 0.0), (0.5, 0.25), (1.0, 0.5), (2.0, 1.0)])
def test_a_top_up_undoes_as_much_of_the_thickening_as_the_newest_count_has_seen(counted, share):
    """Two of 20 L evaporate evenly in two days and are made good: by the mass of animals the density is as at first."""
    water = VesselWater(20.0, 20.0).filled(20.0, 0.0)
    water = water if counted is None else water.counted(counted)
    after, shift = water.added(2.0, 2.0)
    assert after.level_l == 20.0
    assert shift == pytest.approx(share * math.log(18.0 / 20.0))


def test_water_into_a_vessel_that_is_not_full_thins_it_by_volume():
    after, shift = VesselWater(15.0, 20.0).counted(1.0).added(3.0, 2.0)
    assert after.level_l == 18.0
    assert shift == pytest.approx(math.log(15.0 / 18.0))
