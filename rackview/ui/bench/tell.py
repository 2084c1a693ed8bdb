"""From what a formula gives to what the bench shows, in the keeper's units."""

from __future__ import annotations

from typing import Any

from rackview.core.tables import Settings
from rackview.science import ammonia, disinfection, mixing, transfer
from rackview.science.registry import Input
from rackview.science.units import NH3_PER_N
from rackview.ui import keeper_units as ku
from rackview.ui.bench.sums import Outcome, Result, Tell, figures, unit_words

TEMPERATURE = Input("temperature_c", "temperature", 25.0, "degC")


def one(unit: str, digits: int = 3) -> Tell:
    return lambda value, settings: Outcome((Result(figures(float(value), digits), unit, main=True),))


def litres(words: str = "") -> Tell:
    def told(value: Any, settings: Settings) -> Outcome:
        shown = figures(ku.volume(float(value), settings))
        return Outcome((Result(shown, f"{settings.volume_unit} {words}".rstrip(), main=True),))

    return told


def salinity(value: Any, settings: Settings) -> Outcome:
    return Outcome((Result(f"{float(value):.1f}", "salinity", main=True),))


def between(unit: str) -> Tell:
    return lambda pair, settings: Outcome((Result(f"{pair[0]:.1f} to {pair[1]:.1f}", unit, main=True),))


def nh3(value: Any, settings: Settings) -> Outcome:
    """Un-ionised ammonia in both units, as limits are printed in either."""
    return nh3_range((value, value), settings)


def nh3_range(pair: Any, settings: Settings) -> Outcome:
    """A range of un-ionised ammonia in both units."""
    return Outcome(
        (
            Result(_one_figure(pair), "mg/L un-ionised, as N", main=True),
            Result(_one_figure([v * NH3_PER_N for v in pair]), "mg/L as NH3"),
        )
    )


def _one_figure(pair: Any) -> str:
    low, high = (figures(ammonia.one_figure(float(v)), 1) for v in pair)
    return low if low == high else f"{low} to {high}"


def ammonia_limits(found: Any, settings: Settings) -> Outcome:
    """Every limit known of an animal, each in both units with its stage; the least stands large."""
    first, *others = (_ammonia_limit(one) for one in found)
    least = found[0]
    main = Result(figures(least.mg_n_l, 2), f"mg/L as N: {first}", main=True)
    sources = dict.fromkeys(one.source for one in found)
    return Outcome((main, *(Result(words) for words in others), *(Result(words) for words in sources)))


def _ammonia_limit(one: ammonia.Limit) -> str:
    return f"{one.stage}, {one.effect}: {figures(one.mg_nh3_l)} mg/L NH3, {figures(one.mg_n_l)} as N"


def gravity(value: Any, settings: Settings) -> Outcome:
    return Outcome((Result(f"{float(value):.4f}", "specific gravity", main=True),))


def _degrees(step: float, settings: Settings) -> float:
    return ku.temperature(step, settings) - ku.temperature(0.0, settings)


def refilled(found: mixing.Refilled, settings: Settings) -> Outcome:
    lines = (
        Result(f"{found.water.salinity:.1f}", "salinity in the vessel", main=True),
        Result(f"{found.salinity_step:+.1f}", "salinity"),
        Result(f"{_degrees(found.temperature_step, settings):+.1f}", unit_words(TEMPERATURE, settings)),
    )
    return Outcome(lines, (found.warning,) if found.warning else ())


def moved(found: transfer.Move, settings: Settings) -> Outcome:
    return Outcome(
        (
            *litres("to move")(found.volume_l, settings).results,
            Result(figures(found.donor_per_ml), "/mL stay in the giving vessel"),
            Result(figures(found.receiver_per_ml), "/mL in the receiving one"),
        )
    )


def disinfected(found: disinfection.Disinfection, settings: Settings) -> Outcome:
    least, most = found.minutes
    minutes = f"{least:g}" if least == most else f"{least:g} to {most:g}"
    return Outcome(
        (
            Result(figures(found.stock_ml), "mL of stock", main=True),
            Result(figures(found.chlorine_g), "g of chlorine"),
            Result(minutes, "minutes of contact"),
            Result(figures(found.neutraliser_g), "g of thiosulphate crystals after that"),
        ),
        found.cautions,
    )


def neutralised(found: disinfection.Neutraliser, settings: Settings) -> Outcome:
    lines = (
        Result(figures(found.pentahydrate_g), "g of thiosulphate crystals", main=True),
        Result(figures(found.anhydrous_g), "g of it without water"),
    )
    return Outcome(lines, found.cautions)


def words(found: Any, settings: Settings) -> Outcome:
    return Outcome((Result(str(found) or "within what is usual", main=True),))


def mesh(found: Any, settings: Settings) -> Outcome:
    return Outcome((Result(f"{found.value:g}", "µm", main=True), Result(found.source)))
