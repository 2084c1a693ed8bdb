"""The sentences of the record: one event in words, and what changed before a loss."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from rackview.advice.words.speech import Speech, animals_seen, chance_text, days_text, figures, per_cent, per_ml
from rackview.core.events import Event
from rackview.language import _


def event_text(event: Event, speech: Speech) -> str:
    """One recorded event in words."""
    say = EVENT_WORDS.get(event.kind)
    return say(event, speech) if say is not None else event.kind


def _count_text(e: Any, s: Speech) -> str:
    found = e.animals / e.looked_at_ml if e.looked_at_ml > 0 else 0.0
    parts = [_("counted {found} from {seen}").format(found=per_ml(found), seen=animals_seen(e.seen))]
    if e.stage != "all":
        parts[0] += f" ({e.stage})"
    if e.females_checked:
        parts.append(
            _("{with_eggs} of {females_checked} with eggs").format(
                with_eggs=e.with_eggs or 0, females_checked=e.females_checked
            )
        )
    if e.swimming is not None:
        parts.append(_("swims {swimming} of 5").format(swimming=e.swimming))
    if e.ciliates:
        parts.append(_("ciliates {ciliates}").format(ciliates=e.ciliates))
    if e.tint is not None:
        parts.append(_("tint {tint}").format(tint=e.tint))
    return ", ".join(parts)


def _reading_text(e: Any, s: Speech) -> str:
    parts = []
    if e.temperature_c is not None:
        parts.append(s.temperature(e.temperature_c))
    for name, unit in (("sg", "SG"), ("salinity", "salinity"), ("conductivity_ms_cm", "mS/cm"), ("ph", "pH")):
        value = getattr(e, name)
        if value is not None:
            parts.append(f"{unit} {value:g}")
    for name, what in (("tan_mg_l", _("total ammonia")), ("oxygen_mg_l", "oxygen")):
        value = getattr(e, name)
        if value is not None:
            parts.append(f"{what} {value:g} mg/L")
    return ", ".join(parts)


EVENT_WORDS: dict[str, Callable[[Any, Speech], str]] = {
    "count": _count_text,
    "reading": _reading_text,
    "feed": lambda e, s: _("fed {amount} {unit} {feed}").format(amount=figures(e.amount), unit=e.unit, feed=e.feed),
    "harvest": lambda e, s: (
        _("harvested {volume_l}").format(volume_l=s.volume(e.volume_l))
        + (_(" to {to}").format(to=e.to) if e.to else "")
    ),
    "clean": lambda e, s: _("cleaned {what}").format(what=e.what),
    "top_up": lambda e, s: _("topped up {volume_l}").format(volume_l=s.volume(e.volume_l)),
    "split": lambda e, s: _("split {volume_l} from {vessel} into {to_vessel}").format(
        volume_l=s.volume(e.volume_l), vessel=s.place(e.vessel), to_vessel=s.place(e.to_vessel)
    ),
    "restart": lambda e, s: _("restarted {vessel} from {from_vessel}").format(
        vessel=s.place(e.vessel), from_vessel=s.place(e.from_vessel) or e.starter or "a starter"
    ),
    "rest": lambda e, s: _("taken out of use"),
    "return": lambda e, s: _("taken back into use"),
    "note": lambda e, s: e.text,
    "decline": lambda e, s: (
        _("declined {action}").format(action=e.action or e.code) + (f": {e.reason}" if e.reason else "")
    ),
}


def change_text(code: str, two: tuple[float, float], speech: Speech) -> str:
    """A mean that moved in the last days before a loss."""
    before, after = two
    if code == "feed":
        return _("Feed moved from {before} to {after} g dry a time.").format(
            before=figures(before), after=figures(after)
        )
    if code == "harvest":
        return _("Harvests moved from {before} to {after} of the volume.").format(
            before=per_cent(before), after=per_cent(after)
        )
    if code == "eggs":
        return _("Females with eggs went from {before} to {after}.").format(
            before=per_cent(before), after=per_cent(after)
        )
    if code == "temperature":
        return _("Temperature moved from {before} to {after}.").format(
            before=speech.temperature(before), after=speech.temperature(after)
        )
    return _("Salinity moved from {before:.0f} to {after:.0f}.").format(before=before, after=after)


def feed_changed(feeds: Sequence[str]) -> str:
    """More than one feed was used."""
    return _("The feed was changed: {feeds}.").format(feeds=", ".join(feeds))


def not_cleaned(days: float | None) -> str:
    """No cleaning in the last days."""
    return _("No cleaning.") if days is None else _("No cleaning in the last {days}.").format(days=days_text(days))


def first_ciliates(days: float) -> str:
    """When ciliates were first seen."""
    return _("Ciliates were first seen {days} before.").format(days=days_text(days))


def belief_text(median: float, low: float, high: float, risk: float | None) -> str:
    """What was believed of a vessel at a moment that has passed."""
    words = _("Believed: {median} ({low} to {high}).").format(
        median=per_ml(median), low=figures(low), high=figures(high)
    )
    if risk is None:
        return words
    return _("{words} Chance to be under its floor by the next day: {risk}.").format(
        words=words, risk=chance_text(risk)
    )


def suggested(texts: Sequence[str]) -> str:
    """What was suggested for a vessel at a moment that has passed."""
    return _("Suggested: {texts}.").format(texts=", ".join(texts)) if texts else _("Nothing was suggested.")
