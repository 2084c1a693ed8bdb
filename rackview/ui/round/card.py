"""What the card of the round says of a vessel: last seen, expected now, done last."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from rackview.core.assessment import Interval
from rackview.core.events import Clean, Event, Feed, Harvest
from rackview.core.tables import Settings
from rackview.language import _
from rackview.ui.forms import remembered
from rackview.ui.rack.rack_state import Trend
from rackview.ui.rack.tile import tile
from rackview.ui.round.entry.model import Entry
from rackview.ui.vessel.card import CardState, Fact
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku


def round_card(entry: Entry, trend: Trend | None, at: datetime) -> CardState:
    """The card of the vessel that is being entered; `at` is in the keeper's zone."""
    seen, rack = entry.assessment, entry.rack
    shown = tile(rack, seen, entry.suggestions, trend, at)
    title = _("{strain}, {volume}").format(strain=shown.title, volume=ku.with_unit(seen.volume_l, rack.settings))
    last = remembered.last(rack, entry.vessel)
    facts: list[Fact] = []
    if last.count is not None:
        counted = last.count.animals / last.count.looked_at_ml
        facts.append(Fact(_when(last.count, at), formats.two_figures(counted), "/mL"))
    if seen.density_per_ml is not None and seen.state != "empty":
        facts.append(_expected(seen.density_per_ml))
    done = [e for e in (last.harvest, last.feed, last.clean) if e is not None]
    done.sort(key=lambda e: e.at, reverse=True)
    return CardState(replace(shown, title=title), tuple(facts), tuple(_did(e, rack.settings, at) for e in done))


def _expected(interval: Interval) -> Fact:
    return Fact(_("expected now"), formats.two_figures(interval.median), "/mL", formats.span(interval))


def _when(event: Event, at: datetime) -> str:
    passed = (at.date() - event.at.astimezone(at.tzinfo).date()).days
    if passed <= 0:
        return _("counted today")
    return _("yesterday") if passed == 1 else _("{n} days ago").format(n=passed)


def _did(event: Event, settings: Settings, at: datetime) -> str:

    passed = max(0, (at.date() - event.at.astimezone(at.tzinfo).date()).days)
    age = _("today") if passed == 0 else _("{n} d").format(n=passed).replace(" ", "\u00a0")  # never torn apart
    match event:
        case Harvest():
            what = _("harvest {amount}").format(amount=ku.with_unit(event.volume_l, settings))
        case Feed():
            what = _("fed {amount} {unit}").format(amount=ku.plain(event.amount), unit=event.unit)
        case Clean(what="floss"):
            what = _("floss")
        case _:
            what = _("cleaned")
    return f"{what}, {age}"
