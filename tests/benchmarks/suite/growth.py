"""How costs grow with ten times the years, the vessels or the lines."""

from __future__ import annotations

from dataclasses import replace
from math import log10

from suite.entry import shown_after
from suite.row import Found, Row, Size, medians
from suite.start import seconds, seconds_of_all
from suite.stores import copied, made
from suite.tables import imported


def _grown(more: float, less: float, unit: str = "s") -> Found:
    """Two costs at ten times the size, with the exponent between them."""
    return Found(more, less, unit, f"exponent {log10(more / less):.2f}")


def _start_years(size: Size) -> Found:
    few, many = (made(size.folder, size.vessels, y) for y in (size.years / 10, size.years))
    more, less = medians(size.rounds, lambda: seconds(many), lambda: seconds(few))
    return _grown(more, less)


def _start_vessels(size: Size) -> Found:
    few, many = (made(size.folder, n, size.years / 10) for n in (size.vessels, 10 * size.vessels))
    more, less = medians(min(size.rounds, 3), lambda: seconds(many), lambda: seconds(few))
    found = _grown(more, less)
    return replace(found, said=f"{found.said}; every estimate, in view or not, {seconds_of_all(many):.1f} s")


def _entry_years(size: Size) -> Found:
    few, many = (made(size.folder, size.vessels, y) for y in (size.years / 10, size.years))
    more, less = (shown_after(copied(store, size.scratch()), 8 * size.rounds) for store in (many, few))
    return _grown(1000 * more, 1000 * less, "ms")


def _entry_vessels(size: Size) -> Found:
    few, many = (made(size.folder, n, size.years / 10) for n in (size.vessels, 10 * size.vessels))
    more, less = (shown_after(copied(store, size.scratch()), 4 * size.rounds) for store in (many, few))
    return _grown(1000 * more, 1000 * less, "ms")


def _import(size: Size) -> Found:
    lines = min(size.events // 10, 100_000)
    more, less = imported(size, lines)[0], imported(size, lines // 10)[0]
    return Found(more / lines * 1e6, less / lines * 1e7, "µs", f"exponent {log10(more / less):.2f}")


VESSELS = (
    "it counts until every tile in view has its estimate, as these are looked at first; all of them are looked at "
    "right after that, some 3 ms for each."
)
ROWS = (
    Row("grow-start-years", "Start with 10 x the years", "start with the years", 1.2, _start_years),
    Row("grow-start-vessels", "Start with 10 x the vessels", "start with the vessels", 1.5, _start_vessels, VESSELS),
    Row("grow-entry-years", "Entry to tile with 10 x the years", "entry with the years", 1.2, _entry_years),
    Row("grow-entry-vessels", "Entry to tile with 10 x the vessels", "entry with the vessels", 1.5, _entry_vessels),
    Row("grow-import", "Import of 10 x the lines, per line", "import of the lines, per line", 1.2, _import),
)
