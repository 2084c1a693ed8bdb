"""Hypochlorite and its neutraliser: amounts, times, and the cautions that go with them.

No function here says that water can be used again: that takes a test for chlorine at the tap side of the work.
"""

from __future__ import annotations

from types import MappingProxyType

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import above, number
from rackview.science.options import Option, pick

CL2 = 70.906
HYPOCHLORITE = MappingProxyType({"sodium hypochlorite": 74.442, "calcium hypochlorite": 142.983 / 2})
THIOSULPHATE_ANHYDROUS = 158.11
THIOSULPHATE_PENTAHYDRATE = 248.18
"""Molar masses, g/mol."""

CAUTIONS = (
    _("Follow the label, local rules and where needed a licensed person; what is printed here comes after them."),
    _("Never mix bleach with acid (chlorine gas) or with ammonia (chloramines)."),
    _("Add bleach to water, not water to bleach; air the room; wear gloves and eye protection."),
    _("Keep it away from cultures and larvae: a few thousandths of a mg/L of chlorine harm fish."),
    _("Measure zero chlorine (total residual oxidant in seawater) with a test before anything living meets the water."),
)
RELEASE_CAUTION = _(
    "Never pour cultures into natural water or a storm drain; check the local law before using a drain."
)
DIRT_CAUTION = _("Chlorine is used up by dirt: clean first, and do not trust the dose in water full of culture.")
AGE_CAUTION = _("Bleach loses strength with age: use the label's figure only for a fresh bottle.")
NEUTRALISER_CAUTION = _(
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
            (5, 20), (720, 1440), _("common practice, no source; neutralise afterwards"), (DIRT_CAUTION,)
        ),
        "clean water, short": Purpose(
            (3, 5), (1, 5), _("Lekang, O.-I., Aquaculture Engineering, chapter on disinfection"), (DIRT_CAUTION,)
        ),
        "clean water, long": Purpose(
            (0.2, 0.5), (20, 30), _("Lekang, O.-I., Aquaculture Engineering, chapter on disinfection"), (DIRT_CAUTION,)
        ),
        "clean hard equipment": Purpose((200, 200), (30, 60), _("common practice, no source"), (DIRT_CAUTION,)),
        "culture water before a drain, emergency rule": Purpose(
            (2900, 2900),
            (10, 10),
            _("US Fish and Wildlife Service 2021, steps against zebra mussels"),
            (RELEASE_CAUTION,),
        ),
        "culture water before a drain, lighter rule": Purpose(
            (16, 16),
            (10, 10),
            _("public advice against aquatic invaders; the minutes from the emergency rule"),
            (RELEASE_CAUTION, DIRT_CAUTION),
        ),
    }
)
"""Uses with their doses; the two drain rules differ by about 180 times, so check the local law."""

DRAIN_RULES = tuple(name for name in PURPOSES if "before a drain" in name)

NEUTRALISERS = MappingProxyType(
    {
        "handbook": Option(
            7.4, _("Piper, R.G. et al. 1982, Fish Hatchery Management, p. 283; the most that is printed")
        ),
        "to tetrathionate": Option(
            2 * THIOSULPHATE_PENTAHYDRATE / CL2, _("2 S2O3 + Cl2 = S4O6 + 2 Cl; the most by stoichiometry")
        ),
        "to sulphate and sulphur": Option(THIOSULPHATE_PENTAHYDRATE / CL2, _("S2O3 + Cl2 + H2O = SO4 + S + 2 HCl")),
        "to sulphate": Option(THIOSULPHATE_PENTAHYDRATE / CL2 / 4, _("S2O3 + 4 Cl2 + 5 H2O = 2 SO4 + 8 Cl + 10 H")),
    }
)
"""mg of sodium thiosulphate pentahydrate per mg of chlorine, by the reaction that runs."""


LABELS = (
    "available chlorine, w/v",
    "available chlorine, by weight",
    "sodium hypochlorite, w/v",
    "sodium hypochlorite, by weight",
)
"""What a label of liquid bleach may give in %; w/v is g per 100 mL."""

