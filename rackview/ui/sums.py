"""The sums on the bench: which formulas stand together, what a vessel already tells of their inputs, what comes out.

Knows no Qt. Formula, range and source are those of the science shelf; nothing is computed here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain
from typing import Any

from rackview.core.assessment import Assessment
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.core.tables import Settings
from rackview.science import ammonia, disinfection, mixing, transfer
from rackview.science.registry import Formula, Input, formula
from rackview.ui import keeper_units as ku

Values = Mapping[str, Any]
TEMPERATURE = Input("temperature_c", "temperature", 25.0, "degC")


@dataclass(frozen=True, slots=True)
class Result:
    """One number or sentence that a sum gives; `main` is drawn large."""

    value: str
    unit: str = ""
    main: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a sum gives, with the cautions that always go with it."""

    results: tuple[Result, ...]
    cautions: tuple[str, ...] = ()


Tell = Callable[[Any, Settings], Outcome]
"""From what a formula gives to what is shown, in the keeper's units."""


@dataclass(frozen=True, slots=True)
class Sum:
    """One sum: the question it answers, the formula on the shelf, its inputs, and how its answer is told."""

    question: str
    function: str
    tell: Tell
    inputs: tuple[Input, ...] = ()
    call: Callable[[Values], Any] | None = None

    @property
    def formula(self) -> Formula:
        """The entry of the science shelf."""
        return formula(self.function)

    @property
    def asks(self) -> tuple[Input, ...]:
        """What it asks for."""
        return self.inputs or self.formula.inputs

    def work_out(self, values: Values, settings: Settings) -> Outcome:
        """The answer; raises `InputError` naming the input that can't be right."""
        found = self.formula.compute(**values) if self.call is None else self.call(values)
        return self.tell(found, settings)


def figures(value: float, digits: int = 3) -> str:
    """A number with so many figures and no exponent within reason."""
    if value == 0:
        return "0"
    if abs(value) >= 1e6:
        return f"{value / 1e6:.{digits}g} million"
    if abs(value) >= 10**digits:
        return f"{value:.0f}"
    text = f"{value:.{digits}g}"
    return f"{value:.6f}".rstrip("0") if "e" in text else text


def _one(unit: str, digits: int = 3) -> Tell:
    return lambda value, settings: Outcome((Result(figures(float(value), digits), unit, main=True),))


def _litres(words: str = "") -> Tell:
    def told(value: Any, settings: Settings) -> Outcome:
        shown = figures(ku.volume(float(value), settings))
        return Outcome((Result(shown, f"{settings.volume_unit} {words}".rstrip(), main=True),))

    return told


def _salinity(value: Any, settings: Settings) -> Outcome:
    return Outcome((Result(f"{float(value):.1f}", "salinity", main=True),))


def _between(unit: str) -> Tell:
    return lambda pair, settings: Outcome((Result(f"{pair[0]:.1f} to {pair[1]:.1f}", unit, main=True),))


def _nh3(value: Any, settings: Settings) -> Outcome:
    return Outcome((Result(figures(ammonia.one_figure(float(value)), 1), "mg/L un-ionised", main=True),))


def _nh3_range(pair: Any, settings: Settings) -> Outcome:
    low, high = (figures(ammonia.one_figure(v), 1) for v in pair)
    return Outcome((Result(f"{low} to {high}", "mg/L un-ionised", main=True),))


def _gravity(value: Any, settings: Settings) -> Outcome:
    return Outcome((Result(f"{float(value):.4f}", "specific gravity", main=True),))


def _degrees(step: float, settings: Settings) -> float:
    return ku.temperature(step, settings) - ku.temperature(0.0, settings)


def _refilled(found: mixing.Refilled, settings: Settings) -> Outcome:
    lines = (
        Result(f"{found.water.salinity:.1f}", "salinity in the vessel", main=True),
        Result(f"{found.salinity_step:+.1f}", "salinity"),
        Result(f"{_degrees(found.temperature_step, settings):+.1f}", unit_words(TEMPERATURE, settings)),
    )
    return Outcome(lines, (found.warning,) if found.warning else ())


def _moved(found: transfer.Move, settings: Settings) -> Outcome:
    return Outcome(
        (
            *_litres("to move")(found.volume_l, settings).results,
            Result(figures(found.donor_per_ml), "/mL stay in the giving vessel"),
            Result(figures(found.receiver_per_ml), "/mL in the receiving one"),
        )
    )


