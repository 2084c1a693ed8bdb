"""What the program has learned of a vessel, in sentences: growth and ceiling, how its aliquots scatter."""

from __future__ import annotations

from math import log

from rackview.advice.record.grounds import Lessons
from rackview.core.assessment import Interval
from rackview.core.profile import StrainProfile
from rackview.core.tables import Settings
from rackview.language import _
from rackview.science.state.learned import Lesson
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

OWN = 0.5
"""Share of what is known that must come from the vessel's own counts before a number is said to be its own."""
WIDE = 4.0
"""A ceiling whose 90 % interval spans more than this factor is not known yet."""
SLOW_DAYS = 60.0


def sentences(found: Lessons, profile: StrainProfile, settings: Settings) -> tuple[str, ...]:
    """One sentence for each thing learned; where too little was counted it says so and names what stands in."""
    one = found.learned
    said = []
    if one.growth is not None:
        said.append(_growth(one.growth, one.at_per_ml, one.temperature_c, profile, settings))
    if one.ceiling is not None:
        said.append(_ceiling(one.ceiling, profile))
    if found.taken:
        said.append(_scatter(found, settings))
    return tuple(said)


def from_counts(found: Lessons) -> str:
    """How many counts stand behind it all."""
    n = found.learned.counts
    if n == 0:
        return _("never counted")
    return _("from 1 count") if n == 1 else _("from {n} counts").format(n=n)


def _growth(lesson: Lesson, at_per_ml: float, degrees: float | None, profile: StrainProfile, settings: Settings) -> str:
    usual = _("{rate} a day").format(rate=f"{lesson.usual.median:.2f}")
    if lesson.share < OWN:
        return _(
            "Growth: too few counts to tell this vessel from its strain, which usually grows by {usual} when thinned "
            "to {density} /mL."
        ).format(usual=usual, density=formats.two_figures(at_per_ml))
    warm = (
        ""
        if degrees is None
        else _(" and at its usual {degrees}").format(degrees=ku.temperature_text(degrees, settings))
    )
    return _(
        "Growth: {rate} a day ({low} to {high}) when thinned to {density} /mL{warm}; {doubling}. "
        "Usual for {strain}: {usual}."
    ).format(
        rate=_rate(lesson.value.median),
        low=_rate(lesson.value.low90),
        high=_rate(lesson.value.high90),
        density=formats.two_figures(at_per_ml),
        warm=warm,
        doubling=doubling(lesson.value),
        strain=profile.title,
        usual=usual,
    )


def _rate(rate: float) -> str:
    return f"{rate:.2f}".replace("-", "−")


def doubling(rate: Interval) -> str:
    """How long a doubling takes at a rate, with the ends of its interval."""
    if rate.median <= log(2.0) / SLOW_DAYS:
        return _("it does not double")
    middle, quick = log(2.0) / rate.median, log(2.0) / rate.high90
    if rate.low90 <= log(2.0) / SLOW_DAYS:
        return _("doubles in {n} days, {quick} at best").format(n=_days(middle), quick=_days(quick))
    return _("doubles in {n} days ({quick} to {slow})").format(
        n=_days(middle), quick=_days(quick), slow=_days(log(2.0) / rate.low90)
    )


def _days(days: float) -> str:
    return f"{days:.1f}" if days < 9.95 else f"{days:.0f}"


def _ceiling(lesson: Lesson, profile: StrainProfile) -> str:
    usual = formats.two_figures(profile.ceiling_per_ml)
    if lesson.share < OWN:
        return _(
            "Ceiling: too few counts near it to tell this vessel from its strain, which usually stops growing near "
            "{usual} /mL."
        ).format(usual=usual)
    span = _span(lesson.value)
    if lesson.value.high90 > WIDE * lesson.value.low90:
        return _("Ceiling: not sure yet, somewhere from {span} /mL; usual for {strain}: {usual}.").format(
            span=span, strain=profile.title, usual=usual
        )
    return _("Ceiling: stops growing near {n} /mL ({span}); usual for {strain}: {usual}.").format(
        n=formats.two_figures(lesson.value.median), span=span, strain=profile.title, usual=usual
    )


def _span(found: Interval) -> str:
    return formats.span(found).replace("–", _(" to "))


def _scatter(found: Lessons, settings: Settings) -> str:
    scatter = found.learned.scatter
    cv = 0.0 if scatter is None else scatter.cv
    wanted = _("±{share} %").format(share=f"{100 * settings.count_precision:.0f}")
    if scatter is None or scatter.share < OWN:
        head = _("Counting: too few repeated aliquots to tell how yours differ, so {share} % beyond chance is taken.")
    elif cv < 0.03:
        head = _("Counting: your aliquots differ no more than chance makes them.")
    else:
        head = _("Counting: your aliquots differ by {share} % beyond chance.")
    head = head.format(share=f"{100 * cv:.0f}")
    if found.aliquots > found.taken:
        need = _("At {animals} animals each, {need} give {wanted}; your usual {taken} give ±{now} %.")
    else:
        need = _("Your usual {taken} of {animals} animals each give ±{now} %, which is enough.")
    need = need.format(
        animals=formats.two_figures(found.animals),
        need=found.aliquots,
        wanted=wanted,
        taken=found.taken,
        now=f"{100 * found.reached:.0f}",
    )
    return f"{head} {need}"
