"""Eggs, clutches and nauplii: what females carry, what that says of births, and what a copepod culture yields.

Two numbers must never stand for each other: the ovigerous share (females with eggs over all females, 0 to 1) and the
egg ratio (eggs over females, which may exceed 1). Between them stands the clutch, the eggs of one female that has any.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import MappingProxyType

from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.development import birth_rate
from rackview.science.limits import ANY, above, number
from rackview.science.options import Option, pick

YOSHINAGA = _("Yoshinaga, T., Hagiwara, A. & Tsukamoto, K. 2001, Hydrobiologia 446/447:99-105")

CLUTCHES = MappingProxyType(
    {
        "Brachionus plicatilis, growing": Option(
            (1.0, 5.0), _("from 5 to 1 eggs a female within five days, {yoshinaga}").format(yoshinaga=YOSHINAGA)
        ),
        "Brachionus plicatilis, stationary": Option(
            (1.0, 1.0), _("at the end of the fall, {yoshinaga}").format(yoshinaga=YOSHINAGA)
        ),
        "Tigriopus californicus": Option(
            (15.3, 17.0), _("18 to 20 and 10 to 15 degC, Powlik, J.J. et al. 1997, Crustaceana 70:324-343")
        ),
        "Nitocra affinis": Option(
            (12.0, 25.0), _("mean 18.3 at 30 degC, thesis on Nitocra affinis californica, Universiti Putra Malaysia")
        ),
        "Oithona nana": Option((23.0, 23.0), _("28 degC, mixed algae, Huanacuni, J.I. et al. 2021, Animals 11:3544")),
    }
)
"""Eggs of one female that carries any (least, most), by animal and state."""

ROTIFER_CLUTCH = Option(
    1.5,
    _(
        "project choice, good within half and twice: 0.5 to 1.2 eggs per female in growth (Snell, "
        "Childress, Boyer & Hoff 1987, J. World Aquacult. Soc. 18:270-277) on 70 % of the females "
        "({yoshinaga}) are 0.7 to 1.7 on each"
    ).format(yoshinaga=YOSHINAGA),
)
"""Eggs that a rotifer with eggs is taken to carry where nobody tallied them. Five, on 70 % of the females, would be
births of 2.5 a day, three times the fastest growth of the species."""


def clutch(animal: str) -> tuple[float, float]:
    """Least and most eggs that one ovigerous female carries.

    Range: the animals and states of `CLUTCHES`. Source: in each entry.
    """
    return pick(CLUTCHES, "animal", animal).value


def egg_ratio(eggs: float, females: float) -> float:
    """Eggs per female from a tally of eggs on all the females that were looked at, with and without eggs.

    Range: eggs 0 or more, females 1 or more. Source: definition, Edmondson 1960, Mem. Ist. Ital. Idrobiol. 12:21-77.
    """
    return number("eggs", eggs, 0, ANY, "eggs") / number("females", females, 1, ANY, "females")


def egg_ratio_from_share(ovigerous_share: float, eggs_per_clutch: float) -> float:
    """Eggs per female from the share of females that carry any and the eggs that such a female carries.

    Range: share 0 to 1, clutch 1 to 200 eggs. Source: definition; 0.70 with a clutch of 5 is 3.5, 0.10 with 1 is 0.10.
    """
    share = number("ovigerous_share", ovigerous_share, 0, 1, _("(females with eggs over all females)"))
    return share * number("eggs_per_clutch", eggs_per_clutch, 1, 200, _("eggs of a female that has any"))


def births_from_share(
    ovigerous_share: float, egg_days: float, eggs_per_clutch: float, spread: float = 1.5
) -> tuple[float, float, float]:
    """Births per animal and day from an ovigerous share: with the clutch over `spread`, as given, and times it.

    ln(1 + share * clutch)/egg time, by Paloheimo. A share alone does not tell births: the clutch is an assumption, and
    its spread stands for how little is known of it. Count the eggs to be rid of it. Range: share 0 to 1, egg time above
    0.05 to 60 days, clutch 1 to 200 eggs, spread 1 to 5; the lower clutch is never under 1 egg. Source: Paloheimo 1974,
    Limnol. Oceanogr. 19:692-694; clutches in `CLUTCHES`.
    """
    share = number("ovigerous_share", ovigerous_share, 0, 1, _("(females with eggs over all females)"))
    eggs = number("eggs_per_clutch", eggs_per_clutch, 1, 200, _("eggs of a female that has any"))
    times = number("spread", spread, 1, 5, _("(times and divided by)"))
    low, middle, high = (
        float(birth_rate(min(share * many, 20.0), egg_days)) for many in (max(eggs / times, 1.0), eggs, eggs * times)
    )
    return low, middle, high


def steady_ovigerous_share(egg_days: float, gap_days: float) -> float:
    """Share of the adult females that carry a sac in a steady culture: egg time over egg time and gap.

    Range: egg time above 0 to 60 days, gap 0 to 60 days. Source: renewal of sac after sac, each female at a stage of
    her own; the gap 0.75 days for Oithona davisae, Uye & Sano 1995, Mar. Ecol. Prog. Ser. 118:121-128.
    """
    carried = above("egg_days", egg_days, 0, 60, "days")
    return carried / (carried + number("gap_days", gap_days, 0, 60, "days"))


def nauplii_per_female(eggs_per_clutch: float, egg_days: float, gap_days: float, hatching: float = 1.0) -> float:
    """Nauplii that one female of a sac spawner yields in a day: clutch * share that hatches / (egg time + gap).

    Range: clutch 1 to 200 eggs, egg time above 0 to 60 days, gap 0 to 60 days, hatching 0 to 1. Source: renewal of sac
    after sac; 0.4 spawns a day of 23 are 9.2 in Oithona nana, Huanacuni et al. 2021, Animals 11:3544.
    """
    eggs = number("eggs_per_clutch", eggs_per_clutch, 1, 200, _("eggs of a female that has any"))
    cycle = above("egg_days", egg_days, 0, 60, "days") + number("gap_days", gap_days, 0, 60, "days")
    return eggs * number("hatching", hatching, 0, 1, _("(share that hatches)")) / cycle


def nauplii_per_adult(nauplii: float, volume_l: float, adults_per_ml: float) -> float:
    """Nauplii that one adult yields in a day, from the day's harvest of a culture: nauplii / (1000 L adults per mL).

    Range: nauplii 0 or more, volume above 0 to 1e6 L, adults above 0 to 1e4 per mL. Source: units.
    """
    adults = (
        above("volume_l", volume_l, 0, 1e6, "L") * 1000 * above("adults_per_ml", adults_per_ml, 0, 1e4, _("per mL"))
    )
    return number("nauplii", nauplii, 0, ANY, "nauplii") / adults


def stage_shares(days: Sequence[float], rate: float) -> tuple[float, ...]:
    """Share of each stage in a culture that grows steadily at `rate` without deaths, from the days spent in each.

    Integral of exp(-r a) over the ages of a stage, over the integral over all; the last stage ends with its days, so
    give the adults their life. At rate 0 it is each stage's share of the days. Range: two stages or more of above 0 to
    365 days, rate -2 to 2 per day. Source: stable age distribution, Lotka, A.J. 1925, Elements of Physical Biology.
    """
    if len(days) < 2:
        raise InputError("days", _("{days} values").format(days=len(days)), _("the days of two stages or more"))
    r = number("rate", rate, -2, 2, "per day")
    spent = [above("days", d, 0, 365, "days") for d in days]
    parts, age = [], 0.0
    for length in spent:
        parts.append(length if abs(r) < 1e-9 else math.exp(-r * age) * -math.expm1(-r * length) / r)
        age += length
    total = math.fsum(parts)
    return tuple(p / total for p in parts)