def _disinfected(found: disinfection.Disinfection, settings: Settings) -> Outcome:
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


def _neutralised(found: disinfection.Neutraliser, settings: Settings) -> Outcome:
    lines = (
        Result(figures(found.pentahydrate_g), "g of thiosulphate crystals", main=True),
        Result(figures(found.anhydrous_g), "g of it without water"),
    )
    return Outcome(lines, found.cautions)


def _words(found: Any, settings: Settings) -> Outcome:
    return Outcome((Result(str(found) or "within what is usual", main=True),))


def _mesh(found: Any, settings: Settings) -> Outcome:
    return Outcome((Result(f"{found.value:g}", "µm", main=True), Result(found.source)))


def _vessel_water(prefix: str, words: str, litres: float = 20.0) -> tuple[Input, ...]:
    def named(name: str, label: str, source: Input) -> Input:
        return replace(source, name=f"{prefix}{name}", label=f"{label} {words}")

    volume, salinity, temperature = formula("mixing.mass_kg").inputs
    return (
        replace(named("volume_l", "volume", volume), example=litres),
        named("salinity", "salinity", salinity),
        named("temperature_c", "temperature", temperature),
    )


def _water(values: Values, prefix: str, volume: str = "volume_l") -> mixing.Water:
    return mixing.Water(*(values[f"{prefix}{n}"] for n in (volume, "salinity", "temperature_c")))


def _after_refill(values: Values) -> mixing.Refilled:
    return mixing.after_refill(_water(values, ""), values["taken_l"], _water(values, "refill_"))


def _refill_salinity(values: Values) -> float:
    return mixing.refill_salinity(_water(values, ""), values["taken_l"], values["refill_l"], values["wanted"])


def _plain(function: str) -> tuple[Input, ...]:
    return tuple(i for i in formula(function).inputs if i.name != "equation")


def _input(function: str, name: str) -> Input:
    return next(i for i in formula(function).inputs if i.name == name)


def benches() -> dict[str, tuple[Sum, ...]]:
    """The benches by name, each with its sums."""
    refill = _vessel_water("refill_", "of the refill", 5.0)
    taken = _input("mixing.after_refill", "taken_l")
    here = _vessel_water("", "of the vessel")
    return {
        "Salinity": (
            Sum("Salinity from a gravity", "seawater.salinity_from_sg", _salinity, _plain("seawater.salinity_from_sg")),
            Sum("What a gravity of unknown kind may mean", "seawater.salinity_range_from_sg", _between("salinity")),
            Sum("Gravity to aim at", "seawater.sg_from_salinity", _gravity, _plain("seawater.sg_from_salinity")),
            Sum("Salinity from conductivity", "seawater.salinity_from_conductivity", _salinity),
            Sum("Oxygen at saturation", "oxygen.saturation_mg_l", _one("mg/L")),
            Sum("Oxygen measured, as a share", "oxygen.percent_saturation", _one("% of saturation")),
        ),
        "Ammonia": (
            Sum("Un-ionised ammonia", "ammonia.unionised_mg_l", _nh3),
            Sum("The same, as far as the pH can be trusted", "ammonia.unionised_range", _nh3_range),
        ),
        "Mixing": (
            Sum("Salt for new water", "mixing.salt_for_water", _one("g of salt")),
            Sum("Salt to make it saltier", "mixing.salt_to_raise", _one("g of salt")),
            Sum("Fresh water to make it less salty", "mixing.fresh_to_dilute", _litres("of fresh water")),
            Sum("Fresh water to top up", "mixing.evaporated_l", _litres("of fresh water")),
            Sum("The vessel after a refill", "mixing.after_refill", _refilled, (*here, taken, *refill), _after_refill),
            Sum(
                "Salinity to mix the refill to",
                "mixing.refill_salinity",
                _salinity,
                (*here, taken, *formula("mixing.refill_salinity").inputs[2:]),
                _refill_salinity,
            ),
        ),
        "Feed": (
            Sum("Dry feed for the animals present", "feeding.dose_g", _one("g dry")),
            Sum("Concentrate for that much dry feed", "feeding.dose_ml", _one("mL")),
            Sum("Concentrate for a wanted number of cells", "feeding.dose_for_cells", _one("mL")),
            Sum("What a dose comes to per million", "feeding.implied_ration", _one("g dry per million")),
            Sum("Is that ration believable?", "feeding.ration_doubt", _words),
            Sum("Strength of a concentrate", "feeding.concentrate_strength", _one("g dry per mL")),
        ),
        "Transfer": (
            Sum("Culture to move for a split", "transfer.move", _moved),
            Sum("Most to take and stay safe", "transfer.most_to_take", _litres()),
            Sum("Volume that holds so many animals", "transfer.harvest_volume", _litres()),
            Sum("Animals in a harvest", "transfer.animals_in", _one("animals")),
            Sum("Mesh of the sieve", "transfer.sieve_mesh", _mesh),
            Sum("Water to enrich a harvest in", "transfer.enrichment_volume", _litres()),
        ),
        "Disinfection": (
            Sum("Chlorine for a job", "disinfection.disinfect", _disinfected),
            Sum("Thiosulphate to neutralise it", "disinfection.neutralise", _neutralised),
            Sum("Strength of the stock from its label", "disinfection.stock_strength", _one("mg/mL of chlorine")),
        ),
    }


