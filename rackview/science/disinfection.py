"""Hypochlorite and its neutraliser: amounts, times, and the cautions that go with them.

No function here says that water can be used again: that takes a test for chlorine at the tap side of the work.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from rackview.core.errors import InputError
from rackview.science.limits import above, number
from rackview.science.options import Option, pick

CL2 = 70.906
THIOSULPHATE_ANHYDROUS = 158.11
THIOSULPHATE_PENTAHYDRATE = 248.18
"""Molar masses, g/mol."""

CAUTIONS = (
    "Follow the label, local rules and where needed a licensed person; what is printed here comes after them.",
    "Never mix bleach with acid (chlorine gas) or with ammonia (chloramines).",
    "Add bleach to water, not water to bleach; air the room; wear gloves and eye protection.",
    "Keep it away from cultures and larvae: a few thousandths of a mg/L of chlorine harm fish.",
    "Measure zero chlorine (total residual oxidant in seawater) with a test before anything living meets the water.",
)
RELEASE_CAUTION = "Never pour cultures into natural water or a storm drain; check the local law before using a drain."
DIRT_CAUTION = "Chlorine is used up by dirt: clean first, and do not trust the dose in water full of culture."
AGE_CAUTION = "Bleach loses strength with age: use the label's figure only for a fresh bottle."
NEUTRALISER_CAUTION = (
    "How much neutraliser it takes depends on pH and excess: add, wait, measure, add again if need be."
)


@dataclass(frozen=True, slots=True)
class Purpose:
    """What is disinfected, mg/L of chlorine (least, most), minutes of contact (least, most), and the source."""

    mg_l: tuple[float, float]
    minutes: tuple[float, float]
    source: str
    cautions: tuple[str, ...] = ()


PURPOSES = MappingProxyType(
    {
        "seawater for cultures": Purpose(
            (5, 20), (720, 1440), "common practice, no source; neutralise afterwards", (DIRT_CAUTION,)
        ),
        "clean water, short": Purpose(
            (3, 5), (1, 5), "Lekang, O.-I., Aquaculture Engineering, chapter on disinfection", (DIRT_CAUTION,)
        ),
        "clean water, long": Purpose(
            (0.2, 0.5), (20, 30), "Lekang, O.-I., Aquaculture Engineering, chapter on disinfection", (DIRT_CAUTION,)
        ),
        "clean hard equipment": Purpose((200, 200), (30, 60), "common practice, no source", (DIRT_CAUTION,)),
        "culture water before a drain, emergency rule": Purpose(
            (2900, 2900), (10, 10), "US Fish and Wildlife Service 2021, steps against zebra mussels", (RELEASE_CAUTION,)
        ),
        "culture water before a drain, lighter rule": Purpose(
            (16, 16),
            (10, 10),
            "public advice against aquatic invaders; the minutes from the emergency rule",
            (RELEASE_CAUTION, DIRT_CAUTION),
        ),
    }
)
"""Uses with their doses; the two drain rules differ by about 180 times, so check the local law."""

NEUTRALISERS = MappingProxyType(
    {
        "to tetrathionate": Option(
            2 * THIOSULPHATE_PENTAHYDRATE / CL2, "2 S2O3 + Cl2 = S4O6 + 2 Cl; the most it takes"
        ),
        "to sulphate and sulphur": Option(THIOSULPHATE_PENTAHYDRATE / CL2, "S2O3 + Cl2 + H2O = SO4 + S + 2 HCl"),
        "to sulphate": Option(THIOSULPHATE_PENTAHYDRATE / CL2 / 4, "S2O3 + 4 Cl2 + 5 H2O = 2 SO4 + 8 Cl + 10 H"),
    }
)
"""mg of sodium thiosulphate pentahydrate per mg of chlorine, by the reaction that runs."""


@dataclass(frozen=True, slots=True)
class Disinfection:
    """mL of stock to add; g of chlorine in it; minutes of contact; g of thiosulphate pentahydrate after; cautions."""

    stock_ml: float
    chlorine_g: float
    minutes: tuple[float, float]
    neutraliser_g: float
    source: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Neutraliser:
    """g of sodium thiosulphate, as pentahydrate crystals and as anhydrous salt; cautions, always."""

    pentahydrate_g: float
    anhydrous_g: float
    reaction: str
    cautions: tuple[str, ...]


def stock_strength(percent: float) -> float:
    """mg of available chlorine per mL of stock from its label in % (weight per volume): 10 mg/mL per %.

    Range: above 0 to 15 %; household bleach has 3 to 8 when fresh (from memory, unverified). Source: units.
    """
    return above("percent", percent, 0, 15, "% available chlorine") * 10


def neutralise(chlorine_g: float, reaction: str = "to tetrathionate") -> Neutraliser:
    """Sodium thiosulphate for `chlorine_g` g of chlorine, with its cautions.

    7.00 g of pentahydrate per g by default, the most that any of the reactions takes. Range: 0 to 1e6 g. Source:
    stoichiometry, molar masses 70.906, 158.11 and 248.18 g/mol; which reaction runs depends on pH and excess.
    """
    ratio = pick(NEUTRALISERS, "reaction", reaction)
    grams = number("chlorine_g", chlorine_g, 0, 1e6, "g chlorine") * ratio.value
    dry = grams * THIOSULPHATE_ANHYDROUS / THIOSULPHATE_PENTAHYDRATE
    return Neutraliser(grams, dry, ratio.source, (NEUTRALISER_CAUTION, *CAUTIONS))


def disinfect(volume_l: float, purpose: str, stock_mg_per_ml: float, mg_per_l: float | None = None) -> Disinfection:
    """Dose, contact time, neutraliser and cautions for one of the `PURPOSES`, together and never apart.

    mL of stock = mg/L * L / (mg/mL). The dose is the stronger end of the purpose's range unless `mg_per_l` says
    otherwise. Range: volume above 0 to 1e5 L, stock above 0 to 150 mg/mL and stronger than the dose, `mg_per_l` from
    the purpose's least to 5000. Source: named with each purpose.
    """
    litres = above("volume_l", volume_l, 0, 1e5, "L")
    if purpose not in PURPOSES:
        raise InputError("purpose", purpose, "one of " + "; ".join(PURPOSES))
    use = PURPOSES[purpose]
    target = use.mg_l[1] if mg_per_l is None else number("mg_per_l", mg_per_l, use.mg_l[0], 5000, "mg/L chlorine")
    stock = above("stock_mg_per_ml", stock_mg_per_ml, 0, 150, "mg/mL available chlorine")
    if stock * 1000 <= target:
        raise InputError(
            "stock_mg_per_ml", stock_mg_per_ml, f"a stock stronger than the {target:g} mg/L that is wanted"
        )
    chlorine = target * litres / 1000
    after = neutralise(chlorine)
    cautions = (*CAUTIONS, AGE_CAUTION, *use.cautions, NEUTRALISER_CAUTION)
    return Disinfection(chlorine * 1000 / stock, chlorine, use.minutes, after.pentahydrate_g, use.source, cautions)
