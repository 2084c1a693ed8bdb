"""What is typed on the round and not recorded, and what was recorded and may be taken back."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from rackview.ui.round.order import recorded_at

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession
    from rackview.ui.round.day import RoundDay
    from rackview.ui.round.entry.model import Entry

PREFIX = "round:"
PAST = "round of "


def form(vessel: str, day: datetime | None = None) -> str:
    """The name under which a vessel's draft is kept, of now or of the round of another day."""
    return f"{PREFIX}{vessel}" if day is None else f"{PAST}{day:%Y-%m-%d}:{vessel}"


class RoundDrafts:
    """Drafts of the round in the store; those of recorded vessels come back when the record is taken back."""

    def __init__(self, session: RackSession, day: RoundDay) -> None:
        self._session = session
        self._day = day
        self._recorded: list[tuple[str, datetime, dict[str, object]]] = []

    def _form(self, vessel: str) -> str:
        return form(vessel, self._day.moment)

    def keep(self, entry: Entry) -> None:
        """Keep an entry as typed; may raise `StoreError`."""
        draft = entry.draft()
        if draft:
            self._session.save_draft(self._form(entry.vessel), draft)
        else:
            self.forget(entry.vessel)

    def forget(self, vessel: str) -> None:
        """Throw the draft of a vessel away."""
        self._session.drop_draft(self._form(vessel))

    def of(self, vessel: str) -> dict[str, object] | None:
        """What was typed for a vessel and not recorded; None if nothing."""
        return self._session.draft(self._form(vessel))

    def begun(self) -> set[str]:
        """The vessels for which something is typed and not recorded."""
        before = self._form("")
        return {name.removeprefix(before) for name in self._session.drafts() if name.startswith(before)}

    def recorded(self, entry: Entry, at: datetime) -> None:
        """The entry was recorded for the moment `at`: it is no draft any more."""
        self._recorded.append((entry.vessel, at, entry.draft()))
        self.forget(entry.vessel)

    def bring_back(self) -> str | None:
        """Make a draft again of what was recorded last, if that record was taken back; gives its vessel."""
        if not self._recorded:
            return None
        vessel, at, draft = self._recorded[-1]
        if recorded_at(self._session.rack, vessel, at):
            return None
        self._recorded.pop()
        if draft and self.of(vessel) is None:
            self._session.save_draft(self._form(vessel), draft)
        return vessel
