"""The keeper who does literally and daily what the program says."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, timedelta

from replay_season import STOCK, Bench, top_up

from rackview.advice.api import advise, assess_all
from rackview.advice.done import events_for
from rackview.core.assessment import Suggestion
from rackview.core.events import Event
from rackview.core.rack import Rack


class Literal:
    """Asks after the counts are in, does every suggestion in its order, and looks again where a look is asked for."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.simulator = bench.simulator
        self.rack = Rack.build(bench.season.vessels, bench.founded(), stock=STOCK)
        self.raised: set[tuple[str, str]] = set()

    def day(self, at: datetime, looked: list[Event]) -> None:
        """The round: enter what was seen, ask, look again if told so, ask again, do."""
        topped = [e for e in (top_up(self.simulator, v, at) for v in self.simulator.vessels) if e is not None]
        self.rack = self.rack.with_broods(list(self.simulator.broods())).record(*looked, *topped)
        now = at + timedelta(minutes=1)
        self._watch(now)
        asked = [s for s in advise(self.rack, now) if s.action in {"count", "test"}]
        if asked:
            self._look(asked, now)
            now += timedelta(minutes=10)
        for number, suggestion in enumerate(s for s in advise(self.rack, now) if s.action not in {"count", "test"}):
            self._do(suggestion, now + timedelta(seconds=10 * (number + 1)))

    def _look(self, asked: list[Suggestion], at: datetime) -> None:
        found: list[Event] = []
        for suggestion in asked:
            if self.simulator.culture(suggestion.vessel).level_l <= 0.0:
                continue
            if suggestion.action == "count":
                found.append(self.simulator.observe(suggestion.vessel, at, aliquots=5, dilution=5.0, females=60))
            else:
                found.append(self.simulator.read(suggestion.vessel, at, oxygen=True))
        self.rack = self.rack.record(*found)

    def _do(self, suggestion: Suggestion, at: datetime) -> None:
        events = events_for(suggestion, at, rack=self.rack)
        for event in events:
            self.simulator.apply(event, own_tools=suggestion.own_tools)
        topped = [top_up(self.simulator, v, at) for v in {e.partner for e in events if e.partner} | {suggestion.vessel}]
        self.rack = self.rack.record(*events, *(e for e in topped if e is not None))

    def _watch(self, at: datetime) -> None:
        """Count the flags that were not there yesterday."""
        standing: dict[tuple[str, str], str] = {}
        for name, assessment in assess_all(self.rack, at).items():
            for flag in assessment.standing_flags:
                standing[name, flag.code] = flag.severity.name
        new = Counter[str]()
        for key, severity in standing.items():
            if key not in self.raised:
                new.update(("all", severity, f"{severity}: {key[1]}"))
        self.raised = set(standing)
        for key, number in new.items():
            self.bench.tally.flags[key] = self.bench.tally.flags.get(key, 0) + number
