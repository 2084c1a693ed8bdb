"""Files of loggers: many values a day, thinned to the day's mean, with its low and high beside it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta, timezone

from rackview.exchange.freeform.worded import DAY, LISTED, MEASURED, PART, worded
from rackview.exchange.intake import SourceRow
from rackview.language import _

MANY = 6
"""Rows of one vessel and day from which on a table of water values alone is one of a logger: nobody reads so often."""
_ZONE = re.compile(r"(?:GMT|UTC)\s*([+-−])\s*(\d{1,2})(?::?(\d{2}))?(?!\d)", re.IGNORECASE)
_PLAIN_ZONE = re.compile(r"\b(?:GMT|UTC)\b", re.IGNORECASE)
VALUES = ("temperature_c", "sg", "salinity", "conductivity_ms_cm", "ph", "tan_mg_l", "oxygen_mg_l")
WORDS = {column: _(word) for column, word in MEASURED.items()}


def zone_in(texts: Iterable[str]) -> str:
    """The offset that titles or names of columns give for the whole table, such as “-05:00”; blank if none."""
    for text in texts:
        found = _ZONE.search(text)
        if found is not None:
            sign = 1 if found[1] == "+" else -1
            zone = timezone(sign * timedelta(hours=int(found[2]), minutes=int(found[3] or 0)))
            return str(zone).removeprefix("UTC") or "+00:00"
        if _PLAIN_ZONE.search(text):
            return "+00:00"
    return ""


def is_logger(days: Sequence[object], targets: Iterable[str]) -> bool:
    """Whether a table holds water values alone, many a day; `days` is its column of days, with times or without."""
    from rackview.exchange.freeform.targets import TARGETS

    kinds = {TARGETS[t].kind for t in targets if t in TARGETS}
    if "reading" not in kinds or kinds - {"reading", ""}:
        return False
    on = [str(d)[:10] for d in days]
    return len(on) >= MANY * max(len(set(on)), 1)


def thinned(rows: Sequence[SourceRow]) -> list[SourceRow]:
    """One reading for each vessel and day: the mean of each value at noon, its low and high in the note.

    A day that has begun or ended in a gap counts with the hours that it has, and the note tells from when to when they
    are. Rows that are no readings stay as they are.
    """
    days: dict[tuple[str, str], list[SourceRow]] = defaultdict(list)
    found = []
    for row in rows:
        if row.cells.get("kind") == "reading":
            days[str(row.cells["vessel"]), str(row.cells["at"])[:10]].append(row)
        else:
            found.append(row)
    found += [_mean(day) for day in days.values()]
    return sorted(found, key=lambda r: r.line)


def _mean(rows: Sequence[SourceRow]) -> SourceRow:
    first = rows[0]
    times = sorted(str(r.cells["at"]) for r in rows)
    cells: dict[str, object] = {"vessel": first.cells["vessel"], "kind": "reading"}
    noon = times[0][:11] + "12:00:00" + times[0][19:]
    cells["at"] = min(noon, times[-1])  # a day that has only begun has no noon yet
    parts = []
    for column in VALUES:
        values = [float(str(r.cells[column])) for r in rows if column in r.cells]
        if values:
            cells[column] = float(f"{sum(values) / len(values):.5g}")
            parts.append(worded(PART, words=WORDS[column], values=min(values), values_2=max(values)))
    cells["note"] = worded(
        DAY, parts=LISTED.join(parts), rows=len(rows), times=times[0][11:16], times_2=times[-1][11:16]
    )
    return SourceRow(first.part, first.file, first.line, cells, _told(cells))


def _told(cells: Mapping[str, object]) -> str:
    values = ", ".join(f"{WORDS[c]} {v:g}" for c, v in cells.items() if c in WORDS and isinstance(v, float))
    return _("mean {values}; {note}").format(values=values, note=cells["note"])
