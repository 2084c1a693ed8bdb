"""From what a formula gives to what the bench shows, in the keeper's units."""

from __future__ import annotations

import math
from typing import Any

from rackview.core.tables import Settings
from rackview.science import algae, ammonia, balance, counts, disinfection, growth, mixing, storage, transfer
from rackview.science.formula_entry import Input
from rackview.science.options import Option
from rackview.science.units import NH3_PER_N
from rackview.ui.bench.sums import Result, SumAnswer, Tell, figures, unit_words
from rackview.ui.words import keeper_units as ku

TEMPERATURE = Input("temperature_c", "temperature", 25.0, "degC")


def as_plain(unit: str, digits: int = 3) -> Tell:
    """Whatever a formula gives that needs no words of its own: a number, several, a word, an answer with its source."""
    return lambda found, settings: SumAnswer(_plain(found, unit, digits))


def _plain(found: Any, unit: str, digits: int) -> tuple[Result, ...]:
    if isinstance(found, Option):
        return (*_plain(found.value, unit, digits), Result(found.source, soft=True))
    if found is None:
        return (Result("none: the aliquots do not differ more than chance allows", main=True),)
    if isinstance(found, str):
        return (Result(found, unit, main=True),)
    if isinstance(found, tuple):
        joint = " to " if len(found) == 2 else ", "
        return (Result(joint.join(as_number(v, digits) for v in found), unit, main=True),)
    return (Result(as_number(found, digits), unit, main=True),)


def as_number(value: float, digits: int = 3) -> str:
    """One number; what never comes has no figures."""
    return "never" if math.isinf(value) else figures(float(value), digits)


def share(words: str) -> Tell:
    """A share, or two, as per cent."""

    def answer(found: Any, settings: Settings) -> SumAnswer:
        several = found if isinstance(found, tuple) else (found,)
        shown = (" to " if len(several) == 2 else ", ").join(f"{100 * v:.3g}" for v in several)
        return SumAnswer((Result(f"{shown} %", words, main=True),))

    return answer


def one(unit: str, digits: int = 3) -> Tell:
    return lambda value, settings: SumAnswer((Result(figures(float(value), digits), unit, main=True),))


def as_litres(words: str = "") -> Tell:
    def answer(value: Any, settings: Settings) -> SumAnswer:
        shown = figures(ku.volume(float(value), settings))
        return SumAnswer((Result(shown, f"{settings.volume_unit} {words}".rstrip(), main=True),))

    return answer


def salinity(value: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(f"{float(value):.1f}", "salinity", main=True),))


def between(unit: str) -> Tell:
    return lambda pair, settings: SumAnswer((Result(f"{pair[0]:.1f} to {pair[1]:.1f}", unit, main=True),))


def nh3(value: Any, settings: Settings) -> SumAnswer:
    """Un-ionised ammonia in both units, as limits are printed in either."""
    return nh3_range((value, value), settings)


def nh3_range(pair: Any, settings: Settings) -> SumAnswer:
    """A range of un-ionised ammonia in both units."""
    return SumAnswer(
        (
            Result(_one_figure(pair), "mg/L un-ionised, as N", main=True),
            Result(_one_figure([v * NH3_PER_N for v in pair]), "mg/L as NH3"),
        )
    )


def _one_figure(pair: Any) -> str:
    low, high = (figures(ammonia.one_figure(float(v)), 1) for v in pair)
    return low if low == high else f"{low} to {high}"


def ammonia_limits(found: Any, settings: Settings) -> SumAnswer:
    """Every limit known of an animal, each in both units with its stage; the least stands large."""
    first, *others = (_ammonia_limit(one) for one in found)
    least = found[0]
    main = Result(figures(least.mg_n_l, 2), f"mg/L as N: {first}", main=True)
    sources = dict.fromkeys(one.source for one in found)
    return SumAnswer((main, *(Result(words) for words in others), *(Result(words, soft=True) for words in sources)))


def _ammonia_limit(one: ammonia.Limit) -> str:
    return f"{one.stage}, {one.effect}: {figures(one.mg_nh3_l)} mg/L NH3, {figures(one.mg_n_l)} as N"


def gravity(value: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(f"{float(value):.4f}", "specific gravity", main=True),))


def _degrees(step: float, settings: Settings) -> float:
    return ku.temperature(step, settings) - ku.temperature(0.0, settings)


