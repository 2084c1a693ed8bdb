"""What is typed and not yet recorded: kept in the store at every stroke, or here while the store can't be written."""

from __future__ import annotations

from collections.abc import Mapping

from rackview.store import Store, StoreError


class Drafts:
    """One draft per form. Nothing here raises; a method returns the sentence of what went wrong, or None."""

    def __init__(self) -> None:
        self._unsaved: dict[str, dict[str, object]] = {}

    def save(self, store: Store, form: str, data: Mapping[str, object]) -> str | None:
        """Keep a draft as typed."""
        self._unsaved[form] = dict(data)
        return self.flush(store)

    def flush(self, store: Store) -> str | None:
        """Bring what was kept here to the store, if it can be written again."""
        if store.mode == "read":
            return None
        try:
            for form, data in list(self._unsaved.items()):
                store.save_draft(form, data)
                del self._unsaved[form]
        except StoreError as error:
            return str(error)
        return None

    def drop(self, store: Store, form: str) -> str | None:
        """Forget a draft."""
        self._unsaved.pop(form, None)
        if store.mode == "read":
            return None
        try:
            store.drop_draft(form)
        except StoreError as error:
            return str(error)
        return None

    def all(self, store: Store) -> dict[str, dict[str, object]]:
        """Every draft by form, whether or not it could be saved."""
        try:
            return store.drafts() | self._unsaved
        except StoreError:
            return dict(self._unsaved)
