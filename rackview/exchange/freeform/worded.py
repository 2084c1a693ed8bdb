"""The words that an import itself puts into a note, and what they are in English, whatever language they were put in.

A note is part of what an event says, and what it says tells whether it is there already. So that a file which was taken
in under one language is known again under another, there and on another keeper's PC, notes are compared in English.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from rackview import translations
from rackview.core.events import Event, Note
from rackview.core.parse import content
from rackview.language import N_, _

PART = N_("{words} {values:g} to {values_2:g}")
DAY = N_("day's low to high: {parts}; {rows} values, {times} to {times_2}")
ABOUT, ABOUT_VALUE = N_("about: {cell}"), N_("{header}: about {value:g}")
DENSITY = N_("density as written: {pop:g} per mL")
TALLIED = N_("animals counted, of a volume that is not said: {tallies}")
WITH_EGGS, FED_WITH = N_("with eggs: {cell}"), N_("feed: {get}")
TEMPLATES = (DAY, ABOUT, ABOUT_VALUE, DENSITY, TALLIED, WITH_EGGS, FED_WITH)
MEASURED = {
    "temperature_c": N_("temperature"), "sg": "SG", "salinity": N_("salinity"),
    "conductivity_ms_cm": N_("conductivity"), "ph": "pH", "tan_mg_l": N_("ammonia"), "oxygen_mg_l": N_("oxygen"),
}  # fmt: skip
APART, LISTED = "; ", ", "
_FIELD = re.compile(r"\{(\w+)(:g)?\}")


def worded(template: str, **fields: object) -> str:
    """One of the notes above in the language in use."""
    return _(template).format(**fields)


def content_in_english(event: Event) -> tuple[object, ...]:
    """What an event says, `core.parse.content` of it, with the words of an import in English."""
    column = "text" if isinstance(event, Note) else "note"
    words = getattr(event, column)
    if words and (plain := in_english(words)) != words:
        values: dict[str, Any] = {column: plain}
        return content(replace(event, **values))
    return content(event)


def in_english(note: str) -> str:
    """A note with the words of an import as an import under English puts them; a keeper's own are as they were."""
    return APART.join(map(_piece, note.split(APART)))


def _piece(words: str) -> str:
    for pattern, english in _known():
        found = pattern.fullmatch(words)
        if found is not None:
            fields = found.groupdict()
            if "parts" in fields:
                fields["parts"] = LISTED.join(map(_part, fields["parts"].split(LISTED)))
            return _filled(english, fields)
    return words


def _part(words: str) -> str:
    for pattern, names in _parts():
        found = pattern.fullmatch(words)
        if found is not None and found["words"] in names:
            return _filled(PART, found.groupdict() | {"words": names[found["words"]]})
    return words


def _filled(template: str, fields: Mapping[str, str]) -> str:
    return _FIELD.sub(lambda field: fields[field[1]], template)


@cache
def _known() -> list[tuple[re.Pattern[str], str]]:
    """Each piece of a note as another language words it, and its English."""
    return [
        (_pattern(piece), english)
        for catalogue in translations.catalogues()
        for template in TEMPLATES
        for piece, english in zip(catalogue.gettext(template).split(APART), template.split(APART), strict=True)
    ]


@cache
def _parts() -> list[tuple[re.Pattern[str], Mapping[str, str]]]:
    """How another language words the low and high of one quantity, and the English names of quantities by its own."""
    return [
        (_pattern(catalogue.gettext(PART)), {catalogue.gettext(word): word for word in MEASURED.values()})
        for catalogue in translations.catalogues()
    ]


def _pattern(template: str) -> re.Pattern[str]:
    """What a template may have become; a field with :g is a number."""
    found, end = "", 0
    for field in _FIELD.finditer(template):
        found += re.escape(template[end : field.start()])
        found += rf"(?P<{field[1]}>[-+.\de]+)" if field[2] else rf"(?P<{field[1]}>.+)"
        end = field.end()
    return re.compile(found + re.escape(template[end:]), re.DOTALL)
