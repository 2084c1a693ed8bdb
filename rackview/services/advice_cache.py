"""What is believed and advised, kept as long as neither the rack nor the minute changes; worked out here or behind.

A window must not stand still while the days ahead are played through. It asks for answers behind: a thread works them
out for the newest rack, and until they are there the last ones stand, with the moment they are of.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from rackview.core.dataclass import dataclass
from rackview.core.garbage import kept_out, pass_over
from rackview.core.rack import Rack

if TYPE_CHECKING:
    from rackview.core.assessment import Assessment, Counting, Flag, Interval, Plan, Suggestion

SOON_DAYS, LEAST_DAYS, MOST_DAYS = 7, 10, 21
"""Days planned for the rack screen, and at least and at most for the larvae's page, which goes to the last brood's."""
SHOWN_S = 0.5
"""Seconds for which advising waits for a window to show what is believed, lest both take each other's time."""
MANY_MORE = 100
"""So many vessels out of view, a quarter of a second's work, are looked at after those in view."""
PATIENCE = 0.2
"""Seconds that closing waits for the thread, which keeps nothing and may end with the program."""


def larvae_days(rack: Rack, today: date) -> int:
    """How many days ahead the larvae's page looks: to the last day on which a known brood eats, within its bounds."""
    from rackview.planner.demand import fed_ages, hatch_date

    last = today
    for brood in rack.broods:
        group = rack.groups.get(brood.group)
        hatch = hatch_date(brood, group)
        if hatch is not None:
            last = max(last, hatch + timedelta(days=fed_ages(brood, group)[1]))
    last = max([last, *(d.date for d in rack.demand)])
    return min(max((last - today).days + 1, LEAST_DAYS), MOST_DAYS)


class CachedAdvice:
    """The answers for one rack at one moment, each worked out when first asked for."""

    def __init__(self, rack: Rack, at: datetime) -> None:
        self.rack = rack
        self.at = at
        self._assessments: dict[str, Assessment] | None = None
        self._first: dict[str, Assessment] = {}
        self._suggestions: list[Suggestion] | None = None
        self._rack_flags: tuple[Flag, ...] | None = None
        self._order: tuple[str, ...] | None = None
        self._plans: dict[int, Plan] = {}

    def assessments(self) -> dict[str, Assessment]:
        from rackview.advice.api import assess_all

        if self._assessments is None:
            self._assessments = assess_all(self.rack, self.at)
        return self._assessments

    def look_first(self, vessels: Iterable[str]) -> None:
        """Look at these vessels before all the others."""
        from rackview.advice.api import assess_some

        self._first = assess_some(self.rack, vessels, self.at)

    def looked_at(self) -> dict[str, Assessment]:
        """What is believed of those vessels that were looked at: all of them or, for a moment at a start, some."""
        return self._first if self._assessments is None else self._assessments

    def suggestions(self) -> list[Suggestion]:
        from rackview.advice.api import advise

        if self._suggestions is None:
            self._suggestions = list(advise(self.rack, self.at))
        return self._suggestions

    def rack_flags(self) -> tuple[Flag, ...]:
        from rackview.advice.api import rack_flags

        if self._rack_flags is None:
            self._rack_flags = rack_flags(self.rack, self.at)
        return self._rack_flags

    def order(self) -> tuple[str, ...]:
        from rackview.advice.api import round_order

        if self._order is None:
            self._order = round_order(self.rack, self.at)
        return self._order

    def plan(self, days: int) -> Plan:
        from rackview.advice.api import plan

        if days not in self._plans:
            self._plans[days] = plan(self.rack, self.at, days)
        return self._plans[days]

    def plan_at_hand(self, days: int) -> Plan:
        """The plan of so many days, or the longest there is; worked out only where there is none."""
        known = self._plans.get(days) or self._plans.get(max(self._plans, default=0))
        return self.plan(days) if known is None else known

    def relisted(self, rack: Rack) -> CachedAdvice:
        """The same answers for a rack that lists other vessels: who came is looked at alone, and nothing is advised."""
        from rackview.advice.api import assess_first

        found, known, here = CachedAdvice(rack, self.at), self.assessments(), rack.vessels
        found._assessments = {n: known[n] if n in known else assess_first(rack, n, self.at) for n in here}
        found._suggestions = [s for s in self.suggestions() if {s.vessel, s.other_vessel} - {None} <= here.keys()]
        came = (n for n, seen in found._assessments.items() if n not in known and seen.state != "resting")
        found._order = (*(n for n in self.order() if n in here), *came)
        found._rack_flags, found._plans = self.rack_flags(), self._plans
        return found

    def work_out(self) -> None:
        """Work out all that the screens show."""
        if self.rack.vessels:
            self.assessments()
            self.suggestions()
            self.rack_flags()
            self.order()
            for days in (SOON_DAYS, larvae_days(self.rack, self.at.date())):
                self.plan(days)


