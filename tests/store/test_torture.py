"""The torture of tests/benchmarks/store_torture.py at a size for every day; marked torture, at full size."""

from __future__ import annotations

import pytest
import store_torture as torture

SMALL = {"kills": (12,), "power": (45,), "pages": (4,), "writers": (4, 25), "malformed": (800,)}


@pytest.mark.parametrize("name", SMALL)
def test_it_holds(quick_folder, name):
    assert getattr(torture, name)(*SMALL[name], quick_folder)


@pytest.mark.torture
@pytest.mark.timeout(3600)
@pytest.mark.parametrize("name", ["kills", "power", "pages", "writers", "malformed", "full"])
def test_it_holds_at_full_size(quick_folder, name):
    assert torture.FULL[name](quick_folder)


def test_a_spoilt_promise_would_be_noticed(quick_folder, monkeypatch):
    """A store that forgot to sync its day book would not pass."""
    monkeypatch.setattr("os.fsync", lambda handle: None)
    monkeypatch.setattr("rackview.store.daybook.MonthPage.write", lambda page, lines: list(lines))
    with pytest.raises(torture.DoesNotHoldError):
        torture.power(60, quick_folder)
