"""The benches about cultures: counting, growth, temperature, eggs, copepods, feed, algae, moving, cold, larvae."""

from __future__ import annotations

from dataclasses import replace

from rackview.language import _
from rackview.science import counts, growth
from rackview.science.formula_entry import Input
from rackview.science.registry import formula
from rackview.ui.bench import tell
from rackview.ui.bench.sums import Sum, Values, input_of


def _twice(name: str, label: str, example: tuple[int, ...]) -> Input:
    return replace(input_of("counts.count_density", "tallies"), name=name, label=label, example=example)


ALIQUOT = input_of("counts.count_density", "aliquot_ml")
BEFORE, AFTER = _twice("before", _("tallies before"), (60, 60)), _twice("after", _("tallies after"), (40, 40))


def _change(values: Values) -> counts.CountChange:
    first, second = (counts.count_density(values[name], values["aliquot_ml"]) for name in ("before", "after"))
    return counts.count_change(first, second, values["kept"])


def _dispersion(values: Values) -> counts.Dispersion:
    return counts.dispersion(values["tallies"])


SERIES = formula("growth.poisson_fit").inputs[:3]
HARVEST_DAYS = Input("harvest_days", _("days of harvests in between"), (0.5,), _("days"))
HARVEST_SHARES = Input("harvest_shares", _("shares taken on them"), (0.2,), _("0 to below 1 each"))


def _through_harvests(values: Values) -> growth.LineFit:
    pairs = list(zip(values["harvest_days"], values["harvest_shares"], strict=False))
    shifts = growth.known_shifts(values["days"], pairs)
    return growth.poisson_fit(values["days"], values["animals"], values["looked_at_ml"], shifts)


def _scattered(values: Values) -> growth.LineFit:
    return growth.log_linear_fit(values["days"], values["densities"], values["weights"])


COUNTING = (
    Sum(_("Density from a count"), "counts.count_density", tell.density_answer),
    Sum(_("How many more aliquots"), "counts.more_aliquots", tell.one(_("more"))),
    Sum(_("How sure a number of animals is"), "counts.aliquot_limits", tell.as_plain(_("animals, 95 %"))),
    Sum(_("The same where the scatter is well known"), "counts.scattered_limits", tell.as_plain(_("animals, 95 %"))),
    Sum(
        _("Is the change between two counts real?"),
        "counts.count_change",
        tell.change_answer,
        (BEFORE, AFTER, ALIQUOT, input_of("counts.count_change", "kept")),
        _change,
    ),
    Sum(
        _("Are they mixed?"),
        "counts.dispersion",
        tell.dispersion_answer,
        (input_of("counts.dispersion", "tallies"),),
        _dispersion,
    ),
    Sum(_("Culture looked at"), "counts.looked_at_ml", tell.one(_("mL of culture"))),
    Sum(_("Under strips of a chamber"), "counts.strips_ml", tell.one(_("mL"))),
    Sum(_("Under fields of a microscope"), "counts.fields_ml", tell.one(_("mL"))),
    Sum(_("Animals to count for a precision"), "counts.animals_needed", tell.one(_("animals"))),
    Sum(_("Precision of a number of animals"), "counts.lund_percent", tell.one(_("% either way, by chance alone"))),
    Sum(_("Aliquots for a precision when they clump"), "counts.aliquots_needed", tell.one(_("aliquots"))),
    Sum(_("How strongly they clump"), "counts.negbin_k", tell.as_plain(_("k, smaller is stronger"))),
    Sum(_("The same by moments"), "counts.negbin_k_moments", tell.as_plain(_("k, smaller is stronger"))),
)

GROWTH = (
    Sum(_("Growth between two counts"), "growth.two_point_rate", tell.one(_("per day"))),
    Sum(_("How sure that is"), "growth.two_point_error", tell.one(_("per day, standard error by counting alone"))),
    Sum(
        _("Growth from a series, harvests taken out"),
        "growth.poisson_fit",
        tell.line_fit_answer,
        (*SERIES, HARVEST_DAYS, HARVEST_SHARES),
        _through_harvests,
    ),
    Sum(
        _("Growth from densities alone"),
        "growth.log_linear_fit",
        tell.line_fit_answer,
        formula("growth.log_linear_fit").inputs[:3],
        _scattered,
    ),
    Sum(_("Days to double"), "growth.doubling_days", tell.as_plain(_("days"))),
    Sum(_("Times as many a day later"), "growth.finite_rate", tell.one(_("times"))),
    Sum(_("Share to take each day"), "growth.steady_share", tell.share(_("once a day"))),
    Sum(_("Growth that a daily share needs"), "growth.rate_for_share", tell.one(_("per day"))),
    Sum(_("A continuous flow as a daily share"), "growth.daily_share", tell.share(_("once a day"))),
    Sum(_("Yield of a vessel"), "growth.yield_per_day", tell.one(_("animals a day"))),
    Sum(_("Where the yield is greatest, taken once a day"), "growth.greatest_daily_yield", tell.harvest_answer),
    Sum(_("Where it is greatest, taken all the time"), "growth.greatest_yield", tell.harvest_answer),
    Sum(_("Density some days on"), "growth.logistic", tell.one(_("/mL"))),
    Sum(_("Density after a refill"), "growth.density_after_refill", tell.one(_("/mL"))),
)

