"""Sentences about the days ahead: shortages, broods, and by when something must begin."""

from __future__ import annotations

from datetime import date

from rackview.advice.words.speech import chance_text, per_cent
from rackview.core.assessment import BroodAhead
from rackview.language import _


def no_vessel_of(strain: str) -> str:
    """A demand that no vessel can serve."""
    return _("Larvae need {strain}, but no vessel holds it.").format(strain=strain)


def short_on(strain: str, day: date, chance: float) -> str:
    """A day on which the rack may fall short."""
    return _("{strain}: chance of a shortfall on {day:%d %b}: {chance}.").format(
        strain=strain, day=day, chance=chance_text(chance)
    )


def shared(strain: str, met: float) -> str:
    """A shortage today."""
    return _("{strain}: stock is short, so larvae get about {met} of today's need.").format(
        strain=strain, met=per_cent(met)
    )


def in_full(strain: str, broods: int, most: int) -> str:
    """How many of the broods a shortage would let live well, as half rations raise few larvae of any."""
    if broods == 0:
        return _(
            "{strain}: too little for any of the {most} broods in full. Find more stock, or raise fewer larvae."
        ).format(strain=strain, most=most)
    return _("{strain}: enough for {broods} of the {most} broods in full. Choose early which to raise.").format(
        strain=strain, broods=broods, most=most
    )


def brood_ahead(brood: BroodAhead, today: date) -> str:
    """What is to be done for a brood that may fall short, and by when; nothing for one that is safe."""
    if brood.state == "safe":
        return ""
    when = _("between {first:%d %b} and {last:%d %b}").format(first=brood.first, last=brood.last)
    risk = _("{brood} may fall short {when} ({chance_short}).").format(
        brood=brood.brood, when=when, chance_short=chance_text(brood.chance_short)
    )
    if brood.last_safe is None:
        return _("{risk} One more culture of {strain} would not make it safe: raise fewer larvae, or buy prey.").format(
            risk=risk, strain=brood.strain
        )
    by = (
        _("today at the latest")
        if brood.last_safe <= today
        else _("by {last_safe:%d %b}").format(last_safe=brood.last_safe)
    )
    start = _("One more culture of {strain} started {by} makes it safe").format(strain=brood.strain, by=by)
    if brood.order_by is None or brood.order_by < today:
        return _("{risk} {start}; a starter ordered now comes too late, so start it from the rack.").format(
            risk=risk, start=start
        )
    return _("{risk} {start}; order a starter by {order_by:%d %b}.").format(
        risk=risk, start=start, order_by=brood.order_by
    )


def brood_unknown(brood: str) -> str:
    """A brood that can't be reckoned with."""
    return _("Brood {brood}: give its larval group, or its strain and day of hatching, to plan for it.").format(
        brood=brood
    )
