"""Sentences about the days ahead: shortages, broods, and by when something must begin."""

from __future__ import annotations

from datetime import date

from rackview.advice.speech import chance_text, per_cent
from rackview.core.assessment import BroodAhead


def no_vessel_of(strain: str) -> str:
    """A demand that no vessel can serve."""
    return f"Larvae need {strain}, but no vessel holds it."


def short_on(strain: str, day: date, chance: float) -> str:
    """A day on which the rack may fall short."""
    return f"{strain}: chance of a shortfall on {day:%d %b}: {chance_text(chance)}."


def shared(strain: str, met: float) -> str:
    """A shortage today."""
    return f"{strain}: stock is short, so larvae get about {per_cent(met)} of today's need."


def in_full(strain: str, broods: int, most: int) -> str:
    """How many of the broods a shortage would let live well, as half rations raise few larvae of any."""
    if broods == 0:
        return f"{strain}: too little for any of the {most} broods in full. Find more stock, or raise fewer larvae."
    return f"{strain}: enough for {broods} of the {most} broods in full. Choose early which to raise."


def brood_ahead(brood: BroodAhead, today: date) -> str:
    """What is to be done for a brood that may fall short, and by when; nothing for one that is safe."""
    if brood.state == "safe":
        return ""
    when = f"between {brood.first:%d %b} and {brood.last:%d %b}"
    risk = f"{brood.brood} may fall short {when} ({chance_text(brood.chance_short)})."
    if brood.last_safe is None:
        return f"{risk} One more culture of {brood.strain} would not make it safe: raise fewer larvae, or buy prey."
    by = "today at the latest" if brood.last_safe <= today else f"by {brood.last_safe:%d %b}"
    start = f"One more culture of {brood.strain} started {by} makes it safe"
    if brood.order_by is None or brood.order_by < today:
        return f"{risk} {start}; a starter ordered now comes too late, so start it from the rack."
    return f"{risk} {start}; order a starter by {brood.order_by:%d %b}."


def brood_unknown(brood: str) -> str:
    """A brood that can't be reckoned with."""
    return f"Brood {brood}: give its larval group, or its strain and day of hatching, to plan for it."
