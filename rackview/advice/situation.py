"""What is believed and what is wrong, vessel by vessel, at one moment; made once per rack and moment."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator, Mapping
from contextlib import nullcontext
from dataclasses import field
from typing import Any
from weakref import WeakKeyDictionary

from rackview.advice.constants import KEPT_LESSONS, KEPT_SITUATIONS
from rackview.advice.moment import When
from rackview.core.dataclass import dataclass
from rackview.core.garbage import uncollected
from rackview.core.rack import Rack
from rackview.rules.care import care, newest_counts
from rackview.rules.findings import Finding
from rackview.rules.flags.rack import RackFinding, contacts, rack_findings
from rackview.rules.flags.vessel import flags, suspect, urgency
from rackview.rules.signs import unjudged
from rackview.rules.view import View
from rackview.rules.water import water
from rackview.science.risk.model import Taught
from rackview.science.risk.record import risk, taught_together
from rackview.science.state.belief import EMPTY, believe
from rackview.science.state.estimate import estimate
from rackview.science.state.held import Held, reckon


@dataclass(frozen=True, slots=True, eq=False)
class Situation:
    """The rack at a moment: views and findings by vessel, what makes vessels suspect, and what ails the rack.

    `memo` keeps what was worked out from it.
    """

    rack: Rack
    when: When
    views: Mapping[str, View]
    findings: Mapping[str, tuple[Finding, ...]]
    suspects: Mapping[str, tuple[Finding, ...]]
    rack_findings: tuple[RackFinding, ...]
    memo: dict[str, Any] = field(default_factory=dict, repr=False)


_kept: dict[tuple[int, float, float], Situation] = {}
"""The newest situations. A rack never changes, so remembering changes no answer; a kept situation keeps its rack."""

_lock = threading.Lock()
"""Held only to look into what is kept or to change it: a window asks while a thread behind it works things out."""


NOT_ALL = float("-inf")
"""In place of the midnight in the key of a situation of some vessels, so that it is never taken for one of all."""


def _key(rack: Rack, when: When) -> tuple[int, float, float]:
    return id(rack), when.day, when.today


def situation(rack: Rack, when: When) -> Situation:
    """Look at every vessel of the rack at that moment."""
    key = _key(rack, when)
    found = _kept.get(key)
    if found is None:
        with _lock:
            newest = next(reversed(_kept.values()), None)
        # what a first look makes is kept, and looking through it for garbage takes a fifth longer; a window looks on
        # and on, and what it saw before is garbage then
        with uncollected() if newest is None else nullcontext():
            found = look_at_all(rack, when, newest)
        _keep(key, found)
    return found


def _keep(key: tuple[int, float, float], found: Situation) -> None:
    with _lock:
        while len(_kept) >= KEPT_SITUATIONS:
            _kept.pop(next(iter(_kept)))
        _kept[key] = found


def situation_of_one(rack: Rack, vessel: str, when: When) -> Situation:
    """Look at one vessel alone, unless all were looked at; not kept, as all that others say of it is left out."""
    found = _kept.get(_key(rack, when))
    if found is not None:
        return found
    with _lock:
        newest = next(reversed(_kept.values()), None)
    before = None if newest is None else newest.views.get(vessel)
    view = view_of(rack, vessel, when, None if before is None else before.taught)
    reckon(_wanted(view))
    return Situation(rack, when, {vessel: view}, {vessel: _findings(view)}, {}, ())


def situation_of_some(rack: Rack, vessels: Iterable[str], when: When) -> Situation:
    """Look at some vessels before all the others, as at a start; what only the others' flags say is left out.

    The look at all of them that follows takes these views over.
    """
    views = {name: view_of(rack, name, when) for name in vessels}
    reckon([held for view in views.values() for held in _wanted(view)])
    found = Situation(rack, when, views, {name: _findings(view) for name, view in views.items()}, {}, ())
    _keep((id(rack), when.day, NOT_ALL), found)
    return found


_lessons: WeakKeyDictionary[Rack, dict[tuple[str, float, float], Taught]] = WeakKeyDictionary()
"""What was taught, for as long as its rack is in use: a rack that is kept keeps its whole history."""


def lessons_by(rack: Rack, strain: str, day: float, today: float) -> Taught:
    """What the rack's vessels of a strain had taught of falls by the midnight `today` before `day`."""
    known, key = _lessons.setdefault(rack, {}), (strain, day, today)
    found = known.get(key)
    if found is None:
        logs = [(rack.log(name, day), rack.profile(name)) for name, v in rack.vessels.items() if v.strain == strain]
        found = taught_together(((log, profile) for log, profile in logs if log.length), today)
        with _lock:
            while len(known) >= KEPT_LESSONS:
                known.pop(next(iter(known)))
            known[key] = found
    return found