GUO = _("Guo, J.-J. et al. 2007, J. Taiwan Fish. Res. 15:73-81")
RESIDUALS = MappingProxyType(
    {
        "Brachionus plicatilis": Option(0.22, _("no effect of total residual oxidant, study of ozonated sea water")),
        "Nannochloropsis": Option(1.5, _("after 2 h of air, {guo}").format(guo=GUO)),
        "Skeletonema": Option(0.8, _("after 12 h of air, {guo}").format(guo=GUO)),
        "shrimp larvae": Option(0.05, _("after 24 h of air, {guo}").format(guo=GUO)),
        "fish": Option(0.003, _("free chlorine, Lekang, O.-I., Aquaculture Engineering, chapter on disinfection")),
    }
)
"""mg/L of residual oxidant, by organism."""


@dataclass(frozen=True, slots=True)
class Peroxide:
    """mg/L of product, minutes, share alive, share of bacteria gone; cautions, always."""

    mg_product_l: float
    minutes: float
    alive: float
    bacteria_gone: float
    cautions: tuple[str, ...]


PEROXIDE_CAUTIONS = (
    _("No dose is worked out here: the study names mg/L of a product and not how much hydrogen peroxide is in it."),
    _("Rotifers and Artemia stood doses 200 times apart: what is right for one kills the other."),
    _("Concentrated peroxide burns skin and eyes and feeds fire: gloves, eye protection, the label, local rules."),
)
PEROXIDE = MappingProxyType(
    {
        "rotifers": Peroxide(40, 15, 0.80, 0.90, PEROXIDE_CAUTIONS),
        "Artemia nauplii": Peroxide(8000, 5, 0.90, 0.945, PEROXIDE_CAUTIONS),
    }
)
"""Baths that were tried: Gimenez, G. et al. 2006, Aquaculture Research, pp. 1130-1139."""


@dataclass(frozen=True, slots=True)
class Disinfection:
    """mL of stock to add; g of chlorine in it; minutes of contact; g of thiosulphate pentahydrate after; cautions.

    `beside` tells, of a dose that a like-named purpose has very differently, how far apart the two are.
    """

    stock_ml: float
    chlorine_g: float
    minutes: tuple[float, float]
    neutraliser_g: float
    source: str
    cautions: tuple[str, ...]
    beside: str = ""


@dataclass(frozen=True, slots=True)
class Neutraliser:
    """g of sodium thiosulphate, as pentahydrate crystals and as anhydrous salt; cautions, always."""

    pentahydrate_g: float
    anhydrous_g: float
    reaction: str
    cautions: tuple[str, ...]


def stock_strength(percent: float, by: str = "available chlorine, w/v", g_per_ml: float = 1.0) -> float:
    """mg of available chlorine per mL of liquid bleach from what its label says, in one of the ways of `LABELS`.

    % weight per volume is 10 mg/mL; by weight it is times the density of the bleach; a % of sodium hypochlorite is
    0.9525 times as much chlorine. Range: above 0 to 15 %, density 0.9 to 1.3 g/mL; household bleach has 3 to 8 % when
    fresh (common practice, no source). Source: units; molar masses 70.906 and 74.442 g/mol.
    """
    strength = above("percent", percent, 0, 15, _("% by the label")) * 10
    if by not in LABELS:
        raise InputError("by", by, _("one of ") + "; ".join(LABELS))
    density = number("g_per_ml", g_per_ml, 0.9, 1.3, "g/mL")
    chlorine = CL2 / HYPOCHLORITE["sodium hypochlorite"] if "hypochlorite" in by else 1.0
    return strength * chlorine * (density if "weight" in by else 1.0)


def granules_g(chlorine_g: float, percent: float, by: str = "available chlorine") -> float:
    """g of dry calcium hypochlorite that hold `chlorine_g` g of available chlorine.

    chlorine / (percent / 100), times 1.0083 where the label gives calcium hypochlorite itself. Never mix it with an
    acid or with an organic powder. Range: 0 to 1e6 g, 10 to 99 %, by available chlorine or calcium hypochlorite.
    Source: units; molar masses 70.906 and 142.983 g/mol, two of chlorine in one of it.
    """
    ways = {"available chlorine": 1.0, "calcium hypochlorite": CL2 / HYPOCHLORITE["calcium hypochlorite"]}
    if by not in ways:
        raise InputError("by", by, _("one of ") + ", ".join(ways))
    share = number("percent", percent, 10, 99, _("% by the label")) / 100 * ways[by]
    return number("chlorine_g", chlorine_g, 0, 1e6, "g chlorine") / share


