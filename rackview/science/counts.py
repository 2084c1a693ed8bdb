"""From animals tallied to animals per mL, and how sure that is.

Everything rests on the volume of original culture that was looked at: each dilution, fixative or sieving only changes
that volume, and an interval of the density is the interval of the number counted divided by it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import above, number, tally, whole
from rackview.science.tails import (
    MOST_COUNTED,
    beta_quantile,
    beta_share,
    chi2_tail,
    confidence,
    normal_z,
    poisson_limits,
    student_t,
)

CLUMPED_BELOW = 0.025
"""The dispersion test calls a sample clumped (or too even) when its tail probability is below this."""

AGGREGATED = 1.4
"""By how much true intervals of plankton counts tend to be wider than the Poisson rule says.

Source: Salonen, K., Salmi, P. & Keskitalo, J. 2021, J. Plankton Res. 43:846-852.
"""


ALIQUOT_CV, BEHIND = 0.30, 3.0
"""By how much aliquots are taken to differ beyond chance before any was counted, and how many aliquots that is worth.

A choice of the project: with it an interval holds its 95 % in 92 to 100 of 100 counts that stop when it is narrow
enough, for animals at random as for clumped ones (negative binomial, k of 5 or more; 91 at k = 2), as simulated in the
tests.
"""
MOST_FREEDOM = 300
"""More degrees of freedom change Student's t by less than half a percent, and take long to work out."""
LEAST_ALIQUOTS = 2
"""One aliquot alone shows nothing of how they differ."""


@dataclass(frozen=True, slots=True)
class CountDensity:
    """A density in animals per mL of culture, with what it rests on.

    `poisson_*` is the exact interval of the pooled count, `replicate_*` the t interval of the aliquots (None for one
    aliquot or no animals); `low` and `high` are those of `aliquot_limits`, the one interval that `more_aliquots` stops
    by. `dispersion_p` is the chance of aliquots at least
    this uneven in a well-mixed sample; `dispersion_index` is their variance over their mean (1 for animals at random).
    """

    animals: int
    looked_at_ml: float
    per_ml: float
    poisson_low: float
    poisson_high: float
    replicate_low: float | None
    replicate_high: float | None
    low: float
    high: float
    dispersion_p: float | None
    clumped: bool
    dispersion_index: float | None = None


@dataclass(frozen=True, slots=True)
class Dispersion:
    """Fisher's index-of-dispersion test of replicate tallies; `index` is the variance over the mean."""

    index: float
    chi2: float
    df: int
    p_clumped: float
    p_even: float
    z: float

    @property
    def clumped(self) -> bool:
        """Whether the aliquots differ more than a well-mixed sample would allow."""
        return self.p_clumped < CLUMPED_BELOW

    @property
    def too_even(self) -> bool:
        """Whether the aliquots are more alike than chance allows, as when tallies were not made independently."""
        return self.p_even < CLUMPED_BELOW


@dataclass(frozen=True, slots=True)
class CountChange:
    """Density after over density before, with its interval and the two-sided probability of no change."""

    ratio: float
    low: float
    high: float
    p_value: float


def looked_at_ml(
    aliquots: int, aliquot_ml: float, dilution: float = 1.0, fixative: float = 1.0, concentration: float = 1.0
) -> float:
    """mL of original culture in which animals were counted.

    aliquots * aliquot_ml * concentration / (dilution * fixative). `dilution` and `fixative` are volumes after over
    before (1 or more); `concentration` is the culture sieved over the concentrate it was sieved to (1 or more, all
    animals recovered). Range: aliquot above 0 to 10000 mL. Source: geometry of the sample, as in APHA Standard Methods
    10200 F and G.
    """
    n = whole("aliquots", aliquots, 1)
    ml = above("aliquot_ml", aliquot_ml, 0, 1e4, "mL")
    ratio = _("(volume after over volume before)")
    diluted = number("dilution", dilution, 1, 1e6, ratio) * number("fixative", fixative, 1, 1e3, ratio)
    return n * ml * number("concentration", concentration, 1, 1e6, _("(culture over concentrate)")) / diluted


