"""From what is believed and advised to what the rack screen shows; no drawing and no arithmetic of its own.

Everything is handed in: the rack, its assessments and suggestions, and the moment in the keeper's time zone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from rackview.core.assessment import Assessment, Severity, Suggestion
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel, natural
from rackview.language import _
from rackview.ui.rack.rack_state import FreePlace, RackState, Shelf, Trend
from rackview.ui.rack.tile import TileState, tile
from rackview.ui.rack.trends import Trends
from rackview.ui.words import formats

MANY_PLACES = 6
"""A shelf shows its gaps as long as there are no more of them than vessels and this many."""


def waiting(rack: Rack, at: datetime, *, banner: str = "") -> RackState:
    """The rack before anything is worked out: every vessel in its place, nothing said of it yet."""
    return _state(rack, {name: _waiting_tile(rack, name) for name in rack.vessels}, at, banner)


def _waiting_tile(rack: Rack, name: str) -> TileState:
    place = rack.vessels[name].place
    return TileState(
        vessel=name,
        place=place,
        name=name,
        title=rack.profile(name).title,
        words=_("one moment"),
        accessible=_("{place} {name}, being worked out").format(place=place, name=name),
    )


def _state(rack: Rack, tiles: Mapping[str, TileState], at: datetime, banner: str) -> RackState:
    return RackState(
        name=rack.settings.name or _("The rack"),
        invented=_("invented rack") if rack.settings.invented else "",
        date=formats.full_date(at.date()),
        time=formats.clock(at),
        shelves=shelves(list(rack.vessels.values()), tiles),
        banner=banner,
    )


class Presenter:
    """Makes states; keeps the courses behind the trends from one call to the next."""

    def __init__(self) -> None:
        self._trends = Trends()

    def rack(
        self,
        rack: Rack,
        assessments: Mapping[str, Assessment],
        suggestions: Sequence[Suggestion],
        at: datetime,
        *,
        banner: str = "",
    ) -> RackState:
        """The rack screen at `at` (aware, in the keeper's zone); `banner` says why nothing can be recorded."""
        trends = self._trends.of(rack, at)
        by_vessel: dict[str, list[Suggestion]] = {name: [] for name in rack.vessels}
        for one in suggestions:
            by_vessel.setdefault(one.vessel, []).append(one)
        return self._of(rack, assessments, by_vessel, trends, at, banner)

    def looked(self, rack: Rack, assessments: Mapping[str, Assessment], at: datetime, *, banner: str = "") -> RackState:
        """The rack while only what is believed is known, and that perhaps not of every vessel yet.

        No tile names what to do or has its trend yet.
        """
        return self._of(rack, assessments, {}, {}, at, banner)

    def _of(
        self,
        rack: Rack,
        assessments: Mapping[str, Assessment],
        suggestions: Mapping[str, Sequence[Suggestion]],
        trends: Mapping[str, Trend],
        at: datetime,
        banner: str,
    ) -> RackState:
        ranks = ranked(assessments.values())
        tiles = {
            name: tile(
                rack,
                assessments[name],
                suggestions.get(name),
                trends.get(name),
                at,
                rank=ranks.get(name, 0),
            )
            if name in assessments
            else _waiting_tile(rack, name)
            for name in rack.vessels
        }
        return _state(rack, tiles, at, banner)


def ranked(assessments: Iterable[Assessment]) -> dict[str, int]:
    """In which order the vessels want a hand that have a flag for today: where most animals may be lost comes first.

    What may be lost is the animals in the vessel times how sure the surest of those flags is; what crashed has little
    left to lose and comes last. Empty where there are fewer than two.
    """
    at_stake = {}
    for seen in assessments:
        urgent = [f.probability for f in seen.standing_flags if f.severity is Severity.today]
        if urgent:
            density = seen.density_per_ml.median if seen.density_per_ml is not None else 0.0
            at_stake[seen.vessel] = max(urgent) * density * seen.level_l
    if len(at_stake) < 2:
        return {}
    return {name: n for n, name in enumerate(sorted(at_stake, key=lambda v: -at_stake[v]), 1)}


def shelves(vessels: Sequence[Vessel], tiles: Mapping[str, TileState]) -> tuple[Shelf, ...]:
    """Tiles as their vessels stand, every shelf as long as the longest, gaps kept where they are not absurd."""
    by_shelf: dict[str, dict[int, Vessel]] = {}
    for vessel in vessels:
        if vessel.vessel in tiles:
            by_shelf.setdefault(vessel.shelf, {})[vessel.position] = vessel
    longest = max((_last_place(found) for found in by_shelf.values()), default=0)
    made = []
    for name in sorted(by_shelf, key=natural):
        found = by_shelf[name]
        last = _last_place(found)
        positions = range(1, max(last, longest) + 1) if last else sorted(found)
        made.append(Shelf(name, tuple(_place(name, p, found.get(p), tiles) for p in positions)))
    return tuple(made)


def _last_place(found: Mapping[int, Vessel]) -> int:
    """The last place of a shelf, 0 if its numbers leave so many gaps that they are not shown."""
    return max(found) if max(found) <= len(found) * 2 + MANY_PLACES else 0


def _place(shelf: str, position: int, vessel: Vessel | None, tiles: Mapping[str, TileState]) -> TileState | FreePlace:
    if vessel is not None:
        return tiles[vessel.vessel]
    return FreePlace(shelf, position, _("{place}, free place").format(place=f"{shelf}{position}"))
