"""What is typed and not yet recorded: kept in the store at every stroke.

While the store can't be written (its stick was pulled, its network drive is away, its disk is full) a draft is kept in
a file on this PC, one per program, and brought to the store when that is back: in this run or in a later one. Of two
drafts of one form the one typed last counts, so bringing them back twice changes nothing.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from rackview.core.dataclass import dataclass
from rackview.store import Store, StoreError
from rackview.store.errors import replaced

TYPED = "typed at"
"""Under this a draft in the store says when it was typed."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What a form held at a moment; None if it was recorded or thrown away then."""

    data: dict[str, object] | None
    at: datetime


class Drafts:
    """One draft per form. Nothing here raises; a method returns what went wrong, or None.

    `folder` is where drafts wait on this PC, `clock` says when something is typed.
    """

    def __init__(self, folder: Path, clock: Callable[[], datetime]) -> None:
        self._folder = folder
        self._clock = clock
        self._file: Path | None = None
        self._waiting: dict[str, Typed] = {}

    def come_back(self, store: Store) -> tuple[str, ...]:
        """Bring what waits on this PC for a store that was just opened; return the forms that it brought."""
        try:
            name = store.meta("id") or ""
            known = store.drafts()
        except StoreError:
            return ()
        if not name:
            return ()
        self._file = self._folder / f"{name}-{os.getpid()}.json"
        files = sorted(self._folder.glob(f"{name}-*.json")) if self._folder.is_dir() else []
        for form, typed in (pair for file in files for pair in _read(file)):
            if form not in self._waiting or self._waiting[form].at < typed.at:
                self._waiting[form] = typed
        brought = tuple(f for f, typed in self._waiting.items() if typed.data is not None and _newer(typed, known, f))
        if self.flush(store) is None and store.mode == "write":
            for file in files:
                file.unlink(missing_ok=True)
        return brought

    def save(self, store: Store, form: str, data: Mapping[str, object]) -> StoreError | None:
        """Keep a draft as typed."""
        self._waiting[form] = Typed(dict(data), self._now())
        return self.flush(store)

    def drop(self, store: Store, form: str) -> StoreError | None:
        """Forget a draft."""
        self._waiting[form] = Typed(None, self._now())
        return self.flush(store)

    def flush(self, store: Store) -> StoreError | None:
        """Bring what waits to the store, if it can be written; else see to it that it outlives this program."""
        if not self._waiting:
            return None
        trouble: StoreError | None = None
        if store.mode == "write":
            try:
                if not store.is_there():
                    raise replaced(store.path)
                known = store.drafts() if self._spilt() else {}
                for form, typed in list(self._waiting.items()):
                    if typed.data is None:
                        if _newer(typed, known, form):
                            store.drop_draft(form)
                    elif _newer(typed, known, form):
                        store.save_draft(form, {**typed.data, TYPED: typed.at.isoformat()})
                    del self._waiting[form]
            except StoreError as error:
                trouble = error
        self._spill()
        return trouble

    def all(self, store: Store) -> dict[str, dict[str, object]]:
        """Every draft by form, whether or not it could be saved."""
        try:
            known = store.drafts()
        except StoreError:
            known = {}
        found = {form: {k: v for k, v in body.items() if k != TYPED} for form, body in known.items()}
        for form, typed in self._waiting.items():
            if not _newer(typed, known, form):
                continue
            if typed.data is None:
                found.pop(form, None)
            else:
                found[form] = dict(typed.data)
        return found

    @property
    def waiting(self) -> bool:
        """Whether something is kept on this PC, as the store can't be written."""
        return any(typed.data is not None for typed in self._waiting.values())

    def _now(self) -> datetime:
        return self._clock().astimezone(UTC)

    def _spilt(self) -> bool:
        return self._file is not None and self._file.exists()

    def _spill(self) -> None:
        """Write what waits to the file on this PC, or take the file away; without room there, memory must do."""
        if self._file is None:
            return
        with suppress(OSError):
            if not self._waiting:
                self._file.unlink(missing_ok=True)
                return
            self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            part = self._file.with_suffix(".part")
            said = {form: {"at": t.at.isoformat(), "data": t.data} for form, t in self._waiting.items()}
            with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as file:
                json.dump(said, file)
                file.flush()
                os.fsync(file.fileno())
            part.replace(self._file)


def _read(file: Path) -> Iterator[tuple[str, Typed]]:
    """The drafts in a file; nothing of a file that can't be read."""
    try:
        said: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
        found = [(form, Typed(one["data"], datetime.fromisoformat(one["at"]))) for form, one in said.items()]
        if any(t.at.tzinfo is None or not isinstance(t.data, dict | None) for _, t in found):
            return
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return
    yield from found


def _newer(typed: Typed, known: Mapping[str, Mapping[str, object]], form: str) -> bool:
    """Whether what waits was typed after what the store holds for the form."""
    said = known.get(form, {}).get(TYPED)
    try:
        return not isinstance(said, str) or datetime.fromisoformat(said) <= typed.at
    except (ValueError, TypeError):
        return True