def strips_ml(strips: float, width_mm: float, length_mm: float = 50.0, depth_mm: float = 1.0) -> float:
    """mL under `strips` strips of a counting chamber: strips * length * width * depth / 1000, mm in.

    The defaults are a Sedgewick-Rafter cell (50 x 20 x 1 mm). Range: above 0 to 1000 strips, 100 mm wide, 200 long, 50
    deep. Source: geometry, as in APHA Standard Methods 10200 F.
    """
    n = above("strips", strips, 0, 1000)
    width = above("width_mm", width_mm, 0, 100, "mm")
    return n * above("length_mm", length_mm, 0, 200, "mm") * width * above("depth_mm", depth_mm, 0, 50, "mm") / 1000


def fields_ml(fields: float, area_mm2: float, depth_mm: float = 1.0) -> float:
    """mL under `fields` fields of a counting chamber: fields * area * depth / 1000, mm2 and mm in.

    Range: above 0 to 1e5 fields of 1e4 mm2, 50 mm deep. Source: geometry, as in APHA Standard Methods 10200 F.
    """
    n = above("fields", fields, 0, 1e5)
    return n * above("area_mm2", area_mm2, 0, 1e4, "mm2") * above("depth_mm", depth_mm, 0, 50, "mm") / 1000


def count_density(
    tallies: Sequence[int],
    aliquot_ml: float,
    dilution: float = 1.0,
    fixative: float = 1.0,
    level: float = 0.95,
    concentration: float = 1.0,
) -> CountDensity:
    """Animals per mL of culture from the tallies of equal aliquots, with intervals at confidence `level`.

    The interval given is that of `aliquot_limits`, since chamber counts are often clumped and the pooled interval alone
    is then too narrow. For no animals it runs from 0 to the exact upper limit. Range: tallies whole and 0 or more,
    their sum at most 1e7; see `looked_at_ml` for the others. Sources: Garwood 1936, Biometrika 28:437-442 (exact
    interval); Salonen, Salmi & Keskitalo 2021, J. Plankton Res. 43:846-852 (why not the pooled interval alone).
    """
    found = tally("tallies", tallies)
    level = confidence(level)
    volume = looked_at_ml(len(found), aliquot_ml, dilution, fixative, concentration)
    animals = sum(found)
    exact_low, exact_high = (limit / volume for limit in poisson_limits(animals, level))
    poisson = exact_low, exact_high
    low, high = (limit / volume for limit in aliquot_limits(found, level))
    per_ml = animals / volume
    if len(found) < 2 or animals == 0:
        return CountDensity(animals, volume, per_ml, *poisson, None, None, low, high, None, clumped=False)
    half = student_t(level, len(found) - 1) * math.sqrt(_variance(found) / len(found)) * len(found) / volume
    by_aliquot = max(per_ml - half, 0.0), per_ml + half
    test = dispersion(found)
    return CountDensity(
        animals, volume, per_ml, *poisson, *by_aliquot, low, high, test.p_clumped, test.clumped, test.index
    )


def aliquot_limits(
    tallies: Sequence[int], level: float = 0.95, aliquot_cv: float = ALIQUOT_CV, behind: float = BEHIND
) -> tuple[float, float]:
    """Confidence limits of the number of animals, by chance, by how these aliquots differ and by how aliquots usually
    do.

    Garwood's exact limits, moved away from the count on the log scale by sqrt(phi) t/z. phi is the variance over the
    mean of the aliquots, pooled with 1 + mean * cv^2 that stands for `behind` aliquots seen before, at least 1; t has
    behind + r - 1 degrees of freedom. The same interval serves from one aliquot to many, and `more_aliquots` stops by
    it. Range: tallies whole and 0 or more; cv 0 to 3; behind 1 to 1000. Sources: Garwood 1936, Biometrika 28:437-442;
    Fisher, Thornton & Mackenzie 1922, Ann. Appl. Biol. 9:325-359, for phi; pooled as variances are.
    """
    found = tally("tallies", tallies)
    spread = number("aliquot_cv", aliquot_cv, 0, 3, _("(standard deviation over mean)"))
    return _aliquot_limits(found, len(found), confidence(level), spread, number("behind", behind, 1, 1000, "aliquots"))


