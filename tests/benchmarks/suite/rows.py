"""The rows of the suite, in the order of the table."""

from __future__ import annotations

from suite import commands, day, entry, estimate, growth, painting, start, tables, upkeep

ROWS = (
    *start.ROWS,
    *commands.ROWS,
    *entry.ROWS,
    *painting.ROWS,
    *estimate.ROWS,
    *tables.ROWS,
    *upkeep.ROWS,
    *growth.ROWS,
    *day.ROWS,
)
