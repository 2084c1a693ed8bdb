"""Where the details of a failure go, so that the keeper is shown a sentence and not a traceback."""

from __future__ import annotations

from pathlib import Path

from rackview.services import places

LOG_BYTES, LOGS = 1_000_000, 4


def write_down(error: BaseException, doing: str) -> Path | None:
    """Add the traceback of `error` to the log; return the log's place, or None if it can't be written."""
    import logging
    from logging.handlers import RotatingFileHandler

    folder = places.log_dir()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(folder / "rackview.log", maxBytes=LOG_BYTES, backupCount=LOGS, encoding="utf-8")
    except OSError:
        return None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    record = logging.LogRecord(
        "rackview.cli", logging.ERROR, __file__, 0, "%s failed", (doing,), (type(error), error, error.__traceback__)
    )
    try:
        handler.emit(record)
    finally:
        handler.close()
    return folder / "rackview.log"