def _aliquot_limits(
    tallies: Sequence[int], aliquots: int, level: float, cv: float, behind: float
) -> tuple[float, float]:
    """The limits if there were `aliquots` aliquots like those tallied; no fewer than there are."""
    r = len(tallies)
    mean = sum(tallies) / r
    animals = min(round(mean * aliquots), MOST_COUNTED)
    low, high = poisson_limits(animals, level)
    if animals == 0:
        return low, high
    own = _variance(tallies) / mean if r > 1 else 1.0
    phi = (behind * (1 + mean * cv * cv) + (r - 1) * own) / (behind + r - 1)
    freedom = min(max(math.floor(behind + aliquots - 1), 1), MOST_FREEDOM)
    wider = math.sqrt(max(phi, 1.0)) * student_t(level, freedom) / normal_z(level)
    return animals * (low / animals) ** wider, animals * (high / animals) ** wider


def scattered_limits(animals: int, aliquots: int, aliquot_cv: float, level: float = 0.95) -> tuple[float, float]:
    """Confidence limits of the number of animals where it is known by how much aliquots differ beyond chance.

    Garwood's exact limits, each moved away from the count on the log scale by sqrt(1 + n cv^2 / r), as the variance of
    n animals in r aliquots is n + n^2 cv^2 / r. With few aliquots this tells more than their own scatter, which two or
    three hardly show. Range: `aliquots` 1 or more, `aliquot_cv` (coefficient of variation) 0 to 3. Sources: Garwood
    1936, Biometrika 28:437-442; the variance is the negative binomial's (Bliss & Fisher 1953, Biometrics 9:176-200).
    """
    n, r = whole("animals", animals, 0, MOST_COUNTED, "animals"), whole("aliquots", aliquots, 1)
    cv = number("aliquot_cv", aliquot_cv, 0, 3, _("(standard deviation over mean)"))
    low, high = poisson_limits(n, level)
    if n == 0:
        return low, high
    wider = math.sqrt(1.0 + n * cv * cv / r)
    return n * (low / n) ** wider, n * (high / n) ** wider


def _variance(tallies: Sequence[float]) -> float:
    mean = math.fsum(tallies) / len(tallies)
    return math.fsum((x - mean) ** 2 for x in tallies) / (len(tallies) - 1)


def dispersion(tallies: Sequence[int], volumes_ml: Sequence[float] | None = None) -> Dispersion:
    """Are the animals spread at random over the aliquots? Fisher's index-of-dispersion test.

    chi2 = sum (x - D v)^2 / (D v) with D = sum x / sum v, on r - 1 degrees of freedom. Range: two aliquots or more, one
    animal or more; the chi-square approximation wants a mean of about 5, and with three to five aliquots the test has
    little power, so that "not clumped" does not mean "random". Source: Fisher, R.A., Thornton, H.G. & Mackenzie, W.A.
    1922, Ann. Appl. Biol. 9:325-359; z for more than 30 aliquots is Fisher's.
    """
    found = tally("tallies", tallies, 2)
    sizes = [1.0] * len(found) if volumes_ml is None else [above("volumes_ml", v, 0, 1e6, "mL") for v in volumes_ml]
    if len(sizes) != len(found):
        raise InputError(
            "volumes_ml", len(sizes), _("one volume in mL for each of the {found} tallies").format(found=len(found))
        )
    animals = sum(found)
    if animals == 0:
        raise InputError("tallies", _("no animals"), _("at least one animal to judge how evenly they lie"))
    mean = animals / math.fsum(sizes)
    chi2 = math.fsum((x - mean * v) ** 2 / (mean * v) for x, v in zip(found, sizes, strict=True))
    df = len(found) - 1
    tail = chi2_tail(chi2, df)
    return Dispersion(chi2 / df, chi2, df, tail, 1 - tail, math.sqrt(2 * chi2) - math.sqrt(2 * df - 1))


