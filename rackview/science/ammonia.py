"""How much of the total ammonia is un-ionised, and so harmful, with the pH scale said aloud.

A meter calibrated in buffers of pH 4, 7 and 10 and a colour kit read on the NBS scale; that is the default. Numpy only.
Results deserve one significant figure on screen: 0.1 of pH moves them by a quarter.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import Number, number, numbers, plain_floats
from rackview.science.units import KELVIN, NH3_PER_N

SCALES = ("NBS", "total", "seawater", "free")
UMOL_MG = 17.031e-3
"""mg of NH3 in a umol of it, molar mass 17.031 g/mol."""

JEPSEN = _("Jepsen, P.M. et al. 2015, Aquaculture Research 46:420-431")
SULLIVAN = _("Sullivan, B.K. & Ritacco, P.J. 1985, Aquat. Toxicol. 7:205-217")
ARAUJO = _("Araujo, A.B. de, Hagiwara, A. & Snell, T.W. 2001, Hydrobiologia 446/447:363-368")
MILLER = _("acute and chronic toxicity of ammonia to marine fish and a mysid, pH 8, 25 degC, 31 g/kg")
UNSAID = _("mg/L as printed, whether of N or of NH3 is not said; taken as NH3, the cautious reading")


@dataclass(frozen=True, slots=True)
class Limit:
    """What one study found un-ionised ammonia to do to an animal at a stage of its life, mg/L of NH3."""

    animal: str
    stage: str
    effect: str
    mg_nh3_l: float
    source: str

    @property
    def mg_n_l(self) -> float:
        """The same as mg/L of nitrogen, the unit of the profiles and of every comparison in the program."""
        return self.mg_nh3_l / NH3_PER_N


LIMITS = (
    Limit("Acartia tonsa", _("nauplius"), _("no effect"), 0.030, JEPSEN),
    Limit("Acartia tonsa", _("nauplius"), _("lowest effect"), 0.081, JEPSEN),
    Limit("Acartia tonsa", _("nauplius"), _("half dead in 72 h"), 0.220, JEPSEN),
    Limit("Acartia tonsa", _("nauplius"), _("half dead in 48 h"), 1.257, JEPSEN),
    Limit("Acartia tonsa", _("adult"), _("no effect"), 0.477, JEPSEN),
    Limit("Acartia tonsa", _("adult"), _("half dead in 72 h"), 0.770, JEPSEN),
    Limit("Acartia tonsa", _("adult"), _("half dead in 48 h"), 0.972, JEPSEN),
    Limit("Acartia tonsa", _("adult"), _("lowest effect"), 1.789, JEPSEN),
    Limit("Acartia tonsa", _("adult"), _("half dead in 24 h"), 2.370, JEPSEN),
    Limit("Acartia tonsa, A. hudsonica", _("larva"), _("half dead in 48 h, least"), 10 * UMOL_MG, SULLIVAN),
    Limit("Acartia tonsa, A. hudsonica", _("larva"), _("half dead in 48 h, most"), 15 * UMOL_MG, SULLIVAN),
    Limit(
        "Brachionus rotundiformis",
        _("any"),
        _("least dose with fewer eggs and shorter life"),
        0.7,
        f"{ARAUJO}; {UNSAID}",
    ),
    Limit("Brachionus rotundiformis", _("any"), _("largest dose tried"), 9.8, f"{ARAUJO}; {UNSAID}"),
    Limit(
        "Brachionus calyciflorus (fresh water)",
        _("any"),
        _("called acceptable"),
        0.5,
        f"study of a recirculating culture, authors not in the text at hand; {UNSAID}",
    ),
    Limit("Menidia beryllina (fish)", _("larva"), _("chronic value"), 0.061, MILLER),
    Limit("Mysidopsis bahia (mysid)", _("any"), _("chronic value"), 0.232, MILLER),
    Limit(
        "most estuarine fish", _("any"), _("standard thought safe"), 0.021 * NH3_PER_N, "Eddy, F.B. 2005, J. Fish Biol."
    ),
)
"""Un-ionised ammonia that animals were tried against; nothing found for harpacticoids, cyclopoids, B. plicatilis."""

ANIMALS = tuple(dict.fromkeys(limit.animal for limit in LIMITS))


def _conditions(temperature_c: Number, salinity: Number) -> tuple[Number, Number]:
    """K and practical salinity, within what the constants hold for. Source: as for `pk`."""
    t = numbers("temperature_c", temperature_c, 5, 35, "degC")
    return t + KELVIN, numbers("salinity", salinity, 5, 40, _("(practical salinity)"))


def _pk_total(k: Number, s: Number) -> Number:
    """On the total scale, with the step from mol per kg water to mol per kg seawater.

    Source: Clegg & Whitfield 1995, equation 18; see `pk`.
    """
    root = np.sqrt(k)
    pk = (
        9.244605
        - 2729.33 * (1 / 298.15 - 1 / k)
        + (0.04203362 - 11.24742 / k) * s**0.25
        + (-13.6416 + 1.176949 * root - 0.02860785 * k + 545.4834 / k) * s**0.5
        + (-0.1462507 + 0.0090226468 * root - 0.0001471361 * k + 10.5425 / k) * s**1.5
        + (0.004669309 - 0.0001691742 * root - 0.5677934 / k) * s**2
        + (-2.354039e-5 + 0.009698623 / k) * s**2.5
    )
    return pk - np.log10(1 - 0.001005 * s)  # type: ignore[no-any-return]


def _sulphate_and_fluoride(k: Number, s: Number) -> tuple[Number, Number]:
    """1 + S_T/K_S and that + F_T/K_F, which turn the free scale into the total and the seawater scale.

    Source: Dickson 1990 and Dickson & Riley 1979, see `pk`, with the sulphate and fluoride of sea water for its
    chlorinity, 0.14 and 0.000067 of it.
    """
    ionic = 19.924 * s / (1000 - 1.005 * s)
    fresh = 1 - 0.001005 * s
    log_k = np.log(k)
    bisulphate = fresh * np.exp(
        -4276.1 / k
        + 141.328
        - 23.093 * log_k
        + (-13856 / k + 324.57 - 47.986 * log_k) * ionic**0.5
        + (35474 / k - 771.54 + 114.723 * log_k) * ionic
        - 2698 / k * ionic**1.5
        + 1776 / k * ionic**2
    )
    fluoride = fresh * np.exp(1590.2 / k - 12.641 + 1.525 * ionic**0.5)
    chlorinity = s / 1.80655
    total = 1 + 0.14 / 96.062 * chlorinity / bisulphate
    return total, total + 0.000067 / 18.998 * chlorinity / fluoride


@plain_floats
def pk(temperature_c: Number, salinity: Number, scale: str = "NBS") -> Number:
    """pK* of NH4+ = NH3 + H+ in seawater (mol per kg seawater) on a pH scale: NBS, total, seawater or free.

    Range: 5 to 35 degC, practical salinity 5 to 40. Sources: Clegg, S.L. & Whitfield, M. 1995, Geochim. Cosmochim.
    Acta 59:2403-2421 (equation 18, total scale); Dickson, A.G. 1990, J. Chem. Thermodyn. 22:113-127 (bisulphate);
    Dickson, A.G. & Riley, J.P. 1979, Mar. Chem. 7:89-99 (fluoride); Takahashi, T. et al. 1982, GEOSECS Pacific
    Expedition vol. 3 (activity of H+, for NBS).
    """
    if scale not in SCALES:
        raise InputError("scale", scale, _("one of ") + ", ".join(SCALES))
    k, s = _conditions(temperature_c, salinity)
    found: Any = _pk_total(k, s)
    if scale == "total":
        return found  # type: ignore[no-any-return]
    total, seawater = _sulphate_and_fluoride(k, s)
    found += np.log10(total)
    if scale == "free":
        return found  # type: ignore[no-any-return]
    found -= np.log10(seawater)
    if scale == "seawater":
        return found  # type: ignore[no-any-return]
    activity = 1.2948 - 0.002036 * k + (0.0004607 - 0.000001475 * k) * s * s
    return found - np.log10(activity)  # type: ignore[no-any-return]


@plain_floats
def unionised_fraction(ph: Number, temperature_c: Number, salinity: Number, scale: str = "NBS") -> Number:
    """Share of total ammonia that is NH3 in seawater: 1/(1 + 10^(pK* - pH)), pK* and pH on one scale.

    Range: pH 5 to 10, 5 to 35 degC, practical salinity 5 to 40; fresher cultures take `unionised_fraction_fresh`.
    Constants better than about 5 %; the electrode on the NBS scale adds a few hundredths of pH. The activity behind the
    NBS scale was fitted to ocean water: below a salinity of about 20 that share comes out low, by a quarter at 5.
    Source: see `pk`.
    """
    p = numbers("ph", ph, 5, 10, "(pH)")
    return 1 / (1 + 10 ** (pk(temperature_c, salinity, scale) - p))


@plain_floats
def unionised_mg_l(
    total_mg_l: Number, ph: Number, temperature_c: Number, salinity: Number, scale: str = "NBS"
) -> Number:
    """Un-ionised ammonia, mg/L, in the form the total is given in (as N or as NH3): total * share.

    Range: total 0 to 200 mg/L; the others as for `unionised_fraction`. A single salinity from 0 to below 5 is taken as
    fresh water (`unionised_fraction_fresh`), which gives a third more than the NBS scale does at 5: the side to err on.
    Source: product of the two.
    """
    total = numbers("total_mg_l", total_mg_l, 0, 200, "mg/L")
    if isinstance(numbers("salinity", salinity, 0, 40, _("(practical salinity)")), float) and salinity < 5:
        return total * unionised_fraction_fresh(ph, temperature_c)
    return total * unionised_fraction(ph, temperature_c, salinity, scale)


def unionised_range(
    total_mg_l: float, ph: float, temperature_c: float, salinity: float, ph_error: float = 0.2, scale: str = "NBS"
) -> tuple[float, float]:
    """Un-ionised ammonia, mg/L, at pH - error and pH + error: a colour kit is good to 0.2, a meter to 0.1 at best.

    Range: error 0 to 1; the others as for `unionised_mg_l`. Source: propagation of the reading error.
    """
    error = number("ph_error", ph_error, 0, 1, "(pH)")
    p = number("ph", ph, 5, 10, "(pH)")
    low, high = max(p - error, 5.0), min(p + error, 10.0)
    return (
        unionised_mg_l(total_mg_l, low, temperature_c, salinity, scale),
        unionised_mg_l(total_mg_l, high, temperature_c, salinity, scale),
    )


def limits(animal: str) -> tuple[Limit, ...]:
    """What un-ionised ammonia did to an animal at each stage that was tried, from the least dose up.

    Range: the animals of `LIMITS`; a borrowed limit says nothing of another animal. Source: in each entry.
    """
    if animal not in ANIMALS:
        raise InputError("animal", animal, _("one of ") + ", ".join(ANIMALS))
    return tuple(sorted((one for one in LIMITS if one.animal == animal), key=lambda one: one.mg_nh3_l))


def as_nitrogen(mg_nh3_l: float) -> float:
    """mg/L of ammonia nitrogen from mg/L of NH3: * 14.007/17.031.

    Range: 0 to 200 mg/L. Source: molar masses 14.007 and 17.031 g/mol.
    """
    return number("mg_nh3_l", mg_nh3_l, 0, 200, _("mg/L as NH3")) / NH3_PER_N


def total_for(limit_mg_l: float, ph: float, temperature_c: float, salinity: float, scale: str = "NBS") -> float:
    """Total ammonia, mg/L, at which the un-ionised part reaches a limit; both as N, or both as NH3.

    limit / share. Range: limit 0 to 20 mg/L; the others as for `unionised_mg_l`. Source: inverse of `unionised_mg_l`.
    """
    limit = number("limit_mg_l", limit_mg_l, 0, 20, _("mg/L un-ionised"))
    return limit / unionised_mg_l(1.0, ph, temperature_c, salinity, scale)


@plain_floats
def pk_fresh(temperature_c: Number) -> Number:
    """pKa of NH4+ in fresh water: 0.09018 + 2729.92/T, T in K. Range: 0 to 50 degC.

    Source: Emerson, K., Russo, R.C., Lund, R.E. & Thurston, R.V. 1975, J. Fish. Res. Board Can. 32:2379-2383
    (coefficients checked against its table, 6 to 32 degC).
    """
    return 0.09018 + 2729.92 / (numbers("temperature_c", temperature_c, 0, 50, "degC") + KELVIN)


@plain_floats
def unionised_fraction_fresh(ph: Number, temperature_c: Number) -> Number:
    """Share of total ammonia that is NH3 in fresh or very soft water: 1/(1 + 10^(pKa - pH)).

    Range: pH 5 to 12, 0 to 50 degC, salinity near 0. Source: Emerson et al. 1975, see `pk_fresh`.
    """
    return 1 / (1 + 10 ** (pk_fresh(temperature_c) - numbers("ph", ph, 5, 12, "(pH)")))


@plain_floats
def pk_bell(temperature_c: Number, salinity: Number) -> Number:
    """pK* by a straight line in temperature and salinity, the second opinion on `pk` (free scale within 2 % in share).

    10.0423 - 0.0315536 t + 0.003071 S, t in degC. Range: 5 to 35 degC, practical salinity 5 to 40. Source: Bell, T.G.
    et al. 2007, Environ. Chem. 4:183-186, with the corrigendum of 2008, Environ. Chem. 5:258.
    """
    k, s = _conditions(temperature_c, salinity)
    return 10.0423 - 0.0315536 * (k - KELVIN) + 0.003071 * s


def one_figure(value: float) -> float:
    """`value` rounded to one significant figure, as un-ionised ammonia should be shown; 0 stays 0."""
    found = number("value", value)
    if found == 0:
        return 0.0
    digits = -math.floor(math.log10(found))
    return round(found, digits)
