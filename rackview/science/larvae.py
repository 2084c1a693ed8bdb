"""What larvae need: prey per tank and day, when eggs hatch, and what is fed when.

The plan rests on tank volume times target density, which needs no appetite; published appetites differ by up to thirty
times and serve as the lower bound of what is removed.
"""

from __future__ import annotations

import math
from statistics import NormalDist
from types import MappingProxyType

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import ANY, above, number, whole
from rackview.science.options import Option, pick

TREECE = _("Treece, G.D. & Davis, D.A. 2000, SRAC Publication 701 (read in a reprint)")
FLOUNDER = _("summer flounder, University of Rhode Island 1999")

RATIONS = MappingProxyType(
    {
        "measured": Option(
            (62.0, 301.0),
            _("rotifers per larva and day at 6 and 13 days after hatching, {flounder}").format(flounder=FLOUNDER),
        ),
        "upper figure": Option(
            (1900.0, 1900.0), _("up to this many eaten per larva and day in general, {treece}").format(treece=TREECE)
        ),
    }
)
"""Rotifers eaten per larva and day (least, most), by source: 6 to 30 times apart."""


EMBRYO_C = (24.0, 26.0, 27.0, 28.0)
EMBRYO_DAYS = (11.0, 8.0, 152 / 24, 152 / 24)
"""Amphiprion ocellaris, days from spawning to hatching.

152 h at 27 to 28 degC, Yasir, I. & Qin, J.G. 2007, J. Mar. Biol. Ass. UK 87:1025-1033; 11 and 8 days at 24 and 26 degC
are common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class PreyPeriod:
    """One prey of a feeding calendar: first and last day after hatching, animals per mL (least, most), source."""

    prey: str
    first_day: int
    last_day: int
    per_ml: tuple[float, float] | None
    source: str


CALENDAR = MappingProxyType(
    {
        "anemonefish": (
            PreyPeriod(
                "rotifers",
                0,
                7,
                (6, 10),
                _(
                    "6 to 8 per mL, Gopakumar, George & Jasmine 2001, Perspectives in "
                    "Mariculture; 8 to 10 for 10 days, "
                    "Divya, S.P. et al. 2011, ScienceAsia 37:179-185; the last day is a choice within their 4 to 10"
                ),
            ),
            PreyPeriod(
                "Artemia nauplii",
                5,
                20,
                (4, 6),
                _(
                    "from day 5 without loss, Murray, C.A. et al. 2025, Fishes 10:461; density, Divya et al. 2011; the "
                    "last day within the weaning of 15 to 25, review by Sarvi & Pourmozaffar"
                ),
            ),
            PreyPeriod("dry diet", 5, 25, None, _("from day 5 best of 5, 8, 11: Murray et al. 2025, Fishes 10:461")),
        ),
        "red drum": (
            PreyPeriod("rotifers", 3, 11, (3, 5), TREECE),
            PreyPeriod("Artemia nauplii", 11, 21, None, TREECE),
        ),
        "striped mullet": (
            PreyPeriod("rotifers", 3, 40, (10, 10), _("{treece}; the first day as for red drum").format(treece=TREECE)),
        ),
        "seven-band grouper": (
            PreyPeriod(
                "rotifers",
                3,
                12,
                (20, 20),
                _("20 per mL for 10 days, Wullur, S. et al. 2007; the first day as for red drum"),
            ),
        ),
    }
)
"""Feeding calendars by larval group, days after hatching."""


def animals_to_add(tank_l: float, target_per_ml: float, left_per_ml: float = 0.0) -> float:
    """Animals that bring a tank from what is left over up to its target: (target - left) * L * 1000, never below 0.

    Range: tank above 0 to 1e6 L, densities 0 to 1000 per mL. Source: units.
    """
    target = number("target_per_ml", target_per_ml, 0, 1000, _("animals per mL"))
    left = number("left_per_ml", left_per_ml, 0, 1000, _("animals per mL"))
    return max(target - left, 0.0) * above("tank_l", tank_l, 0, 1e6, "L") * 1000


def prey_per_day(
    tank_l: float,
    target_per_ml: float,
    left_per_ml: float = 0.0,
    larvae: float = 0.0,
    eaten_per_larva: float = 0.0,
    feeds_per_day: float = 1.0,
) -> float:
    """Animals to deliver to one tank in a day: fill up to the target first, then replace what is eaten between feeds.

    (target - left) * L * 1000 + larvae * eaten * (1 - 1/feeds). In balance that is what the larvae eat in a day. Range:
    as for `animals_to_add`; larvae 0 to 1e7, eaten 0 to 6000 per larva and day, feeds 1 to 48 a day. Source: mass
    balance.
    """
    feeds = number("feeds_per_day", feeds_per_day, 1, 48, _("feeds per day"))
    appetite = number("eaten_per_larva", eaten_per_larva, 0, 6000, _("animals per larva and day"))
    between = number("larvae", larvae, 0, 1e7, "larvae") * appetite * (1 - 1 / feeds)
    return animals_to_add(tank_l, target_per_ml, left_per_ml) + between


def eaten_per_larva(age_days: float, by: str = "measured") -> float:
    """Rotifers eaten per larva and day at an age in days after hatching.

    measured: 62 exp(0.2257 (age - 6)), 6 to 13 days only; upper figure: 1900, 7 to 30 days. No value for anemonefish
    was found. Range: by source, as said. Sources: summer flounder, University of Rhode Island 1999; Treece, G.D. &
    Davis, D.A. 2000, SRAC Publication 701 (see decision note).
    """
    option = pick(RATIONS, "by", by)
    if by == "measured":
        age = number("age_days", age_days, 6, 13, _("days after hatching, where it was measured"))
        first, last = option.value
        return float(first * math.exp(math.log(last / first) / 7 * (age - 6)))
    number("age_days", age_days, 7, 30, _("days after hatching, which the figure is for"))
    return option.value[0]


def rotifers_per_larva(days: float, eaten_per_day: float, offered: float = 1.0) -> float:
    """Rotifers per larva over its whole rotifer time: days * eaten per day * offered over eaten.

    Range: 0 to 60 days, 0 to 6000 per day, 1 to 10 times what is eaten. Source: Treece & Davis 2000, SRAC Publication
    701, who offer 3 times.
    """
    eaten = number("eaten_per_day", eaten_per_day, 0, 6000, _("rotifers per day"))
    return number("days", days, 0, 60, "days") * eaten * number("offered", offered, 1, 10, _("(offered over eaten)"))


def larvae_alive(hatched: float, survival_per_day: float, days: float) -> float:
    """Larvae left after `days`: hatched * survival^days.

    Range: hatched 0 to 1e7, survival 0 to 1 per day, 0 to 365 days. Source: constant daily survival.
    """
    share = number("survival_per_day", survival_per_day, 0, 1, _("(share alive a day later)"))
    return float(number("hatched", hatched, 0, 1e7, "larvae") * share ** number("days", days, 0, 365, "days"))


def survival_per_day(share_alive: float, days: float) -> float:
    """Daily survival that leaves `share_alive` after `days`: share^(1/days); the inverse of `larvae_alive`.

    Range: share above 0 to 1, days above 0 to 365. Source: constant daily survival.
    """
    return float(above("share_alive", share_alive, 0, 1) ** (1 / above("days", days, 0, 365, "days")))


def embryo_days(temperature_c: float) -> float:
    """Days from spawning to hatching of Amphiprion ocellaris, straight lines between known temperatures.

    Range: 24 to 28 degC. Source: 27 to 28 was measured (152 h), Yasir, I. & Qin, J.G. 2007, J. Mar. Biol. Ass. UK
    87:1025-1033; below that common practice, no source.
    """
    return float(np.interp(number("temperature_c", temperature_c, 24, 28, "degC"), EMBRYO_C, EMBRYO_DAYS))


def calendar(group: str) -> tuple[PreyPeriod, ...]:
    """The feeding calendar of a larval group named in `CALENDAR`, prey by prey, each with its source.

    Range: the groups named there. Source: in each entry.
    """
    if group not in CALENDAR:
        raise InputError("group", group, _("one of ") + ", ".join(CALENDAR))
    return CALENDAR[group]


def prey_on(group: str, day: int) -> tuple[PreyPeriod, ...]:
    """What a larval group is fed on a day after hatching (0 is the day of hatching); empty when nothing is due.

    Range: day 0 to 365. Source: in each entry of `CALENDAR`.
    """
    age = whole("day", day, 0, 365, _("days after hatching"))
    return tuple(f for f in calendar(group) if f.first_day <= age <= f.last_day)


def larvae_for(animals: float, eaten: float) -> float:
    """How many larvae a supply of animals a day feeds at an appetite: animals / eaten.

    Range: animals 0 or more, eaten above 0 to 6000 per larva and day. Source: units.
    """
    return number("animals", animals, 0, ANY, "animals") / above(
        "eaten", eaten, 0, 6000, _("animals per larva and day")
    )


GOOD_RATIO, POSSIBLE_RATIO, LARGEST_RATIO = (0.25, 0.40), 0.60, 0.90
"""Prey width over mouth: what larvae take well, what they may take, the largest that was ever seen.