@dataclass(frozen=True, slots=True)
class AsIf:
    """What would be advised if what is typed were recorded, and of one vessel density, doubt and counting."""

    suggestions: tuple[Suggestion, ...]
    density_per_ml: Interval | None
    doubt: str
    counting: Counting


def as_if(rack: Rack, vessel: str, at: datetime) -> AsIf:
    """What would be advised of a rack that holds what is typed already."""
    from rackview.advice.api import advise, assess
    from rackview.advice.choice.counting import counting
    from rackview.advice.recount import doubted

    density = assess(rack, vessel, at).density_per_ml
    found = doubted(rack, vessel, at)
    doubt = "" if found is None else found.code
    return AsIf(tuple(advise(rack, at)), density, doubt, counting(rack, vessel, at))


class AdviceCache:
    """Keeps the newest answers; with a `Behind` thread those it worked out last, however old.

    `in_view` are the vessels that a window shows: of many, these are looked at first when it starts.
    """

    def __init__(self) -> None:
        self._cached: CachedAdvice | None = None
        self._relisted: tuple[CachedAdvice, CachedAdvice] | None = None
        self._looked: CachedAdvice | None = None
        self.in_view: tuple[str, ...] = ()
        self._thread: AdviceThread | None = None

    def of(self, rack: Rack, at: datetime) -> CachedAdvice:
        """The answers for this rack and the minute of `at`; with a thread behind, the last ones it has.

        Where it has none, they are worked out here.
        """
        kept = self._cached
        if kept is None or (self._thread is None and not self.current(rack, at)):
            kept = self._cached = CachedAdvice(rack, at)
        if kept.rack.vessels.keys() == rack.vessels.keys():
            return kept
        if self._relisted is None or self._relisted[0] is not kept or self._relisted[1].rack is not rack:
            self._relisted = kept, kept.relisted(rack)
        return self._relisted[1]

    def current(self, rack: Rack, at: datetime) -> bool:
        """Whether the answers at hand are of this rack and minute."""
        kept = self._cached
        return kept is not None and kept.rack is rack and _minute(kept.at) == _minute(at)

    def lightened(self, rack: Rack, lighter: Rack) -> None:
        """The answers of a rack are those of `lighter`, which says the same and takes less memory."""
        for one in (self._cached, self._looked, *(() if self._thread is None else self._thread.asked())):
            if one is not None and one.rack is rack:
                one.rack = lighter
        self._relisted = None

    @property
    def newest(self) -> CachedAdvice | None:
        """The answers at hand, None where there are none yet."""
        return self._cached

    @property
    def looked(self) -> CachedAdvice | None:
        """What is believed at the very start, before anything is advised; None before and after."""
        return self._looked if self._cached is None else None

    @property
    def behind(self) -> bool:
        """Whether answers are worked out behind."""
        return self._thread is not None

    def work_behind(self, ready: Callable[[], None], prepare: Callable[[CachedAdvice], None] | None = None) -> None:
        """From now on work answers out behind; `ready` is called in that thread whenever there are new ones.

        Before they are handed over, `prepare` works out there what is drawn of them.
        """

        def work_out(found: CachedAdvice) -> None:
            found.work_out()
            if prepare is not None:
                prepare(found)

        self._thread = AdviceThread(self._look, work_out, self._take, ready)

    def want(self, rack: Rack, at: datetime) -> bool:
        """Ask for answers of this rack and minute; True where they are at hand (or will be worked out when asked)."""
        if self._thread is None or self.current(rack, at):
            return True
        self._thread.want(rack, at)
        return False

    def want_as_if(self, rack: Rack, vessel: str, at: datetime, done: Callable[[AsIf], None]) -> None:
        """Ask what would be advised; `done` gets it, in the thread behind where there is one. The newest asker wins."""
        if self._thread is None:
            done(as_if(rack, vessel, at))
        else:
            self._thread.want_as_if(lambda: done(as_if(rack, vessel, at)))

    def looked_shown(self) -> None:
        """What is believed was shown, so what is advised may be worked out."""
        if self._thread is not None:
            self._thread.shown.set()

    def stop(self) -> None:
        """Let the thread end."""
        if self._thread is not None:
            self._thread.stop()

    def _look(self, found: CachedAdvice) -> Iterator[None]:
        """Work out what is believed, where nothing is known yet; yields whenever there is something to be shown."""
        if self._cached is not None or not found.rack.vessels:
            return
        first = [name for name in self.in_view if name in found.rack.vessels]
        if first and len(found.rack.vessels) - len(first) >= MANY_MORE:
            found.look_first(first)
            self._looked = found
            yield
        with kept_out():
            found.assessments()
        self._looked = found
        yield

    def _take(self, found: CachedAdvice) -> None:
        if self._cached is None:  # nearly all that the program will hold to its end is there
            pass_over()
        self._cached, self._looked = found, None


