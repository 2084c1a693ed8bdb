"""The two folders that a store may use beside its own: the second one for daily copies, and the one shared by PCs.

Both are set for each PC and remembered in the store, with when they were last there.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rackview.services.copies import second_folder_key
from rackview.store import Store, StoreError

SECOND, SHARED = "second", "shared"
FRESH = timedelta(hours=1)
"""A folder that stays is noted no more often than this."""


class Folders:
    """The folders of one PC. `store` gives the open store, `pc` names the PC, `clock` the moment."""

    def __init__(self, store: Callable[[], Store], pc: str, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._clock = clock
        self._keys = {SECOND: second_folder_key(pc), SHARED: shared_folder_key(pc)}

    def place(self, which: str) -> Path | None:
        """Where the second or the shared folder is; None if none was set. Raises `StoreError`."""
        found = self._store().meta(self._keys[which])
        return Path(found) if found else None

    def put(self, which: str, folder: Path | None) -> None:
        """Set a folder, or with None go without; raises `StoreError`."""
        key = self._keys[which]
        self._store().remark({key: "" if folder is None else str(folder), _seen(key): ""})
        self.look(which)

    def look(self, which: str) -> bool:
        """Whether the folder is there now; that is remembered. Never raises."""
        with suppress(StoreError, OSError):
            folder = self.place(which)
            if folder is None or not folder.is_dir():
                return False
            before, now = self.last_seen(which), self._clock().astimezone(UTC)
            if self._store().mode == "write" and (before is None or now - before >= FRESH):
                self._store().remark({_seen(self._keys[which]): now.isoformat()})
            return True
        return False

    def last_seen(self, which: str) -> datetime | None:
        """When the folder was last there, to the hour; None if it never was."""
        with suppress(StoreError, ValueError):
            said = self._store().meta(_seen(self._keys[which]))
            return datetime.fromisoformat(said) if said else None
        return None


KNOWN = "stores met"
"""Under this a store remembers the ids of those whose entries it takes in by itself."""


def kept_keys(pc: str) -> tuple[str, ...]:
    """What a store remembers of this PC's folders, and must not forget when it is made anew."""
    keys = (second_folder_key(pc), shared_folder_key(pc))
    return (*keys, *map(_seen, keys), KNOWN)


def shared_folder_key(pc: str) -> str:
    """Under this a store remembers the shared folder of a PC."""
    return f"shared folder of {pc}"


def _seen(key: str) -> str:
    return f"{key} seen"
