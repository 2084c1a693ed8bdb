"""From what a formula gives to what the bench shows, in the keeper's units."""

from __future__ import annotations

import math
from typing import Any

from rackview.core.tables import Settings
from rackview.language import _
from rackview.science import algae, ammonia, balance, counts, disinfection, growth, mixing, storage, transfer
from rackview.science.formula_entry import Input
from rackview.science.options import Option
from rackview.science.units import NH3_PER_N
from rackview.ui.bench.sums import Result, SumAnswer, Tell, result_figures, unit_words
from rackview.ui.words import keeper_units as ku

TEMPERATURE = Input("temperature_c", _("temperature"), 25.0, _("degC"))


def as_plain(unit: str, digits: int = 3) -> Tell:
    """Whatever a formula gives that needs no words of its own: a number, several, a word, an answer with its source."""
    return lambda found, settings: SumAnswer(_plain(found, unit, digits))


def _plain(found: Any, unit: str, digits: int) -> tuple[Result, ...]:
    if isinstance(found, Option):
        return (*_plain(found.value, unit, digits), Result(found.source, soft=True))
    if found is None:
        return (Result(_("none: the aliquots do not differ more than chance allows"), main=True),)
    if isinstance(found, str):
        return (Result(found, unit, main=True),)
    if isinstance(found, tuple):
        joint = " to " if len(found) == 2 else ", "
        return (Result(joint.join(as_number(v, digits) for v in found), unit, main=True),)
    return (Result(as_number(found, digits), unit, main=True),)


def as_number(value: float, digits: int = 3) -> str:
    """One number; what never comes has no figures."""
    return _("never") if math.isinf(value) else result_figures(float(value), digits)


def share(words: str) -> Tell:
    """A share, or two, as per cent."""

    def answer(found: Any, settings: Settings) -> SumAnswer:
        several = found if isinstance(found, tuple) else (found,)
        shown = (" to " if len(several) == 2 else ", ").join(f"{100 * v:.3g}" for v in several)
        return SumAnswer((Result(f"{shown} %", words, main=True),))

    return answer


def one(unit: str, digits: int = 3) -> Tell:
    return lambda value, settings: SumAnswer((Result(result_figures(float(value), digits), unit, main=True),))


def as_litres(words: str = "") -> Tell:
    def answer(value: Any, settings: Settings) -> SumAnswer:
        shown = result_figures(ku.volume(float(value), settings))
        return SumAnswer((Result(shown, f"{settings.volume_unit} {words}".rstrip(), main=True),))

    return answer


def salinity_answer(value: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(f"{float(value):.1f}", _("salinity"), main=True),))


def as_range(unit: str) -> Tell:
    return lambda pair, settings: SumAnswer(
        (Result(_("{pair:.1f} to {pair_2:.1f}").format(pair=pair[0], pair_2=pair[1]), unit, main=True),)
    )


def nh3_answer(value: Any, settings: Settings) -> SumAnswer:
    """Un-ionised ammonia in both units, as limits are printed in either."""
    return nh3_range_answer((value, value), settings)


def nh3_range_answer(pair: Any, settings: Settings) -> SumAnswer:
    """A range of un-ionised ammonia in both units."""
    return SumAnswer(
        (
            Result(_one_figure(pair), _("mg/L un-ionised, as N"), main=True),
            Result(_one_figure([v * NH3_PER_N for v in pair]), _("mg/L as NH3")),
        )
    )


def _one_figure(pair: Any) -> str:
    low, high = (result_figures(ammonia.one_figure(float(v)), 1) for v in pair)
    return low if low == high else _("{low} to {high}").format(low=low, high=high)


def ammonia_limits_answer(found: Any, settings: Settings) -> SumAnswer:
    """Every limit known of an animal, each in both units with its stage; the least stands large."""
    first, *others = (_ammonia_limit(one) for one in found)
    least = found[0]
    main = Result(result_figures(least.mg_n_l, 2), _("mg/L as N: {first}").format(first=first), main=True)
    sources = dict.fromkeys(one.source for one in found)
    return SumAnswer((main, *(Result(words) for words in others), *(Result(words, soft=True) for words in sources)))


def _ammonia_limit(one: ammonia.Limit) -> str:
    return _("{stage}, {effect}: {mg_nh3_l} mg/L NH3, {mg_n_l} as N").format(
        stage=one.stage, effect=one.effect, mg_nh3_l=result_figures(one.mg_nh3_l), mg_n_l=result_figures(one.mg_n_l)
    )


def gravity_answer(value: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(f"{float(value):.4f}", _("specific gravity"), main=True),))


def _degrees(step: float, settings: Settings) -> float:
    return ku.temperature(step, settings) - ku.temperature(0.0, settings)


def refilled_answer(found: mixing.Refilled, settings: Settings) -> SumAnswer:
    lines = (
        Result(f"{found.water.salinity:.1f}", _("salinity in the vessel"), main=True),
        Result(f"{found.salinity_step:+.1f}", _("salinity")),
        Result(f"{_degrees(found.temperature_step, settings):+.1f}", unit_words(TEMPERATURE, settings)),
    )
    return SumAnswer(lines, (found.warning,) if found.warning else ())