def refilled(found: mixing.Refilled, settings: Settings) -> SumAnswer:
    lines = (
        Result(f"{found.water.salinity:.1f}", "salinity in the vessel", main=True),
        Result(f"{found.salinity_step:+.1f}", "salinity"),
        Result(f"{_degrees(found.temperature_step, settings):+.1f}", unit_words(TEMPERATURE, settings)),
    )
    return SumAnswer(lines, (found.warning,) if found.warning else ())


def moved(found: transfer.TransferVolume, settings: Settings) -> SumAnswer:
    return SumAnswer(
        (
            *as_litres("to move")(found.volume_l, settings).results,
            Result(figures(found.donor_per_ml), "/mL remain in the giving vessel"),
            Result(figures(found.receiver_per_ml), "/mL in the receiving one"),
        )
    )


def disinfected(found: disinfection.Disinfection, settings: Settings) -> SumAnswer:
    least, most = found.minutes
    minutes = f"{least:g}" if least == most else f"{least:g} to {most:g}"
    return SumAnswer(
        (
            *((Result(found.beside),) if found.beside else ()),
            Result(figures(found.stock_ml), "mL of stock", main=True),
            Result(figures(found.chlorine_g), "g of chlorine"),
            Result(minutes, "minutes of contact"),
            Result(figures(found.neutraliser_g), "g of thiosulphate crystals (pentahydrate) after that"),
        ),
        found.cautions,
    )


def neutralised(found: disinfection.Neutraliser, settings: Settings) -> SumAnswer:
    lines = (
        Result(figures(found.pentahydrate_g), "g of thiosulphate crystals (pentahydrate)", main=True),
        Result(figures(found.anhydrous_g), "g of the anhydrous salt"),
    )
    return SumAnswer(lines, found.cautions)


def density(found: counts.CountDensity, settings: Settings) -> SumAnswer:
    """A density with its interval, and what to think of how the aliquots differ."""
    lines = [
        Result(figures(found.per_ml), "/mL", main=True),
        Result(f"{figures(found.low)} to {figures(found.high)}", "/mL, 95 %: by chance and by how aliquots differ"),
        Result(f"{figures(found.poisson_low)} to {figures(found.poisson_high)}", "/mL by chance alone (exact)"),
        Result(str(found.animals), f"animals in {figures(found.looked_at_ml)} mL of culture"),
    ]
    if found.clumped:
        lines.append(Result("uneven: mix the sample and count again"))
    return SumAnswer(tuple(lines))


def dispersion(found: counts.Dispersion, settings: Settings) -> SumAnswer:
    """Variance over mean with its probability."""
    verdict = "clumped" if found.clumped else "too even" if found.too_even else "as even as chance makes it"
    return SumAnswer(
        (
            Result(figures(found.index), f"variance over mean: {verdict}", main=True),
            Result(f"chi-square {figures(found.chi2)} on {found.df}, p {figures(found.p_clumped, 2)}"),
        )
    )


def change(found: counts.CountChange, settings: Settings) -> SumAnswer:
    """After over before, its interval, and how likely no change is."""
    return SumAnswer(
        (
            Result(as_number(found.ratio), "times as many", main=True),
            Result(f"{as_number(found.low)} to {as_number(found.high)} (95 %)"),
            Result(figures(found.p_value, 2), "chance of such a difference without any change"),
        )
    )


def line(found: growth.LineFit, settings: Settings) -> SumAnswer:
    """A growth rate with its interval, and how well the line fits."""
    low, high = found.interval()
    return SumAnswer(
        (
            Result(figures(found.rate), "per day", main=True),
            Result(f"{figures(low)} to {figures(high)} per day (95 %)"),
            Result(figures(found.misfit), "times the scatter that counting alone gives"),
        )
    )


def harvest(found: Any, settings: Settings) -> SumAnswer:
    """Density before the harvest, share and yield."""
    density_before, *middle, gain = found
    shares = tuple(Result(f"{100 * v:.3g} %", "to take each day") for v in middle)
    return SumAnswer(
        (
            Result(figures(density_before), "/mL before the harvest", main=True),
            *shares,
            Result(figures(gain), "/mL a day"),
        )
    )


def births(found: Any, settings: Settings) -> SumAnswer:
    """Births with the doubt that the clutch brings."""
    low, middle, high = found
    doubt = Result(f"{figures(low)} to {figures(high)}", "by how far off the clutch may be")
    return SumAnswer((Result(figures(middle), "births per animal and day", main=True), doubt))


