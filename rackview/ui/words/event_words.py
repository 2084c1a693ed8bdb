"""Recorded events in words, in the keeper's units: short for a line of what was done, longer for a list."""

from __future__ import annotations

from rackview.advice.words.speech import ACTION_WORDS
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
from rackview.language import _
from rackview.rules.catalogue.table import BY_CODE
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku


def kind_word(kind: str) -> str:
    """The word for a kind of event."""
    return {
        "count": _("count"),
        "reading": _("water test"),
        "feed": _("feed"),
        "harvest": _("harvest"),
        "clean": _("clean"),
        "top_up": _("top-up"),
        "split": _("split"),
        "restart": _("restart"),
        "rest": _("rest"),
        "return": _("return"),
        "note": _("note"),
        "decline": _("decline"),
    }.get(kind, kind)


def summary(event: Event, settings: Settings) -> str:
    """One event in a few words, such as harvest 5.2 L."""
    match event:
        case Count():
            return _count_words(event)
        case Reading():
            return _("water test")
        case Harvest():
            return _("harvest {amount}").format(amount=ku.with_unit(event.volume_l, settings))
        case Feed():
            return _("feed {amount} {unit}").format(amount=ku.plain(event.amount), unit=event.unit)
        case Clean():
            return {
                "floss": _("floss rinsed"),
                "vessel": _("vessel cleaned"),
                "airline": _("airline cleaned"),
            }[event.what]
        case TopUp():
            return _("top-up {amount}").format(amount=ku.with_unit(event.volume_l, settings))
        case Split():
            return _("split {amount} into {to}").format(
                amount=ku.with_unit(event.volume_l, settings), to=event.to_vessel
            )
        case Restart():
            source = event.from_vessel or event.starter
            if source:
                return _("restart from {source}").format(source=source)
            return _("restart")
        case Note():
            return event.text
        case Decline():
            rule = BY_CODE.get(event.code)
            what = ACTION_WORDS.get(event.action) or (rule.short if rule else event.code.replace("_", " "))
            return _("declined: {what}").format(what=what)
        case _:
            return kind_word(event.kind)


def _count_words(event: Count) -> str:
    words = _("count {tallies}").format(tallies=" ".join(map(str, event.tallies)))
    if not event.tallies:
        per_ml = formats.two_figures(event.density_per_ml or 0.0)
        words = _("count of {n} /mL").format(n=per_ml)
    return words if event.stage == "all" else f"{words} {_(event.stage)}"


def details(event: Event, settings: Settings) -> str:
    """What else an event says, for the second column of a list."""
    match event:
        case Count():
            parts = _count(event)
        case Reading():
            parts = _reading(event, settings)
        case Harvest():
            parts = [
                _water(_("refill {amount}"), event.refill_l or None, settings),
                _("discarded") if event.to == "discard" else event.to and _("to {place}").format(place=event.to),
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
                parts.append(_("{n} /mL").format(n=formats.two_figures(event.density_per_ml)))
            parts += _new_water(event, settings)
        case TopUp():
            parts = [_("salinity {n}").format(n=f"{event.salinity or 0:g}")]
        case Decline():
            parts = [event.reason, _("for {days}").format(days=formats.days(event.days))]
        case _:
            parts = []
    return ", ".join(p for p in (*parts, event.note) if p)


def _new_water(event: Split | Restart, settings: Settings) -> list[str]:
    """The new water that giver and taker got, where something was said of it."""
    return [
        _water(_("refill {amount}"), event.refill_l, settings),
        _water(_("filled up with {amount}"), event.fill_l, settings),
    ]


def _water(words: str, litres: float | None, settings: Settings) -> str:
    return "" if litres is None else words.format(amount=ku.with_unit(litres, settings))


def _count(event: Count) -> list[str]:
    per_ml = event.animals / event.looked_at_ml
    parts = [_("{n} /mL").format(n=formats.two_figures(per_ml))]
    if event.with_eggs is not None and event.females_checked:
        share = f"{100 * event.with_eggs / event.females_checked:.0f}"
        parts.append(_("{share} % with eggs").format(share=share))
        if event.eggs is not None:
            ratio = f"{event.eggs / event.females_checked:.2f}"
            parts.append(_("{ratio} eggs per female").format(ratio=ratio))
    if event.swimming is not None:
        parts.append(_("swimming {n}").format(n=event.swimming))
    if event.ciliates:
        parts.append(_("ciliates {word}").format(word=_(event.ciliates)))
    if event.tint is not None:
        parts.append(_("tint {n}").format(n=event.tint))
    return parts


def _reading(event: Reading, settings: Settings) -> list[str]:
    parts = []
    if event.temperature_c is not None:
        parts.append(ku.temperature_text(event.temperature_c, settings))
    if event.sg is not None:
        parts.append(_("specific gravity {n} at {reference}").format(n=f"{event.sg:.4f}", reference=event.sg_reference))
    if event.salinity is not None:
        parts.append(_("salinity {n}").format(n=f"{event.salinity:g}"))
    if event.conductivity_ms_cm is not None:
        parts.append(f"{event.conductivity_ms_cm:g} mS/cm")
    if event.ph is not None:
        parts.append(f"pH {event.ph:g}")
    if event.tan_mg_l is not None:
        parts.append(_("TAN {n} mg/L as N").format(n=f"{event.tan_mg_l:g}"))
    if event.oxygen_mg_l is not None:
        parts.append(_("oxygen {n} mg/L").format(n=f"{event.oxygen_mg_l:g}"))
    return parts
