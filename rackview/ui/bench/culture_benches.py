"""The benches about cultures: counting, growth, temperature, eggs, copepods, feed, algae, moving, cold, larvae."""

from __future__ import annotations

from dataclasses import replace

from rackview.science import counts, growth
from rackview.science.formula_entry import Input
from rackview.science.registry import formula
from rackview.ui.bench import tell
from rackview.ui.bench.sums import Sum, Values, input_of


def _twice(name: str, label: str, example: tuple[int, ...]) -> Input:
    return replace(input_of("counts.count_density", "tallies"), name=name, label=label, example=example)


ALIQUOT = input_of("counts.count_density", "aliquot_ml")
BEFORE, AFTER = _twice("before", "tallies before", (60, 60)), _twice("after", "tallies after", (40, 40))


def _change(values: Values) -> counts.CountChange:
    first, second = (counts.count_density(values[name], values["aliquot_ml"]) for name in ("before", "after"))
    return counts.count_change(first, second, values["kept"])


def _dispersion(values: Values) -> counts.Dispersion:
    return counts.dispersion(values["tallies"])


SERIES = formula("growth.poisson_fit").inputs[:3]
HARVEST_DAYS = Input("harvest_days", "days of harvests in between", (0.5,), "days")
HARVEST_SHARES = Input("harvest_shares", "shares taken on them", (0.2,), "0 to below 1 each")


def _through_harvests(values: Values) -> growth.LineFit:
    pairs = list(zip(values["harvest_days"], values["harvest_shares"], strict=False))
    shifts = growth.known_shifts(values["days"], pairs)
    return growth.poisson_fit(values["days"], values["animals"], values["looked_at_ml"], shifts)


def _scattered(values: Values) -> growth.LineFit:
    return growth.log_linear_fit(values["days"], values["densities"], values["weights"])


COUNTING = (
    Sum("Density from a count", "counts.count_density", tell.density),
    Sum("How many more aliquots", "counts.more_aliquots", tell.one("more")),
    Sum("How sure a number of animals is", "counts.aliquot_limits", tell.as_plain("animals, 95 %")),
    Sum("The same where the scatter is well known", "counts.scattered_limits", tell.as_plain("animals, 95 %")),
    Sum(
        "Is the change between two counts real?",
        "counts.count_change",
        tell.change,
        (BEFORE, AFTER, ALIQUOT, input_of("counts.count_change", "kept")),
        _change,
    ),
    Sum(
        "Are they mixed?",
        "counts.dispersion",
        tell.dispersion,
        (input_of("counts.dispersion", "tallies"),),
        _dispersion,
    ),
    Sum("Culture looked at", "counts.looked_at_ml", tell.one("mL of culture")),
    Sum("Under strips of a chamber", "counts.strips_ml", tell.one("mL")),
    Sum("Under fields of a microscope", "counts.fields_ml", tell.one("mL")),
    Sum("Animals to count for a precision", "counts.animals_needed", tell.one("animals")),
    Sum("Precision of a number of animals", "counts.lund_percent", tell.one("% either way, by chance alone")),
    Sum("Aliquots for a precision when they clump", "counts.aliquots_needed", tell.one("aliquots")),
    Sum("How strongly they clump", "counts.negbin_k", tell.as_plain("k, smaller is stronger")),
    Sum("The same by moments", "counts.negbin_k_moments", tell.as_plain("k, smaller is stronger")),
)

