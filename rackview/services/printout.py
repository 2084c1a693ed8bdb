"""What the command line prints for a keeper to read: aligned columns and numbered lines, in the keeper's units."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime

from rackview.core.assessment import Assessment, Interval, Plan, PlanDay, Suggestion
from rackview.core.tables import Settings
from rackview.science.units import to_display

WIDTH = 100
NO_VESSELS = "This rack has no vessels yet; import a vessel table or add one in the window."


def status(assessments: Iterable[Assessment], settings: Settings, at: datetime) -> list[str]:
    """One line per vessel under a heading."""
    rows = [_status_cells(a, settings) for a in assessments]
    if not rows:
        return [NO_VESSELS]
    head = (
        "place", "vessel", "strain", "water", "state", "animals per mL", "net a day", "born a day", "lost a day",
        "eggs", "counted", "cleaned", "restarted", "flags",
    )  # fmt: skip
    return [*_title(settings, at), *_aligned([head, *rows])]


def advice(suggestions: Sequence[Suggestion], settings: Settings, at: datetime) -> list[str]:
    """The suggestions, numbered in the order in which to carry them out, each with its reason."""
    lines = _title(settings, at)
    if not suggestions:
        return [*lines, "Nothing to do."]
    for number, one in enumerate(suggestions, 1):
        lines.append(f"{number:>2}. {headline(one, settings)}, before {_moment(one.before, at)}")
        lines += _indented(f"Why: {one.why}")
        lines += _indented("Evidence: " + "; ".join(e.text.rstrip(".") for e in one.evidence) + ".")
        lines += [line for caution in one.cautions for line in _indented(f"Caution: {caution}")]
        lines += _indented(f"Sureness: {one.sureness:.0%}")
    return lines


def headline(one: Suggestion, settings: Settings) -> str:
    """What to do, in the keeper's units: “Harvest 5.2 L of A1”."""
    amount = _amount(one, settings)
    other = one.other_vessel or ""
    match one.action:
        case "harvest":
            words = f"Harvest {amount} of {one.vessel}"
        case "feed":
            words = f"Feed {one.vessel} {amount} of {one.feed}" if one.feed else f"Feed {one.vessel} {amount}"
        case "clean":
            words = f"Clean the {one.what or 'floss'} of {one.vessel}"
        case "split":
            words = f"Split {amount} of {one.vessel} into {other}"
        case "restart":
            words = f"Restart {one.vessel} from {other}" if other else f"Restart {one.vessel}"
        case "count":
            words = f"Count {one.vessel}"
        case "test":
            words = f"Test the water of {one.vessel}"
        case _:
            words = f"Leave {one.vessel} alone"
    if one.refill_l:
        words += f", refill {_volume(one.refill_l, settings)}"
    return words


def plan(plan: Plan, settings: Settings, at: datetime) -> list[str]:
    """Demand, supply and who gives what, day by day, then splits and notes."""
    lines = _title(settings, at)
    head = ("day", "strain", "needed", "can be given", "chance short", "who gives", "for")
    if plan.days:
        lines += _aligned([head, *(_plan_cells(d, settings) for d in plan.days)])
    else:
        lines.append("Nothing is asked of the rack in these days.")
    lines += [f"{headline(s, settings)}, before {_moment(s.before, at)}: {s.why}" for s in plan.splits]
    return lines + list(plan.notes)


def _title(settings: Settings, at: datetime) -> list[str]:
    name = settings.name or "Rack"
    invented = " (an invented example)" if settings.invented else ""
    return [f"{name}{invented}, {at:%Y-%m-%d %H:%M}", ""]


def _status_cells(a: Assessment, settings: Settings) -> tuple[str, ...]:
    level = _number(to_display(a.level_l, "volume", settings.volume_unit))
    return (
        f"{a.shelf}{a.position}",
        a.vessel,
        a.strain,
        f"{level} of {_volume(a.volume_l, settings)}",
        a.state,
        _density(a.density_per_ml),
        _rate(a.net_rate_per_day, signed=True),
        _rate(a.birth_rate_per_day),
        _rate(a.loss_rate_per_day),
        "–" if a.egg_ratio is None else f"{a.egg_ratio:.2f}",
        _ago(a.days_since_count),
        _ago(a.days_since_cleaning),
        _ago(a.days_since_restart),
        "; ".join(f"{f.severity.name}: {f.text.rstrip('.')}" for f in a.flags) or "none",
    )


def _plan_cells(d: PlanDay, settings: Settings) -> tuple[str, ...]:
    supply = f"{animals(d.supply.median)} ({animals(d.supply.low90)} to {animals(d.supply.high90)})"
    gives = ", ".join(f"{g.vessel} {_volume(g.volume_l, settings)}" for g in d.gives) or "nobody"
    return (
        f"{d.date}",
        d.strain,
        animals(d.demand),
        supply,
        f"{d.chance_short:.0%}",
        gives,
        ", ".join(d.for_broods) or "–",
    )


def animals(number: float) -> str:
    """A number of animals as one says it: 1.2 million, 45 thousand, 300."""
    for size, word in ((1e9, " billion"), (1e6, " million"), (1e3, " thousand")):
        if number >= size:
            return f"{number / size:.3g}{word}"
    return f"{number:.0f}"


def _density(interval: Interval | None) -> str:
    if interval is None:
        return "not known"
    return f"{_number(interval.median)} ({_number(interval.low90)} to {_number(interval.high90)})"


def _rate(interval: Interval | None, *, signed: bool = False) -> str:
    if interval is None:
        return "not known"
    form = "{:+.2f} ({:+.2f} to {:+.2f})" if signed else "{:.2f} ({:.2f} to {:.2f})"
    return form.format(interval.median, interval.low90, interval.high90)


def _ago(days: float | None) -> str:
    if days is None:
        return "never"
    return "today" if days < 1 else f"{days:.0f} d ago"


def _amount(one: Suggestion, settings: Settings) -> str:
    if one.amount is None:
        return ""
    return _volume(one.amount, settings) if one.unit == "L" else f"{_number(one.amount)} {one.unit or ''}".rstrip()


def _volume(litres: float, settings: Settings) -> str:
    return f"{_number(to_display(litres, 'volume', settings.volume_unit))} {settings.volume_unit}"


def _number(value: float) -> str:
    """Three figures and never a power of ten: 0.25, 5.2, 132, 1450."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def _moment(at: datetime, now: datetime) -> str:
    local = at.astimezone(now.tzinfo)
    return f"{local:%H:%M} today" if local.date() == now.date() else f"{local:%Y-%m-%d %H:%M}"


def _indented(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="      ")


def _aligned(rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in rows]
