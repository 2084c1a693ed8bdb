"""The benches about water: salinity, ammonia, oxygen, mixing, disinfection, vessels."""

from __future__ import annotations

from dataclasses import replace

from rackview.language import _
from rackview.science import mixing
from rackview.science.formula_entry import Input
from rackview.science.registry import formula
from rackview.ui.bench import tell
from rackview.ui.bench.sums import Sum, Values, input_of


def _vessel_water(prefix: str, words: str, litres: float = 20.0) -> tuple[Input, ...]:
    def named(name: str, label: str, source: Input) -> Input:
        return replace(source, name=f"{prefix}{name}", label=f"{label} {words}")

    volume, salinity, temperature = formula("mixing.mass_kg").inputs
    return (
        replace(named("volume_l", "volume", volume), example=litres),
        named("salinity", "salinity", salinity),
        named("temperature_c", "temperature", temperature),
    )


def _water(values: Values, prefix: str, volume: str = "volume_l") -> mixing.WaterBody:
    return mixing.WaterBody(*(values[f"{prefix}{n}"] for n in (volume, "salinity", "temperature_c")))


def _after_refill(values: Values) -> mixing.Refilled:
    return mixing.after_refill(_water(values, ""), values["taken_l"], _water(values, "refill_"))


def _refill_salinity(values: Values) -> float:
    return mixing.refill_salinity(_water(values, ""), values["taken_l"], values["refill_l"], values["wanted"])


def _plain(function: str) -> tuple[Input, ...]:
    return tuple(i for i in formula(function).inputs if i.name != "equation")


def _as_n(function: str) -> tuple[Input, ...]:
    """The inputs of a formula of ammonia, all of it as nitrogen, which is what a kit shows."""
    return tuple(replace(i, unit=_("mg/L as N")) if i.unit.startswith("mg/L") else i for i in formula(function).inputs)


def _joined(values: Values) -> mixing.WaterBody:
    return mixing.join((_water(values, ""), _water(values, "refill_")))


SALINITY = (
    Sum(
        _("Salinity from a specific gravity"),
        "seawater.salinity_from_sg",
        tell.salinity_answer,
        _plain("seawater.salinity_from_sg"),
    ),
    Sum(
        _("What a specific gravity of unknown kind may mean"),
        "seawater.salinity_range_from_sg",
        tell.as_range("salinity"),
    ),
    Sum(
        _("Specific gravity to aim at"),
        "seawater.sg_from_salinity",
        tell.gravity_answer,
        _plain("seawater.sg_from_salinity"),
    ),
    Sum(
        _("How finely a specific gravity can be read"),
        "seawater.sg_step",
        tell.one(_("salinity per 0.001 of specific gravity")),
    ),
    Sum(_("Salinity from conductivity"), "seawater.salinity_from_conductivity", tell.salinity_answer),
    Sum(_("Conductivity of a salinity"), "seawater.conductivity_from_salinity", tell.one(_("mS/cm"))),
    Sum(_("A meter's value at 25 °C, turned back"), "seawater.raw_conductivity", tell.one(_("mS/cm in the water"))),
    Sum(_("Salt by weight of the water"), "seawater.g_per_kg", tell.one(_("g/kg"), 4)),
    Sum(_("Salinity from salt by weight"), "seawater.salinity_from_g_per_kg", tell.salinity_answer),
    Sum(_("Salt in a litre"), "seawater.g_per_litre", tell.one("g/L", 4)),
    Sum(_("What a refractometer sees"), "seawater.refractive_index", tell.one(_("refractive index"), 6)),
    Sum(_("Weight of a litre"), "seawater.density", tell.one(_("kg/m³"), 6)),
    Sum(_("Weight of a litre, the older equation"), "seawater.density_eos80", tell.one(_("kg/m³"), 6)),
)

AMMONIA = (
    Sum(_("Un-ionised ammonia"), "ammonia.unionised_mg_l", tell.nh3_answer, _as_n("ammonia.unionised_mg_l")),
    Sum(
        _("The same, as far as the pH can be trusted"),
        "ammonia.unionised_range",
        tell.nh3_range_answer,
        _as_n("ammonia.unionised_range"),
    ),
    Sum(_("What it does to an animal"), "ammonia.limits", tell.ammonia_limits_answer),
    Sum(
        _("Total ammonia that a limit allows"),
        "ammonia.total_for",
        tell.one(_("mg/L as N")),
        _as_n("ammonia.total_for"),
    ),
    Sum(_("A limit printed as NH3, as nitrogen"), "ammonia.as_nitrogen", tell.one(_("mg/L as N"))),
    Sum(_("Share that is un-ionised"), "ammonia.unionised_fraction", tell.share(_("of the total ammonia"))),
    Sum(_("The same in fresh water"), "ammonia.unionised_fraction_fresh", tell.share(_("of the total ammonia"))),
    Sum(_("The constant behind it"), "ammonia.pk", tell.one(_("pK"), 5)),
    Sum(_("The constant by a straight line"), "ammonia.pk_bell", tell.one(_("pK"), 5)),
    Sum(_("The constant in fresh water"), "ammonia.pk_fresh", tell.one(_("pK"), 5)),
)