def residual_limit(organism: str) -> Option[float]:
    """mg/L of residual oxidant under which an organism was unharmed, with its source; a test must show less.

    Range: the organisms of `RESIDUALS`; fish want less than any of them. Source: in each entry.
    """
    return pick(RESIDUALS, "organism", organism)


def peroxide(organism: str) -> Peroxide:
    """What was tried with a hydrogen peroxide product on live feed, and why no dose is worked out from it.

    Range: the organisms of `PEROXIDE`. Source: Gimenez, G. et al. 2006, Aquaculture Research, pp.
    1130-1139: doses of a product whose strength the text at hand does not say.
    """
    if organism not in PEROXIDE:
        raise InputError("organism", organism, _("one of ") + ", ".join(PEROXIDE))
    return PEROXIDE[organism]


def neutralise(chlorine_g: float, reaction: str = "handbook") -> Neutraliser:
    """Sodium thiosulphate for `chlorine_g` g of chlorine, with its cautions.

    7.4 g of pentahydrate per g by default, the most that is printed; 7.00 by the reaction to tetrathionate. Range: 0 to
    1e6 g. Sources: Piper, R.G. et al. 1982, Fish Hatchery Management, p. 283; stoichiometry, molar masses 70.906,
    158.11 and 248.18 g/mol; which reaction runs depends on pH and excess.
    """
    ratio = pick(NEUTRALISERS, "reaction", reaction)
    grams = number("chlorine_g", chlorine_g, 0, 1e6, "g chlorine") * ratio.value
    dry = grams * THIOSULPHATE_ANHYDROUS / THIOSULPHATE_PENTAHYDRATE
    return Neutraliser(grams, dry, ratio.source, (NEUTRALISER_CAUTION, *CAUTIONS))


def disinfect(volume_l: float, purpose: str, stock_mg_per_ml: float, mg_per_l: float | None = None) -> Disinfection:
    """Dose, contact time, neutraliser and cautions for one of the `PURPOSES`, together and never apart.

    mL of stock = mg/L * L / (mg/mL - mg/L / 1000): the stock's own volume counts, 6 % at 2,900 mg/L from 5 %. The dose
    is the stronger end of the purpose's range unless `mg_per_l` says otherwise. Range: volume above 0 to 1e5 L, stock
    above 0 to 150 mg/mL and stronger than the dose, `mg_per_l` from the purpose's least to 5000. Source: mass balance;
    the doses named with each purpose.
    """
    litres = above("volume_l", volume_l, 0, 1e5, "L")
    if purpose not in PURPOSES:
        raise InputError("purpose", purpose, _("one of ") + "; ".join(PURPOSES))
    use = PURPOSES[purpose]
    target = use.mg_l[1] if mg_per_l is None else number("mg_per_l", mg_per_l, use.mg_l[0], 5000, _("mg/L chlorine"))
    stock = above("stock_mg_per_ml", stock_mg_per_ml, 0, 150, _("mg/mL available chlorine"))
    if stock * 1000 <= target:
        raise InputError(
            "stock_mg_per_ml",
            stock_mg_per_ml,
            _("a stock stronger than the {target:g} mg/L that is wanted").format(target=target),
        )
    millilitres = target * litres / (stock - target / 1000)
    chlorine = millilitres * stock / 1000
    after = neutralise(chlorine)
    cautions = (*CAUTIONS, AGE_CAUTION, *use.cautions, NEUTRALISER_CAUTION)
    return Disinfection(
        millilitres, chlorine, use.minutes, after.pentahydrate_g, use.source, cautions, _beside(purpose)
    )


def _beside(purpose: str) -> str:
    """What the other rule of water before a drain asks for, so that neither is taken for the other."""
    if purpose not in DRAIN_RULES:
        return ""
    other = next(one for one in DRAIN_RULES if one != purpose)
    here, there = PURPOSES[purpose].mg_l[1], PURPOSES[other].mg_l[1]
    much = (
        _("{here:.0f} times the dose").format(here=here / there)
        if here > there
        else _("1/{there:.0f} of the dose").format(there=there / here)
    )
    rule = other.rsplit(", ")[-1]
    return _(
        "{here:,.0f} mg/L: {much} of the {rule}, {there:,.0f} mg/L. Check which of the two your law asks for."
    ).format(here=here, much=much, rule=rule, there=there)