def transfer_answer(found: transfer.TransferVolume, settings: Settings) -> SumAnswer:
    return SumAnswer(
        (
            *as_litres(_("to move"))(found.volume_l, settings).results,
            Result(result_figures(found.donor_per_ml), _("/mL remain in the giving vessel")),
            Result(result_figures(found.receiver_per_ml), _("/mL in the receiving one")),
        )
    )


def disinfection_answer(found: disinfection.Disinfection, settings: Settings) -> SumAnswer:
    least, most = found.minutes
    minutes = f"{least:g}" if least == most else _("{least:g} to {most:g}").format(least=least, most=most)
    return SumAnswer(
        (
            *((Result(found.beside),) if found.beside else ()),
            Result(result_figures(found.stock_ml), _("mL of stock"), main=True),
            Result(result_figures(found.chlorine_g), _("g of chlorine")),
            Result(minutes, _("minutes of contact")),
            Result(result_figures(found.neutraliser_g), _("g of thiosulphate crystals (pentahydrate) after that")),
        ),
        found.cautions,
    )


def neutraliser_answer(found: disinfection.Neutraliser, settings: Settings) -> SumAnswer:
    lines = (
        Result(result_figures(found.pentahydrate_g), _("g of thiosulphate crystals (pentahydrate)"), main=True),
        Result(result_figures(found.anhydrous_g), _("g of the anhydrous salt")),
    )
    return SumAnswer(lines, found.cautions)


def density_answer(found: counts.CountDensity, settings: Settings) -> SumAnswer:
    """A density with its interval, and what to think of how the aliquots differ."""
    lines = [
        Result(result_figures(found.per_ml), _("/mL"), main=True),
        Result(
            _("{low} to {high}").format(low=result_figures(found.low), high=result_figures(found.high)),
            _("/mL, 95 %: by chance and by how aliquots differ"),
        ),
        Result(
            _("{poisson_low} to {poisson_high}").format(
                poisson_low=result_figures(found.poisson_low), poisson_high=result_figures(found.poisson_high)
            ),
            _("/mL by chance alone (exact)"),
        ),
        Result(
            str(found.animals),
            _("animals in {looked_at_ml} mL of culture").format(looked_at_ml=result_figures(found.looked_at_ml)),
        ),
    ]
    if found.clumped:
        lines.append(Result(_("uneven: mix the sample and count again")))
    return SumAnswer(tuple(lines))


def dispersion_answer(found: counts.Dispersion, settings: Settings) -> SumAnswer:
    """Variance over mean with its probability."""
    verdict = "clumped" if found.clumped else _("too even") if found.too_even else _("as even as chance makes it")
    return SumAnswer(
        (
            Result(result_figures(found.index), _("variance over mean: {verdict}").format(verdict=verdict), main=True),
            Result(
                _("chi-square {chi2} on {df}, p {p_clumped}").format(
                    chi2=result_figures(found.chi2), df=found.df, p_clumped=result_figures(found.p_clumped, 2)
                )
            ),
        )
    )


def change_answer(found: counts.CountChange, settings: Settings) -> SumAnswer:
    """After over before, its interval, and how likely no change is."""
    return SumAnswer(
        (
            Result(as_number(found.ratio), _("times as many"), main=True),
            Result(_("{low} to {high} (95 %)").format(low=as_number(found.low), high=as_number(found.high))),
            Result(result_figures(found.p_value, 2), _("chance of such a difference without any change")),
        )
    )


def line_fit_answer(found: growth.LineFit, settings: Settings) -> SumAnswer:
    """A growth rate with its interval, and how well the line fits."""
    low, high = found.interval()
    return SumAnswer(
        (
            Result(result_figures(found.rate), _("per day"), main=True),
            Result(_("{low} to {high} per day (95 %)").format(low=result_figures(low), high=result_figures(high))),
            Result(result_figures(found.misfit), _("times the scatter that counting alone gives")),
        )
    )


def harvest_answer(found: Any, settings: Settings) -> SumAnswer:
    """Density before the harvest, share and yield."""
    density_before, *middle, gain = found
    shares = tuple(Result(f"{100 * v:.3g} %", _("to take each day")) for v in middle)
    return SumAnswer(
        (
            Result(result_figures(density_before), _("/mL before the harvest"), main=True),
            *shares,
            Result(result_figures(gain), _("/mL a day")),
        )
    )


def births_answer(found: Any, settings: Settings) -> SumAnswer:
    """Births with the doubt that the clutch brings."""
    low, middle, high = found
    doubt = Result(
        _("{low} to {high}").format(low=result_figures(low), high=result_figures(high)),
        _("by how far off the clutch may be"),
    )
    return SumAnswer((Result(result_figures(middle), _("births per animal and day"), main=True), doubt))