def stages(found: Any, settings: Settings) -> SumAnswer:
    """Share of each stage in the order typed."""
    return SumAnswer((Result(", ".join(f"{100 * v:.3g} %" for v in found), "in the order of the stages", main=True),))


def joined(found: mixing.WaterBody, settings: Settings) -> SumAnswer:
    """Two waters poured together."""
    return SumAnswer(
        (
            Result(f"{found.salinity:.2f}", "salinity", main=True),
            Result(figures(ku.volume(found.volume_l, settings)), settings.volume_unit),
            Result(f"{ku.temperature(found.temperature_c, settings):.1f}", unit_words(TEMPERATURE, settings)),
        )
    )


def algae_need(found: algae.AlgaeNeed, settings: Settings) -> SumAnswer:
    """Algae culture to take a day, and to keep."""
    return SumAnswer(
        (
            *as_litres("of algae culture a day")(found.litres_per_day, settings).results,
            *as_litres("to keep growing, so that it lasts")(found.culture_l, settings).results[:1],
            Result(f"{found.cells_per_day:.2g}", "cells a day"),
        )
    )


def tomorrow(found: balance.Tomorrow, settings: Settings) -> SumAnswer:
    """Ammonia and oxygen a day on, each from the least to the most."""

    def span(pair: tuple[float, float], digits: int = 2) -> str:
        return f"{as_number(pair[0], digits)} to {as_number(pair[1], digits)}"

    return SumAnswer(
        (
            Result(span(found.unionised_mg_n_l), "mg/L un-ionised ammonia, as N", main=True),
            Result(span(found.total_mg_n_l), "mg/L total ammonia, as N"),
            Result(span(found.oxygen_mg_l_day), "mg/L of oxygen used in the day"),
            Result(span(found.hours_without_air), "hours until the least oxygen if the air stops"),
        ),
        ("From only what the animals excrete to all of the feed rotting: bounds, no forecast. Test the water.",),
    )


def stored(found: storage.Stored, settings: Settings) -> SumAnswer:
    """Animals alive after cold storage, with what to mind."""
    low, high = (ku.temperature(c, settings) for c in found.celsius)
    return SumAnswer(
        (
            Result(as_number(found.usual), "animals alive", main=True),
            Result(f"{as_number(found.least)} to {as_number(found.most)}"),
            Result(f"{low:.0f} to {high:.0f}", unit_words(TEMPERATURE, settings)),
            Result(found.source, soft=True),
        ),
        (found.advice,),
    )


def doses(found: Any, settings: Settings) -> SumAnswer:
    """Equal doses."""
    return SumAnswer((Result(figures(found[0]), f"g, {len(found)} times", main=True),))


def peroxide(found: disinfection.Peroxide, settings: Settings) -> SumAnswer:
    """What was tried, and why no dose is given."""
    return SumAnswer(
        (
            Result("no dose is worked out", main=True),
            Result(f"tried: {found.mg_product_l:g} mg/L of a product for {found.minutes:g} minutes"),
            Result(f"{100 * found.alive:g} % alive, {100 * found.bacteria_gone:g} % fewer bacteria"),
        ),
        found.cautions,
    )


def feedings(found: Any, settings: Settings) -> SumAnswer:
    """What is fed when, prey by prey."""
    if not found:
        return SumAnswer((Result("nothing is due", main=True),))
    lines: list[Result] = []
    for one_prey in found:
        dense = "" if one_prey.per_ml is None else f", {one_prey.per_ml[0]:g} to {one_prey.per_ml[1]:g} /mL"
        lines.append(Result(f"{one_prey.prey}: day {one_prey.first_day} to {one_prey.last_day}{dense}", main=not lines))
        lines.append(Result(one_prey.source, soft=True))
    return SumAnswer(tuple(lines))


def granules(found: float, settings: Settings) -> SumAnswer:
    """Dry chlorine, never without the cautions of all chlorine."""
    return SumAnswer((Result(figures(found), "g of granules", main=True),), disinfection.CAUTIONS)


def residual(found: Option[float], settings: Settings) -> SumAnswer:
    """What an organism stands, and that a test must show it."""
    return SumAnswer(_plain(found, "mg/L of residual oxidant", 3), disinfection.CAUTIONS[-2:])


def with_words(found: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(str(found) or "within what is usual", main=True),))


def mesh(found: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(f"{found.value:g}", "µm", main=True), Result(found.source, soft=True)))
