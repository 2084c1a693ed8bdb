"""Formulas against libraries that know nothing of them, and against numbers printed in and out; each names its source.

Units by pint, roots and integrals by scipy, small systems by numpy, fits by statsmodels. `CHECKS` is counted by
`test_outside_tally.py`: one formula counts once a region.
"""

import pytest

from tests.science.checks_of_feeding import FEEDING, TRANSFER
from tests.science.checks_of_growth import GROWTH, OTHERS

CHECKS = [*FEEDING, *TRANSFER, *GROWTH, *OTHERS]


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: f"{c.function}, {c.region}")
def test_a_formula_agrees_with_a_library_or_print(check):
    assert check.found() == pytest.approx(check.expected(), rel=check.rel)