GROWTH = (
    Sum("Growth between two counts", "growth.two_point_rate", tell.one("per day")),
    Sum("How sure that is", "growth.two_point_error", tell.one("per day, standard error by counting alone")),
    Sum(
        "Growth from a series, harvests taken out",
        "growth.poisson_fit",
        tell.line,
        (*SERIES, HARVEST_DAYS, HARVEST_SHARES),
        _through_harvests,
    ),
    Sum(
        "Growth from densities alone",
        "growth.log_linear_fit",
        tell.line,
        formula("growth.log_linear_fit").inputs[:3],
        _scattered,
    ),
    Sum("Days to double", "growth.doubling_days", tell.as_plain("days")),
    Sum("Times as many a day later", "growth.finite_rate", tell.one("times")),
    Sum("Share to take each day", "growth.steady_share", tell.share("once a day")),
    Sum("Growth that a daily share needs", "growth.rate_for_share", tell.one("per day")),
    Sum("A continuous flow as a daily share", "growth.daily_share", tell.share("once a day")),
    Sum("Yield of a vessel", "growth.yield_per_day", tell.one("animals a day")),
    Sum("Where the yield is greatest, taken once a day", "growth.greatest_daily_yield", tell.harvest),
    Sum("Where it is greatest, taken all the time", "growth.greatest_yield", tell.harvest),
    Sum("Density some days on", "growth.logistic", tell.one("/mL")),
    Sum("Density after a refill", "growth.density_after_refill", tell.one("/mL")),
)

TEMPERATURE = (
    Sum("Growth at another temperature", "thermal.growth_factor", tell.one("times the usual growth")),
    Sum("Ration at another temperature", "thermal.appetite_factor", tell.one("times the usual ration")),
    Sum("How near to the best temperature", "thermal.performance", tell.share("of the fastest growth")),
    Sum("Times faster in 10 degrees", "development.q10", tell.one("Q10")),
    Sum("A rate carried to another temperature", "development.rate_at", tell.one("in its own unit")),
)

EGGS = (
    Sum("Eggs per female from a tally", "fecundity.egg_ratio", tell.one("eggs per female")),
    Sum("Eggs per female from a share", "fecundity.egg_ratio_from_share", tell.one("eggs per female")),
    Sum("Births from females with eggs", "fecundity.births_from_share", tell.births),
    Sum("Births from eggs per female", "development.birth_rate", tell.one("per day")),
    Sum("Eggs that a birth rate needs", "development.egg_ratio_for", tell.one("eggs per female")),
    Sum("Births in a day per animal", "development.finite_birth_rate", tell.one("births")),
    Sum("Losses", "development.loss_rate", tell.one("per day")),
    Sum("What eggs per female say", "development.egg_band", tell.as_plain("")),
    Sum("Growth by the rule of thumb", "development.rate_by_rule", tell.one("per day")),
    Sum("Egg time", "development.egg_days", tell.one("days")),
    Sum("Egg time of rotifers in general", "development.bottrell", tell.one("days")),
    Sum("Egg time by a function of temperature", "development.belehradek", tell.one("days")),
    Sum("Life of a large rotifer", "development.from_table", tell.one("in the unit named")),
    Sum("How long a rotifer lives", "development.life_days", tell.as_plain("days")),
)

COPEPODS = (
    Sum("Nauplii of a female", "fecundity.nauplii_per_female", tell.one("a day")),
    Sum("Nauplii of an adult, from a harvest", "fecundity.nauplii_per_adult", tell.one("a day")),
    Sum("Eggs in a clutch", "fecundity.clutch", tell.as_plain("eggs")),
    Sum("Females with a sac in a steady culture", "fecundity.steady_ovigerous_share", tell.share("of the females")),
    Sum("Shares of the stages", "fecundity.stage_shares", tell.stages),
    Sum("Days of all stages", "development.sum_of_stages", tell.one("days")),
    Sum("Growth in weight", "development.weight_growth", tell.one("per day")),
    Sum("Animals per surface", "transfer.per_cm2", tell.one("per cm²")),
    Sum("Daughters of a female in her life", "development.net_reproduction", tell.one("daughters")),
    Sum("Growth from a life table", "development.euler_lotka", tell.one("per day")),
    Sum("Time of a generation", "development.generation_days", tell.one("days")),
)

FEED = (
    Sum("Dry feed for the animals present", "feeding.dose_g", tell.one("g dry")),
    Sum("Concentrate for that much dry feed", "feeding.dose_ml", tell.one("mL")),
    Sum("Concentrate for a wanted number of cells", "feeding.dose_for_cells", tell.one("mL")),
    Sum("What a dose comes to per million", "feeding.implied_ration", tell.one("g dry per million")),
    Sum("Is that ration believable?", "feeding.ration_doubt", tell.with_words),
    Sum("Strength of a concentrate", "feeding.concentrate_strength", tell.one("g dry per mL")),
    Sum("Feed per million produced", "algae.feed_per_million", tell.one("per million")),
    Sum("Ration by density", "feeding.ration_from_table", tell.one("g dry per million")),
    Sum("The same without steps", "feeding.ration_from_curve", tell.one("g dry per million")),
    Sum("Ration from cells", "feeding.ration_from_cells", tell.one("g dry per million")),
    Sum("Ration from the body", "feeding.ration_from_body", tell.one("g dry per million")),
)