OXYGEN = (
    Sum(_("Oxygen at saturation"), "oxygen.saturation_mg_l", tell.one(_("mg/L"))),
    Sum(_("Oxygen measured, as a share"), "oxygen.percent_saturation", tell.one(_("% of saturation"))),
    Sum(_("Oxygen from a share"), "oxygen.mg_l_from_percent", tell.one(_("mg/L"))),
    Sum(_("Air pressure at a height"), "oxygen.pressure_at_altitude", tell.one(_("atm"))),
    Sum(_("Oxygen printed in mL per litre"), "oxygen.mg_l_from_ml_l", tell.one(_("mg/L"))),
    Sum(_("Saturation by weight of water"), "oxygen.saturation_umol_kg", tell.one(_("µmol/kg"), 4)),
)

TOMORROW = (
    Sum(_("Ammonia and oxygen after today's feed"), "balance.tomorrow", tell.tomorrow_answer),
    Sum(_("Total ammonia alone"), "balance.total_ammonia_tomorrow", tell.as_plain(_("mg/L as N"))),
    Sum(_("Oxygen that a gram of feed can use"), "balance.oxygen_per_feed", tell.one(_("g of oxygen per g dry"))),
)


def mixing_bench() -> tuple[Sum, ...]:
    """The sums of mixing, each water with its own fields."""
    refill = _vessel_water("refill_", _("of the refill"), 5.0)
    taken = input_of("mixing.after_refill", "taken_l")
    here = _vessel_water("", _("of the vessel"))
    return (
        Sum(_("Salt for new water"), "mixing.salt_for_water", tell.one(_("g of salt"))),
        Sum(_("Salt for water measured fresh"), "mixing.salt_into_fresh", tell.one(_("g of salt"))),
        Sum(_("Litres that it comes to"), "mixing.volume_with_salt", tell.as_litres(_("of finished water"))),
        Sum(_("Salt to make it saltier"), "mixing.salt_to_raise", tell.one(_("g of salt"))),
        Sum(_("Fresh water to make it less salty"), "mixing.fresh_to_dilute", tell.as_litres(_("of fresh water"))),
        Sum(_("Steps to a salinity"), "mixing.salinity_steps", tell.one(_("steps"))),
        Sum(_("Fresh water to top up"), "mixing.evaporated_l", tell.as_litres(_("of fresh water"))),
        Sum(_("Salinity once water has evaporated"), "mixing.salinity_after_evaporation", tell.salinity_answer),
        Sum(
            _("The vessel after a refill"),
            "mixing.after_refill",
            tell.refilled_answer,
            (*here, taken, *refill),
            _after_refill,
        ),
        Sum(
            _("Salinity to mix the refill to"),
            "mixing.refill_salinity",
            tell.salinity_answer,
            (*here, taken, *formula("mixing.refill_salinity").inputs[2:]),
            _refill_salinity,
        ),
        Sum(_("Two waters poured together"), "mixing.join", tell.mixing_answer, (*here, *refill), _joined),
        Sum(_("Weight of the water"), "mixing.mass_kg", tell.one(_("kg"))),
    )


DISINFECTION = (
    Sum(_("Chlorine for a job"), "disinfection.disinfect", tell.disinfection_answer),
    Sum(_("Thiosulphate to neutralise it"), "disinfection.neutralise", tell.neutraliser_answer),
    Sum(_("Strength of the stock from its label"), "disinfection.stock_strength", tell.one(_("mg/mL of chlorine"))),
    Sum(_("Dry chlorine for the same"), "disinfection.granules_g", tell.granules),
    Sum(_("Residual that an organism stands"), "disinfection.residual_limit", tell.residual),
    Sum(_("Hydrogen peroxide"), "disinfection.peroxide", tell.peroxide_answer),
)

VESSELS = (
    Sum(_("Round vessel"), "units.cylinder_l", tell.as_litres()),
    Sum(_("Bucket"), "units.bucket_l", tell.as_litres()),
    Sum(_("Box"), "units.box_l", tell.as_litres()),
    Sum(_("Cone"), "units.cone_l", tell.as_litres()),
    Sum(_("Lying round vessel"), "units.lying_cylinder_l", tell.as_litres()),
    Sum(_("Fahrenheit in Celsius"), "units.celsius", tell.one("°C", 4)),
    Sum(_("Celsius in Fahrenheit"), "units.fahrenheit", tell.one("°F", 4)),
)
