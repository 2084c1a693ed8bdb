"""What the page of rules says: a rule's condition in plain words, its record, its values and how they changed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.core.tables import Settings, scope_strain, strain_scope
from rackview.core.vessel import by_place
from rackview.language import _
from rackview.rules.catalogue.rule import Rule
from rackview.rules.catalogue.table import RULES
from rackview.rules.catalogue.thresholds import DAYS, THRESHOLDS, Threshold
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

if TYPE_CHECKING:
    from rackview.advice.record.flag_log import RuleRecord
    from rackview.services.rack_session import RackSession


def parts() -> tuple[tuple[str, tuple[Rule, ...]], ...]:
    """The catalogue in parts with a heading each, what wants a hand soonest first."""
    headings = (
        (Severity.today, _("Act today")),
        (Severity.week, _("Act this week")),
        (Severity.notice, _("Notice")),
        (None, _("States that guide suggestions")),
    )
    return tuple((words, tuple(r for r in RULES if r.severity == severity)) for severity, words in headings)


def urgency_text(rule: Rule) -> str:
    """How soon it wants a hand, in words."""
    within = _("half a day") if rule.within == 0.5 else say_days(rule.within)
    if rule.severity is None:
        return _("A state, not a flag: it guides suggestions.")
    word = {
        Severity.today: _("Act today"),
        Severity.week: _("Act this week"),
        Severity.notice: _("Notice"),
    }[rule.severity]
    return _("{severity}; to be answered within {days}.").format(severity=word, days=within)


def say_days(days: float) -> str:
    """Days in words: 1 day, 7 days."""
    return _("1 day") if days == 1 else _("{n} days").format(n=f"{days:g}")


def condition(rule: Rule, values: Mapping[str, str]) -> str:
    """When a rule fires, with each threshold by its name and, where it is one value, the value."""

    def named(found: re.Match[str]) -> str:
        field = found.group(0)
        value = values.get(field, "")
        return f"“{THRESHOLDS[field].name}” ({value})" if value else f"“{THRESHOLDS[field].name}”"

    text = re.sub(r"\bP\(([^)]*)\)", _("the chance of “{what}”").format(what=r"\1"), rule.fires)
    text = re.sub(r"\bwith P at\b", _("with a chance at"), text)
    fields = sorted(rule.thresholds, key=len, reverse=True)
    return re.sub("|".join(map(re.escape, fields)), named, text) if fields else text


def facts(rule: Rule, values: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """All that is written down of a rule, as pairs of a word and a sentence."""
    likely = _("raised at a probability of {high}, cleared at {low}").format(
        high=f"{rule.raise_at:.2g}", low=f"{rule.clear_at:.2g}"
    )
    return (
        (_("Looks at"), formats.sentence(rule.looks_at)),
        (_("Fires"), formats.sentence(condition(rule, values))),
        (_("Cause"), formats.sentence(rule.cause)),
        (_("Consequence"), formats.sentence(rule.consequence)),
        (_("Do"), formats.sentence(rule.response)),
        (_("Certainty"), formats.sentence(likely)),
        (_("Source"), formats.sentence(rule.source)),
    )


def record_words(record: RuleRecord | None, rule: Rule, days: int, *, of_the_rack: bool) -> str:
    """What became of a rule's flags, in a sentence."""
    if of_the_rack:
        return _("It looks at the rack as a whole; no log is kept of it.")
    if record is None or (record.raised == 0 and record.declined == 0):
        if rule.severity is None:
            return _("No suggestion of it was declined in the last {n} days.").format(n=days)
        return _("Not raised in the last {n} days by the values as they are now.").format(n=days)
    return _("In the last {n} days, by the values as they are now.").format(n=days)


def often_words(record: RuleRecord) -> str:
    """What to say of a rule that the keeper often says no to."""
    words = _("Often declined: {n} times in all.").format(n=record.declined)
    if record.thresholds:
        return words + " " + _("Its values may not fit this rack; they can be changed below.")
    return words + " " + _("It has no value to change here; its reasons may say what it overlooks.")


# --- values ----------------------------------------------------------------------------------------------------------


def shown(one: Threshold, value: float, settings: Settings) -> float:
    """A threshold in the keeper's unit."""
    if one.quantity == "degrees":
        return value * ku.degree_size(settings)
    return ku.temperature(value, settings) if one.quantity == "temperature" else value


def base(one: Threshold, value: float, settings: Settings) -> float:
    """The keeper's unit in the profile's."""
    if one.quantity == "degrees":
        return value / ku.degree_size(settings)
    return ku.to_celsius(value, settings) if one.quantity == "temperature" else value


def unit(one: Threshold, settings: Settings) -> str:
    """The unit of a threshold as the keeper reads it."""
    return ku.DEGREES[settings.temperature_unit] if one.quantity in {"temperature", "degrees"} else one.unit


def value_words(one: Threshold, value: float, settings: Settings) -> str:
    """A value with its unit, such as 60 per mL."""
    if one.unit == DAYS:
        return say_days(float(ku.plain(value)))
    return f"{ku.plain(shown(one, value, settings))} {unit(one, settings)}".strip()