class AdviceThread:
    """One thread that works out the newest of what was wanted; what was wanted before and not begun is dropped."""

    def __init__(
        self,
        look: Callable[[CachedAdvice], Iterable[None]],
        work_out: Callable[[CachedAdvice], None],
        take: Callable[[CachedAdvice], None],
        ready: Callable[[], None],
    ) -> None:
        """`look` and `take` get the answers before and after `work_out` makes them all; `ready` is told of both.

        What `look` yields stands for something to be shown before it goes on.
        """
        self._look, self._work_out, self._take, self._ready = look, work_out, take, ready
        self._wake = threading.Condition()
        self._wanted: CachedAdvice | None = None
        self._working: CachedAdvice | None = None
        self._as_if: Callable[[], None] | None = None
        self._stopped = False
        self.shown = threading.Event()
        self._thread: threading.Thread | None = None

    def want(self, rack: Rack, at: datetime) -> None:
        """Work out the answers of a rack and moment, unless that is under way."""
        with self._wake:
            for one in (self._working, self._wanted):
                if one is not None and one.rack is rack and _minute(one.at) == _minute(at):
                    return
            self._wanted = CachedAdvice(rack, at)
            self._begin()

    def asked(self) -> tuple[CachedAdvice | None, CachedAdvice | None]:
        """What is being worked out and what is wanted next."""
        with self._wake:
            return self._working, self._wanted

    def want_as_if(self, call: Callable[[], None]) -> None:
        """Do this before the rest: someone is typing."""
        with self._wake:
            self._as_if = call
            self._begin()

    def stop(self) -> None:
        """End after what is under way."""
        with self._wake:
            self._stopped = True
            self.shown.set()
            self._wake.notify()
        if self._thread is not None:
            self._thread.join(PATIENCE)

    def _begin(self) -> None:
        if self._thread is None and not self._stopped:
            self._thread = threading.Thread(target=self._run, name="advice", daemon=True)
            self._thread.start()
        self._wake.notify()

    def _run(self) -> None:
        while True:
            with self._wake:
                while not self._stopped and self._wanted is None and self._as_if is None:
                    self._wake.wait()
                if self._stopped:
                    return
                call, self._as_if = self._as_if, None
                if call is None:
                    self._working, self._wanted = self._wanted, None
                work = self._working
            if call is not None:
                self._quietly(call)
            elif work is not None:
                self._work(work)

    def _work(self, work: CachedAdvice) -> None:
        def look() -> None:
            for _something in self._look(work):
                self.shown.clear()
                self._ready()
                if not self._stopped:
                    self.shown.wait(SHOWN_S)

        if self._quietly(look) and self._quietly(lambda: self._work_out(work)):
            self._take(work)
            with self._wake:
                self._working = None
            self._quietly(self._ready)

    def _quietly(self, call: Callable[[], None]) -> bool:
        """Do it; what goes wrong is logged, and the last answers stand.

        Not so after it was told to end: store and window may be gone by then, and nobody waits for the answers.
        """
        try:
            call()
        except Exception:
            if not self._stopped:
                import logging  # commands that never advise behind are spared it

                logging.getLogger("rackview.advice").exception("what is advised could not be worked out")
            with self._wake:
                self._working = None
            return False
        return not self._stopped


def _minute(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)
