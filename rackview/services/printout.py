"""What the command line prints for a keeper to read: aligned columns and numbered lines, in the keeper's units."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime, time, timedelta

from rackview.advice.feeding.costs import MonthCost
from rackview.advice.feeding.stock import Lasting
from rackview.advice.words.speech import STATE_WORDS
from rackview.advice.words.suggestions import CAUTIONS, Speech, chance_text, figures, million, per_cent, risk_of
from rackview.core.assessment import Assessment, Flag, Interval, NewWater, Plan, PlanDay, Suggestion
from rackview.core.clock import calendar_days
from rackview.core.rack import Rack
from rackview.core.vessel import natural
from rackview.language import N_, _

WIDTHS = 60, 100, 160
"""Columns of a terminal: the least written for, what is taken if none is at hand, the most that reads well."""
GAP = "  "
NOT_ANY, NO_FLAGS = "–", _("none")
STATUS_HEAD = (
    _("place"),
    _("vessel"),
    _("strain"),
    _("water"),
    _("state"),
    _("per mL now"),
    _("net rate a day"),
    _("birth rate"),
    _("loss rate"),
    _("with eggs"),
    _("counted"),
    _("cleaned"),
    _("restarted"),
    _("flags"),
)
STOCK_HEAD = (_("feed"), _("left"), _("used a day"), _("lasts until"), _("nine in ten"), _("order by"))
COST_HEAD = (
    _("strain"),
    _("month"),
    _("dry feed"),
    _("delivered"),
    _("thrown away"),
    _("per million"),
    _("cost per million"),
)
PLAN_HEAD = (_("day"), _("strain"), _("needed"), _("can be given"), _("chance of shortfall"), _("who gives"), _("for"))


def status_lines(assessments: Iterable[Assessment], rack: Rack, at: datetime) -> list[str]:
    """A table of the vessels; intervals hold with 90 %."""
    speech = Speech(rack.settings, rack.vessels)
    rows = [_status_cells(a, speech, at) for a in sorted(assessments, key=lambda a: (natural(a.shelf), a.position))]
    if not rows:
        return [_("This rack has no vessels yet; import a vessel table, or add one in the window.")]
    return [*_title(rack, at), *_table([STATUS_HEAD, *rows], 2)]


def advice_lines(suggestions: Sequence[Suggestion], rack: Rack, at: datetime) -> list[str]:
    """The suggestions, numbered in the order in which to carry them out, each with its reason and what to mind.

    A caution is written out where it first applies and named by its letter where it applies again.
    """
    speech = Speech(rack.settings, rack.vessels)
    lines = _title(rack, at)
    if not suggestions:
        return [*lines, _("Nothing to do.")]
    letters: dict[str, str] = {}
    for number, one in enumerate(suggestions, 1):
        lines.append(f"{number:>2}. {headline(one, speech)} ({_due(one.before, at)})")
        lines += _indented(" ".join(filter(None, (_("Why: {why}").format(why=one.why), risk_of(one)))))
        lines += _indented(_("Evidence: ") + "; ".join(e.text.rstrip(".") for e in one.evidence) + ".")
        again = [letters[c] for c in one.cautions if c in letters]
        for caution in one.cautions:
            if caution not in letters:
                letters[caution] = _letter(len(letters))
                lines += _indented(_("Caution {letters}: {caution}").format(letters=letters[caution], caution=caution))
        if again:
            lines += _indented(
                _("{word} {again} above.").format(
                    word=_("Caution") if len(again) == 1 else _("Cautions"), again=", ".join(again)
                )
            )
    return lines


def headline(one: Suggestion, speech: Speech) -> str:
    """Where and what to do, in the keeper's units: “A1 Limpet: Harvest 4.5 L, refill 4.5 L, 60 µm mesh”."""
    return f"{speech.place(one.vessel)} {one.vessel}: {deed(one, speech)}"


def deed(one: Suggestion, speech: Speech) -> str:
    """What to do, in the keeper's units: “Harvest 4.5 L, refill 4.5 L, 60 µm mesh”."""
    words = one.text
    if one.feed and one.feed not in words:
        words += _(" of {feed}").format(feed=one.feed)
    if one.refill_l:
        words += _(", refill {refill_l}").format(refill_l=speech.volume(one.refill_l))
    if one.mesh_um:
        words += _(", {mesh_um} µm mesh").format(mesh_um=figures(one.mesh_um, 3))
    return words