ALGAE = (
    Sum("Algae culture that feeds them", "algae.algae_need", tell.algae_need),
    Sum("Days that it lasts", "algae.algae_days", tell.as_plain("days")),
    Sum("What a rotifer grazes", "algae.grazing_rate", tell.one("cells a minute")),
    Sum("When half the cells are eaten", "algae.clear_hours", tell.one("hours")),
    Sum("Dry matter in cells", "feeding.grams_of_cells", tell.one("g dry")),
    Sum("Cells in dry matter", "feeding.cells_in_grams", tell.one("cells")),
    Sum("Volume of a cell", "feeding.cell_volume_um3", tell.one("µm³")),
)

TRANSFER = (
    Sum("Culture to move for a split", "transfer.move", tell.moved),
    Sum("Most to take and stay safe", "transfer.most_to_take", tell.as_litres()),
    Sum("Culture to start a vessel with", "transfer.starter_volume", tell.as_litres()),
    Sum("Volume that holds so many animals", "transfer.harvest_volume", tell.as_litres()),
    Sum("Animals in a harvest", "transfer.animals_in", tell.one("animals")),
    Sum("Mesh of the sieve", "transfer.sieve_mesh", tell.mesh),
    Sum("Diagonal of a mesh", "transfer.mesh_diagonal", tell.one("µm")),
    Sum("Still swimming after a step of salinity", "transfer.swimming_after", tell.share("swimming")),
    Sum("In the water again after a transfer", "transfer.in_water_column", tell.share("of those moved")),
)

ENRICHMENT = (
    Sum("Water to enrich a harvest in", "transfer.enrichment_volume", tell.as_litres()),
    Sum("Doses of the product", "transfer.enrichment_doses", tell.doses),
    Sum("How far it has come", "enrichment.enriched_share", tell.share("of what can be reached")),
    Sum("What is left hours later", "enrichment.lipid_left", tell.share("of the lipid")),
    Sum("What is left in the gut", "enrichment.gut_left", tell.share("of the gut's content")),
)

COLD = (
    Sum("Alive after cold storage", "storage.alive_after", tell.stored),
    Sum("Resting eggs to set", "storage.resting_eggs_for", tell.one("resting eggs")),
    Sum("Resting eggs that a culture lays", "storage.resting_eggs_made", tell.one("resting eggs at best")),
)

LARVAE = (
    Sum("Larvae that the rack can support", "larvae.larvae_supported", tell.one("larvae, on so many days")),
    Sum("Larvae that a supply feeds", "larvae.larvae_for", tell.one("larvae")),
    Sum("Prey for a tank and day", "larvae.prey_per_day", tell.one("animals")),
    Sum("Prey to add now", "larvae.animals_to_add", tell.one("animals")),
    Sum("What a larva eats", "larvae.eaten_per_larva", tell.one("rotifers a day")),
    Sum("Rotifers for a larva in all", "larvae.rotifers_per_larva", tell.one("rotifers")),
    Sum("Does a prey fit the mouth?", "larvae.prey_fits", tell.as_plain("")),
    Sum("Prey over mouth", "larvae.prey_ratio", tell.one("of the mouth")),
    Sum("Prey that suits a mouth", "larvae.prey_for_mouth", tell.one("µm wide")),
    Sum("Larvae alive some days on", "larvae.larvae_alive", tell.one("larvae")),
    Sum("Survival of a day", "larvae.survival_per_day", tell.share("alive a day later")),
    Sum("Days to hatching", "larvae.embryo_days", tell.one("days")),
    Sum("What is fed on a day", "larvae.prey_on", tell.feedings),
    Sum("What is fed when", "larvae.calendar", tell.feedings),
)
