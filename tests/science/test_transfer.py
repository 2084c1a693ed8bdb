"""Moving and harvesting animals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.core.profile import BUILT_IN_STRAINS
from rackview.science import transfer

LITRES, PER_ML = st.floats(0.5, 200), st.floats(1, 3000)


@given(LITRES, PER_ML, st.floats(0.5, 1))
def test_harvest_volume_inverts_animals_in(litres, per_ml, recovery):
    animals = transfer.animals_in(litres, per_ml)
    assert transfer.harvest_volume(animals, per_ml) == pytest.approx(litres)
    assert transfer.harvest_volume(animals * recovery, per_ml, recovery) == pytest.approx(litres)


@given(LITRES, LITRES, PER_ML, st.floats(0.01, 1), st.floats(0, 0.99))
def test_a_move_leaves_the_floor_and_reaches_the_start(donor_l, receiver_l, per_ml, start, floor):
    wanted, floor_per_ml = per_ml * start, per_ml * floor
    needed, most = receiver_l * start, transfer.most_to_take(donor_l, per_ml, floor_per_ml)
    if needed > most:
        with pytest.raises(InputError, match="so that the donor keeps"):
            transfer.move(donor_l, per_ml, receiver_l, wanted, floor_per_ml)
        return
    moved = transfer.move(donor_l, per_ml, receiver_l, wanted, floor_per_ml)
    assert moved.donor_per_ml >= floor_per_ml * (1 - 1e-9)
    assert transfer.animals_in(moved.volume_l, per_ml) == pytest.approx(transfer.animals_in(receiver_l, wanted))
    left = transfer.animals_in(donor_l, moved.donor_per_ml)
    assert left + transfer.animals_in(moved.volume_l, per_ml) == pytest.approx(transfer.animals_in(donor_l, per_ml))


def test_a_move_without_refill_leaves_the_density():
    moved = transfer.move(20, 200, 10, 50, 100, refill_l=0)
    assert (moved.volume_l, moved.donor_per_ml, moved.receiver_per_ml) == (2.5, 200, 50)


@given(LITRES, PER_ML)
def test_nothing_is_taken_from_a_culture_under_its_floor(litres, floor):
    assert transfer.most_to_take(litres, floor, floor) == 0
    assert transfer.most_to_take(litres, floor / 2, floor) == 0


@pytest.mark.parametrize("strain", [s for s in BUILT_IN_STRAINS if s != "mixed"])
def test_every_strain_has_a_mesh_with_its_source(strain):
    mesh = transfer.sieve_mesh(strain)
    assert 20 <= mesh.value <= 200
    assert "FAO" in mesh.source or mesh.source == "common practice, no source"


def test_enrichment():
    assert transfer.enrichment_doses(2, 300) == (0.3, 0.3)
    assert sum(transfer.enrichment_doses(2, 300, 3)) == pytest.approx(0.6)


@given(st.floats(1, 6), st.floats(0, 15), st.floats(0, 0.5))
def test_rotifers_come_back_after_a_transfer(hours, fall, more):
    assert 0.5 <= transfer.in_water_column(hours) <= 0.75
    if hours + more <= 6:
        assert transfer.in_water_column(hours + more) >= transfer.in_water_column(hours)
    if fall + more <= 15:
        assert transfer.swimming_after(fall + more) <= transfer.swimming_after(fall)


@given(PER_ML, LITRES, st.floats(10, 1e5))
def test_per_surface_keeps_the_animals(per_ml, litres, surface):
    assert transfer.per_cm2(per_ml, litres, surface) * surface == pytest.approx(transfer.animals_in(litres, per_ml))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: transfer.harvest_volume(1e6, 0),
            "per_ml: found “0”, but needs a number above 0 and at most 1000000 anim",
        ),
        (lambda: transfer.harvest_volume(1e6, 100, 1.2), "recovery: found “1.2”"),
        (
            lambda: transfer.starter_volume(10, 200, 100),
            "wanted_per_ml: found “200”, but needs at most the 100 animals",
        ),
        (lambda: transfer.most_to_take(10, -1, 5), "per_ml: found “-1”"),
        (lambda: transfer.sieve_mesh("whale"), "strain: found “whale”, but needs one of rotifer-L"),
        (lambda: transfer.enrichment_volume(1e6, 5000), "per_ml: found “5000”, but needs a number from 10 to 2000"),
        (lambda: transfer.enrichment_doses(2, 300, 1.5), "doses: found “1.5”, but needs a whole number from 1 to 6"),
        (lambda: transfer.animals_in(float("inf"), 5), "volume_l: found “inf”"),
    ],
)
def test_bad_transfer_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