def stages_answer(found: Any, settings: Settings) -> SumAnswer:
    """Share of each stage in the order typed."""
    return SumAnswer(
        (Result(", ".join(f"{100 * v:.3g} %" for v in found), _("in the order of the stages"), main=True),)
    )


def mixing_answer(found: mixing.WaterBody, settings: Settings) -> SumAnswer:
    """Two waters poured together."""
    return SumAnswer(
        (
            Result(f"{found.salinity:.2f}", _("salinity"), main=True),
            Result(result_figures(ku.volume(found.volume_l, settings)), settings.volume_unit),
            Result(f"{ku.temperature(found.temperature_c, settings):.1f}", unit_words(TEMPERATURE, settings)),
        )
    )


def algae_need_answer(found: algae.AlgaeNeed, settings: Settings) -> SumAnswer:
    """Algae culture to take a day, and to keep."""
    return SumAnswer(
        (
            *as_litres(_("of algae culture a day"))(found.litres_per_day, settings).results,
            *as_litres(_("to keep growing, so that it lasts"))(found.culture_l, settings).results[:1],
            Result(f"{found.cells_per_day:.2g}", _("cells a day")),
        )
    )


def tomorrow_answer(found: balance.Tomorrow, settings: Settings) -> SumAnswer:
    """Ammonia and oxygen a day on, each from the least to the most."""

    def span(pair: tuple[float, float], digits: int = 2) -> str:
        return _("{pair} to {pair_2}").format(pair=as_number(pair[0], digits), pair_2=as_number(pair[1], digits))

    return SumAnswer(
        (
            Result(span(found.unionised_mg_n_l), _("mg/L un-ionised ammonia, as N"), main=True),
            Result(span(found.total_mg_n_l), _("mg/L total ammonia, as N")),
            Result(span(found.oxygen_mg_l_day), _("mg/L of oxygen used in the day")),
            Result(span(found.hours_without_air), _("hours until the least oxygen if the air stops")),
        ),
        (_("From only what the animals excrete to all of the feed rotting: bounds, no forecast. Test the water."),),
    )


def storage_answer(found: storage.Stored, settings: Settings) -> SumAnswer:
    """Animals alive after cold storage, with what to mind."""
    low, high = (ku.temperature(c, settings) for c in found.celsius)
    return SumAnswer(
        (
            Result(as_number(found.usual), _("animals alive"), main=True),
            Result(_("{least} to {most}").format(least=as_number(found.least), most=as_number(found.most))),
            Result(_("{low:.0f} to {high:.0f}").format(low=low, high=high), unit_words(TEMPERATURE, settings)),
            Result(found.source, soft=True),
        ),
        (found.advice,),
    )


def doses_answer(found: Any, settings: Settings) -> SumAnswer:
    """Equal doses."""
    return SumAnswer((Result(result_figures(found[0]), _("g, {found} times").format(found=len(found)), main=True),))


def peroxide_answer(found: disinfection.Peroxide, settings: Settings) -> SumAnswer:
    """What was tried, and why no dose is given."""
    return SumAnswer(
        (
            Result(_("no dose is worked out"), main=True),
            Result(
                _("tried: {mg_product_l:g} mg/L of a product for {minutes:g} minutes").format(
                    mg_product_l=found.mg_product_l, minutes=found.minutes
                )
            ),
            Result(
                _("{alive:g} % alive, {bacteria_gone:g} % fewer bacteria").format(
                    alive=100 * found.alive, bacteria_gone=100 * found.bacteria_gone
                )
            ),
        ),
        found.cautions,
    )


def feedings(found: Any, settings: Settings) -> SumAnswer:
    """What is fed when, prey by prey."""
    if not found:
        return SumAnswer((Result(_("nothing is due"), main=True),))
    lines: list[Result] = []
    for one_prey in found:
        dense = (
            ""
            if one_prey.per_ml is None
            else _(", {per_ml:g} to {per_ml_2:g} /mL").format(per_ml=one_prey.per_ml[0], per_ml_2=one_prey.per_ml[1])
        )
        lines.append(
            Result(
                _("{prey}: day {first_day} to {last_day}{dense}").format(
                    prey=one_prey.prey, first_day=one_prey.first_day, last_day=one_prey.last_day, dense=dense
                ),
                main=not lines,
            )
        )
        lines.append(Result(one_prey.source, soft=True))
    return SumAnswer(tuple(lines))


def granules(found: float, settings: Settings) -> SumAnswer:
    """Dry chlorine, never without the cautions of all chlorine."""
    return SumAnswer((Result(result_figures(found), _("g of granules"), main=True),), disinfection.CAUTIONS)


def residual(found: Option[float], settings: Settings) -> SumAnswer:
    """What an organism stands, and that a test must show it."""
    return SumAnswer(_plain(found, _("mg/L of residual oxidant"), 3), disinfection.CAUTIONS[-2:])


def with_words(found: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(str(found) or _("within what is usual"), main=True),))


def mesh(found: Any, settings: Settings) -> SumAnswer:
    return SumAnswer((Result(f"{found.value:g}", _("µm"), main=True), Result(found.source, soft=True)))