def plan_lines(plan: Plan, rack: Rack, at: datetime) -> list[str]:
    """Demand, supply and who gives what for the days on which there is any, then splits and notes."""
    speech = Speech(rack.settings, rack.vessels)
    lines = _title(rack, at)
    days = [d for d in plan.days if d.demand or d.gives]
    if days:
        lines += _table([PLAN_HEAD, *(_plan_cells(d, speech) for d in days)], 2)
    else:
        lines.append(_("Nothing is asked of the rack in these days."))
    more = [*(f"{headline(s, speech)} ({_due(s.before, at)}): {s.why}" for s in plan.splits), *plan.notes]
    if plan.water:
        more = [
            _("New salt water: {water}. {salt}").format(
                water="; ".join(_water(w, speech) for w in plan.water), salt=CAUTIONS["salt"]
            ),
            *more,
        ]
    return [*lines, *([""] if more else []), *(line for text in more for line in _indented(text, first=""))]


def _water(one: NewWater, speech: Speech) -> str:
    salt = f"{figures(one.salt_g / 1000)} kg" if one.salt_g >= 1000 else f"{figures(one.salt_g)} g"
    return _("{date:%d %b} {volume_l} with {salt} of dry salt").format(
        date=one.date, volume_l=speech.volume(one.volume_l, 2), salt=salt
    )


def stock_lines(feeds: Sequence[Lasting], months: Sequence[MonthCost], rack: Rack, at: datetime) -> list[str]:
    """How long each feed lasts, then what a million delivered took, strain by strain and month by month."""
    lines = _title(rack, at)
    if feeds:
        lines += _table([STOCK_HEAD, *map(_feed_cells, feeds)], 1)
    else:
        lines.append(_("No feed is in the stock table."))
    if months:
        lines += ["", *_table([COST_HEAD, *map(_cost_cells, months)], 2)]
        lines += _indented(
            _("What was dosed into larval tanks is not in these costs. A cost needs a price in the stock table."),
            first="",
        )
    return lines


def _feed_cells(one: Lasting) -> tuple[str, ...]:
    unit = one.stock.unit
    until = NOT_ANY if one.until is None else one.until.isoformat() + (_(", use-by") if one.spoils else "")
    span = (
        NOT_ANY
        if one.soonest is None or one.latest is None
        else _("{soonest} to {latest}").format(soonest=one.soonest, latest=one.latest)
    )
    return (
        one.stock.feed,
        NOT_ANY if one.left is None else f"{figures(one.left, 3)} {unit}",
        NOT_ANY if one.a_day is None else f"{figures(one.a_day)} {unit}",
        until,
        span,
        NOT_ANY if one.order_by is None else one.order_by.isoformat(),
    )


def _cost_cells(one: MonthCost) -> tuple[str, ...]:
    return (
        one.strain,
        f"{one.month:%Y-%m}",
        f"{figures(one.fed_g, 3)} g",
        million(one.delivered),
        million(one.thrown),
        NOT_ANY if one.g_per_million is None else f"{figures(one.g_per_million)} g",
        NOT_ANY if one.cost_per_million is None else f"{one.cost_per_million:.2f}",
    )


def _title(rack: Rack, at: datetime) -> list[str]:
    invented = _(" (an invented example)") if rack.settings.invented else ""
    return [f"{rack.settings.name or _('Rack')}{invented}, {at:%Y-%m-%d %H:%M}", ""]


def _status_cells(a: Assessment, speech: Speech, at: datetime) -> tuple[str, ...]:
    return (
        f"{a.shelf}{a.position}",
        a.vessel,
        a.strain,
        _("{level_l} of {volume_l}").format(level_l=speech.volume(a.level_l, 2), volume_l=speech.volume(a.volume_l, 2)),
        STATE_WORDS[a.state],
        _interval(a.density_per_ml),
        _interval(a.net_rate_per_day, signed=True),
        _middle(a.birth_rate_per_day),
        _middle(a.loss_rate_per_day),
        NOT_ANY if a.ovigerous_share is None else per_cent(a.ovigerous_share),
        _ago(a.days_since_count, at),
        _ago(a.days_since_cleaning, at),
        _ago(a.days_since_restart, at),
        "; ".join(map(_flag, a.flags)) or NO_FLAGS,
    )


