"""Cells that a spreadsheet would run as formulas leave guarded and come back exactly.

The characters = + - @, tab and carriage return are those of OWASP's page on CSV injection (from memory, unverified).
"""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rackview.exchange.guard import guarded, unguarded

RISKY = ("=", "+", "-", "@", "\t", "\r")


@pytest.mark.parametrize("text", ['=cmd|"/c calc"!A1', "+1", "-2+3", "@SUM(A1)", "\tx", "\rx", "'=x", "''-1"])
def test_what_would_run_is_guarded(text: str) -> None:
    assert guarded(text) == "'" + text


@pytest.mark.parametrize("text", ["", "A1", "'quoted'", "'", "3-4", "moss = slow", "ö"])
def test_plain_text_stays_as_it_is(text: str) -> None:
    assert guarded(text) == text
    assert unguarded(text) == text


@given(st.text(alphabet=st.sampled_from("'=+-@\t\r ab1")) | st.text())
@example("''''=")
def test_the_way_back_is_exact(text: str) -> None:
    assert not guarded(text).startswith(RISKY)
    assert unguarded(guarded(text)) == text
