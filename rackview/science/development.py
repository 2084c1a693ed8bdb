"""Development times against temperature, and births and losses from eggs carried.

Times are in days, rates per day, temperatures in degC. Outside a source's temperatures the functions refuse rather than
extend a curve that nobody measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from types import MappingProxyType

import numpy as np

from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import ANY, Number, above, number, numbers, plain_floats
from rackview.science.options import Option, pick

FAO_TABLE = _(
    "Lavens, P. & Sorgeloos, P. (eds) 1996, FAO Fisheries Technical Paper 361, table 3.1; cells not read in print: "
    "common practice, no source"
)
TABLE_C = (15.0, 20.0, 25.0)
"""Temperatures of the table below, degC."""
BRACHIONUS = MappingProxyType(
    {
        "embryo days": (1.3, 1.0, 0.6),
        "first eggs days": (3.0, 1.9, 1.3),
        "egg interval hours": (7.0, 5.3, 4.0),
        "life days": (15.0, 10.0, 7.0),
        "eggs per life": (23.0, 23.0, 20.0),
    }
)
"""Brachionus plicatilis at `TABLE_C`. Source: `FAO_TABLE`.

The handbook's text, 3.3, which was read, has an egg about every 4 h and 0.5 to 1.5 days to the adult at 25 degC; the
cohort of `LIFE_DAYS` lived 10.5 days and had 21 young at 20 degC. No other cell could be compared.
"""

YOSHIDA = _("Yoshida, T. et al. 2012, Zool. Stud. 51:644-654, fitted at 10 to 31 degC")
BELEHRADEK = MappingProxyType(
    {
        "Acartia tonsa": (489.0, 1.8),
        "Acartia erythraea": (294.0, 4.47),
        "Acartia pacifica": (545.0, 1.94),
        "Acartia spinicauda": (352.0, 4.30),
    }
)
"""Factor a and biological zero alpha (degC) of egg time a (t - alpha)^-2.05, days."""

WEIGHT_GROWTH = MappingProxyType({"nauplii": (-2.962, 0.130), "copepodites": (-3.134, 0.114)})
"""ln of growth in weight per day = a + b t: Acartia tonsa, food in plenty, Leandro et al. 2006."""

EGG_DAYS = MappingProxyType(
    {
        "Brachionus plicatilis": Option("table", FAO_TABLE, 15, 25),
        "planktonic rotifers": Option(
            "Bottrell",
            _(
                "Bottrell, H.H. et al. 1976, Norw. J. Zool. 24:419-456; coefficients "
                "not read in print: common practice, "
                "no source"
            ),
            15,
            28,
        ),
        "Acartia tonsa": Option(
            "Belehradek",
            _(
                "McLaren, I.A., Corkett, C.J. & Zillioux, E.J. 1969, Biol. Bull., for the exponent; "
                "a and alpha not read in print: common practice, no source"
            ),
            10,
            25,
        ),
        "Acartia erythraea": Option("Yoshida", YOSHIDA, 10, 31),
        "Acartia pacifica": Option("Yoshida", YOSHIDA, 10, 31),
        "Acartia spinicauda": Option("Yoshida", YOSHIDA, 10, 31),
    }
)
"""Egg development time: the animals it is known for, and over which temperatures (degC)."""

COHORT = _("life history of Brachionus plicatilis by algal food, 20 ppt, Oral Roberts University (abstract)")
LIFE_DAYS = MappingProxyType(
    {
        "table": Option((7.0, 7.0), FAO_TABLE, 15, 25),
        "text": Option((3.4, 4.4), _("Lavens & Sorgeloos (eds) 1996, FAO Fisheries Technical Paper 361, 3.3"), 25, 25),
        "cohort": Option((10.5, 10.5), COHORT, 20, 20),
    }
)
"""Length of a female's life, days (least, most): the handbook's text and its table disagree at 25 degC."""

ZERO_GROWTH_EGGS = MappingProxyType(
    {
        "Snell": Option(0.13, _("Snell, T.W. et al. 1987, J. World Aquacult. Soc. 18:270-277")),
        "rule of thumb": Option(
            0.20, _("live-food training course, rate = egg ratio - 0.2; unpublished rule of thumb")
        ),
    }
)
"""Eggs per female at which a rotifer culture neither grows nor falls, by source."""

BANDS = (0.13, 0.5, 1.2)
"""Egg-ratio band edges: below the first falling, from the second growing, above the last beyond what was seen.