TEMPERATURE = (
    Sum(_("Growth at another temperature"), "thermal.growth_factor", tell.one(_("times the usual growth"))),
    Sum(_("Ration at another temperature"), "thermal.appetite_factor", tell.one(_("times the usual ration"))),
    Sum(_("How near to the best temperature"), "thermal.performance", tell.share(_("of the fastest growth"))),
    Sum(_("Times faster in 10 degrees"), "development.q10", tell.one("Q10")),
    Sum(_("A rate carried to another temperature"), "development.rate_at", tell.one(_("in its own unit"))),
)

EGGS = (
    Sum(_("Eggs per female from a tally"), "fecundity.egg_ratio", tell.one(_("eggs per female"))),
    Sum(_("Eggs per female from a share"), "fecundity.egg_ratio_from_share", tell.one(_("eggs per female"))),
    Sum(_("Births from females with eggs"), "fecundity.births_from_share", tell.births_answer),
    Sum(_("Births from eggs per female"), "development.birth_rate", tell.one(_("per day"))),
    Sum(_("Eggs that a birth rate needs"), "development.egg_ratio_for", tell.one(_("eggs per female"))),
    Sum(_("Births in a day per animal"), "development.finite_birth_rate", tell.one(_("births"))),
    Sum(_("Losses"), "development.loss_rate", tell.one(_("per day"))),
    Sum(_("What eggs per female say"), "development.egg_band", tell.as_plain("")),
    Sum(_("Growth by the rule of thumb"), "development.rate_by_rule", tell.one(_("per day"))),
    Sum(_("Egg time"), "development.egg_days", tell.one(_("days"))),
    Sum(_("Egg time of rotifers in general"), "development.bottrell", tell.one(_("days"))),
    Sum(_("Egg time by a function of temperature"), "development.belehradek", tell.one(_("days"))),
    Sum(_("Life of a large rotifer"), "development.from_table", tell.one(_("in the unit named"))),
    Sum(_("How long a rotifer lives"), "development.life_days", tell.as_plain(_("days"))),
)

COPEPODS = (
    Sum(_("Nauplii of a female"), "fecundity.nauplii_per_female", tell.one(_("a day"))),
    Sum(_("Nauplii of an adult, from a harvest"), "fecundity.nauplii_per_adult", tell.one(_("a day"))),
    Sum(_("Eggs in a clutch"), "fecundity.clutch", tell.as_plain(_("eggs"))),
    Sum(
        _("Females with a sac in a steady culture"), "fecundity.steady_ovigerous_share", tell.share(_("of the females"))
    ),
    Sum(_("Shares of the stages"), "fecundity.stage_shares", tell.stages_answer),
    Sum(_("Days of all stages"), "development.sum_of_stages", tell.one(_("days"))),
    Sum(_("Growth in weight"), "development.weight_growth", tell.one(_("per day"))),
    Sum(_("Animals per surface"), "transfer.per_cm2", tell.one(_("per cm²"))),
    Sum(_("Daughters of a female in her life"), "development.net_reproduction", tell.one(_("daughters"))),
    Sum(_("Growth from a life table"), "development.euler_lotka", tell.one(_("per day"))),
    Sum(_("Time of a generation"), "development.generation_days", tell.one(_("days"))),
)

FEED = (
    Sum(_("Dry feed for the animals present"), "feeding.dose_g", tell.one(_("g dry"))),
    Sum(_("Concentrate for that much dry feed"), "feeding.dose_ml", tell.one(_("mL"))),
    Sum(_("Concentrate for a wanted number of cells"), "feeding.dose_for_cells", tell.one(_("mL"))),
    Sum(_("What a dose comes to per million"), "feeding.implied_ration", tell.one(_("g dry per million"))),
    Sum(_("Is that ration believable?"), "feeding.ration_doubt", tell.with_words),
    Sum(_("Strength of a concentrate"), "feeding.concentrate_strength", tell.one(_("g dry per mL"))),
    Sum(_("Feed per million produced"), "algae.feed_per_million", tell.one(_("per million"))),
    Sum(_("Ration by density"), "feeding.ration_from_table", tell.one(_("g dry per million"))),
    Sum(_("The same without steps"), "feeding.ration_from_curve", tell.one(_("g dry per million"))),
    Sum(_("Ration from cells"), "feeding.ration_from_cells", tell.one(_("g dry per million"))),
    Sum(_("Ration from the body"), "feeding.ration_from_body", tell.one(_("g dry per million"))),
)

