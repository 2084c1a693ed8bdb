"""What a session saw is let go with the last that refers to it: nothing waits for Python's search for garbage.

That search comes late to what has been there for long, and in a window that is used all day its memory grows until
then: a history is long, and where its newest node can only be found by the search, so can all that came before it.
"""

from __future__ import annotations

import gc
import weakref
from collections import Counter
from datetime import timedelta

import pytest

from rackview.advice import situation
from rackview.core.garbage import uncollected
from rackview.services import behind
from rackview.services.rack_session import RackSession
from tests.services.fortnight import NOW, VESSELS

pytestmark = pytest.mark.usefixtures("small_pieces")

KINDS = (
    {"kind": "count", "tallies": "101 95 99", "females_checked": 20, "with_eggs": 6},
    {"kind": "feed", "feed": "paste", "amount": 2},
    {"kind": "harvest", "volume_l": 1, "refill_l": 1},
    {"kind": "reading", "temperature_c": 25, "sg": 1.022, "ph": 8.1},
    {"kind": "clean", "what": "floss"},
    {"kind": "note", "text": "looked at"},
)


def unreachable() -> Counter[str]:
    """What of ours only the search for garbage finds, by kind."""
    gc.set_debug(gc.DEBUG_SAVEALL)
    try:
        gc.collect()
        return Counter(kind.__qualname__ for kind in map(type, gc.garbage) if kind.__module__.startswith("rackview."))
    finally:
        gc.set_debug(0)
        gc.garbage.clear()


def use(session: RackSession, number: int) -> None:
    """So many entries of all kinds at all vessels; after each the rack, its advice and the store are looked at."""
    for n in range(number):
        vessel = VESSELS[n // len(KINDS) % len(VESSELS)].vessel
        session.record({"at": NOW - timedelta(seconds=900 - n), "vessel": vessel, **KINDS[n % len(KINDS)]})
        session.suggestions()
        session.poll()
        if session._behind._thread is not None:
            session._behind._thread.join()


def test_of_a_rack_that_was_left_for_a_lighter_one_nothing_waits_for_the_search(kept, monkeypatch):
    monkeypatch.setattr(behind, "CROWD", 15)
    gc.collect()
    with uncollected():
        kept.plan(7)
        list(kept.rack.events())  # what is older than the snapshot too
        use(kept, behind.CROWD)
        heavy = weakref.ref(kept.rack.logs["A1"])
        use(kept, behind.CROWD + 6)
        kept.correct(next(e.id for e in kept.rack.events() if e.kind == "count"), {"at": NOW - timedelta(hours=1),
                     "vessel": "A1", "kind": "count", "tallies": "97 99"})  # fmt: skip
        kept.suggestions()
        kept.undo()
        kept.suggestions()
        situation._kept.clear()
        assert heavy() is None, "a lighter rack was taken over"
        assert unreachable() == {}
