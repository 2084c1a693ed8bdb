"""What a session believes and advises: worked out when asked for, or in a thread behind a window."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from rackview.core.rack import Rack
from rackview.services.advice_cache import AdviceCache, AsIf, CachedAdvice, larvae_days
from rackview.services.behind import Behind

if TYPE_CHECKING:
    from rackview.core.assessment import Assessment, Flag, Plan, Suggestion


class Advising(ABC):
    """Every answer is of the keeper's own day, which begins at midnight by this machine's clock."""

    rack: Rack
    _advice_cache: AdviceCache
    _behind: Behind

    @abstractmethod
    def now(self) -> datetime: ...

    def answers(self) -> CachedAdvice:
        """All that is believed and advised now, as far as it is worked out."""
        return self._advice_cache.of(self.rack, self.moment())

    def moment(self) -> datetime:
        """The moment to answer for: with a thread behind the end of this minute, else now.

        All entries of a minute are then looked at from one moment, at which the vessels that none of them touched are
        as they were found before.
        """
        now = self.now().astimezone()
        return now.replace(second=59, microsecond=999_999) if self._advice_cache.behind else now

    def assessments(self) -> dict[str, Assessment]:
        """What is believed of every vessel now."""
        return self.answers().assessments()

    def suggestions(self) -> list[Suggestion]:
        """What to do now, in order."""
        return self.answers().suggestions()

    def rack_flags(self) -> tuple[Flag, ...]:
        """What is wrong with the rack as a whole now, a common cause first."""
        return self.answers().rack_flags()

    def round_order(self) -> tuple[str, ...]:
        """Names of the vessels in use in the order in which to serve them."""
        return self.answers().order()

    def plan(self, days: int) -> Plan:
        """Demand, supply and who gives what over the days ahead."""
        found = self.answers()
        return found.plan_at_hand(days) if self._advice_cache.behind else found.plan(days)

    def larvae_days(self) -> int:
        """How many days ahead the larvae's page looks."""
        return larvae_days(self.rack, self.now().astimezone().date())

    def advise_behind(self, ready: Callable[[], None], prepare: Callable[[CachedAdvice], None] | None = None) -> None:
        """From now on work all of this out in a thread behind; until it is there, the last answers stand.

        `ready` is called in that thread whenever there are new answers, or an old entry is worked in and the session to
        be polled; before they are handed over `prepare` works
        out there what is drawn of them.
        """
        self._behind.ready = ready
        self._advice_cache.work_behind(ready, prepare)

    @property
    def advises_behind(self) -> bool:
        """Whether answers are worked out in a thread behind."""
        return self._advice_cache.behind

    def freshen(self) -> bool:
        """Ask for answers to the rack as it is now; False where they are still being worked out behind."""
        return self._advice_cache.want(self.rack, self.moment())

    @property
    def looked_at(self) -> dict[str, Assessment] | None:
        """What is believed, where that is known and what is advised is still being worked out.

        It is of every vessel but for a moment at the start of a large rack, when it is of those in view.
        """
        looked = self._advice_cache.looked
        same = looked is not None and looked.rack.vessels.keys() == self.rack.vessels.keys()
        return looked.looked_at() if looked is not None and same else None

    def look_first_at(self, vessels: Iterable[str]) -> None:
        """Say which vessels are in view: of many, these are looked at before the others at a start."""
        self._advice_cache.in_view = tuple(vessels)

    def looked_shown(self) -> None:
        """Say that what `looked_at` gives was shown."""
        self._advice_cache.looked_shown()

    @property
    def advised_at(self) -> datetime | None:
        """The moment that the answers at hand are of; None where there are none yet."""
        newest = self._advice_cache.newest
        return None if newest is None else newest.at

    @property
    def behind_the_rack(self) -> bool:
        """Whether the answers at hand leave out what was entered since; never so without a thread behind."""
        newest = self._advice_cache.newest
        return self._advice_cache.behind and newest is not None and newest.rack is not self.rack

    @property
    def waits_for_advice(self) -> bool:
        """Whether there are no answers yet and a thread behind is to make them."""
        return self._advice_cache.behind and self._advice_cache.newest is None

    def as_if(self, rack: Rack, vessel: str, at: datetime, done: Callable[[AsIf], None]) -> None:
        """What would be advised of a rack that holds what is typed; `done` may be called in the thread behind."""
        self._advice_cache.want_as_if(rack, vessel, at, done)
