"""What is believed, kept between two starts, so that years need not be thought through again each time.

Beliefs are plain frozen records of ours. They are written as text and read back (`memo_text`) into the same classes,
and only into dataclasses, named tuples and enumerations of rackview's own packages, so nothing read from a store can
run anything. What can't be written this way is not kept, and what was made by another version of the program, of the
profile or of the vessel is not used: it is worked out again.
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackview.core.clock import day_number
from rackview.core.errors import InputError
from rackview.core.garbage import uncollected
from rackview.core.log import Node
from rackview.core.profile import StrainProfile, mapping_of
from rackview.core.rack import Rack
from rackview.services.memo_text import FORM, PACKAGES, Find, recalled, written
from rackview.store.rows import json_text
from rackview.store.snapshot import TIP, Memo, Snapshot, snapshots_of

if TYPE_CHECKING:
    from rackview.store import Store

Linked = Mapping[str, Collection[str]]
"""Each vessel's group, by `linked_by`."""


def remember(memo: Memo, rack: Rack, node: Node, find: Find) -> dict[Any, Any]:
    """What a node remembers by its memo; nothing if another program or other vessels, profiles or settings made it.

    Raises whatever it meets in a memo that is not as it was written; the store's one door for that then does without.
    """
    return recalled(memo.body, rack, node, find) if holds(rack, memo.vessel, memo.made_by) else {}


def memo_of(rack: Rack, node: Node, at: str, linked: Linked) -> Memo:
    """The memo of what a node remembers, as far as it can be kept."""
    name = node.vessel.vessel
    return Memo(at, name, basis(rack, name, linked.get(name, ())), written(rack, node))


def keep_due_snapshots(store: Store, rack: Rack, last: int) -> int:
    """Note snapshots in a store for what its newest ones leave out, with what is believed there; return how many.

    `last` is the running number up to which `rack` knows the store.
    """
    snapshots = due(store, rack, last)
    if snapshots:
        store.keep(snapshots, memos_of(rack, snapshots, linked_by(rack, store.moves())))
    return len(snapshots)


def due(store: Store, rack: Rack, last: int, *, older: bool = False) -> list[Snapshot]:
    """The snapshots that would be worth noting; none if the newest in the store will do.

    With `older` the one before the tip is among them where what is noted there is void, as after an update of the
    program: the days before the tip would be thought through from the record's beginning each time one asks for them.
    """
    tip, piece = store.snapshot(), store.snapshot(tips=False)
    void = older and piece is not None and not _noted(store, rack, piece)
    if not void and tip is not None and last - tip.n < TIP and _noted(store, rack, tip):
        return []
    found = snapshots_of(rack, last, None if piece is None else piece.at)
    return [piece, *found] if void and piece is not None else found


def _noted(store: Store, rack: Rack, snapshot: Snapshot) -> bool:
    """Whether what is believed there is noted and all that it rests on is as it was."""
    made = {name: by for name, by in store.made_by(snapshot).items() if name in rack.known_vessels}
    return bool(made) and all(holds(rack, name, by) for name, by in made.items())


@uncollected()
def memos_of(rack: Rack, snapshots: Sequence[Snapshot], linked: Linked) -> list[Memo]:
    """What is believed at the newest of these snapshots."""
    return [memo for snapshot in snapshots[-2:] for memo in _memos(rack, snapshot, linked)]


def _memos(rack: Rack, snapshot: Snapshot, linked: Linked) -> list[Memo]:
    from rackview.advice.constants import SHOWN_BEFORE
    from rackview.advice.moment import when
    from rackview.advice.situation import look_at_all
    from rackview.science.risk.record import remember_lessons
    from rackview.science.state.belief import believe
    from rackview.science.state.held import Held, reckon
    from rackview.science.state.past import remember_days

    heads = {name: _before(rack.logs[name], snapshot.at) for name in snapshot.heads}
    if not heads:
        return []
    at = max(node.event.at for node in heads.values() if node.event is not None)
    look_at_all(rack, when(at))
    zone = (at.astimezone().utcoffset() or timedelta(0)) / timedelta(days=1)
    beliefs = [believe(node, rack.profile(node.vessel.vessel)) for node in heads.values()]
    found = [one for b in beliefs for one in (b.held, *(taken.before for taken in b.taken))]
    reckon([one for one in found if isinstance(one, Held)])  # side by side; writing them would ask for one by one
    known = [(node, rack.profile(node.vessel.vessel)) for node in heads.values()]
    remember_lessons(known)
    remember_days(
        known,
        day_number(at) - SHOWN_BEFORE,
        day_number(at),
        zone,
    )
    # what was worked out stayed on those very nodes
    return [memo_of(rack, node, snapshot.at, linked) for node in heads.values()]


def _before(node: Node, at: str) -> Node:
    moment = datetime.fromisoformat(at)
    while node.event is not None and node.event.at >= moment and node.previous is not None:
        node = node.previous
    return node


def linked_by(rack: Rack, moves: Iterable[Iterable[str]]) -> Linked:
    """Each vessel's own group: those between which culture moved, directly or through others."""
    groups: dict[str, set[str]] = {}
    for pair in moves:
        names = {rack.present_names.get(name, name) for name in pair} & rack.known_vessels.keys()
        whole = set().union(names, *(groups[name] for name in names if name in groups))
        groups.update(dict.fromkeys(whole, whole))
    return groups


def basis(rack: Rack, vessel: str, linked: Iterable[str]) -> str:
    """Names everything that a vessel's beliefs rest on beside events.

    The program, the profile that holds for it, and the vessels themselves of its group, as culture moved between them.
    What falls elsewhere have taught is pooled anew at each question and is no part of what is kept.
    """
    group = sorted({vessel, *linked})
    vessels = [[v.vessel, v.strain, v.volume_l] for v in map(rack.vessel, group)]
    said = json_text([FORM, _program(), vessels, _profile_sum(rack.profile(vessel))])
    return json_text([hashlib.sha256(said.encode()).hexdigest()[:32], *group])


def holds(rack: Rack, vessel: str, made_by: str) -> bool:
    """Whether all that a memo rests on is as it was."""
    try:
        _, *group = json.loads(made_by)
        return made_by == basis(rack, vessel, group)
    except (ValueError, TypeError, InputError, RecursionError):
        return False


@lru_cache(maxsize=64)
def _profile_sum(profile: StrainProfile) -> str:
    return hashlib.sha256(json_text(mapping_of(profile)).encode()).hexdigest()


@cache
def _program() -> str:
    digest = hashlib.sha256()
    for part in _parts():
        digest.update(part.read_bytes())
    return digest.hexdigest()


def _parts() -> Iterable[Path]:
    """The files that hold the reckoning; of a program in one folder, the one that holds all its code."""
    if getattr(sys, "frozen", False):
        return [Path(sys.executable)]
    root = Path(__file__).parents[1]
    return (part for package in PACKAGES for part in sorted(root.joinpath(*package.split(".")).glob("*.py")))