@cache
def _questions() -> dict[str, str]:
    """What each function answers, by its name alone; the plainer of two sums that share a function."""
    found: dict[str, str] = {}
    for one in chain.from_iterable(benches().values()):
        found.setdefault(one.function.split(".")[1], one.question)
    return found


def for_keepers(words: str, asks: Iterable[Input] = ()) -> str:
    """Words of a docstring with what a keeper knows, a sum or an input, in place of the name of a function or value."""
    labels = {ask.name: ask.label for ask in asks}

    def named(match: re.Match[str]) -> str:
        name = match[1]
        if name in _questions():
            return f"“{_questions()[name]}”"
        return labels.get(name) or (name if "." in name else name.replace("_", " "))

    return re.sub(r"`([^`]*)`", named, words)


def told(rack: Rack, assessment: Assessment | None) -> dict[str, float]:
    """What a vessel and its record tell of the inputs, by input name; what is not known is left out."""
    if assessment is None:
        return {}
    water = assessment.water
    profile = rack.profile(assessment.vessel)
    density = assessment.density_per_ml.median if assessment.density_per_ml is not None else None
    litres = assessment.level_l or assessment.volume_l
    known: dict[str, float | None] = {
        "volume_l": litres,
        "donor_l": litres,
        "per_ml": density,
        "donor_per_ml": density,
        "density_per_ml": density,
        "animals": None if density is None else density * litres * 1000,
        "sg": _value(water.sg),
        "salinity": _value(water.salinity),
        "temperature_c": _value(water.temperature_c),
        "refill_salinity": _value(water.salinity),
        "refill_temperature_c": _value(water.temperature_c),
        "ph": _value(water.ph),
        "total_mg_l": _value(water.tan_mg_l),
        "mg_l": _value(water.oxygen_mg_l),
        **_habits(rack, profile, litres),
    }
    return {name: value for name, value in known.items() if value is not None}


def _value(measured: Any) -> float | None:
    return None if measured is None else float(measured.value)


def _habits(rack: Rack, profile: StrainProfile, litres: float) -> dict[str, float | None]:
    share = profile.share_low * litres
    feed = rack.stock[0] if rack.stock else None
    return {
        "wanted_per_ml": profile.start_per_ml,
        "floor_per_ml": profile.floor_per_ml,
        "g_per_million": profile.ration_g_per_million,
        "taken_l": share,
        "refill_volume_l": share,
        "refill_l": share,
        "dry_g_per_ml": None if feed is None else feed.dry_g_per_ml,
    }


def to_keeper(ask: Input, value: float, settings: Settings) -> float:
    """A value of an input in the keeper's unit."""
    if ask.unit == "degC":
        return ku.temperature(value, settings)
    return ku.volume(value, settings) if ask.unit == "L" else value


def from_keeper(ask: Input, value: float, settings: Settings) -> float:
    """A value as typed in the keeper's unit, in the unit of the formula."""
    if ask.unit == "degC":
        return ku.celsius(value, settings)
    return ku.litres(value, settings) if ask.unit == "L" else value


def unit_words(ask: Input, settings: Settings) -> str:
    """The unit as the keeper reads it."""
    if ask.unit == "degC":
        return "°F" if settings.temperature_unit == "degF" else "°C"
    return settings.volume_unit if ask.unit == "L" else ask.unit.strip("()")
