"""Which sums stand together on which bench."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from itertools import chain

from rackview.science import mixing
from rackview.science.registry import Input, formula
from rackview.ui.bench import tell
from rackview.ui.bench.sums import Sum, Values


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


def _as_n(function: str) -> tuple[Input, ...]:
    """The inputs of a formula of ammonia, all of it as nitrogen, which is what a kit shows."""
    return tuple(replace(i, unit="mg/L as N") if i.unit.startswith("mg/L") else i for i in formula(function).inputs)


def _input(function: str, name: str) -> Input:
    return next(i for i in formula(function).inputs if i.name == name)


def benches() -> dict[str, tuple[Sum, ...]]:
    """The benches by name, each with its sums."""
    refill = _vessel_water("refill_", "of the refill", 5.0)
    taken = _input("mixing.after_refill", "taken_l")
    here = _vessel_water("", "of the vessel")
    return {
        "Salinity": (
            Sum(
                "Salinity from a gravity",
                "seawater.salinity_from_sg",
                tell.salinity,
                _plain("seawater.salinity_from_sg"),
            ),
            Sum("What a gravity of unknown kind may mean", "seawater.salinity_range_from_sg", tell.between("salinity")),
            Sum("Gravity to aim at", "seawater.sg_from_salinity", tell.gravity, _plain("seawater.sg_from_salinity")),
            Sum("Salinity from conductivity", "seawater.salinity_from_conductivity", tell.salinity),
            Sum("Oxygen at saturation", "oxygen.saturation_mg_l", tell.one("mg/L")),
            Sum("Oxygen measured, as a share", "oxygen.percent_saturation", tell.one("% of saturation")),
        ),
        "Ammonia": (
            Sum("Un-ionised ammonia", "ammonia.unionised_mg_l", tell.nh3, _as_n("ammonia.unionised_mg_l")),
            Sum(
                "The same, as far as the pH can be trusted",
                "ammonia.unionised_range",
                tell.nh3_range,
                _as_n("ammonia.unionised_range"),
            ),
            Sum("What it does to an animal", "ammonia.limits", tell.ammonia_limits),
            Sum(
                "Total ammonia that a limit allows",
                "ammonia.total_for",
                tell.one("mg/L as N"),
                _as_n("ammonia.total_for"),
            ),
            Sum("A limit printed as NH3, as nitrogen", "ammonia.as_nitrogen", tell.one("mg/L as N")),
        ),
        "Mixing": (
            Sum("Salt for new water", "mixing.salt_for_water", tell.one("g of salt")),
            Sum("Salt to make it saltier", "mixing.salt_to_raise", tell.one("g of salt")),
            Sum("Fresh water to make it less salty", "mixing.fresh_to_dilute", tell.litres("of fresh water")),
            Sum("Fresh water to top up", "mixing.evaporated_l", tell.litres("of fresh water")),
            Sum(
                "The vessel after a refill",
                "mixing.after_refill",
                tell.refilled,
                (*here, taken, *refill),
                _after_refill,
            ),
            Sum(
                "Salinity to mix the refill to",
                "mixing.refill_salinity",
                tell.salinity,
                (*here, taken, *formula("mixing.refill_salinity").inputs[2:]),
                _refill_salinity,
            ),
        ),
        "Feed": (
            Sum("Dry feed for the animals present", "feeding.dose_g", tell.one("g dry")),
            Sum("Concentrate for that much dry feed", "feeding.dose_ml", tell.one("mL")),
            Sum("Concentrate for a wanted number of cells", "feeding.dose_for_cells", tell.one("mL")),
            Sum("What a dose comes to per million", "feeding.implied_ration", tell.one("g dry per million")),
            Sum("Is that ration believable?", "feeding.ration_doubt", tell.words),
            Sum("Strength of a concentrate", "feeding.concentrate_strength", tell.one("g dry per mL")),
        ),
        "Transfer": (
            Sum("Culture to move for a split", "transfer.move", tell.moved),
            Sum("Most to take and stay safe", "transfer.most_to_take", tell.litres()),
            Sum("Volume that holds so many animals", "transfer.harvest_volume", tell.litres()),
            Sum("Animals in a harvest", "transfer.animals_in", tell.one("animals")),
            Sum("Mesh of the sieve", "transfer.sieve_mesh", tell.mesh),
            Sum("Water to enrich a harvest in", "transfer.enrichment_volume", tell.litres()),
        ),
        "Disinfection": (
            Sum("Chlorine for a job", "disinfection.disinfect", tell.disinfected),
            Sum("Thiosulphate to neutralise it", "disinfection.neutralise", tell.neutralised),
            Sum("Strength of the stock from its label", "disinfection.stock_strength", tell.one("mg/mL of chlorine")),
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