def negbin_k_moments(tallies: Sequence[int]) -> float | None:
    """Exponent k of the negative binomial by moments, m^2/(s2 - m); None when the variance is not above the mean.

    A small k means strong clumping; without one the Poisson distribution serves. Range: two tallies or more; with fewer
    than about 20 the estimate is of little use. Source: Bliss, C.I. & Fisher, R.A. 1953, Biometrics 9:176-200.
    """
    found = tally("tallies", tallies, 2)
    mean, variance = sum(found) / len(found), _variance(found)
    return mean * mean / (variance - mean) if variance > mean else None


def negbin_k(tallies: Sequence[int]) -> float | None:
    """Exponent k of the negative binomial by maximum likelihood; None when the tallies are not over-dispersed.

    Root of sum digamma(x + k) - r digamma(k) - r ln(1 + m/k), written with the finite sums that whole tallies allow.
    Range: as for `negbin_k_moments`. Source: Bliss, C.I. & Fisher, R.A. 1953, Biometrics 9:176-200.
    """
    found = tally("tallies", tallies, 2)
    r, mean = len(found), sum(found) / len(found)
    if _variance(found) * (r - 1) / r <= mean * (1 + 1e-12):
        return None
    more_than = [0] * max(found)
    for value, times in Counter(found).items():
        for j in range(value):
            more_than[j] += times
    low, high = math.log(1e-6), math.log(1e9)
    for _unused in range(200):
        middle = (low + high) / 2
        k = math.exp(middle)
        score = math.fsum(times / (k + j) for j, times in enumerate(more_than)) - r * math.log1p(mean / k)
        if score > 0:
            low = middle
        else:
            high = middle
    return math.exp((low + high) / 2)


def lund_percent(animals: float, aggregated: bool = False) -> float:
    """Half-width of the 95 % interval in percent of the count, by the rule 200/sqrt(n).

    `aggregated` widens it by 1.4 for animals that clump. Range: 25 animals or more; below that the exact interval is
    lopsided and the rule does not serve. Sources: Lund, J.W.G., Kipling, C. & Le Cren, E.D. 1958, Hydrobiologia
    11:143-170; Salonen, Salmi & Keskitalo 2021, J. Plankton Res. 43:846-852 for the factor.
    """
    return 200 / math.sqrt(number("animals", animals, 25, 1e9, "animals")) * (AGGREGATED if aggregated else 1)


def animals_needed(precision: float) -> int:
    """How many animals to count for a 95 % half-width of `precision` (share of the mean).

    (2 / precision)^2, rounded up. Range: precision 0.005 to 1. Source: Lund, Kipling & Le Cren 1958, Hydrobiologia
    11:143-170.
    """
    share = number("precision", precision, 0.005, 1, _("(0.2 for a fifth of the mean)"))
    return math.ceil((2 / share) ** 2 * (1 - 1e-12))


def aliquots_needed(mean: float, k: float | None, variation: float) -> float:
    """How many aliquots of mean tally `mean` give a coefficient of variation `variation` of the mean.

    (1/mean + 1/k) / variation^2, with k None for animals at random; round up. Range: mean above 0, k above 0, variation
    0.001 to 1. Source: Elliott, J.M. 1977, Freshwater Biological Association Sci. Publ. 25.
    """
    share = number("variation", variation, 0.001, 1, _("(standard error over mean)"))
    clumping = 0.0 if k is None else 1 / above("k", k)
    return (1 / above("mean", mean, 0, 1e9, _("animals per aliquot")) + clumping) / share**2