def view_of(rack: Rack, vessel: str, when: When, taught: Taught | None = None) -> View:
    """What the rules look at for one vessel; `taught` is what the mornings of its strain taught, if that is known."""
    profile = rack.profile(vessel)
    log = rack.log(vessel, when.day)
    facts = care(log)
    for node in unjudged(newest_counts(log, facts), profile):  # before what is newer: the history is walked once
        believe(node, profile)
    found = estimate(log, profile, when.day)
    if facts.use == "stocked" and found.belief.state == EMPTY:  # all of it was harvested or moved away
        facts = facts.poured_out()
    return View(
        vessel=rack.vessel(vessel),
        profile=profile,
        log=log,
        care=facts,
        estimate=found,
        water=water(log, when.day),
        day=when.day,
        today=when.today,
        stock=rack.stock,
        precision=rack.settings.count_precision,
        taught=lessons_by(rack, rack.vessel(vessel).strain, when.day, when.today) if taught is None else taught,
    )


def collapse_chance(rack: Rack, vessel: str, when: When) -> float | None:
    """The chance of a fall within three days, by this rack's mornings; None where nothing was ever looked at."""
    taught = lessons_by(rack, rack.vessel(vessel).strain, when.day, when.today)
    found = risk(rack.log(vessel, when.day), rack.profile(vessel), when.day, taught)
    return None if found is None else found.chance


def look_at_all(rack: Rack, when: When, before: Situation | None = None) -> Situation:
    """Look at every vessel, as `situation`, but keep nothing of it; a vessel that is as `before` is not looked at."""
    views, new = {}, []
    for name in rack.vessels:
        same = None if before is None else _unchanged(before, rack, name, when)
        views[name] = view_of(rack, name, when) if same is None else same
        if same is None:
            new.append(views[name])
    reckon([held for view in new for held in _wanted(view)])
    found = {name: _findings(view) for name, view in views.items()}
    for name, contact in contacts(views, found).items():
        found[name] = tuple(sorted((*found[name], contact), key=urgency))
    suspects = {name: suspect(f) for name, f in found.items()}
    return Situation(rack, when, views, found, suspects, rack_findings(views, found, rack.settings, rack.stock))


def _wanted(view: View) -> Iterator[Held]:
    """What the findings of a vessel will ask for."""
    for node in unjudged(view.count_nodes, view.profile):
        if (held := believe(node, view.profile).held) is not None:
            yield held
    if view.estimate.belief.held is not None:
        yield view.estimate.belief.held
        yield view.estimate.held_in(1.0)


def _findings(view: View) -> tuple[Finding, ...]:
    """The findings of one vessel, kept with its view."""
    return view.once(flags)


def _unchanged(before: Situation, rack: Rack, vessel: str, when: When) -> View | None:
    """The view of the vessel at that moment if the rack just looked at has it: one new event changes one vessel."""
    view = before.views.get(vessel)
    if view is None or (view.day, view.today) != (when.day, when.today):
        return None
    if view.vessel is not rack.vessels[vessel] or view.profile is not rack.profile(vessel):
        return None
    if view.stock is not rack.stock or view.precision != rack.settings.count_precision:
        return None
    if view.log is not rack.log(vessel, when.day):
        return None
    return view if view.taught == lessons_by(rack, view.vessel.strain, when.day, when.today) else None