def own_values(rack: Rack, scope: str, field: str) -> dict[str, float]:
    """What holds without the scope's own word: by the strain's title, each strain in use once.

    `scope` is a vessel, a strain, or "" for the whole rack. A wider scope's word holds where the narrower has none.
    """
    if scope:
        wider = wider_scope(rack, scope, field)
        profile = rack.strains[strain_of(rack, scope)]
        value = getattr(profile, field) if wider is None else rack.settings.overrides[wider, field]
        return {profile.title: value}
    used: dict[str, StrainProfile] = {v.strain: rack.strains[v.strain] for v in rack.vessels.values()}
    return {p.title: getattr(p, field) for p in used.values()}


def scopes(rack: Rack) -> tuple[str, ...]:
    """Whom a value may be changed for: the whole rack, each strain in use, each vessel."""
    used = dict.fromkeys(v.strain for v in rack.vessels.values())
    return ("", *map(strain_scope, used), *(v.vessel for v in by_place(rack.vessels.values())))


def strain_of(rack: Rack, scope: str) -> str:
    """The strain of a scope that is a vessel or a strain."""
    return scope_strain(scope) or rack.vessels[scope].strain


def vessels_of(rack: Rack, scope: str) -> tuple[str, ...]:
    """The vessels that a scope's values hold for where they have none of their own."""
    if scope in rack.vessels:
        return (scope,)
    strain = scope_strain(scope)
    return tuple(n for n, v in rack.vessels.items() if strain in {None, v.strain})


def wider_scope(rack: Rack, scope: str, field: str) -> str | None:
    """The next wider scope that has a word of its own, None if the profile's holds."""
    wider = [] if not scope else [""] if scope_strain(scope) else [strain_scope(strain_of(rack, scope)), ""]
    return next((s for s in wider if (s, field) in rack.settings.overrides), None)


def own_words(rack: Rack, scope: str, field: str) -> str:
    """The values that hold without the scope's own word, and their source."""
    one, settings = THRESHOLDS[field], rack.settings
    wider = wider_scope(rack, scope, field)
    if wider is not None:
        value = value_words(one, settings.overrides[wider, field], settings)
        return f"{scope_words(rack, wider)}: {value}"
    found = own_values(rack, scope, field)
    different = len(set(found.values())) > 1
    if different:
        values = ", ".join(f"{title} {ku.plain(shown(one, v, settings))}" for title, v in found.items())
    else:
        values = ku.plain(shown(one, next(iter(found.values()), 0.0), settings))
    strain = strain_of(rack, scope) if scope else next((v.strain for v in rack.vessels.values()), "")
    source = rack.strains[strain].sources[field] if strain else ""
    words = _("profile: {values}").format(values=values)
    return f"{words} ({source})" if source and not different else words


def in_force(rack: Rack, scope: str) -> dict[str, str]:
    """Every threshold in words as it holds for a scope; left out where the strains of the rack differ."""
    found = {}
    for field, one in THRESHOLDS.items():
        values = {scope_value(rack, n, field) for n in vessels_of(rack, scope)}
        if len(values) == 1:
            found[field] = value_words(one, values.pop(), rack.settings)
    return found


def scope_value(rack: Rack, vessel: str, field: str) -> float:
    """What holds for a vessel."""
    return float(getattr(rack.profile(vessel), field))


def scope_words(rack: Rack, scope: str) -> str:
    """The scope by name: the whole rack, every vessel of a strain, or place and name of a vessel."""
    if not scope:
        return _("whole rack")
    strain = scope_strain(scope)
    if strain is not None:
        title = rack.strains[strain].title if strain in rack.strains else strain
        return _("every {strain}").format(strain=title)
    vessel = rack.vessels.get(scope)
    return scope if vessel is None or vessel.place == scope else f"{vessel.place} {scope}"


# --- how they changed ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ThresholdChange:
    """One change of a threshold: when, by whom, and what it was changed to in words."""

    at: datetime
    by: str
    text: str


def threshold_changes(session: RackSession, fields: Iterable[str]) -> tuple[ThresholdChange, ...]:
    """Every change of these thresholds, for the rack and its vessels, newest first; raises `StoreError`."""
    rack, found = session.rack, []
    for field in fields:
        one = THRESHOLDS[field]
        for scope in scopes(rack):
            for version in session.history("setting", f"threshold:{scope}:{field}"):
                value = None if version.row is None else version.row.get("value")
                if isinstance(value, int | float):
                    to = value_words(one, float(value), rack.settings)
                elif (wider := wider_scope(rack, scope, field)) is not None:
                    to = _("back to that of {scope}").format(scope=scope_words(rack, wider))
                else:
                    to = _("back to the profile's own")
                text = f"{scope_words(rack, scope)}: {one.name}, {to}"
                found.append(ThresholdChange(version.entered_at, version.entered_by, text))
    return tuple(sorted(found, key=lambda c: c.at, reverse=True))


def change_words(change: ThresholdChange, now: datetime) -> str:
    """One change in a line; `now` is in the keeper's zone."""
    at = change.at.astimezone(now.tzinfo)
    by = f", {change.by}" if change.by else ""
    return f"{formats.short_date(at.date(), now.date())} {formats.clock(at)}{by}: {change.text}"
