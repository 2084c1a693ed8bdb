"""Files of our own tables, read as an import reads them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

from rackview.core.rack import Rack
from rackview.exchange.draft import draft_of, read_all
from rackview.exchange.intake import Intake


def read_files(
    paths: Iterable[str | Path],
    rack: Rack,
    now: datetime,
    local: Callable[[datetime], datetime] = datetime.astimezone,
) -> Intake:
    """What the files would add to `rack`; where one has columns of its own, that is left open."""
    return draft_of(read_all(map(Path, paths)), rack, now, local).intake
