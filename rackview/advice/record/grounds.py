"""What a vessel's numbers rest on, and what its own counts have taught: for whoever asks why."""

from __future__ import annotations

import statistics

from rackview.advice.constants import RECENT
from rackview.advice.moment import when
from rackview.advice.situation import situation
from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.science.state.learned import Learned, learned
from rackview.science.state.weights import Grounds, grounds


@dataclass(frozen=True, slots=True)
class Lessons:
    """What a vessel has taught, and how its keeper counts it: `animals` in a usual aliquot, `taken` aliquots a count.

    Both are 0 where the present culture was never counted. `aliquots` are needed for the wanted precision, which the
    usual number brings to `reached` (half-width of the 95 % interval as a share of the mean).
    """

    learned: Learned
    animals: float = 0.0
    taken: int = 0
    aliquots: int = 0
    reached: float = 0.0


def lessons(rack: Rack, vessel: str, at: object) -> Lessons:
    """What the vessel has taught by `at`; raises `InputError` for an unknown vessel."""
    rack.vessel(vessel)
    view = situation(rack, when(at)).views[vessel]
    found = learned(view.estimate, view.profile)
    counts = [c for c in view.care.counts if c.stage == "all" and c.tallies][-RECENT:]
    if found.scatter is None or not counts:
        return Lessons(found)
    animals = statistics.median(c.animals / c.aliquots for c in counts)
    taken = round(statistics.median(c.aliquots for c in counts))
    return Lessons(
        found,
        animals,
        taken,
        found.scatter.aliquots(animals, view.precision),
        found.scatter.precision(animals, taken),
    )


def density_grounds(rack: Rack, vessel: str, at: object) -> Grounds | None:
    """What the density now rests on, with weights; None where nothing is known of it."""
    view = situation(rack, when(at)).views[rack.vessel(vessel).vessel]
    return grounds(view.log, view.profile, view.day) if view.density is not None else None
