"""The sentences of the record: one event in words, and what changed before a loss."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from rackview.advice.speech import Speech, animals_seen, chance_text, days_text, figures, per_cent, per_ml
from rackview.core.events import Event


def event_text(event: Event, speech: Speech) -> str:
    """One recorded event in words."""
    say = EVENT_WORDS.get(event.kind)
    return say(event, speech) if say is not None else event.kind


def _count_text(e: Any, s: Speech) -> str:
    found = e.animals / e.looked_at_ml if e.looked_at_ml > 0 else 0.0
    parts = [f"counted {per_ml(found)} from {animals_seen(e.seen)}"]
    if e.stage != "all":
        parts[0] += f" ({e.stage})"
    if e.females_checked:
        parts.append(f"{e.with_eggs or 0} of {e.females_checked} with eggs")
    if e.swimming is not None:
        parts.append(f"swims {e.swimming} of 5")
    if e.ciliates:
        parts.append(f"ciliates {e.ciliates}")
    if e.tint is not None:
        parts.append(f"tint {e.tint}")
    return ", ".join(parts)


def _reading_text(e: Any, s: Speech) -> str:
    parts = []
    if e.temperature_c is not None:
        parts.append(s.temperature(e.temperature_c))
    for name, unit in (("sg", "SG"), ("salinity", "salinity"), ("conductivity_ms_cm", "mS/cm"), ("ph", "pH")):
        value = getattr(e, name)
        if value is not None:
            parts.append(f"{unit} {value:g}")
    for name, what in (("tan_mg_l", "total ammonia"), ("oxygen_mg_l", "oxygen")):
        value = getattr(e, name)
        if value is not None:
            parts.append(f"{what} {value:g} mg/L")
    return ", ".join(parts)


EVENT_WORDS: dict[str, Callable[[Any, Speech], str]] = {
    "count": _count_text,
    "reading": _reading_text,
    "feed": lambda e, s: f"fed {figures(e.amount)} {e.unit} {e.feed}",
    "harvest": lambda e, s: f"harvested {s.volume(e.volume_l)}" + (f" to {e.to}" if e.to else ""),
    "clean": lambda e, s: f"cleaned {e.what}",
    "top_up": lambda e, s: f"topped up {s.volume(e.volume_l)}",
    "split": lambda e, s: f"split {s.volume(e.volume_l)} from {s.place(e.vessel)} into {s.place(e.to_vessel)}",
    "restart": lambda e, s: f"restarted {s.place(e.vessel)} from {s.place(e.from_vessel) or e.starter or 'a starter'}",
    "rest": lambda e, s: "taken out of use",
    "return": lambda e, s: "taken back into use",
    "note": lambda e, s: e.text,
    "decline": lambda e, s: f"declined {e.action or e.code}" + (f": {e.reason}" if e.reason else ""),
}


def changed(code: str, two: tuple[float, float], speech: Speech) -> str:
    """A mean that moved in the last days before a loss."""
    before, after = two
    if code == "feed":
        return f"Feed moved from {figures(before)} to {figures(after)} g dry a time."
    if code == "harvest":
        return f"Harvests moved from {per_cent(before)} to {per_cent(after)} of the volume."
    if code == "eggs":
        return f"Females with eggs went from {per_cent(before)} to {per_cent(after)}."
    if code == "temperature":
        return f"Temperature moved from {speech.temperature(before)} to {speech.temperature(after)}."
    return f"Salinity moved from {before:.0f} to {after:.0f}."


def feed_changed(feeds: Sequence[str]) -> str:
    """More than one feed was used."""
    return f"The feed was changed: {', '.join(feeds)}."


def not_cleaned(days: float | None) -> str:
    """No cleaning in the last days."""
    return "No cleaning." if days is None else f"No cleaning in the last {days_text(days)}."


def first_ciliates(days: float) -> str:
    """When ciliates were first seen."""
    return f"Ciliates were first seen {days_text(days)} before."


def believed(median: float, low: float, high: float, risk: float | None) -> str:
    """What was believed of a vessel at a moment that has passed."""
    words = f"Believed: {per_ml(median)} ({figures(low)} to {figures(high)})."
    if risk is None:
        return words
    return f"{words} Chance to be under its floor by the next day: {chance_text(risk)}."


def suggested(texts: Sequence[str]) -> str:
    """What was suggested for a vessel at a moment that has passed."""
    return f"Suggested: {', '.join(texts)}." if texts else "Nothing was suggested."
