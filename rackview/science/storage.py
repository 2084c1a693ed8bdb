"""Cold storage of animals, and resting eggs: what is alive after a time, and how many eggs stand for a start."""

from __future__ import annotations

import math
from types import MappingProxyType

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.science.limits import ANY, above, number
from rackview.science.options import Option, pick

OLSEN = _("Olsen, Y., Reitan, K.I. & Vadstein, O. 1993, Hydrobiologia 255/256:13-20")
ASSAVAAREE = _("Assavaaree, M. et al. 2001, Hydrobiologia 446/447:355-361")
HAGIWARA = _("formation of fertilized eggs of Brachionus plicatilis V, L and S type")


@dataclass(frozen=True, slots=True)
class Cold:
    """Where animals are kept cold: loss per day (least, usual, most), temperatures in degC, most days, advice."""

    per_day: tuple[float, float, float]
    celsius: tuple[float, float]
    most_days: float
    advice: str


COLD = MappingProxyType(
    {
        "large rotifers": Option(
            Cold(
                (0.0, 0.04, 0.08),
                (5, 18),
                14,
                _(
                    "Dark, gentle air, water changed; cool over 4 days by way of 15 degC; rather 5 to 8 degC "
                    "than 0 to 3."
                ),
            ),
            _(
                "0.04 (0 to 0.08) a day, starved, at 5 to 18 degC, {olsen}; half alive after 14 days at 4 "
                "degC and 20,000 per mL, Assavaaree, M. et al. 2001, Aquaculture Research 32:29-39"
            ).format(olsen=OLSEN),
        ),
        "large rotifers, below 3 degC": Option(
            Cold((0.04, 0.14, 0.25), (0, 3), 4, _("Too cold: keep them at 5 to 8 degC.")),
            _("up to 0.25 a day at 0 to 3 degC, {olsen}; the middle is a choice of the project").format(olsen=OLSEN),
        ),
        "S rotifers, fed": Option(
            Cold((0.041, 0.0412, 0.08), (10, 12), 10, _("Feed every other day; do not change the water.")),
            _("66.2 % alive after 10 days at 300 per mL, 35 ppt, fed every 2 days, {assavaaree}").format(
                assavaaree=ASSAVAAREE
            ),
        ),
        "SS rotifers, fed": Option(
            Cold((0.02, 0.0201, 0.08), (10, 12), 10, _("Feed every other day; do not change the water.")),
            _("81.8 % alive after 10 days at 300 per mL, 17 ppt, fed every 2 days, {assavaaree}").format(
                assavaaree=ASSAVAAREE
            ),
        ),
    }
)
"""Ways of keeping rotifers cold."""

EGGS_MADE = MappingProxyType(
    {
        "rotifer-L": Option(
            3400.0,
            _("resting eggs per 10,000 rotifers, 23.1 degC, 8 ppt, Tetraselmis, {hagiwara}").format(hagiwara=HAGIWARA),
        ),
        "rotifer-S": Option(
            14000.0,
            _("resting eggs per 10,000 rotifers, 28.2 degC, 32 ppt, Tetraselmis, {hagiwara}").format(hagiwara=HAGIWARA),
        ),
    }
)
"""Resting eggs that a dense culture makes, by 10,000 rotifers."""


@dataclass(frozen=True, slots=True)
class Stored:
    """Animals alive (least, usual, most), the temperatures this holds for, and what to mind."""

    least: float
    usual: float
    most: float
    celsius: tuple[float, float]
    advice: str
    source: str


def alive_after(animals: float, days: float, way: str = "large rotifers") -> Stored:
    """Animals alive after so many days of cold storage: animals * exp(-loss * days), with its spread.

    Range: animals 0 or more, 0 to 30 days (beyond what was tried, see the source), ways of `COLD`. Sources: Olsen et
    al. 1993, Hydrobiologia 255/256:13-20; Assavaaree et al. 2001, Aquaculture Research 32:29-39 and Hydrobiologia
    446/447:355-361.
    """
    option = pick(COLD, "way", way)
    start, time = number("animals", animals, 0, ANY, "animals"), number("days", days, 0, 30, "days")
    most, usual, least = (start * math.exp(-loss * time) for loss in option.value.per_day)
    late = (
        ""
        if time <= option.value.most_days
        else _(" Nobody kept them longer than {most_days:g} days.").format(most_days=option.value.most_days)
    )
    return Stored(least, usual, most, option.value.celsius, option.value.advice + late, option.source)


def resting_eggs_for(animals: float, hatching: float = 0.4) -> float:
    """Resting eggs to set for so many rotifers: animals / share that hatches.

    The usual share is the lower end of 0.4 to 0.7 at 10 to 15 degC with 16 ppt and light; it falls to nothing towards
    30 degC, and in the dark none hatch. Range: animals 0 or more, share above 0 to 1. Source: Minkoff, Lubzens & Kahan
    1983, Biology of Rotifers; light: Hagiwara, A. & Hino, A. 1989, Hydrobiologia 186:415-421.
    """
    return number("animals", animals, 0, ANY, "animals") / above("hatching", hatching, 0, 1, _("(share that hatches)"))


def resting_eggs_made(animals: float, strain: str = "rotifer-L") -> float:
    """Resting eggs that a culture lays down under the best conditions tried: animals * eggs per 10,000 / 10,000.

    Range: animals 0 or more, strains of `EGGS_MADE`. Source: study of fertilized eggs of Brachionus plicatilis, L and S
    type, on Tetraselmis (8 ppt for L, 32 ppt for S).
    """
    return number("animals", animals, 0, ANY, "animals") * pick(EGGS_MADE, "strain", strain).value / 10_000