Source: Snell, T.W., Childress, M.J., Boyer, E.M. & Hoff, F.H. 1987, J. World Aquacult. Soc. 18:270-277.
"""


def _within(temperature_c: float, option: Option[str], animal: str) -> float:
    return number(
        "temperature_c",
        temperature_c,
        option.low,
        option.high,
        _("degC, where {animal} was measured").format(animal=animal),
    )


def from_table(quantity: str, temperature_c: float) -> float:
    """A life-history value of Brachionus plicatilis from the handbook's table, straight lines between its columns.

    `quantity` is a key of `BRACHIONUS`, in the unit of its name. Range: 15 to 25 degC, never beyond. Source: Lavens, P.
    & Sorgeloos, P. (eds) 1996, FAO Fisheries Technical Paper 361, table 3.1; cells not read in print: common practice,
    no source.
    """
    if quantity not in BRACHIONUS:
        raise InputError("quantity", quantity, _("one of ") + ", ".join(BRACHIONUS))
    t = number("temperature_c", temperature_c, 15, 25, _("degC, the table's own range"))
    return float(np.interp(t, TABLE_C, BRACHIONUS[quantity]))


def belehradek(temperature_c: float, a: float, alpha: float, b: float = -2.05) -> float:
    """Belehradek's function of temperature: days = a (t - alpha)^b.

    Range: t above alpha, to 100 degC; alpha -50 to 50; a above 0; b -10 to 0. Sources: McLaren, I.A. et al. 1969,
    Temperature adaptations of copepod eggs from the arctic to the tropics, Biol. Bull., who put b = -2.05 for calanoid
    copepods.
    """
    zero = number("alpha", alpha, -50, 50, "degC")
    t = above("temperature_c", temperature_c, zero, 100, _("degC, where the least is alpha"))
    return float(above("a", a) * (t - zero) ** number("b", b, -10, 0))


def bottrell(temperature_c: float) -> float:
    """Egg development, days, of planktonic rotifers pooled: exp(2.7547 - 0.2484 ln t - 0.2408 (ln t)^2).

    Range: 15 to 28 degC, where it was compared with other values. Source: Bottrell, H.H. et al. 1976, Norw. J. Zool.
    24:419-456; coefficients not read in print: common practice, no source; within 14 % of the table of `from_table`.
    """
    log_t = math.log(number("temperature_c", temperature_c, 15, 28, "degC"))
    return math.exp(2.7547 - 0.2484 * log_t - 0.2408 * log_t**2)


def egg_days(temperature_c: float, animal: str = "Brachionus plicatilis") -> float:
    """Days from a laid to a hatched egg, for an animal of `EGG_DAYS`.

    Range: 15 to 25 degC for Brachionus plicatilis (table), 15 to 28 for planktonic rotifers pooled, 10 to 25 for
    Acartia tonsa, 489 (t - 1.8)^-2.05, 10 to 31 for three other species of Acartia. Sources: in `EGG_DAYS`, one for
    each animal.
    """
    option = pick(EGG_DAYS, "animal", animal)
    t = _within(temperature_c, option, animal)
    if option.value == "table":
        return from_table("embryo days", t)
    return bottrell(t) if option.value == "Bottrell" else belehradek(t, *BELEHRADEK[animal])


def weight_growth(temperature_c: float, stage: str = "nauplii") -> float:
    """Growth in weight per day of Acartia tonsa with food in plenty: exp(-2.962 + 0.130 t), copepodites -3.134 + 0.114
    t.

    Range: 10 to 22 degC, where it was measured and no hump shows; the stages nauplii and copepodites. Source: Leandro,
    S.M., Tiselius, P. & Queiroga, H. 2006, Mar. Biol. 150:121-129.
    """
    if stage not in WEIGHT_GROWTH:
        raise InputError("stage", stage, _("one of ") + ", ".join(WEIGHT_GROWTH))
    a, b = WEIGHT_GROWTH[stage]
    return math.exp(a + b * number("temperature_c", temperature_c, 10, 22, "degC"))


def life_days(temperature_c: float, by: str = "table") -> tuple[float, float]:
    """Least and most days that a female rotifer lives, by one of the sources in `LIFE_DAYS`, which disagree.

    Range: 15 to 25 degC by the table; only 25 by the handbook's text; only 20 by the cohort study. Sources: Lavens &
    Sorgeloos (eds) 1996, FAO Fisheries Technical Paper 361, 3.3 (text) and table 3.1 (cells not read in print: common
    practice, no source); life history by algal food, Oral Roberts University (abstract, cohort).
    """
    option = pick(LIFE_DAYS, "by", by)
    t = number("temperature_c", temperature_c, option.low, option.high, "degC")
    if by == "table":
        days = from_table("life days", t)
        return days, days
    return option.value


def sum_of_stages(days: Iterable[float]) -> float:
    """Days from egg or nauplius to adult: the stages one after the other.

    Range: each 0 to 365 days, at least one. Source: definition.
    """
    parts = [number("days", d, 0, 365, "days") for d in days]
    if not parts:
        raise InputError("days", None, _("the days of one stage or more"))
    return math.fsum(parts)


def generation_days(net_reproduction: float, rate: float) -> float:
    """Generation time T = ln(R0)/r in days.

    Range: R0 (daughters per female and life) above 0, r not 0, of one sign with ln R0. Source: Lotka, A.J. 1925,
    Elements of Physical Biology.
    """
    log_r0 = math.log(above("net_reproduction", net_reproduction, 0, ANY, _("daughters per female")))
    r = number("rate", rate, -20, 20, "per day")
    if r == 0 or log_r0 / r < 0:
        raise InputError("rate", rate, _("a rate above 0 when R0 is above 1, below 0 when R0 is below 1"))
    return log_r0 / r


def net_reproduction(survival: Sequence[float], births: Sequence[float]) -> float:
    """R0 of a life table: sum of l(x) m(x), daughters per female and life.

    Range: survival shares 0 to 1, births 0 or more, one of each for every age. Source: Lotka 1925.
    """
    return math.fsum(x * m for x, m in _life_table(survival, births))


def _life_table(survival: Sequence[float], births: Sequence[float]) -> list[tuple[float, float]]:
    if len(survival) != len(births) or len(survival) == 0:
        raise InputError(
            "births",
            _("{births} values").format(births=len(births)),
            _("one for each of the {survival} ages, at least one").format(survival=len(survival)),
        )
    return [
        (number("survival", share, 0, 1, _("(share alive)")), number("births", many, 0, ANY, _("daughters per female")))
        for share, many in zip(survival, births, strict=True)
    ]


def euler_lotka(ages: Sequence[float], survival: Sequence[float], births: Sequence[float]) -> float:
    """Intrinsic rate r per day of a life table: the root of sum l(x) m(x) exp(-r x) = 1.

    Range: ages above 0 days (middle of each age class), survival 0 to 1, births 0 or more, not all of them 0. Source:
    Lotka, A.J. 1925, Elements of Physical Biology.
    """
    table = _life_table(survival, births)
    if len(ages) != len(table):
        raise InputError(
            "ages",
            _("{ages} values").format(ages=len(ages)),
            _("one for each of the {table} rows of the life table").format(table=len(table)),
        )
    rows = [(above("ages", x, 0, 3650, "days"), share * many) for x, (share, many) in zip(ages, table, strict=True)]
    rows = [(x, young) for x, young in rows if young > 0]
    if not rows:
        raise InputError("births", "none", _("births above 0 to females alive at some age"))

    def log_sum(r: float) -> float:
        parts = [math.log(young) - r * x for x, young in rows]
        most = max(parts)
        return most + math.log(math.fsum(math.exp(p - most) for p in parts))

    low = high = 0.0
    while log_sum(high) > 0:
        high = 2 * high + 0.1
    while log_sum(low) < 0:
        low = 2 * low - 0.1
    for _unused in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if log_sum(middle) > 0 else (low, middle)
    return (low + high) / 2


@plain_floats
def birth_rate(egg_ratio: Number, egg_days: Number, method: str = "Paloheimo") -> Number:
    """Instantaneous birth rate per day from eggs per female (males and resting eggs left out) and egg time in days.

    Paloheimo: ln(1 + E)/D. Edmondson: ln(1 + E/D). They are equal at D = 1. Range: egg ratio 0 to 20, egg time above
    0.05 to 60 days. Sources: Paloheimo, J.E. 1974, Limnol. Oceanogr. 19:692-694; Edmondson, W.T. 1960, Mem. Ist. Ital.
    Idrobiol. 12:21-77.
    """
    eggs = numbers("egg_ratio", egg_ratio, 0, 20, _("eggs per female"))
    days = numbers("egg_days", egg_days, 0.05, 60, "days")
    if method == "Paloheimo":
        return np.log1p(eggs) / days  # type: ignore[no-any-return]
    if method == "Edmondson":
        return np.log1p(eggs / days)  # type: ignore[no-any-return]
    raise InputError("method", method, _("one of Paloheimo, Edmondson"))


@plain_floats
def egg_ratio_for(birth_rate: Number, egg_days: Number) -> Number:
    """Eggs per female that a birth rate needs: exp(b D) - 1; the inverse of Paloheimo's `birth_rate`.

    Range: 0 to 5 per day, egg time 0.05 to 60 days. Source: Paloheimo 1974, Limnol. Oceanogr. 19:692-694.
    """
    b = numbers("birth_rate", birth_rate, 0, 5, "per day")
    return np.expm1(b * numbers("egg_days", egg_days, 0.05, 60, "days"))  # type: ignore[no-any-return]


@plain_floats
def finite_birth_rate(birth_rate: Number, rate: Number) -> Number:
    """Births in a day per animal alive at its start: b (exp(r) - 1)/r, and b itself at r = 0.

    Range: birth rate 0 to 20, net rate -20 to 20 per day. Source: Caswell, H. 1972, Limnol. Oceanogr. 17:787.
    """
    b, r = numbers("birth_rate", birth_rate, 0, 20, "per day"), numbers("rate", rate, -20, 20, "per day")
    still = np.abs(r) < 1e-9
    return b * np.where(still, 1.0, np.expm1(r) / np.where(still, 1.0, r))  # type: ignore[return-value]


@plain_floats
def loss_rate(birth_rate: Number, net_rate: Number) -> Number:
    """Loss rate per day, b - r; below 0 it says that the egg ratio, the egg time or the counts don't fit together.

    Range: birth rate 0 to 20, net rate -20 to 20 per day. Source: Edmondson 1960, Mem. Ist. Ital. Idrobiol. 12:21-77.
    """
    return numbers("birth_rate", birth_rate, 0, 20, "per day") - numbers("net_rate", net_rate, -20, 20, "per day")


@plain_floats
def rate_by_rule(egg_ratio: Number, by: str = "Snell") -> Number:
    """Growth rate per day by the rule of thumb: egg ratio less the ratio of zero growth.

    Range: egg ratio 0 to 20. Sources disagree on zero growth: 0.13, Snell et al. 1987, J. World Aquacult. Soc.
    18:270-277 (the default); 0.20, training-course rule of thumb.
    """
    zero = pick(ZERO_GROWTH_EGGS, "by", by).value
    return numbers("egg_ratio", egg_ratio, 0, 20, _("eggs per female")) - zero


def egg_band(egg_ratio: float, edges: tuple[float, float, float] = BANDS) -> str:
    """falling, stationary, growing, or above all that was seen, from eggs per female; late by 18 to 24 h.

    Range: egg ratio 0 to 20, edges rising; the edge 0.5, which the source gives to both bands, counts as growing.
    Source: Snell, T.W. et al. 1987, J. World Aquacult. Soc. 18:270-277.
    """
    falling, growing, high = (number("edges", e, 0, 20, _("eggs per female")) for e in edges)
    if not falling < growing < high:
        raise InputError("edges", edges, _("three rising egg ratios, such as 0.13, 0.5 and 1.2"))
    eggs = number("egg_ratio", egg_ratio, 0, 20, _("eggs per female"))
    if eggs < falling:
        return "falling"
    if eggs < growing:
        return "stationary"
    return "growing" if eggs <= high else "above"


def q10(rate1: float, rate2: float, temperature1_c: float, temperature2_c: float) -> float:
    """How many times faster per 10 degC: (k2/k1)^(10/(t2 - t1)).

    Range: rates above 0, temperatures -2 to 45 degC and different. Source: van 't Hoff's rule.
    """
    t1 = number("temperature1_c", temperature1_c, -2, 45, "degC")
    t2 = number("temperature2_c", temperature2_c, -2, 45, "degC")
    if t1 == t2:
        raise InputError("temperature2_c", temperature2_c, _("a temperature other than the first"))
    return float((above("rate2", rate2) / above("rate1", rate1)) ** (10 / (t2 - t1)))


def rate_at(rate: float, from_c: float, to_c: float, q10: float) -> float:
    """A rate carried from one temperature to another: k q10^((to - from)/10).

    Range: rate 0 or more, q10 0.2 to 10, both temperatures -2 to 45 degC and at most 10 apart. Source: van 't Hoff.
    """
    t1, t2 = number("from_c", from_c, -2, 45, "degC"), number("to_c", to_c, -2, 45, "degC")
    if abs(t2 - t1) > 10:
        raise InputError(
            "to_c", to_c, _("a temperature within 10 degC of {t1:g}, beyond which the rule does not hold").format(t1=t1)
        )
    return float(number("rate", rate) * number("q10", q10, 0.2, 10) ** ((t2 - t1) / 10))
