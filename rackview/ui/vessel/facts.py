"""What the card of a vessel's page says: what is believed, how sure and how old each number is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from math import log

from rackview.core.assessment import Assessment, Interval, Measured, Suggestion
from rackview.core.rack import Rack
from rackview.language import _
from rackview.ui.rack.tile import tile
from rackview.ui.vessel.card import CardState, Fact, Known
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

LONGEST_DAYS = 60.0
"""A culture that takes longer to double is not said to."""


def belief_card(rack: Rack, seen: Assessment, suggestions: Sequence[Suggestion], at: datetime) -> CardState:
    """The card of the page; `at` is in the keeper's zone."""
    shown = tile(rack, seen, suggestions, None, at)
    title = f"{shown.title}, {ku.with_unit(seen.volume_l, rack.settings)}"
    return CardState(replace(shown, title=title), _facts(seen, at), rows=tuple(_rows(rack, seen, at)))


def _facts(seen: Assessment, at: datetime) -> tuple[Fact, ...]:
    facts = []
    if seen.density_per_ml is not None and seen.state != "empty":
        d = seen.density_per_ml
        age = ""
        if seen.days_since_count is not None:
            age = _("counted {age}").format(age=formats.age(seen.days_since_count, at))
        below = "\n".join(w for w in (formats.span(d), age) if w)
        facts.append(Fact(_("now"), formats.two_figures(d.median), "/mL", below))
    if seen.net_rate_per_day is not None:
        r = seen.net_rate_per_day
        below = f"{formats.signed(r.low90)} … {formats.signed(r.high90)}"
        facts.append(Fact(_("growth a day"), formats.signed(r.median), "", below))
    return tuple(facts)


def _rows(rack: Rack, seen: Assessment, at: datetime) -> list[Known]:
    """What else is known: each value with how sure and how old it is."""
    used = seen.state not in {"resting", "empty"}
    found = _of_culture(rack, seen, at) if used else []
    for days, words in (
        (seen.days_since_harvest if used else None, _("harvested")),
        (seen.days_since_floss, _("floss rinsed")),
        (seen.days_since_restart if used else None, _("started")),
    ):
        if days is not None:
            found.append(Known(words, age=formats.age(days, at)))
    return found + _of_water(rack, seen, at)


def _of_culture(rack: Rack, seen: Assessment, at: datetime) -> list[Known]:
    found = []
    if seen.last_count_per_ml is not None and seen.days_since_count is not None:
        count = seen.last_count_per_ml
        value = f"{formats.two_figures(count.median)} ({formats.span(count)})"
        found.append(Known(_("count"), value, formats.age(seen.days_since_count, at)))
    rate = seen.net_rate_per_day
    if rate is not None and rate.median > log(2.0) / LONGEST_DAYS:
        found.append(Known(_("doubles in"), _doubling(rate)))
    if seen.eggs_seen is not None:
        value = _("{share} of {n}").format(share=formats.percent_of(seen.eggs_seen.value), n=seen.females_checked)
        found.append(Known(_("with eggs"), value, formats.age(seen.eggs_seen.age_days, at)))
    if seen.chance_below_floor is not None:
        floor = formats.two_figures(rack.profile(seen.vessel).floor_per_ml)
        what = _("under {floor} tomorrow").format(floor=floor)
        found.append(Known(what, age=formats.chance(seen.chance_below_floor)))
    return found


def _doubling(rate: Interval) -> str:
    quick = f"{log(2.0) / rate.high90:.1f}"
    if rate.low90 <= log(2.0) / LONGEST_DAYS:
        return _("{n} d, {quick} at best").format(n=f"{log(2.0) / rate.median:.1f}", quick=quick)
    return f"{log(2.0) / rate.median:.1f} d ({quick}–{log(2.0) / rate.low90:.1f})"


def _of_water(rack: Rack, seen: Assessment, at: datetime) -> list[Known]:
    water, found = seen.water, []
    if water.temperature_c is not None:
        text = ku.temperature_text(water.temperature_c.value, rack.settings)
        found.append(_measured(_("water"), text, water.temperature_c, at))
    if water.salinity is not None:
        found.append(_measured(_("salinity"), f"{water.salinity.value:.0f}", water.salinity, at))
    if water.ph is not None:
        found.append(_measured("pH", f"{water.ph.value:.1f}", water.ph, at))
    if water.nh3_mg_l is not None:
        found.append(_measured("NH3-N", f"{water.nh3_mg_l.value:.1g} mg/L", water.nh3_mg_l, at))
    if water.oxygen_mg_l is not None:
        value = f"{water.oxygen_mg_l.value:.1f} mg/L"
        found.append(_measured(_("oxygen"), value, water.oxygen_mg_l, at))
    return found


def _measured(words: str, value: str, measured: Measured, at: datetime) -> Known:
    return Known(words, value, formats.age(measured.age_days, at))
