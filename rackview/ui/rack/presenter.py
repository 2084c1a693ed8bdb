"""From what is believed and advised to what the rack screen shows; no drawing and no arithmetic of its own.

Everything is handed in: the rack, its assessments and suggestions, and the moment in the keeper's time zone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from rackview.advice.words import suggestions as words
from rackview.advice.words.speech import STATE_WORDS
from rackview.core.assessment import Assessment, Flag, Severity, Suggestion
from rackview.core.events import Clean, Event, Feed, Harvest, Restart, Split, TopUp
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.language import _
from rackview.ui.rack.tile_state import FlagMark, FreePlace, Gauge, RackState, Shelf, TileState, Trend
from rackview.ui.rack.trends import Trends, gauge_scale
from rackview.ui.words import formats

WORK = (Harvest, Feed, Clean, Split, Restart, TopUp)
FIRST_COUNT = {"recount", "unfed"}
"""Counts on which all else that is to be done hangs."""
UNSURE = 0.3
"""Who may as well grow as fall by so much a day is called neither rising nor level."""
NEAR_CEILING = 0.85
"""Share of the ceiling from which a level vessel is said to be near it."""
MANY_PLACES = 6
"""A shelf shows its gaps as long as there are no more of them than vessels and this many."""


def waiting(rack: Rack, at: datetime, *, banner: str = "") -> RackState:
    """The rack before anything is worked out: every vessel in its place, nothing said of it yet."""
    tiles = {
        name: TileState(
            vessel=name,
            place=vessel.place,
            name=name,
            title=rack.profile(name).title,
            words=_("one moment"),
            accessible=_("{place} {name}, being worked out").format(place=vessel.place, name=name),
        )
        for name, vessel in rack.vessels.items()
    }
    return _state(rack, tiles, at, banner)


def _state(rack: Rack, tiles: Mapping[str, TileState], at: datetime, banner: str) -> RackState:
    return RackState(
        name=rack.settings.name or _("The rack"),
        invented=_("invented rack") if rack.settings.invented else "",
        date=formats.full_date(at.date()),
        time=formats.clock(at),
        shelves=shelves(list(rack.vessels.values()), tiles),
        banner=banner,
    )


class Presenter:
    """Makes states; keeps the courses behind the trends from one call to the next."""

    def __init__(self) -> None:
        self._trends = Trends()

    def rack(
        self,
        rack: Rack,
        assessments: Mapping[str, Assessment],
        suggestions: Sequence[Suggestion],
        at: datetime,
        *,
        banner: str = "",
    ) -> RackState:
        """The rack screen at `at` (aware, in the keeper's zone); `banner` says why nothing can be recorded."""
        trends = self._trends.of(rack, at)
        by_vessel: dict[str, list[Suggestion]] = {name: [] for name in rack.vessels}
        for one in suggestions:
            by_vessel.setdefault(one.vessel, []).append(one)
        return self._of(rack, assessments, by_vessel, trends, at, banner)

    def looked(self, rack: Rack, assessments: Mapping[str, Assessment], at: datetime, *, banner: str = "") -> RackState:
        """The rack while only what is believed is known: no tile names what to do or has its trend yet."""
        return self._of(rack, assessments, {}, {}, at, banner)

    def _of(
        self,
        rack: Rack,
        assessments: Mapping[str, Assessment],
        suggestions: Mapping[str, Sequence[Suggestion]],
        trends: Mapping[str, Trend],
        at: datetime,
        banner: str,
    ) -> RackState:
        ranks = ranked(assessments.values())
        tiles = {
            name: tile(
                rack,
                assessments[name],
                suggestions.get(name),
                trends.get(name),
                at,
                rank=ranks.get(name, 0),
            )
            for name in rack.vessels
            if name in assessments
        }
        return _state(rack, tiles, at, banner)


def ranked(assessments: Iterable[Assessment]) -> dict[str, int]:
    """In which order the vessels want a hand that have a flag for today: where most animals may be lost comes first.

    What may be lost is the animals in the vessel times how sure the surest of those flags is; what crashed has little
    left to lose and comes last. Empty where there are fewer than two.
    """
    at_stake = {}
    for seen in assessments:
        urgent = [f.probability for f in seen.standing_flags if f.severity is Severity.today]
        if urgent:
            density = seen.density_per_ml.median if seen.density_per_ml is not None else 0.0
            at_stake[seen.vessel] = max(urgent) * density * seen.level_l
    if len(at_stake) < 2:
        return {}
    return {name: n for n, name in enumerate(sorted(at_stake, key=lambda v: -at_stake[v]), 1)}


def shelves(vessels: Sequence[Vessel], tiles: Mapping[str, TileState]) -> tuple[Shelf, ...]:
    """Tiles as their vessels stand, every shelf as long as the longest, gaps kept where they are not absurd."""
    by_shelf: dict[str, dict[int, Vessel]] = {}
    for vessel in vessels:
        if vessel.vessel in tiles:
            by_shelf.setdefault(vessel.shelf, {})[vessel.position] = vessel
    longest = max((_last_place(found) for found in by_shelf.values()), default=0)
    made = []
    for name in sorted(by_shelf):
        found = by_shelf[name]
        last = _last_place(found)
        positions = range(1, max(last, longest) + 1) if last else sorted(found)
        made.append(Shelf(name, tuple(_place(name, p, found.get(p), tiles) for p in positions)))
    return tuple(made)


def _last_place(found: Mapping[int, Vessel]) -> int:
    """The last place of a shelf, 0 if its numbers leave so many gaps that they are not shown."""
    return max(found) if max(found) <= len(found) * 2 + MANY_PLACES else 0


def _place(shelf: str, position: int, vessel: Vessel | None, tiles: Mapping[str, TileState]) -> TileState | FreePlace:
    if vessel is not None:
        return tiles[vessel.vessel]
    return FreePlace(shelf, position, _("{place}, free place").format(place=f"{shelf}{position}"))


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
    actions = tuple(_actions(suggestions or ()))
    settled = not actions and suggestions is not None
    if settled:
        done = seen.state != "resting" and worked_on(rack, seen.vessel, at)
        actions = (_("Done for today") if done else words.tile_sentence((), seen),)
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
                    animals=formats.animals_seen(seen.counted_animals),
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


def worked_on(rack: Rack, vessel: str, at: datetime) -> list[Event]:
    """What was done at a vessel since midnight of the keeper's day, oldest first; counts are not work."""
    return [e for e in events_today(rack, vessel, at) if isinstance(e, WORK)]


def events_today(rack: Rack, vessel: str, at: datetime) -> list[Event]:
    """Events of the keeper's day at a vessel, oldest first, those of other vessels left out."""
    midnight = at.replace(hour=0, minute=0, second=0, microsecond=0)
    tomorrow = midnight + timedelta(days=1)
    found: list[Event] = []
    for node in rack.logs[vessel].back():
        if node.event is None or node.event.at < midnight:
            break
        if node.event.at < tomorrow and node.event.at <= at and not node.incoming:
            found.append(node.event)
    found.reverse()
    return found
