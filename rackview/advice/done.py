"""The events that record a suggestion as done."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from rackview.core.assessment import Suggestion
from rackview.core.events import Clean, Event, Feed, Harvest, Restart, Return, Split, TopUp
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.rules.care import care
from rackview.rules.water_flags import target_salinity

UNNAMED_FEED = "dry feed"


def events_for(
    suggestion: Suggestion,
    at: datetime,
    *,
    rack: Rack | None = None,
    amount: float | None = None,
    by: str = "",
    on: str = "",
) -> tuple[Event, ...]:
    """The events that say the suggestion was carried out at `at`; none for hold, test and count.

    `amount` is what was really taken or given (the suggested amount if None), in the suggestion's unit. With `rack`
    given, a split or restart also records the new water that fills both vessels up, and a vessel that was resting or
    never used is taken into use first.
    """
    given = suggestion.amount if amount is None else amount
    entered: dict[str, Any] = {"entered_at": at, "entered_by": by, "entered_on": on}
    if suggestion.action == "clean":
        return (Clean(at=at, vessel=suggestion.vessel, what=suggestion.what or "floss", **entered),)
    if given is None or given <= 0.0:
        return ()
    if suggestion.action == "feed":
        feed = suggestion.feed or UNNAMED_FEED
        unit = suggestion.unit or "mL"
        return (Feed(at=at, vessel=suggestion.vessel, feed=feed, amount=given, unit=unit, **entered),)
    if suggestion.action == "harvest":
        return (_harvest(suggestion, at, given, entered),)
    if suggestion.action in {"split", "restart"} and suggestion.other_vessel is not None:
        return _move(suggestion, suggestion.other_vessel, at, given, rack, entered)
    return ()


def _harvest(suggestion: Suggestion, at: datetime, given: float, entered: dict[str, Any]) -> Harvest:
    refill = given
    if suggestion.refill_l is not None and suggestion.amount is not None:
        refill = max(suggestion.refill_l + given - suggestion.amount, 0.0)
    return Harvest(
        at=at,
        vessel=suggestion.vessel,
        volume_l=given,
        refill_l=round(refill, 6),
        mesh_um=suggestion.mesh_um,
        to=suggestion.to or "",
        **entered,
    )


def _move(
    suggestion: Suggestion, other: str, at: datetime, given: float, rack: Rack | None, entered: dict[str, Any]
) -> tuple[Event, ...]:
    found: list[Event] = []
    if suggestion.action == "split":
        if rack is not None and care(rack.log(other)).use in {"resting", "new"}:
            found.append(Return(at=at, vessel=other, **entered))
        refill = (
            given
            if suggestion.refill_l is None
            else max(suggestion.refill_l + given - (suggestion.amount or given), 0.0)
        )
        found.append(
            Split(
                at=at, vessel=suggestion.vessel, to_vessel=other, volume_l=given, refill_l=round(refill, 6), **entered
            )
        )
        if rack is not None:
            found += _fill(rack, other, given, at, entered)
        return tuple(found)
    density = suggestion.density_per_ml
    if density is not None and suggestion.amount:
        density = density * given / suggestion.amount
    found.append(
        Restart(
            at=at,
            vessel=suggestion.vessel,
            from_vessel=other,
            volume_l=given,
            density_per_ml=density,
            reason=suggestion.code,
            **entered,
        )
    )
    if rack is not None:
        found.append(_top_up(rack, other, given, at, entered))
    return tuple(found)


def _fill(rack: Rack, vessel: str, holds_l: float, at: datetime, entered: dict[str, Any]) -> list[Event]:
    """New water for a vessel that now holds `holds_l`, if it is not full."""
    missing = rack.vessel(vessel).volume_l - holds_l
    return [_top_up(rack, vessel, missing, at, entered)] if missing > 0.0 else []


def _top_up(rack: Rack, vessel: str, litres: float, at: datetime, entered: dict[str, Any]) -> TopUp:
    profile: StrainProfile = rack.profile(vessel)
    salinity = target_salinity(profile.sg_target)
    return TopUp(
        at=at,
        vessel=vessel,
        volume_l=round(litres, 6),
        salinity=None if salinity is None else round(salinity, 1),
        **entered,
    )
