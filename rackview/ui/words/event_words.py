"""Recorded events in words, in the keeper's units: short for a line of what was done, longer for a list."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from rackview.core.events import (
    Clean,
    Count,
    Decline,
    Event,
    Feed,
    Harvest,
    Note,
    Reading,
    Restart,
    Split,
    TopUp,
)
from rackview.core.tables import Settings
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

translate = QCoreApplication.translate


def kind_word(kind: str) -> str:
    """The word for a kind of event."""
    return {
        "count": translate("Events", "count"),
        "reading": translate("Events", "water test"),
        "feed": translate("Events", "feed"),
        "harvest": translate("Events", "harvest"),
        "clean": translate("Events", "clean"),
        "top_up": translate("Events", "top-up"),
        "split": translate("Events", "split"),
        "restart": translate("Events", "restart"),
        "rest": translate("Events", "rest"),
        "return": translate("Events", "return"),
        "note": translate("Events", "note"),
        "decline": translate("Events", "decline"),
    }.get(kind, kind)


def summary(event: Event, settings: Settings) -> str:
    """One event in a few words, such as harvest 5.2 L."""
    match event:
        case Count():
            return _count_words(event)
        case Reading():
            return translate("Events", "water test")
        case Harvest():
            return translate("Events", "harvest {amount}").format(amount=ku.with_unit(event.volume_l, settings))
        case Feed():
            return translate("Events", "feed {amount} {unit}").format(amount=ku.plain(event.amount), unit=event.unit)
        case Clean():
            return {
                "floss": translate("Events", "floss rinsed"),
                "vessel": translate("Events", "vessel cleaned"),
                "airline": translate("Events", "airline cleaned"),
            }[event.what]
        case TopUp():
            return translate("Events", "top-up {amount}").format(amount=ku.with_unit(event.volume_l, settings))
        case Split():
            return translate("Events", "split {amount} into {to}").format(
                amount=ku.with_unit(event.volume_l, settings), to=event.to_vessel
            )
        case Restart():
            source = event.from_vessel or event.starter
            if source:
                return translate("Events", "restart from {source}").format(source=source)
            return translate("Events", "restart")
        case Note():
            return event.text
        case Decline():
            what = event.action or event.code.replace("_", " ")
            return translate("Events", "declined: {what}").format(what=what)
        case _:
            return kind_word(event.kind)


def _count_words(event: Count) -> str:
    words = translate("Events", "count {tallies}").format(tallies=" ".join(map(str, event.tallies)))
    if not event.tallies:
        per_ml = formats.two_figures(event.density_per_ml or 0.0)
        words = translate("Events", "count of {n} /mL").format(n=per_ml)
    return words if event.stage == "all" else f"{words} {event.stage}"


def details(event: Event, settings: Settings) -> str:
    """What else an event says, for the second column of a list."""
    match event:
        case Count():
            parts = _count(event)
        case Reading():
            parts = _reading(event, settings)
        case Harvest():
            parts = [
                _water("refill {amount}", event.refill_l or None, settings),
                event.to and translate("Events", "to {place}").format(place=event.to),
                f"{event.mesh_um:g} µm" if event.mesh_um else "",
            ]
        case Split():
            parts = _new_water(event, settings)
        case Feed():
            parts = [event.feed]
        case Restart():
            parts = [event.reason]
            if event.volume_l:
                parts.append(ku.with_unit(event.volume_l, settings))
            if event.density_per_ml is not None:
                parts.append(translate("Events", "{n} /mL").format(n=formats.two_figures(event.density_per_ml)))
            parts += _new_water(event, settings)
        case TopUp():
            parts = [translate("Events", "salinity {n}").format(n=f"{event.salinity or 0:g}")]
        case Decline():
            parts = [event.reason, translate("Events", "for {days}").format(days=formats.days(event.days))]
        case _:
            parts = []
    return ", ".join(p for p in (*parts, event.note) if p)


def _new_water(event: Split | Restart, settings: Settings) -> list[str]:
    """The new water that giver and taker got, where something was said of it."""
    return [
        _water("refill {amount}", event.refill_l, settings),
        _water("filled up with {amount}", event.fill_l, settings),
    ]


def _water(words: str, litres: float | None, settings: Settings) -> str:
    return "" if litres is None else translate("Events", words).format(amount=ku.with_unit(litres, settings))


def _count(event: Count) -> list[str]:
    per_ml = event.animals / event.looked_at_ml
    parts = [translate("Events", "{n} /mL").format(n=formats.two_figures(per_ml))]
    if event.with_eggs is not None and event.females_checked:
        share = f"{100 * event.with_eggs / event.females_checked:.0f}"
        parts.append(translate("Events", "{share} % with eggs").format(share=share))
        if event.eggs is not None:
            ratio = f"{event.eggs / event.females_checked:.2f}"
            parts.append(translate("Events", "{ratio} eggs per female").format(ratio=ratio))
    if event.swimming is not None:
        parts.append(translate("Events", "swimming {n}").format(n=event.swimming))
    if event.ciliates:
        parts.append(translate("Events", "ciliates {word}").format(word=event.ciliates))
    if event.tint is not None:
        parts.append(translate("Events", "tint {n}").format(n=event.tint))
    return parts


def _reading(event: Reading, settings: Settings) -> list[str]:
    parts = []
    if event.temperature_c is not None:
        parts.append(ku.temperature_text(event.temperature_c, settings))
    if event.sg is not None:
        parts.append(
            translate("Events", "specific gravity {n} at {reference}").format(
                n=f"{event.sg:.4f}", reference=event.sg_reference
            )
        )
    if event.salinity is not None:
        parts.append(translate("Events", "salinity {n}").format(n=f"{event.salinity:g}"))
    if event.conductivity_ms_cm is not None:
        parts.append(f"{event.conductivity_ms_cm:g} mS/cm")
    if event.ph is not None:
        parts.append(f"pH {event.ph:g}")
    if event.tan_mg_l is not None:
        parts.append(translate("Events", "TAN {n} mg/L as N").format(n=f"{event.tan_mg_l:g}"))
    if event.oxygen_mg_l is not None:
        parts.append(translate("Events", "oxygen {n} mg/L").format(n=f"{event.oxygen_mg_l:g}"))
    return parts
