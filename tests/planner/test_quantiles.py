"""Medians and quantiles of the futures are numpy's own to the last bit, without what numpy loads to reckon them."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from rackview.planner.constants import BAND
from rackview.planner.futures import middles, shares_of


@pytest.mark.parametrize("kind", [np.float32, np.float64])
@pytest.mark.parametrize("size", [1, 2, 3, 32, 96, 101])
def test_they_are_numpys(kind: type, size: int) -> None:
    values = np.random.default_rng(5).lognormal(0.0, 3.0, (40, 7, size)).astype(kind)
    assert middles(values).tolist() == np.median(values, axis=2).tolist()
    found = np.quantile(values, BAND, axis=2)
    assert [one.tolist() for one in shares_of(values, BAND)] == [one.tolist() for one in found]


def test_masked_arrays_are_not_loaded_for_them() -> None:
    code = (
        "import sys, numpy as np; from rackview.planner.futures import middles, shares_of; "
        "a = np.ones((3, 4)); middles(a), shares_of(a, (0.1, 0.9)); print('numpy.ma' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "False"