Sources: turbot 0.36 of mouth height, Cunha & Planas, Aquaculture 175:103-110; dry food a quarter to a half of mouth
width, Treece & Davis 2000; malabar grouper 0.54 to 0.59; dusky grouper 0.43 to 0.90, citing Glamuzina et al. 1998. The
edges are a choice of the project.
"""


def prey_ratio(prey_um: float, mouth_um: float) -> float:
    """Width of a prey over the mouth of a larva.

    Range: both above 0 to 1e4 um. Source: definition.
    """
    return above("prey_um", prey_um, 0, 1e4, "um") / above("mouth_um", mouth_um, 0, 1e4, "um")


def prey_fits(prey_um: float, mouth_um: float) -> str:
    """Whether a larva can take a prey, in words: small, good, possible, doubtful, or larger than any that was taken.

    Good from 0.25 to 0.40 of the mouth, possible to 0.60, doubtful to 0.90. Range: as for `prey_ratio`. Sources: Cunha
    & Planas, Aquaculture 175:103-110 (turbot); Treece & Davis 2000, SRAC Publication 701; Glamuzina et al. 1998 (dusky
    grouper), as cited.
    """
    ratio = prey_ratio(prey_um, mouth_um)
    steps = (
        (GOOD_RATIO[0], "small"),
        (GOOD_RATIO[1], "good"),
        (POSSIBLE_RATIO, "possible"),
        (LARGEST_RATIO, "doubtful"),
    )
    return next((w for edge, w in steps if ratio < edge or (ratio == edge and w != "small")), _("too large"))


def prey_for_mouth(mouth_um: float, ratio: float = 0.36) -> float:
    """Width of the prey that suits a mouth, um: mouth * ratio.

    Range: mouth above 0 to 1e4 um, ratio 0.1 to 0.9. Source: 0.36 of mouth height, turbot, Cunha & Planas, Aquaculture
    175:103-110.
    """
    return above("mouth_um", mouth_um, 0, 1e4, "um") * number("ratio", ratio, 0.1, 0.9, _("(prey over mouth)"))


def larvae_supported(animals_per_day: float, eaten: float, scatter: float = 0.35, chance: float = 0.9) -> float:
    """Larvae that a supply feeds with a given chance on any one day, the supply being uncertain.

    animals * exp(-z * scatter) / eaten, z the normal quantile of `chance`; `scatter` is the standard deviation of ln
    (supply): 0.35 is what a copepod hatchery saw from day to day. Range: animals 0 or more, eaten above 0 to 6000 per
    larva and day, scatter 0 to 2, chance 0.5 to 0.999. Source: quantile of the log-normal distribution; scatter 33 %,
    World Aquaculture Society abstract 156505 (Parvocalanus crassirostris).
    """
    supply = number("animals_per_day", animals_per_day, 0, ANY, _("animals per day"))
    sure = number("chance", chance, 0.5, 0.999, "(chance)")
    lasts = supply * math.exp(
        -NormalDist().inv_cdf(sure) * number("scatter", scatter, 0, 2, _("(standard deviation of ln)"))
    )
    return lasts / above("eaten", eaten, 0, 6000, _("animals per larva and day"))