def _plan_cells(d: PlanDay, speech: Speech) -> tuple[str, ...]:
    supply = _("{median} ({low90} to {high90})").format(
        median=million(d.supply.median), low90=million(d.supply.low90), high90=million(d.supply.high90)
    )
    gives = ", ".join(
        _("{volume_l} of {vessel}").format(volume_l=speech.volume(g.volume_l, 2), vessel=g.vessel) for g in d.gives
    ) or _("nobody")
    return (
        d.date.isoformat(),
        d.strain,
        million(d.demand),
        supply,
        chance_text(d.chance_short) if d.demand > 0 else NOT_ANY,
        gives,
        ", ".join(d.for_broods) or NOT_ANY,
    )


SEVERITIES = (N_("notice"), N_("week"), N_("today"))


def _flag(flag: Flag) -> str:
    return f"{_(flag.severity.name)}: {flag.text.rstrip('.')}"


def _interval(value: Interval | None, *, signed: bool = False) -> str:
    if value is None:
        return _("not known")
    if signed:
        return _("{median:+.2f} ({low90:+.2f} to {high90:+.2f})").format(
            median=value.median, low90=value.low90, high90=value.high90
        )
    return _("{median} ({low90} to {high90})").format(
        median=figures(value.median, 3), low90=figures(value.low90, 3), high90=figures(value.high90, 3)
    )


def _middle(value: Interval | None) -> str:
    return NOT_ANY if value is None else f"{value.median:.2f}"


def _ago(days: float | None, at: datetime) -> str:
    """How long ago: hours within a day, else days by the keeper's calendar, as the window counts them."""
    if days is None:
        return _("never")
    if days < 1:
        return _("{n} h ago").format(n=f"{24 * days:.0f}")
    return _("{n} d ago").format(n=calendar_days(days, at))


def _due(before: datetime, now: datetime) -> str:
    """When, as one says it: “today”, “today by 14:00”, “tomorrow by 09:15”, “by 2026-03-05 09:15”."""
    local = before.astimezone(now.tzinfo)
    day, hour = local.date(), f" {local:%H:%M}"
    if local.time() == time():
        day, hour = day - timedelta(days=1), ""
    words = {now.date(): _("today"), now.date() + timedelta(days=1): _("tomorrow")}
    if day not in words:
        return _("by {day}{hour}").format(day=day, hour=hour)
    return words[day] + (_(" by{hour}").format(hour=hour) if hour else "")


def _letter(number: int) -> str:
    return chr(ord("a") + number) if number < 26 else str(number + 1)


def _indented(text: str, first: str = "    ") -> list[str]:
    return textwrap.wrap(text, width(), initial_indent=first, subsequent_indent=first + GAP)


def width() -> int:
    """How many columns a line may take: those of the terminal, or of COLUMNS in the environment."""
    least, usual, most = WIDTHS
    return min(most, max(least, shutil.get_terminal_size((usual, 24)).columns))


def _table(rows: Sequence[Sequence[str]], names: int) -> list[str]:
    """Rows under a heading, a line each.

    A terminal too narrow for that gets as many tables as it takes, each with the first columns, the `names`, and what
    is longer than a line as paragraphs below.
    """
    lines = _aligned(rows)
    room = shutil.get_terminal_size((WIDTHS[1], 24)).columns
    if not sys.stdout.isatty() or max(map(len, lines)) <= room:
        return lines
    columns = list(zip(*rows, strict=True))
    widths = [len(GAP) + max(map(len, column)) for column in columns]
    left = room - sum(widths[:names])
    long = [i for i in range(names, len(columns)) if widths[i] > left]
    tables: list[list[int]] = [[]]
    for i in range(names, len(columns)):
        if i not in long:
            if sum(widths[j] for j in tables[-1]) + widths[i] > left:
                tables.append([])
            tables[-1].append(i)
    found: list[str] = []
    for part in tables:
        found += [*_aligned([[row[i] for i in (*range(names), *part)] for row in rows]), ""]
    for row in rows[1:]:
        for i in long:
            if row[i] not in {NOT_ANY, NO_FLAGS}:
                said = f"{' '.join(row[:names])}, {rows[0][i]}: {row[i]}"
                found += _indented(said, first="")
    return found if found[-1] else found[:-1]


def _aligned(rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [GAP.join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in rows]
