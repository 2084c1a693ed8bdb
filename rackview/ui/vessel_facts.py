"""What the card of a vessel's page says: what is believed, how sure, how old, what was learned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from PySide6.QtCore import QCoreApplication

from rackview.core.assessment import Assessment, Measured, Suggestion
from rackview.core.rack import Rack
from rackview.ui import keeper_units as ku
from rackview.ui import say
from rackview.ui.presenter import tile
from rackview.ui.vessel_card import CardState, Fact

translate = QCoreApplication.translate


def card(rack: Rack, seen: Assessment, suggestions: Sequence[Suggestion], at: datetime) -> CardState:
    """The card of the page; `at` is in the keeper's zone."""
    shown = tile(rack, seen, suggestions, None, at)
    title = f"{shown.title}, {ku.with_unit(seen.volume_l, rack.settings)}"
    return CardState(replace(shown, title=title), _facts(seen), tuple(_lines(rack, seen, at)))


def _facts(seen: Assessment) -> tuple[Fact, ...]:
    facts = []
    if seen.density_per_ml is not None and seen.state != "empty":
        d = seen.density_per_ml
        facts.append(Fact(translate("VesselFacts", "now"), say.two_figures(d.median), "/mL", say.span(d)))
    if seen.net_rate_per_day is not None:
        r = seen.net_rate_per_day
        facts.append(
            Fact(
                translate("VesselFacts", "growth a day"),
                _signed(r.median),
                "",
                f"{_signed(r.low90)} … {_signed(r.high90)}",
            )
        )
    return tuple(facts)


def _signed(rate: float) -> str:
    """A rate with its sign, the minus as long as the plus."""
    return f"{rate:+.2f}".replace("-", "−")


def _lines(rack: Rack, seen: Assessment, at: datetime) -> list[str]:
    found = []
    if seen.doubling_days is not None and 0 < seen.doubling_days < 60:
        found.append(translate("VesselFacts", "doubles in {n} d").format(n=f"{seen.doubling_days:.1f}"))
    if seen.ceiling_per_ml is not None:
        found.append(translate("VesselFacts", "ceiling near {n}").format(n=say.two_figures(seen.ceiling_per_ml)))
    if seen.egg_ratio is not None:
        found.append(translate("VesselFacts", "eggs {n}").format(n=f"{seen.egg_ratio:.2f}"))
    if seen.days_since_count is not None:
        age = say.age(seen.days_since_count, at)
        found.append(translate("VesselFacts", "counted {age}, {n} animals").format(age=age, n=seen.counted_animals))
    for days, words in (
        (seen.days_since_floss, translate("VesselFacts", "floss {age}")),
        (seen.days_since_harvest, translate("VesselFacts", "harvest {age}")),
        (seen.days_since_restart, translate("VesselFacts", "started {age}")),
    ):
        if days is not None:
            found.append(words.format(age=say.age(days, at)))
    water = seen.water
    if water.temperature_c is not None:
        found.append(_measured(ku.temperature_text(water.temperature_c.value, rack.settings), water.temperature_c, at))
    if water.salinity is not None:
        found.append(
            _measured(
                translate("VesselFacts", "salinity {n}").format(n=f"{water.salinity.value:.0f}"), water.salinity, at
            )
        )
    if water.nh3_mg_l is not None:
        found.append(
            _measured(translate("VesselFacts", "NH3-N {n}").format(n=f"{water.nh3_mg_l.value:.1g}"), water.nh3_mg_l, at)
        )
    return found


def _measured(words: str, measured: Measured, at: datetime) -> str:
    return f"{words}, {say.age(measured.age_days, at)}"
