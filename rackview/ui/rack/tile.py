"""One vessel's tile in words, made of what is believed and advised: its frozen state and how each part of it is said.

Drawn by `rackview.ui.paint.tile`, which neither queries nor computes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from rackview.advice.words import suggestions as words
from rackview.advice.words.speech import STATE_WORDS, animals_seen
from rackview.core.assessment import Assessment, Flag, Severity, Suggestion
from rackview.core.dataclass import dataclass
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.language import _
from rackview.ui.rack.rack_state import Trend
from rackview.ui.rack.today import worked_on
from rackview.ui.rack.trends import gauge_scale
from rackview.ui.words import formats

FIRST_COUNT = {"recount", "unfed"}
"""Counts on which all else that is to be done hangs."""
UNSURE = 0.3
"""Who may as well grow as fall by so much a day is called neither rising nor level."""
NEAR_CEILING = 0.85
"""Share of the ceiling from which a level vessel is said to be near it."""

HEADINGS = (
    _("Place"), _("Vessel"), _("Strain"), _("Per mL"), "90 %", _("Counted"), _("State"), _("Flags"), _("Next")
)  # fmt: skip
"""Over the columns of the rack where it is copied as a table; `TileState.cells` stands under them."""


@dataclass(frozen=True, slots=True)
class Gauge:
    """A vessel seen from the side. `density` is the estimate's height on the scale, None where nothing is known.

    `low` and `high` are the ends of its 90 % interval, `band` the working band, `water` the share of the vessel that
    holds water. `resting` shows empty glass.
    """

    density: float | None = None
    low: float = 0.0
    high: float = 0.0
    band: tuple[float, float] | None = None
    resting: bool = False
    water: float = 1.0


@dataclass(frozen=True, slots=True)
class FlagMark:
    """One flag: its severity (a shape), the one or two words beside the shape, and the whole sentence."""

    severity: Severity
    word: str
    text: str


@dataclass(frozen=True, slots=True)
class TileState:
    """All that one tile shows. `vessel` is the key; every other text is as it will be read.

    `tone` is the severity whose colour the trend words take, None for plain ink. `care` and `signs` stand left and
    right at the foot of the trend, `signs_brief` where there is no room for both. `actions` are what to do next, most
    important first. `marks` are the flags, worst first; `rank` tells which of several vessels that want a hand today
    comes first, 0 where it is the only one or none; `accessible` is the whole tile in words, `tooltip` each number with
    how sure and how old it is, line by line.
    """

    vessel: str
    place: str
    name: str
    title: str = ""
    words: str = ""
    detail: str = ""
    density: str = ""
    interval: str = ""
    age: str = ""
    tone: Severity | None = None
    care: str = ""
    signs: str = ""
    signs_brief: str = ""
    gauge: Gauge = Gauge()
    trend: Trend | None = None
    marks: tuple[FlagMark, ...] = ()
    rank: int = 0
    actions: tuple[str, ...] = ()
    settled: bool = False
    accessible: str = ""
    tooltip: str = ""

    def cells(self) -> tuple[str, ...]:
        """What stands under HEADINGS where the rack is copied as a table."""
        flags, actions = ", ".join(m.word for m in self.marks), "; ".join(self.actions)
        return (self.place, self.name, self.title, self.density, self.interval, self.age, self.words, flags, actions)

    @property
    def severity(self) -> Severity | None:
        """The worst severity of its flags."""
        return max((m.severity for m in self.marks), default=None)

    @property
    def resting(self) -> bool:
        """Whether the vessel is out of use."""
        return self.gauge.resting


def tile(
    rack: Rack,
    seen: Assessment,
    suggestions: Sequence[Suggestion] | None,
    trend: Trend | None,
    at: datetime,
    *,
    rank: int = 0,
) -> TileState:
    """One vessel's tile; `rank` tells which of several that want a hand today comes first.

    `suggestions` of None are still being worked out: the tile then names nothing to do.
    """
    vessel, profile = rack.vessel(seen.vessel), rack.profile(seen.vessel)
    marks = tuple(_mark(f) for f in seen.standing_flags)
    worst = marks[0].severity if marks else None
    actions = tuple(_actions(_unsaid(suggestions or (), seen)))
    settled = not actions and suggestions is not None
    if settled:
        done = seen.state != "resting" and worked_on(rack, seen.vessel, at)
        actions = (_("Done for today") if done else words.tile_sentence((), seen),)
    if settled and worst is not None and worst > Severity.notice:
        actions, settled = (_("See to it"),), False  # nobody answered the flag, and no suggestion does
    used = seen.state not in {"resting", "empty"}
    density = seen.density_per_ml if used else None
    eggs = seen.ovigerous_share if density is not None else None
    made = TileState(
        vessel=seen.vessel,
        place=vessel.place,
        name=vessel.vessel,
        title=_("{strain}, reserve").format(strain=profile.title) if seen.reserve else profile.title,
        words=_words(seen),
        detail="" if density else _detail(seen, at),
        density=formats.two_figures(density.median) if density else "",
        interval=formats.span(density) if density else "",
        age=_age(seen, at) if density else "",
        tone=worst if seen.state in {"falling", "crashed"} else None,
        care=_care(seen, at) if used else "",
        signs=_("{share} with eggs").format(share=formats.percent_of(eggs)) if eggs is not None else "",
        signs_brief=_("{share} eggs").format(share=formats.percent_of(eggs)) if eggs is not None else "",
        gauge=_gauge(seen, profile),
        trend=trend,
        marks=marks,
        rank=rank,
        actions=actions,
        settled=settled,
        tooltip="\n".join(_tooltip(rack, seen, at)),
    )
    return _named(made)


def _tooltip(rack: Rack, seen: Assessment, at: datetime) -> list[str]:
    """Every number of a tile with how sure and how old it is, a line each, and its flags in whole sentences."""
    vessel, profile, speech = rack.vessel(seen.vessel), rack.profile(seen.vessel), words.Speech(rack.settings)
    found = [f"{vessel.place} {vessel.vessel}, {profile.title}"]
    if seen.state not in {"resting", "empty"}:
        density, count, rate, eggs = (
            seen.density_per_ml, seen.last_count_per_ml, seen.net_rate_per_day, seen.eggs_seen,
        )  # fmt: skip
        if density is not None:
            found.append(
                _("{n} per mL now, {span} at 90 %").format(
                    n=formats.two_figures(density.median), span=formats.span(density)
                )
            )
        if count is not None and seen.days_since_count is not None:
            found.append(
                _("counted {age}: {n} per mL, {span}, from {animals}").format(
                    age=formats.age(seen.days_since_count, at),
                    n=formats.two_figures(count.median),
                    span=formats.span(count),
                    animals=animals_seen(seen.counted_animals),
                )
            )
        if rate is not None:
            ends = _("{low} to {high}").format(low=formats.signed(rate.low90), high=formats.signed(rate.high90))
            found.append(_("{rate} a day ({ends})").format(rate=formats.signed(rate.median), ends=ends))
        if eggs is not None:
            found.append(
                _("{share} of {n} females with eggs, {age}").format(
                    share=formats.percent_of(eggs.value), n=seen.females_checked, age=formats.age(eggs.age_days, at)
                )
            )
        if seen.chance_below_floor is not None:
            found.append(
                _("under {floor} per mL tomorrow: {chance}").format(
                    floor=formats.two_figures(profile.floor_per_ml), chance=formats.chance(seen.chance_below_floor)
                )
            )
    warm = seen.water.temperature_c
    if warm is not None:
        found.append(f"{speech.temperature(warm.value)}, {formats.age(warm.age_days, at)}")
    return found + [" ".join(filter(None, (f.text, words.likelihood_of(f)))) for f in seen.standing_flags]


def _unsaid(suggestions: Sequence[Suggestion], seen: Assessment) -> Sequence[Suggestion]:
    """What a flag beside it does not say already: “floss due” is as good as “rinse floss”, unless that is all."""
    flagged = any(f.code == "floss" for f in seen.standing_flags)
    left = [s for s in suggestions if not (flagged and s.action == "clean" and s.what == "floss")]
    return left if any(s.text for s in left) else suggestions


def _actions(suggestions: Sequence[Suggestion]) -> list[str]:
    """What to do, the weightiest first; where nothing may be taken that is said right after the count.

    A count comes first where all else hangs on it.
    """
    first = ("count", "hold") if any(s.action == "hold" or s.code in FIRST_COUNT for s in suggestions) else ()
    order = (*first, *words.TILE_ORDER, "hold")
    ordered = sorted((s for s in suggestions if s.text), key=lambda s: order.index(s.action))
    texts = [s.text.removesuffix(_(" to {to}").format(to=s.to)) for s in ordered]  # where to is said in the day's list
    return texts[:1] + [t[0].lower() + t[1:] for t in texts[1:]]


def _mark(flag: Flag) -> FlagMark:
    return FlagMark(flag.severity, flag.short or flag.code.replace("_", " "), flag.text)


def _words(seen: Assessment) -> str:
    net = seen.net_rate_per_day
    rate = None if net is None else net.median
    if net is not None and seen.state in {"rising", "level"} and net.low90 < -UNSURE < UNSURE < net.high90:
        return _("growth unsure")
    match seen.state:
        case "rising" if rate is not None:
            return _("rising {rate} a day").format(rate=f"{abs(rate):.2f}")
        case "falling" if rate is not None:
            return _("falling {rate} a day").format(rate=f"{abs(rate):.2f}")
        case "level":
            density, ceiling = seen.density_per_ml, seen.ceiling_per_ml
            full = density is not None and ceiling is not None and density.median > NEAR_CEILING * ceiling
            return _("near its ceiling") if full else _("level")
        case "unknown":
            return _("not counted") if not seen.counts_so_far else _("count due")
        case state:
            return STATE_WORDS[state]


def _detail(seen: Assessment, at: datetime) -> str:
    if seen.state == "resting" and seen.resting_days is not None:
        return _("for {days}").format(days=formats.since(seen.resting_days, at))
    if seen.days_since_restart is not None and seen.state == "unknown":
        return _("started {age}").format(age=formats.age(seen.days_since_restart, at))
    return ""


def _age(seen: Assessment, at: datetime) -> str:
    return formats.age(seen.days_since_count, at) if seen.days_since_count is not None else _("no count")


def _care(seen: Assessment, at: datetime) -> str:
    if seen.days_since_floss is not None:
        return _("floss {days}").format(days=formats.since(seen.days_since_floss, at))
    if seen.days_since_cleaning is not None:
        return _("cleaned {days}").format(days=formats.since(seen.days_since_cleaning, at))
    if seen.days_since_restart is not None:
        return _("started {days}").format(days=formats.since(seen.days_since_restart, at))
    return ""


def _gauge(seen: Assessment, profile: StrainProfile) -> Gauge:
    scale = gauge_scale(profile)
    band = (scale.at(profile.band_low_per_ml), scale.at(profile.band_high_per_ml))
    if seen.state in {"resting", "empty"}:
        return Gauge(band=band, resting=True)
    density, water = seen.density_per_ml, seen.level_l / seen.volume_l
    if density is None:
        return Gauge(band=band, water=water)
    return Gauge(scale.at(density.median), scale.at(density.low90), scale.at(density.high90), band, water=water)


SEVERITY_WORDS = {Severity.today: _("act today"), Severity.week: _("this week"), Severity.notice: _("notice")}


def _named(made: TileState) -> TileState:
    """The tile with its whole content as one text for a screen reader."""
    parts = [f"{made.place} {made.name}", made.title]
    if made.density:
        parts.append(
            _("{density} per mL, {span}, counted {age}").format(
                density=made.density, span=made.interval.replace("–", _(" to ")), age=made.age
            )
        )
    parts += [" ".join(filter(None, (made.words, made.detail))), made.care, made.signs]
    parts += [f"{SEVERITY_WORDS[m.severity]}: {m.word}" for m in made.marks]
    parts.append(_("number {n} to see to").format(n=made.rank) if made.rank else "")
    parts.append(_("next: {actions}").format(actions="; ".join(made.actions)) if made.actions else "")
    return replace(made, accessible=". ".join(p for p in parts if p))
