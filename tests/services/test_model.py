"""Whatever is done in whatever order, the store, two windows on it and a plain model agree.

The model knows only Python lists and dicts: what is in force, what was there before each step, and what undo does.
"""

from __future__ import annotations

import shutil
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from rackview.core.tables import Stock
from rackview.core.vessel import Vessel
from rackview.services import files, maintenance
from rackview.services.rack_session import RackSession
from rackview.store import Store
from rackview.store.verify import check

NAMES = ("A1", "A2", "B1")
State = tuple[dict[str, tuple[object, ...]], dict[str, float], frozenset[str]]


class Keeping(RuleBasedStateMachine):
    """One keeper at two windows of one store, with a second store that is met now and then."""

    root: Path

    @initialize()
    def begin(self) -> None:
        self.folder = Path(tempfile.mkdtemp(dir=self.root))
        self.now = datetime(2026, 3, 1, tzinfo=UTC)
        self.place = self.folder / "rack.db"
        self.session = self.open(self.place)
        self.window = self.open(self.place)
        self.away = self.open(self.folder / "away.db")
        self.number = 0
        # the model: events in force by id, stock by feed, vessels; one such state per step that can be undone
        self.events: dict[str, tuple[object, ...]] = {}
        self.stock: dict[str, float] = {}
        self.vessels: frozenset[str] = frozenset()
        self.undos: list[State] = []
        self.redos: list[State] = []

    def open(self, place: Path) -> RackSession:
        return RackSession(Store.open(place, "write"), self.clock, pc=place.stem)

    def clock(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now

    def state(self) -> State:
        return dict(self.events), dict(self.stock), self.vessels

    def step(self) -> None:
        self.undos.append(self.state())
        self.redos.clear()

    # --- what a keeper does ---------------------------------------------------------------------------------------

    @rule(name=st.sampled_from(NAMES))
    def add_vessel(self, name: str) -> None:
        if name not in self.vessels:
            self.step()
            self.session.put_vessel(Vessel(name, "mixed", name[0], int(name[1]), 20))
            self.vessels |= {name}

    @precondition(lambda self: self.vessels)
    @rule(data=st.data(), tallies=st.lists(st.integers(0, 99), min_size=1, max_size=3), minutes=st.integers(0, 5))
    def record(self, data: st.DataObject, tallies: list[int], minutes: int) -> None:
        vessel = data.draw(st.sampled_from(sorted(self.vessels)))
        self.number += 1
        event = {"id": f"e{self.number}", "at": self.now - timedelta(minutes=minutes), "vessel": vessel}
        self.step()
        self.session.record({**event, "kind": "count", "tallies": tallies})
        self.events[f"e{self.number}"] = (vessel, *tallies)

    @precondition(lambda self: self.events)
    @rule(data=st.data(), tally=st.integers(0, 99))
    def correct(self, data: st.DataObject, tally: int) -> None:
        target = data.draw(st.sampled_from(sorted(self.events)))
        vessel = self.events[target][0]
        self.step()
        self.session.correct(target, {"at": self.now, "vessel": vessel, "kind": "count", "tallies": [tally]})
        del self.events[target]
        (new,) = {e.id for e in self.session.rack.events()} - set(self.events)
        self.events[new] = (vessel, tally)

    @precondition(lambda self: self.events)
    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        target = data.draw(st.sampled_from(sorted(self.events)))
        self.step()
        self.session.withdraw(target)
        del self.events[target]

    @rule(feed=st.sampled_from(["paste", "yeast"]), amount=st.integers(1, 99))
    def put_stock(self, feed: str, amount: int) -> None:
        if self.stock.get(feed) != amount:
            self.step()
            self.session.put_stock(Stock(feed, amount=amount))
            self.stock[feed] = amount

    @rule()
    def undo(self) -> None:
        did = self.session.undo() is not None
        assert did == bool(self.undos)
        if did:
            self.redos.append(self.state())
            self.events, self.stock, self.vessels = self.undos.pop()

    @rule()
    def redo(self) -> None:
        did = self.session.redo() is not None
        assert did == bool(self.redos)
        if did:
            self.undos.append(self.state())
            self.events, self.stock, self.vessels = self.redos.pop()

    # --- what happens around it -----------------------------------------------------------------------------------

    @rule()
    def reopen(self) -> None:
        self.session.close()
        self.session = self.open(self.place)
        self.undos.clear()
        self.redos.clear()

    @rule()
    def meet_the_other_store(self) -> None:
        maintenance.merge_in(self.away.place, self.place)
        self.away.poll()
        assert self.seen(self.away) == self.seen(self.session)
        assert not maintenance.merge_in(self.place, self.away.place).written.events

    @rule()
    def send_it_round_as_tables(self) -> None:
        tables = sorted(files.give_out(self.session.rack, self.folder / "tables"))
        target = self.folder / "again.db"
        intake = files.import_files(tables, target, self.clock).intake
        assert not intake.refused
        if target.exists():
            with Store.open(target) as again:
                rack = again.load()
            assert {e.id: (e.vessel, *e.tallies) for e in rack.events()} == self.events
            assert {s.feed: s.amount for s in rack.stock} == self.stock
        for rest in self.folder.glob("again.db*"):
            shutil.rmtree(rest) if rest.is_dir() else rest.unlink()

    @rule(alone=st.booleans())
    def restore(self, alone: bool) -> None:
        copy = None if alone else self.session.backup(self.folder / "copy.db")
        self.session.close()
        self.window.close()
        if self.undos or alone is False:
            maintenance.put_back(self.place, copy, self.now)
        self.session, self.window = self.open(self.place), self.open(self.place)
        self.undos.clear()
        self.redos.clear()

    # --- what must hold -------------------------------------------------------------------------------------------

    @staticmethod
    def seen(session: RackSession) -> State:
        rack = session.rack
        return (
            {e.id: (e.vessel, *e.tallies) for e in rack.events()},
            {s.feed: s.amount for s in rack.stock},
            frozenset(rack.vessels),
        )

    @invariant()
    def all_agree(self) -> None:
        if not hasattr(self, "session"):
            return
        self.window.poll()
        assert self.seen(self.session) == self.state()
        assert self.seen(self.window) == self.state()

    def teardown(self) -> None:
        if not hasattr(self, "session"):
            return
        with Store.open(self.place) as reader:
            rack = reader.load()
        assert {e.id: (e.vessel, *e.tallies) for e in rack.events()} == self.events
        assert check(self.place) == []
        for one in (self.session, self.window, self.away):
            one.close()
        shutil.rmtree(self.folder)


@pytest.mark.parametrize(("examples", "steps"), [(8, 25), pytest.param(400, 60, marks=pytest.mark.torture)])
def test_the_store_and_a_model_agree(quick_root, examples, steps):
    Keeping.root = quick_root
    run_state_machine_as_test(
        Keeping,
        settings=settings(
            max_examples=examples, stateful_step_count=steps, deadline=None, phases=(Phase.generate, Phase.shrink)
        ),
    )
