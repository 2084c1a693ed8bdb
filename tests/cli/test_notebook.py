"""A rack in a notebook: opened from a store, to frames and back, shown, plotted."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rackview import Rack, advise, assess
from rackview.core import profile as prof
from rackview.core.errors import InputError
from rackview.core.tables import Settings
from rackview.demo.rack import demo
from rackview.store import StoreError

if TYPE_CHECKING:
    from tests.cli.conftest import Run

AT = "2026-03-04T09:00+00:00"
MORNING = datetime(2026, 3, 1, 7, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo_rack() -> Rack:
    made = demo(date(2026, 3, 1))
    return Rack.build(
        made.vessels, made.events, broods=made.broods, stock=made.stock, demand=made.demand, settings=made.settings
    )


def test_a_store_is_opened_and_only_read(store: Path) -> None:
    before = store.read_bytes()
    rack = Rack.open(store)
    assert repr(rack) == "<Rack without a name: 2 vessels, 5 events up to 2026-03-03 08:30>"
    assert type(rack.record({"at": AT, "vessel": "A1", "kind": "clean", "what": "floss"})) is Rack
    assert store.read_bytes() == before
    with pytest.raises(StoreError):
        Rack.open(store.with_name("none.db"))
    assert not store.with_name("none.db").exists()


def test_frames_are_the_whole_rack(demo_rack: Rack) -> None:
    """What advises in one place advises in the other: all tables travel, settings and profiles among them."""
    frames = demo_rack.to_frames()
    again = Rack.from_frames(**frames)
    assert advise(again, MORNING) == advise(demo_rack, MORNING)
    for name, frame in again.to_frames().items():
        pd.testing.assert_frame_equal(frame, frames[name])


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    band=st.floats(10, 90),
    margin=st.floats(0, 3),
    scope=st.sampled_from(["", "A1", "strain:rotifer-L"]),
    rate=st.floats(0.2, 0.6),
)
def test_thresholds_and_profiles_travel_through_frames(band: float, margin: float, scope: str, rate: float) -> None:
    own = prof.strain_from(
        "own", {**prof.mapping_of(prof.strains()["rotifer-L"]), "rate_per_day": {"value": rate, "source": "own counts"}}
    )
    rack = Rack.build([], strains={"own": own}).with_vessels(
        Rack.from_frames(
            [{"vessel": "A1", "strain": "rotifer-L", "shelf": "A", "position": 1, "volume_l": 20}], []
        ).vessels.values()
    )
    rack = rack.with_settings(
        Settings(demand_margin=margin, worth={"brood": margin}, overrides={(scope, "band_low_per_ml"): band})
    )
    again = Rack.from_frames(**rack.to_frames())
    assert again.settings == rack.settings
    assert again.profile("A1").band_low_per_ml == band
    assert prof.mapping_of(again.strains["own"]) == prof.mapping_of(own)


def test_a_setting_or_profile_that_can_not_be_is_named() -> None:
    with pytest.raises(InputError, match="setting: found “colour”"):
        Rack.from_frames([], [], settings=[{"setting": "colour", "value": "green"}])
    with pytest.raises(InputError, match="about"):
        Rack.from_frames([], [], profiles=[{"profile": "own", "about": "", "field": "title", "value": "Own"}])


def test_what_is_believed_is_one_tidy_frame(store: Path) -> None:
    rack = Rack.open(store)
    frame = rack.assess_all(AT).set_index("vessel")
    one = assess(rack, "A1", AT)
    assert one.density_per_ml is not None
    assert frame.loc["A1", "density_per_ml_median"] == pytest.approx(one.density_per_ml.median, rel=1e-5)
    assert frame.loc["A1", "flags"].split() == [f.code for f in one.flags if f.state == "active"]
    assert not [c for c in frame if frame[c].map(lambda cell: isinstance(cell, dict | list)).any()]
    assert pd.isna(frame.loc["A2", "egg_ratio"])


def test_the_rack_itself_is_shown_as_a_table(store: Path) -> None:
    shown = Rack.open(store)._repr_html_()
    assert "2 vessels, 5 events" in shown
    assert shown.count("<tr") == 4  # two of the head, one a vessel
    assert Rack.from_frames([], [])._repr_html_() == "<p>Rack without a name: 0 vessels, no events</p>"
    named = Rack.from_frames([], [], settings=[{"setting": "name", "value": "<b>Net & loft</b>"}])
    assert "&lt;b&gt;Net &amp; loft" in named._repr_html_()


def test_a_plot_has_the_counts_the_estimate_and_the_forecast(store: Path, tmp_path: Path) -> None:
    matplotlib = pytest.importorskip("matplotlib")
    matplotlib.use("agg")
    from matplotlib import pyplot as plt

    axes = Rack.open(store).plot("A1", AT)
    labels = {text.get_text() for text in axes.get_legend().get_texts()}
    assert labels == {"90 % interval", "estimate", "forecast", "count", "working band"}
    (counted,) = (line for line in axes.lines if line.get_marker() == "o")
    assert [round(y) for y in counted.get_ydata()] == [100, 130]
    axes.figure.savefig(tmp_path / "plot.png")
    assert (tmp_path / "plot.png").stat().st_size > 10_000
    mine = plt.figure().add_subplot()
    assert Rack.open(store).plot("A2", AT, ax=mine) is mine
    plt.close("all")
    with pytest.raises(InputError, match="vessel"):
        Rack.open(store).plot("A9", AT)


def test_the_words_of_the_command_line_answer_for_the_same_rack(run: Run, store: Path) -> None:
    import json

    said = json.loads(run("--store", store, "status", "--json", "--at", AT).out)
    frame = Rack.open(store).assess_all(AT)
    assert [row["vessel"] for row in said] == list(frame["vessel"])
    assert [row["density_per_ml"]["median"] for row in said] == list(frame["density_per_ml_median"])
