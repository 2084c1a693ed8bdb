"""What stands behind a suggestion, a flag or a vessel's density: facts, the entries that show them, and weights.

No drawing here; `why_list` paints the lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from rackview.advice.words.speech import animals_seen, per_ml
from rackview.core.assessment import Assessment, Flag, Suggestion
from rackview.core.clock import day_number
from rackview.core.dataclass import dataclass
from rackview.core.events import Count, Event
from rackview.core.rack import Rack
from rackview.language import _
from rackview.ui.words import event_words, formats

if TYPE_CHECKING:
    from rackview.science.state.weights import Grounds

REACH_DAYS = 120.0
"""How far back the entries behind a fact are looked for."""
LEAST = 0.005
"""Weights smaller than this are not told apart from none."""


@dataclass(frozen=True, slots=True)
class WhyLine:
    """One line: a heading, a fact, or an entry. `weight` draws a bar; `event` and `vessel` lead to the entry."""

    text: str
    right: str = ""
    weight: float | None = None
    event: str = ""
    vessel: str = ""
    heading: bool = False
    note: bool = False

    @property
    def accessible(self) -> str:
        """The line in words."""
        if self.weight is None:
            return ", ".join(w for w in (self.text, self.right) if w)
        return _("{what}: weight {share}").format(what=self.text, share=self.right)


def why_lines(
    rack: Rack, seen: Assessment, at: datetime, what: Suggestion | Flag | None = None, donor: Assessment | None = None
) -> tuple[WhyLine, ...]:
    """All that stands behind `what` and behind the density of its vessel, and of the donor of a restart.

    `at` is in the keeper's zone; with None for `what` only the density is explained.
    """
    found: list[WhyLine] = []
    if what is not None and what.evidence:
        found.append(WhyLine(_("Shown by"), heading=True))
        known = _entries(rack, {e for fact in what.evidence for e in fact.events}, at)
        for fact in what.evidence:
            shown = sorted((known[e] for e in set(fact.events) if e in known), key=Event.order, reverse=True)
            text = formats.sentence(fact.text)
            if len(shown) == 1:  # the fact is the entry in words
                if shown[0].vessel != seen.vessel:
                    text = f"{rack.vessels[shown[0].vessel].place}: {text}"
                found.append(WhyLine(text, event=shown[0].id, vessel=shown[0].vessel))
                continue
            found.append(WhyLine(text))
            found += [_entry(rack, e, at, seen.vessel) for e in shown]
    found += _two_futures(what, at)
    found += _density(rack, seen, at)
    if donor is not None:
        found += _density(rack, donor, at)
    return tuple(found)


def _two_futures(what: Suggestion | Flag | None, at: datetime) -> list[WhyLine]:
    """What larvae would get, and what could be given, if a suggestion is followed and if it is not."""
    if not isinstance(what, Suggestion) or what.as_advised is None or what.otherwise is None:
        return []
    from rackview.advice.what_if.otherwise import compared

    told = compared(what.as_advised, what.otherwise, at.date())
    return [WhyLine(_("If it is done, and otherwise"), heading=True), *map(WhyLine, told)]


def _entries(rack: Rack, ids: set[str], at: datetime) -> dict[str, Event]:
    since = day_number(at) - REACH_DAYS
    return {
        node.event.id: node.event
        for name in rack.vessels
        for node in rack.log(name).back(since)
        if node.event is not None and node.event.id in ids
    }


def _entry(rack: Rack, event: Event, at: datetime, here: str, right: str = "", weight: float | None = None) -> WhyLine:
    text = f"{_when(event.at, at)}: {_told(rack, event)}"
    if event.vessel != here:
        text = f"{rack.vessels[event.vessel].place} {text}"
    return WhyLine(text, right, weight, event.id, event.vessel)


def _when(then: datetime, at: datetime) -> str:
    local = then.astimezone(at.tzinfo)
    return f"{formats.short_date(local.date(), at.date())} {formats.clock(local)}"


def _told(rack: Rack, event: Event) -> str:
    if isinstance(event, Count) and event.looked_at_ml > 0:
        density = per_ml(event.animals / event.looked_at_ml)
        return _("{density}, {animals}").format(density=density, animals=animals_seen(event.seen))
    return event_words.summary(event, rack.settings)


def _density(rack: Rack, seen: Assessment, at: datetime) -> list[WhyLine]:
    from rackview.advice.record.grounds import density_grounds

    grounds = density_grounds(rack, seen.vessel, at)
    if grounds is None or seen.density_per_ml is None:
        return []
    density = formats.two_figures(seen.density_per_ml.median)
    place = rack.vessels[seen.vessel].place
    heading = _("What the {n} /mL in {place} rests on").format(n=density, place=place)
    found = [WhyLine(heading, heading=True)]
    found += [
        _entry(rack, s.event, at, seen.vessel, _share(s.weight), s.weight)
        for s in grounds.sources
        if abs(s.weight) >= LEAST or s is grounds.sources[0]
    ]
    older = grounds.older + sum(s.weight for s in grounds.sources[1:] if abs(s.weight) < LEAST)
    if abs(older) >= LEAST:
        words = _("older counts, and the growth and ceiling they taught")
        if grounds.usual is None:
            words = _("{words}; the strain's usual behind them").format(words=words)
        found.append(WhyLine(words, _share(older), older))
    if grounds.usual is not None and abs(grounds.usual) >= LEAST:
        found.append(WhyLine(_("the strain's usual density and ceiling"), _share(grounds.usual), grounds.usual))
    found += _since(rack, grounds, at, seen)
    found.append(WhyLine(_meaning([s.weight for s in grounds.sources]), note=True))
    return found


def _since(rack: Rack, grounds: Grounds, at: datetime, seen: Assessment) -> list[WhyLine]:
    times = _("× {n}")
    found = [_entry(rack, one.event, at, seen.vessel, times.format(n=f"{one.factor:.2f}")) for one in grounds.moved]
    if grounds.unfed_days > 0.0:
        words = _("{days} without food, as nobody was there by the record; as a rule")
        unfed = words.format(days=formats.days(max(grounds.unfed_days, 1.0)))
        found.append(WhyLine(unfed, times.format(n=f"{grounds.unfed:.2f}")))
    rate = seen.net_rate_per_day
    if rate is not None and seen.days_since_count is not None and seen.days_since_count > 0.25:
        words = _("growth since, now {rate} a day ({low} to {high})")
        ends = [formats.signed(v) for v in (rate.median, rate.low90, rate.high90)]
        found.append(WhyLine(words.format(rate=ends[0], low=ends[1], high=ends[2])))
    return [WhyLine(_("Reckoned on from there"), heading=True), *found] if found else []


def _share(weight: float) -> str:
    return f"{100 * weight:.0f} %".replace("-", "−")


def _meaning(weights: Sequence[float]) -> str:
    if not weights:
        return _("Nothing of this culture was counted yet.")
    newest = 10.0 * weights[0]
    words = _("Had the newest been a tenth higher, the estimate would be {n} % higher; all weights make 100 %.").format(
        n=f"{newest:.1f}".replace("-", "−")
    )
    if min(weights) < -LEAST:
        words += " " + _("A negative weight pulls the other way: higher then means less growth since.")
    return words
