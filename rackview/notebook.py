"""A rack for a notebook: opened from a store, as pandas frames, as a table of what is believed, and as a plot.

It is `rackview.core.rack.Rack`, plain data, with what needs a disk or a library that draws; each is loaded when it is
first asked for.
"""

from __future__ import annotations

import html
from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from rackview.core import rack as core
from rackview.core.clock import EPOCH, as_utc
from rackview.core.errors import InputError

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes

    from rackview.science.limits import Array
    from rackview.ui.vessel.history import History

INTERVALS = (
    "density_per_ml",
    "net_rate_per_day",
    "birth_rate_per_day",
    "loss_rate_per_day",
    "last_count_per_ml",
)
SHOWN = (
    "strain",
    "shelf",
    "position",
    "state",
    "density_per_ml_median",
    "density_per_ml_low90",
    "density_per_ml_high90",
    "days_since_count",
    "flags",
)
"""What of each vessel a notebook shows when the rack itself is the answer."""


class Rack(core.Rack):
    """Vessels, strains, broods, stock and the events so far; see `rackview.core.rack.Rack`. Never changes."""

    @classmethod
    def open(cls, path: str | Path) -> Self:
        """The rack of a store, which is only read; raises `StoreError` if there is none, or none that can be read."""
        from rackview.store import Store

        with Store.open(path, "read") as store:
            found = store.load()
        return cls(**{f.name: getattr(found, f.name) for f in fields(core.Rack)})

    def to_frames(self) -> dict[str, pd.DataFrame]:
        """Every table by its name, as `from_frames` takes them.

        They are vessels, events, broods, stock, demand, settings and profiles; times are UTC.
        `Rack.from_frames(**rack.to_frames())` is the same rack, corrections included.
        """
        import pandas as pd

        from rackview.exchange.dictionary import TABLES
        from rackview.exchange.writer import tables_of

        rows = tables_of(self, lambda at: at.astimezone(UTC))
        return {
            t.name: pd.DataFrame(list(rows[t.name]), columns=list(t.names)) for t in TABLES if t.name != "dictionary"
        }

    def assess_all(self, at: object) -> pd.DataFrame:
        """What is believed of every vessel at `at`: one row each, columns as in `status --json`.

        Intervals have three columns, such as `density_per_ml_median`, `_low90`, `_high90`; `flags` are the codes of the
        active ones, separated by spaces; the newest water values stand under their own names.
        """
        import pandas as pd

        from rackview.advice import api, rows

        return pd.DataFrame([_flat(rows.status_row(a)) for a in api.assess_all(self, at).values()])

    def plot(self, vessel: str, at: object | None = None, days: float = 30.0, ax: Axes | None = None) -> Axes:
        """Densities of `vessel` over the `days` days before `at`, and what is expected next; animals per mL.

        Points are counts with their 95 % intervals, the line is the estimate with its 90 % interval, the fan the
        forecast with its 50 and 90 % intervals. `at` is the newest event's moment if left out. Needs matplotlib
        (`pip install rackview[notebook]`). Raises `InputError` for a vessel that the rack has not.
        """
        from rackview.ui.vessel.history import history

        self.vessel(vessel)
        return _drawn(history(self, vessel, self._moment(at), days), f"{vessel}, {self.title}", ax or _axes())

    def _repr_html_(self) -> str:
        """The vessels as they stood at the newest event, for a notebook that shows the rack."""
        head = f"<p>Rack {html.escape(self.title)}: {html.escape(self.extent)}</p>"
        if not self.vessels:
            return head
        frame = self.assess_all(self._moment(None)).set_index("vessel")[list(SHOWN)]
        return head + str(frame.to_html(float_format=lambda value: f"{value:.3g}", na_rep="–"))

    def _moment(self, at: object | None) -> datetime:
        """The moment that is meant: `at`, else that of the newest event, else the first that a calendar has."""
        if at is not None:
            return as_utc(at)
        return max((h.event.at for h in self.logs.values() if h.event is not None), default=EPOCH)


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row of `status --json` with one value a column."""
    flat: dict[str, Any] = {}
    for key, value in row.items():
        if key in INTERVALS:
            ends = value or dict.fromkeys(("median", "low90", "high90"))
            flat |= {f"{key}_{end}": one for end, one in ends.items()}
        elif key == "water":
            flat |= {name: None if one is None else one["value"] for name, one in value.items()}
        elif key == "flags":
            flat[key] = " ".join(flag["code"] for flag in value if flag["state"] == "active")
        elif key != "schema":
            flat[key] = value
    return flat


def _axes() -> Axes:
    try:
        import matplotlib.pyplot as plt
    except ImportError:
        raise InputError("plot", None, "matplotlib, which pip install rackview[notebook] brings") from None
    return plt.subplots(figsize=(8, 4), layout="constrained")[1]


def _times(days: Sequence[float] | Array) -> Any:
    """Days since 1970-01-01T00:00Z as numpy's times."""
    import numpy as np

    return (np.asarray(days) * 86_400_000).astype("int64").astype("datetime64[ms]")


def _drawn(shown: History, title: str, axes: Axes) -> Axes:
    """The history on these axes."""
    from matplotlib import dates, ticker

    from rackview.ui.vessel.history import AHEAD_DAYS

    track, colour = shown.track, "tab:blue"
    times = _times(track.days)
    axes.fill_between(times, track.low90, track.high90, color=colour, alpha=0.2, linewidth=0, label="90 % interval")
    axes.plot(times, track.median, color=colour, label="estimate")
    if shown.fan is not None:
        ahead = _times([shown.now + day for day in AHEAD_DAYS])
        axes.fill_between(ahead, shown.fan[:, 0], shown.fan[:, 4], color="tab:orange", alpha=0.2, linewidth=0)
        axes.fill_between(ahead, shown.fan[:, 1], shown.fan[:, 3], color="tab:orange", alpha=0.3, linewidth=0)
        axes.plot(ahead, shown.fan[:, 2], color="tab:orange", label="forecast")
    counts = shown.counts
    if counts:
        reach = [[c.per_ml - c.low for c in counts], [c.high - c.per_ml for c in counts]]
        at = _times([c.day for c in counts])
        axes.errorbar(at, [c.per_ml for c in counts], yerr=reach, fmt="o", color="black", markersize=3, label="count")
    axes.axhspan(*shown.band, color="grey", alpha=0.15, label="working band")
    axes.set(title=title, ylabel="animals per mL", yscale="log")
    concise: Any = dates.ConciseDateFormatter  # matplotlib leaves it without types
    axes.xaxis.set_major_formatter(concise(axes.xaxis.get_major_locator()))
    for which in (axes.yaxis.set_major_formatter, axes.yaxis.set_minor_formatter):
        which(ticker.LogFormatter(minor_thresholds=(2, 0.5)))
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.12), ncols=5, fontsize="small", frameon=False)
    return axes
