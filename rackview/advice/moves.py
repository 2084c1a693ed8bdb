"""Culture that moves from vessel to vessel: restarts of what crashed or is foul, splits into empty vessels."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from rackview.advice.order import CLEAN, standing
from rackview.advice.situation import Situation
from rackview.rules.care_flags import aged
from rackview.rules.due import SLIPS
from rackview.rules.findings import Finding
from rackview.rules.flags import shelved_until
from rackview.rules.harvest import aim_per_ml, may_give, safe_share, vigour_per_day
from rackview.rules.trend_flags import lately_doubted
from rackview.rules.view import View

START_MARGIN = 1.2
"""Animals moved over what the starting density asks for, for those that die on the way."""

LEAST_START, LEAST_START_RESERVE = 0.7, 0.15
"""A start thinner than this share of the profile's starting density is not worth making; from a reserve, which is
small and the last to ask, a thin one is better than none."""

RESERVE_MOST = 0.3
"""Share of a reserve that a restart may draw."""

AGE_DONORS = 1
"""Healthy vessels of the strain, besides the old one, that must be there before it is emptied for its age."""

AGE_PAUSE_DAYS = 4.0

AS_WELL = 0.8
"""A donor that grows at this share of the rate of the vessel it replaces grows as well, as far as counts can tell."""

WAITS = {"age", "stalled"}
"""Reasons for a restart that wait while larvae would go short for it."""

UNUSED_DAYS = 2.0

QUIET = {"shelved", "suppressed"}
"""States of a flag in which nothing is done about it; one that is merely old is acted on still."""


@dataclass(frozen=True, slots=True)
class Move:
    """Culture from `donor` to `target`: litres, the density it starts at when filled up, what stays, and why."""

    action: str
    code: str
    donor: str
    target: str
    litres: float
    start_per_ml: float
    left_per_ml: float
    ready_days: float
    finding: Finding | None = None
    thin: bool = False
    """Whether it starts thinner than it could, as the larvae need today what the donor can spare."""

    @property
    def urgent(self) -> bool:
        """Whether it replaces a culture that failed."""
        return self.action == "restart" and self.code not in WAITS

    @property
    def vessel(self) -> str:
        """The vessel that the suggestion stands at: the donor of a split, the target of a restart."""
        return self.donor if self.action == "split" else self.target


def in_trouble(sit: Situation, vessel: str) -> Finding | None:
    """The finding for which a vessel must be started anew: a crash or one near, or ciliates that do not go."""
    for found in sit.findings[vessel]:
        if found.state in QUIET:
            continue
        if found.code in {"crash", "failing"} or (found.code == "ciliates" and found.values["stays"]):
            return found
    return None


def restarts(sit: Situation, declined: Iterable[str], spare: frozenset[str]) -> list[Move]:
    """A restart for every vessel in trouble that finds a donor, then for stalled ones, then one a strain for age.

    `declined` are vessels whose restart the keeper declined; `spare` are strains that can do without a vessel.
    """
    no = set(declined)
    found: list[Move] = []
    used: set[str] = set()
    for name, view in sit.views.items():
        trouble = in_trouble(sit, name)
        if trouble is None or name in no or view.care.done_since("restart", view.today):
            continue
        move = _best(sit, view, "restart", trouble.code, used, trouble)
        if move is not None:
            used.add(move.donor)
            found.append(move)
    found += _stalled(sit, no, used)
    busy = {sit.views[m.target].vessel.strain for m in found}
    old_ones = [(old, name) for name, view in sit.views.items() if (old := aged(view)) is not None]
    for old, name in sorted(old_ones, key=lambda o: o[0].since):
        view = sit.views[name]
        strain = view.vessel.strain
        if shelved_until(view, "age", old.since) is not None or name in no or strain in busy:
            continue
        if strain not in spare or not _can_be_emptied(sit, view):
            continue
        move = _best(sit, view, "restart", "age", used, old)
        if move is not None and _worth_seeding(sit.views[move.donor], view):
            used.add(move.donor)
            busy.add(strain)
            found.append(move)
    return found


def _stalled(sit: Situation, declined: set[str], used: set[str]) -> list[Move]:
    """Restarts of vessels that stay thin and hardly grow, where a thriving one gives them a better start at once.

    Better means: started at least as dense as the vessel stands now, from one that grows well. `used` takes the donors.
    """
    found: list[Move] = []
    for name, view in sit.views.items():
        slow = next((f for f in sit.findings[name] if f.code == "stalled" and f.state not in QUIET), None)
        if slow is None or name in declined or in_trouble(sit, name) is not None or view.per_ml is None:
            continue
        move = _best(sit, view, "restart", "stalled", used, slow)
        if move is None or move.start_per_ml < view.per_ml:
            continue
        if _worth_seeding(sit.views[move.donor], view):
            used.add(move.donor)
            found.append(move)
    return found


def _worth_seeding(donor: View, old: View) -> bool:
    """Whether a vessel that nothing forces to be emptied gains by this donor: one beyond doubt that grows as well.

    An old culture that outgrows every donor is better than what would take its place.
    """
    if donor.vessel.reserve or lately_doubted(donor):
        return False
    return vigour_per_day(donor) >= AS_WELL * vigour_per_day(old)


def _can_be_emptied(sit: Situation, view: View) -> bool:
    """Whether enough healthy vessels of the strain remain, and none was started anew these days."""
    others = [v for v in sit.views.values() if v.vessel.strain == view.vessel.strain and v is not view and v.stocked]
    healthy = [v for v in others if may_give(v, sit.suspects[v.vessel.vessel])]
    recent = any(v.care.started is not None and v.day - v.care.started < AGE_PAUSE_DAYS for v in others)
    return len(healthy) >= AGE_DONORS and not recent


def splits(sit: Situation, declined: Iterable[str], used: Iterable[str], ahead: frozenset[str]) -> list[Move]:
    """A split into every empty vessel that a donor of its strain can fill; resting ones only where more is needed.

    `ahead` are strains of which more will be needed than the rack gives.
    """
    no, taken = set(declined), set(used)
    found: list[Move] = []
    dense = {v.vessel.strain for v in sit.views.values() if _is_dense(v)}
    for view in sit.views.values():
        strain = view.vessel.strain
        resting = view.care.use == "resting" and strain in dense | ahead
        if view.care.use != "empty" and not resting and not unused(sit, view):
            continue
        move = _best(sit, view, "split", "ahead" if strain in ahead else "room", taken | no, None)
        if move is None:
            continue
        donor = sit.views[move.donor]
        if move.code == "room" and (donor.per_ml is None or donor.per_ml < aim_per_ml(donor)):
            continue
        taken.add(move.donor)
        found.append(move)
    return found


def _is_dense(view: View) -> bool:
    return view.per_ml is not None and view.per_ml > view.profile.band_high_per_ml


def unused(sit: Situation, view: View) -> bool:
    """Whether nothing was ever recorded of the vessel although the rack has been run for days: it stands empty."""
    if view.care.use != "new":
        return False
    starts = [v.care.first_day for v in sit.views.values() if v.care.first_day is not None]
    return bool(starts) and view.today - min(starts) >= UNUSED_DAYS


def _best(sit: Situation, target: View, action: str, code: str, used: set[str], finding: Finding | None) -> Move | None:
    """The move from the cleanest vessel that can spare it, the one that grows best; from the reserve if no other can.

    What ails a donor slows its growth before it is seen, and goes with the culture into the new vessel. A split is
    taken first from a vessel that stands too dense, which gains by it.
    """
    moves = [m for v in sit.views.values() if (m := _move(sit, v, target, action, code, used, finding)) is not None]
    if not moves:
        return None

    def key(move: Move) -> tuple[bool, int, bool, bool, bool, float, str, int]:
        donor = sit.views[move.donor]
        return (
            donor.vessel.reserve,
            standing(sit, move.donor),
            _slipped(sit, move.donor),
            lately_doubted(donor),
            action == "split" and not _is_dense(donor),
            -vigour_per_day(donor),
            donor.vessel.shelf,
            donor.vessel.position,
        )

    return min(moves, key=key)


def _move(
    sit: Situation, donor: View, target: View, action: str, code: str, used: set[str], finding: Finding | None
) -> Move | None:
    name = donor.vessel.vessel
    if donor is target or donor.vessel.strain != target.vessel.strain or name in used or donor.per_ml is None:
        return None
    reserve = donor.vessel.reserve
    if reserve and (action != "restart" or code == "age"):
        return None
    if (action == "split" or code in WAITS) and _slipped(sit, name):
        return None
    if not _may_seed(sit, donor) or donor.per_ml <= 0.0 or donor.estimate.level_l <= 0.0:
        return None
    share_most = min(safe_share(donor), RESERVE_MOST if reserve else 1.0)
    wanted_per_ml = START_MARGIN * target.profile.start_per_ml
    full = target.vessel.volume_l
    wanted = wanted_per_ml * full / donor.per_ml
    if action == "split" and _is_dense(donor):
        code = "dense"
        wanted = max(wanted, (1.0 - aim_per_ml(donor) / donor.per_ml) * donor.estimate.level_l)
    litres = min(wanted, share_most * donor.estimate.level_l, full)
    start = litres * donor.per_ml / full
    if start < (LEAST_START_RESERVE if reserve else LEAST_START) * target.profile.start_per_ml:
        return None
    left = _left_per_ml(donor, donor.per_ml, litres)
    rate = max(target.profile.rate_per_day, 0.05)
    ready = max(math.log(aim_per_ml(target) / start) / rate, 0.0)
    return Move(action, code, name, target.vessel.vessel, litres, start, left, ready, finding)


def _left_per_ml(donor: View, per_ml: float, litres: float) -> float:
    """How dense a donor that stood at `per_ml` is once so many litres are taken and it is filled up."""
    return per_ml * donor.fill * (1.0 - litres / donor.estimate.level_l)


def _slipped(sit: Situation, vessel: str) -> bool:
    """Whether the newest count is to be made again before culture is poured away that nobody must have today."""
    return any(f.code in SLIPS and f.state not in QUIET for f in sit.findings[vessel])


def thinner(sit: Situation, move: Move) -> Move:
    """The same move with only as much culture as makes it worth while."""
    donor, target = sit.views[move.donor], sit.views[move.target]
    least = LEAST_START * target.profile.start_per_ml
    if donor.per_ml is None or donor.vessel.reserve or move.start_per_ml <= least:
        return move
    litres = move.litres * least / move.start_per_ml
    left = _left_per_ml(donor, donor.per_ml, litres)
    ready = move.ready_days + math.log(move.start_per_ml / least) / max(target.profile.rate_per_day, 0.05)
    return replace(move, litres=litres, start_per_ml=least, left_per_ml=left, ready_days=ready, thin=True)


def _may_seed(sit: Situation, donor: View) -> bool:
    """A donor must be clean: not suspect, not served after a suspect vessel, and counted since it last moved."""
    name = donor.vessel.vessel
    if standing(sit, name) > CLEAN or donor.care.counts_since_move < 1:
        return False
    if donor.vessel.reserve:
        return donor.per_ml is not None and not sit.suspects[name]
    return may_give(donor, sit.suspects[name])
