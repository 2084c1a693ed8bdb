"""Where things live on this PC. Each place can be overridden, so tests and the demo touch nothing of the keeper's."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from rackview.store.files import make_folder

APP = "rackview"


def data_dir() -> Path:
    """The folder of the keeper's own store and its backups."""
    from platformdirs import user_data_path

    return user_data_path(APP, appauthor=False)


def store() -> Path:
    """The keeper's own store."""
    return data_dir() / "rack.db"


def drafts() -> Path:
    """Where what is typed waits on this PC while its store is away."""
    return data_dir() / "drafts-waiting"


def config_dir() -> Path:
    """Settings of this PC's screen only; deleting it loses nothing that matters."""
    from platformdirs import user_config_path

    return user_config_path(APP, appauthor=False)


def log_dir() -> Path:
    """Logs and crash reports."""
    from platformdirs import user_log_path

    return user_log_path(APP, appauthor=False)


def make_usual_folder(store_path: Path) -> None:
    """Make the folder of a store at the usual place; where it can't be made, the store itself says why."""
    with suppress(OSError):
        if store_path == store():
            make_folder(store_path.parent)
