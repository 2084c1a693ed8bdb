"""The watch carried along a vessel's history, what its mornings taught, and the chance of a fall that follows."""

from __future__ import annotations

import math
from collections.abc import Iterable

from rackview.core import events as ev
from rackview.core.dataclass import dataclass
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.core.vessel import Vessel
from rackview.science.risk import constants as c
from rackview.science.risk.model import UNTAUGHT, Taught, band, lesson, logits, shares, speaks, watch_numbers
from rackview.science.risk.watch import Pending, Watch


@dataclass(frozen=True, slots=True)
class Risk:
    """The chance that 30 % of the animals are lost within three days, harvests apart, as this rack has taught.

    `numbers` are what it rests on (see `model.NUMBERS`), `usual_eggs` is the share of females with eggs to be expected
    at this density, `mornings` and `falls` are this rack's mornings at about this chance and how many were followed by
    a fall, as far as its counts tell.
    """

    chance: float
    numbers: tuple[float, ...]
    taught: Taught
    usual_eggs: float
    mornings: float
    falls: float

    @property
    def elsewhere(self) -> float:
        """The same chance on a rack of which nothing is known."""
        return UNTAUGHT.chance(logits(self.numbers))

    @property
    def signs(self) -> dict[str, float]:
        """By how much each sign raises the log odds over those of a calm culture."""
        return shares(self.numbers, self.taught)

    @property
    def hazard_per_day(self) -> float:
        """The rate per day at which falls begin."""
        return -math.log1p(-min(self.chance, c.MOST_CERTAIN)) / c.WITHIN_DAYS


Tally = tuple[tuple[float, float], ...]
TaughtUpTo = tuple[tuple[float, ...], Tally, float, tuple[tuple[float, ...], Tally]]
"""What a vessel's mornings taught, the day of the newest lesson, and what they had taught before it; see `Watch`."""


def watch(log: Node, profile: StrainProfile) -> Watch:
    """The vessel as watched up to the newest event of `log`; not to be changed."""
    found: Watch = log.fold(
        ("risk", profile), lambda vessel: _start(vessel, profile), lambda w, n, _: watch_step(w, n, profile)
    )
    return found


def risk(log: Node, profile: StrainProfile, day: float, taught: Taught = UNTAUGHT) -> Risk | None:
    """The chance of a fall within three days of `day`; None where nothing was ever looked at."""
    head = log.upto(day)
    now = watch(head, profile).copy()
    now.to(day)
    x = watch_numbers(now, day)
    if x is None:
        return None
    chance = taught.chance(logits(x))
    mornings, falls = taught.followed(chance)
    return Risk(chance, x, taught, now.expected_egg_share(), mornings, falls)


def taught_together(logs: Iterable[tuple[Node, StrainProfile]], day: float) -> Taught:
    """What the vessels with these histories and profiles, all of one strain, had taught together by `day`.

    `day` is not long before the newest event, such as the last midnight: a count of today moves nothing elsewhere.
    """
    total = UNTAUGHT
    for log, profile in logs:
        taught, tally, since, before = _taught(log, profile)
        total = total + (Taught(taught, tally) if since <= day else Taught(*before))
    return total


def remember_lessons(logs: Iterable[tuple[Node, StrainProfile]]) -> None:
    """Let the newest events remember what was taught up to them, so that a start need not read all that was watched."""
    for log, profile in logs:
        if log.event is not None:
            log.memo["taught", profile] = _taught(log, profile)


def _taught(log: Node, profile: StrainProfile) -> TaughtUpTo:
    known: TaughtUpTo | None = log.memo.get(("taught", profile))
    if known is not None:
        return known
    w = watch(log, profile)
    return w.taught, w.tally, w.taught_day, w.before


def _start(vessel: Vessel, profile: StrainProfile) -> Watch:
    return Watch.of(vessel.volume_l, profile)