ALGAE = (
    Sum(_("Algae culture that feeds them"), "algae.algae_need", tell.algae_need_answer),
    Sum(_("Days that it lasts"), "algae.algae_days", tell.as_plain(_("days"))),
    Sum(_("What a rotifer grazes"), "algae.grazing_rate", tell.one(_("cells a minute"))),
    Sum(_("When half the cells are eaten"), "algae.clear_hours", tell.one(_("hours"))),
    Sum(_("Dry matter in cells"), "feeding.grams_of_cells", tell.one(_("g dry"))),
    Sum(_("Cells in dry matter"), "feeding.cells_in_grams", tell.one(_("cells"))),
    Sum(_("Volume of a cell"), "feeding.cell_volume_um3", tell.one(_("µm³"))),
)

TRANSFER = (
    Sum(_("Culture to move for a split"), "transfer.move", tell.transfer_answer),
    Sum(_("Most to take and stay safe"), "transfer.most_to_take", tell.as_litres()),
    Sum(_("Culture to start a vessel with"), "transfer.starter_volume", tell.as_litres()),
    Sum(_("Volume that holds so many animals"), "transfer.harvest_volume", tell.as_litres()),
    Sum(_("Animals in a harvest"), "transfer.animals_in", tell.one(_("animals"))),
    Sum(_("Mesh of the sieve"), "transfer.sieve_mesh", tell.mesh),
    Sum(_("Diagonal of a mesh"), "transfer.mesh_diagonal", tell.one(_("µm"))),
    Sum(_("Still swimming after a step of salinity"), "transfer.swimming_after", tell.share(_("swimming"))),
    Sum(_("In the water again after a transfer"), "transfer.in_water_column", tell.share(_("of those moved"))),
)

ENRICHMENT = (
    Sum(_("Water to enrich a harvest in"), "transfer.enrichment_volume", tell.as_litres()),
    Sum(_("Doses of the product"), "transfer.enrichment_doses", tell.doses_answer),
    Sum(_("How far it has come"), "enrichment.enriched_share", tell.share(_("of what can be reached"))),
    Sum(_("What is left hours later"), "enrichment.lipid_left", tell.share(_("of the lipid"))),
    Sum(_("What is left in the gut"), "enrichment.gut_left", tell.share(_("of the gut's content"))),
)

COLD = (
    Sum(_("Alive after cold storage"), "storage.alive_after", tell.storage_answer),
    Sum(_("Resting eggs to set"), "storage.resting_eggs_for", tell.one(_("resting eggs"))),
    Sum(_("Resting eggs that a culture lays"), "storage.resting_eggs_made", tell.one(_("resting eggs at best"))),
)

LARVAE = (
    Sum(_("Larvae that the rack can support"), "larvae.larvae_supported", tell.one(_("larvae, on so many days"))),
    Sum(_("Larvae that a supply feeds"), "larvae.larvae_for", tell.one(_("larvae"))),
    Sum(_("Prey for a tank and day"), "larvae.prey_per_day", tell.one(_("animals"))),
    Sum(_("Prey to add now"), "larvae.animals_to_add", tell.one(_("animals"))),
    Sum(_("What a larva eats"), "larvae.eaten_per_larva", tell.one(_("rotifers a day"))),
    Sum(_("Rotifers for a larva in all"), "larvae.rotifers_per_larva", tell.one(_("rotifers"))),
    Sum(_("Does a prey fit the mouth?"), "larvae.prey_fits", tell.as_plain("")),
    Sum(_("Prey over mouth"), "larvae.prey_ratio", tell.one(_("of the mouth"))),
    Sum(_("Prey that suits a mouth"), "larvae.prey_for_mouth", tell.one(_("µm wide"))),
    Sum(_("Larvae alive some days on"), "larvae.larvae_alive", tell.one(_("larvae"))),
    Sum(_("Survival of a day"), "larvae.survival_per_day", tell.share(_("alive a day later"))),
    Sum(_("Days to hatching"), "larvae.embryo_days", tell.one(_("days"))),
    Sum(_("What is fed on a day"), "larvae.prey_on", tell.feedings),
    Sum(_("What is fed when"), "larvae.calendar", tell.feedings),
)
