"""Where the details of a failure go, so that the keeper is shown a sentence and not a traceback."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rackview.services import places
from rackview.store.files import make_file, make_folder

if TYPE_CHECKING:
    from io import TextIOWrapper
    from logging.handlers import RotatingFileHandler

NAME = "rackview.log"
LOG_BYTES, LOGS = 1_000_000, 4


def book(folder: Path) -> RotatingFileHandler:
    """The log in `folder`, which is made if need be: rotating, in the one form that window and command line share.

    Raises `OSError` if it can't be written.
    """
    import logging
    from logging.handlers import RotatingFileHandler

    class Private(RotatingFileHandler):
        """Every file it opens, the next one too, is the keeper's own."""

        def _open(self) -> TextIOWrapper:
            make_file(Path(self.baseFilename))
            return super()._open()

    make_folder(folder)
    handler = Private(folder / NAME, maxBytes=LOG_BYTES, backupCount=LOGS, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    return handler


def write_down(error: BaseException, doing: str) -> Path | None:
    """Add the traceback of `error` to the log; return the log's place, or None if it can't be written."""
    import logging

    folder = places.log_dir()
    try:
        handler = book(folder)
    except OSError:
        return None
    record = logging.LogRecord(
        "rackview.cli", logging.ERROR, __file__, 0, "%s failed", (doing,), (type(error), error, error.__traceback__)
    )
    try:
        handler.emit(record)
    finally:
        handler.close()
    return folder / NAME