def watch_step(before: Watch, node: Node, profile: StrainProfile) -> Watch:
    """The watch after one more event."""
    event, day = node.event, node.day
    if not isinstance(event, WATCHED):
        return before
    w = before.copy()
    if isinstance(event, ev.Count):
        w.count(event, day, profile)
        _learn(w, day)
        _note(w, day, event.id)
    elif isinstance(event, ev.Reading):
        w.to(day)
        w.reading(event)
        if w.pending and day - w.pending[-1][0] < c.SAME_LOOK:
            _note(w, day, event.id)
    elif isinstance(event, ev.Harvest):
        w.take(event.volume_l, event.refill_l, day)
    elif isinstance(event, ev.TopUp):
        w.add(event.volume_l, day)
    elif isinstance(event, ev.Split):
        _split(w, event, node)
    elif isinstance(event, ev.Restart) and node.incoming:
        w.take(event.volume_l or 0.0, event.refilled_l, day)
    else:
        _end(w, day)
        w.begin(day)
        w.level_l = event.level_l(w.full_l) if isinstance(event, ev.Restart) else 0.0
    return w


WATCHED = (ev.Count, ev.Reading, ev.Harvest, ev.TopUp, ev.Split, ev.Restart, ev.Rest, ev.Return)


def _split(w: Watch, event: ev.Split, node: Node) -> None:
    if not node.incoming:
        w.take(event.volume_l, event.refilled_l, node.day)
        return
    _end(w, node.day)  # what is in it now is another mix: earlier mornings say nothing of it
    w.begin(node.day)
    w.level_l = min(w.level_l + event.volume_l + event.filled_l(w.level_l, w.full_l), w.full_l)


# --- mornings and what they were followed by ---


def _note(w: Watch, day: float, event: str) -> None:
    """Note the numbers of this look as a morning whose outcome is open; one of the same look gives way."""
    x = watch_numbers(w, day)
    if x is None or w.x is None:
        return
    by_cause, at, sd = logits(x), w.x - w.shift, math.sqrt(w.paa)
    again = bool(w.looks) and day - w.looks[-1][0] < c.SAME_LOOK
    seen = (*w.looks[-1][1], event) if again else (event,)
    w.looks = (
        *(w.looks[:-1] if again else w.looks[-c.LOOKS + 1 :]),
        (w.looks[-1][0] if again else day, seen, x, by_cause),
    )
    kept = w.pending[:-1] if w.pending and day - w.pending[-1][0] < c.SAME_LOOK else w.pending
    first = w.pending[-1][0] if len(kept) < len(w.pending) else day
    w.pending = (*kept, (first, by_cause, at, sd, 0.0, c.LOSS_ERROR * sd))


def _learn(w: Watch, day: float) -> None:
    """Let a new count tell the open mornings what came after; those that are over teach."""
    if w.x is None or not w.pending:
        return
    at, sd = w.x - w.shift, math.sqrt(w.paa)
    open_: list[Pending] = []
    for then, by_cause, top, top_sd, worst, error in w.pending:
        if day - then < c.SAME_LOOK:
            open_.append((then, by_cause, top, top_sd, worst, error))
            continue
        if at - top < worst:
            worst, error = at - top, math.hypot(sd, top_sd)
        if at > top:
            top, top_sd = at, sd
        if day - then < c.DUE:
            open_.append((then, by_cause, top, top_sd, worst, error))
        elif day - then <= c.LESSON_SPAN or worst <= c.LOG_FALL:
            _teach(w, day, by_cause, worst, error)
    w.pending = tuple(open_)


def _end(w: Watch, day: float) -> None:
    """The culture ended: open mornings teach only where a fall was seen already."""
    for _, by_cause, _, _, worst, error in w.pending:
        if worst <= c.LOG_FALL:
            _teach(w, day, by_cause, worst, error)
    w.pending = ()


def _teach(w: Watch, day: float, by_cause: tuple[float, ...], worst: float, error: float) -> None:
    if day - w.taught_day > c.SAME_DAY:
        w.before, w.taught_day = (w.taught, w.tally), day
    ratio = speaks(worst, error)
    own = Taught(w.taught, w.tally)
    chance = own.chance(by_cause)
    fell = chance * ratio / (chance * ratio + 1.0 - chance)
    told = lesson(by_cause, ratio)
    w.taught = tuple([a + b for a, b in zip(w.taught, told, strict=True)]) if w.taught else tuple(told)
    tally = list(w.tally or ((0.0, 0.0),) * (len(c.BANDS) + 1))
    n, falls = tally[band(chance)]
    tally[band(chance)] = n + 1.0, falls + fell
    w.tally = tuple(tally)