def more_aliquots(
    tallies: Sequence[int],
    precision: float,
    level: float = 0.95,
    aliquot_cv: float = ALIQUOT_CV,
    behind: float = BEHIND,
) -> int:
    """How many more aliquots like these bring the half-width of `aliquot_limits` down to `precision` (share of the
    mean).

    0 only when the interval of what was counted is that narrow and two aliquots or more were counted; so whoever counts
    until it says 0 has an interval of that precision. With no animal so far it is the least that could do, as if the
    next animal came at once. Range: precision 0.02 to 1; the others as for `aliquot_limits`. Source: the interval is
    that of `aliquot_limits`; its coverage when the counting stops by it is simulated in the tests.
    """
    found = list(tally("tallies", tallies))
    share = number("precision", precision, 0.02, 1, _("(0.2 for a fifth of the mean)"))
    spread = number("aliquot_cv", aliquot_cv, 0, 3, _("(standard deviation over mean)"))
    trust, sure = number("behind", behind, 1, 1000, "aliquots"), confidence(level)
    if sum(found) == 0:
        found[-1] = 1
        enough = max(len(found) + 1, LEAST_ALIQUOTS)
    else:
        enough = max(len(found), LEAST_ALIQUOTS)

    def wide(aliquots: int) -> bool:
        low, high = _aliquot_limits(found, aliquots, sure, spread, trust)
        return (high - low) / 2 > share * sum(found) / len(found) * aliquots

    if not wide(enough):
        return enough - len(found)
    step = 1
    while wide(enough + step):
        step *= 2
    low, high = enough + step // 2, enough + step
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if wide(middle) else (low, middle)
    return high - len(found)


def count_change(before: CountDensity, after: CountDensity, kept: float = 1.0, level: float = 0.95) -> CountChange:
    """Is the change between two counts real? The ratio after/before with its interval and p.

    `kept` is the share of culture left by harvests between the two (1 for none), so that a ratio of 1 means that the
    culture did not grow or fall by itself. The interval is Clopper and Pearson's for one count given the sum of both;
    a clumped count is worth fewer animals, n divided by its dispersion index. Range: at least one animal in one of the
    counts; kept above 0 to 1. Source: Przyborowski, J. & Wilenski, H. 1940, Biometrika 31:313-323; Clopper, C.J. &
    Pearson, E.S. 1934, Biometrika 26:404-413.
    """
    share = above("kept", kept, 0, 1, _("(share of culture kept)"))
    tail = (1 - confidence(level)) / 2
    first, second = _worth(before), _worth(after)
    if first + second == 0:
        raise InputError("after", _("no animals in either count"), _("at least one animal in one of the two counts"))
    odds = before.looked_at_ml / (after.looked_at_ml * share)

    def ratio(p: float) -> float:
        return math.inf if p >= 1 else p / (1 - p) * odds

    low = beta_quantile(second, first + 1, tail) if second > 0 else 0.0
    high = beta_quantile(second + 1, first, 1 - tail) if first > 0 else 1.0
    even = 1 / (1 + odds)
    p_more = beta_share(second, first + 1, even) if second > 0 else 1.0
    p_less = 1 - beta_share(second + 1, first, even) if first > 0 else 1.0
    middle = math.inf if before.per_ml == 0 else after.per_ml / (before.per_ml * share)
    return CountChange(middle, ratio(float(low)), ratio(float(high)), min(1.0, 2 * float(min(p_more, p_less))))


def _worth(count: CountDensity) -> float:
    """Animals counted, less what clumping takes from their worth as evidence."""
    index = count.dispersion_index or 1.0
    return count.animals / max(index, 1.0) if count.clumped else float(count.animals)
