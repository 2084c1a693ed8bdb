"""Which open series constants were chosen on, and which whole experiments are kept from that.

A series that was looked at while a constant was chosen says nothing of how good the constant is elsewhere. Those held
out are read only to judge what was chosen without them: the benches refuse them until they are asked for by
`--held-out`, and who then changes a constant for what was seen moves the experiment to `LOOKED_AT`, here and in
docs/estimate.md; a test holds the two lists equal.
"""

from __future__ import annotations

LOOKED_AT = {
    "rotifer_becks2010_chemostat": "form of the autoregression, weights of the pool",
    "lynx": "form of the autoregression, weights of the pool",
    "protist_gause1934_appendix": "form of the autoregression, weights of the pool",
    "daphnia_searle2016_mesocosm": "that a culture's use is forgotten by the day, not by the count",
    "aphid_barbour_two_counters": "that a culture's use is forgotten by the day, not by the count",
}
"""Open series on which constants were chosen, and which."""

HELD_OUT = (
    "daphnia_bernhardt_ptemp",
    "protist_gause1934_didinium_crash",
    "protist_gause1936_bursaria_yeast",
)
"""Whole experiments on which no constant of the present estimate was chosen, but for the scatter between aliquots."""

FLAG = "--held-out"


def asked_for(specs: list[str]) -> list[str]:
    """The series to read of a bench's arguments; ends it where one is held out and not asked for as such."""
    wanted = [s for s in specs if s != FLAG]
    kept = [s for s in wanted if s.split(",")[0].rsplit("/", 1)[-1].removesuffix(".csv") in HELD_OUT]
    if kept and FLAG not in specs:
        raise SystemExit(f"held out: {', '.join(kept)}. Add {FLAG} to judge by it; choose nothing by what it shows.")
    return wanted
