"""The events that record a suggestion as done."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from rackview.advice.constants import DIGITS_L
from rackview.core.assessment import Suggestion
from rackview.core.events import Clean, Event, Feed, Harvest, Restart, Return, Split
from rackview.core.rack import Rack
from rackview.rules.care import care

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
    given, a split or restart also says how much new water fills the taker up, and a vessel that was resting or never
    used is taken into use first.
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
        refill_l=round(refill, DIGITS_L),
        mesh_um=suggestion.mesh_um,
        to=suggestion.to or "",
        **entered,
    )


def _move(
    suggestion: Suggestion, other: str, at: datetime, given: float, rack: Rack | None, entered: dict[str, Any]
) -> tuple[Event, ...]:
    """A split or restart with the new water that both vessels get, as far as the rack tells."""
    taker = other if suggestion.action == "split" else suggestion.vessel
    use = None if rack is None else care(rack.log(taker)).use
    fill = None
    if rack is not None and (suggestion.action == "restart" or use != "stocked"):
        fill = round(max(rack.vessel(taker).volume_l - given, 0.0), DIGITS_L)
    refill = given
    if suggestion.action == "split":
        if suggestion.refill_l is not None:
            refill = max(suggestion.refill_l + given - (suggestion.amount or given), 0.0)
        split = Split(
            at=at,
            vessel=suggestion.vessel,
            to_vessel=other,
            volume_l=given,
            refill_l=round(refill, DIGITS_L),
            fill_l=fill,
            **entered,
        )
        back = (Return(at=at, vessel=other, **entered),) if use in {"resting", "new"} else ()
        return *back, split
    density = suggestion.density_per_ml
    if density is not None and suggestion.amount:
        density = density * given / suggestion.amount
    return (
        Restart(
            at=at,
            vessel=suggestion.vessel,
            from_vessel=other,
            volume_l=given,
            density_per_ml=density,
            reason=suggestion.code,
            fill_l=fill,
            refill_l=round(refill, DIGITS_L),
            **entered,
        ),
    )
