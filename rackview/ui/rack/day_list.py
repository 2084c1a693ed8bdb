"""The day in the side column: supply against demand, what was done today, what is left in the order to do it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from types import MappingProxyType

from rackview.advice.words.speech import ACTION_WORDS
from rackview.core.assessment import BroodAhead, Flag, Plan, PlanDay, Severity, Suggestion
from rackview.core.events import Clean, Count, Decline, Event, Feed, Harvest, Reading, Restart, Split, TopUp
from rackview.core.rack import Rack
from rackview.core.tables import Settings
from rackview.language import _
from rackview.ui.rack.rack_state import DayList, Item, ItemProgress, Supply
from rackview.ui.rack.today import events_today
from rackview.ui.rack.work_groups import by_work
from rackview.ui.words import formats

SHORT_CHANCE = 0.5
"""Chance of falling short from which the supply is called short."""
GATHERED = 3
"""From so many on, like lines are gathered into one."""
SOON, LATE = 2, 7
"""Days ahead of which a day to begin something, and the first feed of a brood beyond help, stand in the list."""
HEADROOM = 1.12
"""The bar is this much longer than the greater of need and supply."""


def day_list(
    rack: Rack,
    suggestions: Sequence[Suggestion],
    plan: Plan | None,
    at: datetime,
    *,
    flags: Sequence[Flag] = (),
    ranks: Mapping[str, int] = MappingProxyType({}),
    ahead: Sequence[BroodAhead] = (),
) -> DayList:
    """The side column at `at` (aware, in the keeper's zone): what is urgent, what is left in order, what was done.

    Feeding of vessels that nothing is wrong with is one line with a table, and so is what was done; of a long day like
    work is gathered. `flags` are those
    of the rack as a whole; pressing ones come first of all, the others after what is left. `ranks` tell in which order
    vessels want a hand today. Broods `ahead` are told of when something must be begun for them these days.
    """
    settled = _settled(rack, at)
    common = _common([s.cautions for s in suggestions])
    urgent = sorted((s for s in suggestions if s.severity is Severity.today), key=lambda s: ranks.get(s.vessel, 0))
    rest = [s for s in suggestions if s.severity is not Severity.today]
    waiting = (*(_open(rack, s, common) for s in urgent), *by_work(_gathered(rack, rest, common)))
    done = sum(len(_done(rack, name, at)) for name in rack.vessels)
    pressing = [f for f in flags if f.severity > Severity.notice]
    noticed = [f for f in flags if f.severity <= Severity.notice]
    soon = [item for b in ahead if (item := _brood_ahead(rack, b, at.date())) is not None]
    return DayList(
        supplies=supplies(rack, plan, at) if plan is not None else (),
        cautions=common,
        items=(*(_of_the_rack(f) for f in pressing), *soon, *waiting, *(_of_the_rack(f) for f in noticed), *settled),
        progress=_("{done} of {all} done").format(done=done, all=done + len(suggestions)) if done or waiting else "",
        foot=_saved(rack, at),
    )


def _saved(rack: Rack, at: datetime) -> str:
    """When the newest of today's entries was saved, for trust."""
    times = [e.entered_at for name in rack.vessels for e in events_today(rack, name, at) if e.entered_at is not None]
    return _("Saved {time}").format(time=formats.clock(max(times).astimezone(at.tzinfo))) if times else ""


def _common(cautions: Sequence[tuple[str, ...]]) -> tuple[str, ...]:
    """The cautions of at least a third of the things to do: said once for the whole day, not in every line."""
    found: dict[str, int] = {}
    for each in cautions:
        for text in each:
            found[text] = found.get(text, 0) + 1
    return tuple(text for text, times in found.items() if times >= 3 and times * 3 >= len(cautions))


def _of_the_rack(flag: Flag) -> Item:
    said = _("The whole rack: {text}").format(text=flag.text)
    return Item(_("All"), flag.text, severity=flag.severity, accessible=said)


def _brood_ahead(rack: Rack, one: BroodAhead, today: date) -> Item | None:
    """A brood for which a culture must be started or a starter ordered within days, or for which it is too late."""
    from rackview.advice.words.plans import brood_ahead

    if one.state == "safe":
        return None
    days = [d for d in (one.order_by, one.last_safe) if d is not None and d >= today] or [one.first]
    if (min(days) - today).days > (SOON if one.last_safe is not None else LATE):
        return None
    text = brood_ahead(one, today)
    for name, profile in rack.strains.items():
        text = re.sub(rf"\b{re.escape(name)}\b", profile.title, text)
    return Item(_("All"), text, severity=Severity.week, accessible=text)


def _open(rack: Rack, one: Suggestion, common: tuple[str, ...]) -> Item:
    place = rack.vessel(one.vessel).place
    text = one.text or ACTION_WORDS[one.action]
    said = f"{place} {one.vessel}: {text}. {one.why}"
    return Item(
        place=place,
        text=text,
        why=one.why,
        severity=one.severity,
        suggestion=one,
        cautions=tuple(c for c in one.cautions if c not in common),
        accessible=" ".join((said, *one.cautions)),
    )


def _gathered(rack: Rack, suggestions: Sequence[Suggestion], common: tuple[str, ...]) -> list[Item]:
    """The lines of these suggestions in their order, plain feedings gathered where the last of them stands."""
    fed = [s for s in suggestions if s.action == "feed" and s.severity is None and not set(s.cautions) - set(common)]
    if len(fed) < GATHERED:
        return [_open(rack, s, common) for s in suggestions]
    found = []
    for one in suggestions:
        if one is fed[-1]:
            found.append(_feeding(rack, fed))
        elif one not in fed:
            found.append(_open(rack, one, common))
    return found


def _feeding(rack: Rack, fed: Sequence[Suggestion]) -> Item:
    """One line for the feeding of several vessels, with what each gets."""
    rows = tuple((rack.vessel(s.vessel).place, _given(s)) for s in fed)
    text = _("Feed {n} vessels").format(n=len(fed))
    why = _("These have no cautions of their own. Done records each as it stands here.")
    said = f"{text}. {why} " + ", ".join(f"{place} {amount}" for place, amount in rows)
    return Item("", text, why, suggestion=fed[0], accessible=said, rows=rows, together=tuple(fed))


def _given(one: Suggestion) -> str:
    """What a vessel is fed, without the word for it."""
    said = one.text.removeprefix(f"{_('Feed')} ")
    return said[:1].lower() + said[1:] if said == one.text else said


def _settled(rack: Rack, at: datetime) -> tuple[Item, ...]:
    """What was done and declined today, a line each while there are few, else one line that tells them all."""
    found = _settled_lines(rack, at)
    done = [i for i in found if i.step is ItemProgress.done]
    if len(done) < GATHERED:
        return found
    rows = tuple((i.place, i.text) for i in done)
    text = _("{n} vessels done").format(n=len(done))
    said = f"{text}: " + ", ".join(f"{place} {what}" for place, what in rows)
    folded = Item("", text, step=ItemProgress.done, accessible=said, rows=rows)
    return (*(i for i in found if i.step is not ItemProgress.done), folded)


def _settled_lines(rack: Rack, at: datetime) -> tuple[Item, ...]:
    found: list[tuple[datetime, Item]] = []
    for name, vessel in rack.vessels.items():
        today = events_today(rack, name, at)
        done = _done(rack, name, at)
        if done:
            text = ", ".join((done[0], *(d[0].lower() + d[1:] for d in done[1:])))
            said = _("{place} {name}: {text}, done").format(place=vessel.place, name=name, text=text)
            found.append((today[-1].at, Item(vessel.place, text, step=ItemProgress.done, accessible=said)))
        for event in today:
            if isinstance(event, Decline):
                text = _("{action} declined").format(action=ACTION_WORDS.get(event.action, event.code).capitalize())
                said = f"{vessel.place} {name}: {text}. {event.reason}"
                found.append((event.at, Item(vessel.place, text, event.reason, ItemProgress.declined, accessible=said)))
    return tuple(item for _, item in sorted(found, key=lambda pair: pair[0]))


def _done(rack: Rack, vessel: str, at: datetime) -> list[str]:
    """What was done at a vessel today, each thing once: several stages counted are one count."""
    told = (what(event, rack.settings) for event in events_today(rack, vessel, at))
    return list(dict.fromkeys(filter(None, told)))


def what(event: Event, settings: Settings) -> str:
    """What was done, in a few words and the keeper's units; nothing for words and declined things."""
    from rackview.ui.words import keeper_units  # numpy comes with it, and the first paint does without

    match event:
        case Count():
            return _("Counted")
        case Reading():
            return _("Water tested")
        case Harvest():
            return _("Harvest {volume}").format(volume=keeper_units.with_unit(event.volume_l, settings))
        case Feed():
            amount = keeper_units.amount_text(event.amount)
            return _("Feed {amount} {unit}").format(amount=amount, unit=event.unit)
        case Clean():
            return _("Clean {what}").format(what=_(event.what))
        case Split():
            volume = keeper_units.with_unit(event.volume_l, settings)
            return _("Split {volume} into {vessel}").format(volume=volume, vessel=event.to_vessel)
        case Restart():
            return _("Restart from {source}").format(source=event.from_vessel or event.starter or _("a starter"))
        case TopUp():
            return _("Top up {volume}").format(volume=keeper_units.with_unit(event.volume_l, settings))
        case _:
            return ""


def supplies(rack: Rack, plan: Plan, at: datetime) -> tuple[Supply, ...]:
    """Today's supply against demand, strain by strain, the tightest first; without larvae what the rack could give."""
    today = [d for d in plan.days if d.date == at.date()]
    asked = sorted((d for d in today if d.demand > 0), key=lambda d: -d.chance_short)
    if not asked:
        return tuple(_idle(rack, plan, max(today, key=lambda d: d.supply.median)) for _ in today[:1])
    return tuple(_supply(rack, plan, d, len(asked) > 1) for d in asked)


def _title(rack: Rack, strain: str) -> str:
    return rack.strains[strain].title if strain in rack.strains else strain


def _supply(rack: Rack, plan: Plan, one: PlanDay, several: bool) -> Supply:
    long = max(one.demand, one.supply.high90) * HEADROOM or 1.0
    short = one.chance_short >= SHORT_CHANCE
    title = _title(rack, one.strain)
    need = formats.animals(one.demand)
    said = _("Larvae need {n}").format(n=need)
    line = _("can spare {span}").format(span=formats.animals_span(one.supply))
    if formats.animals(one.supply.high90) == formats.animals(0.0):
        line = _("can spare nothing")
    lack = one.demand - one.supply.median
    if not short:
        brief = _("food: enough")
    elif lack > 0:
        brief = _("{strain}: {n} short").format(strain=title if several else _("food"), n=formats.animals_brief(lack))
    else:
        brief = _("{strain}: may run short").format(strain=title if several else _("food"))
    note = ahead = _ahead(plan, one)
    chance = _("Chance of a shortfall today: {p}").format(p=formats.chance(one.chance_short))
    if one.chance_short >= 0.05:
        note = f"{chance}. {note}" if note else chance
    return Supply(
        heading=title if several else said,
        aside=_("need {n}").format(n=need) if several else "",
        line=line,
        note=note,
        need=one.demand / long,
        sure=one.supply.low90 / long,
        likely=one.supply.median / long,
        most=one.supply.high90 / long,
        short=short,
        brief=brief,
        accessible=". ".join(filter(None, (title, said, line, ahead, chance))),
    )


def _idle(rack: Rack, plan: Plan, one: PlanDay) -> Supply:
    long = one.supply.high90 * HEADROOM or 1.0
    heading = _("No larvae to feed today")
    line = _("{strain}: rack could give {n}").format(
        n=formats.animals(one.supply.median), strain=_title(rack, one.strain)
    )
    if formats.animals(one.supply.high90) == formats.animals(0.0):
        line = _("{strain}: nothing to give, by what is counted").format(strain=_title(rack, one.strain))
    note = _ahead(plan, one)
    return Supply(
        heading=heading,
        line=line,
        note=note,
        sure=one.supply.low90 / long,
        likely=one.supply.median / long,
        most=one.supply.high90 / long,
        brief=_("no larvae today"),
        accessible=". ".join(filter(None, (heading, line, note))),
    )


def _ahead(plan: Plan, one: PlanDay) -> str:
    """The day in the plan that asks for more of this strain, or is likelier to fall short, than today."""
    later = [d for d in plan.days if d.strain == one.strain and d.date > one.date and d.demand > one.demand * 1.05]
    if not later:
        return ""
    most = max(later, key=lambda d: (d.chance_short, d.demand))
    said = _("{day} {n}").format(day=formats.weekday(most.date), n=formats.animals(most.demand))
    if most.chance_short < 0.01:
        return said
    return _("{said}, chance of a shortfall {p}").format(said=said, p=formats.chance(most.chance_short))
