"""Where in a sheet the table is, and wide ones made long: titles, names, units, footers, a column per vessel or day."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from operator import eq

from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.core.vessel import names_of
from rackview.exchange.freeform.dates import looks_like_day, serial
from rackview.exchange.freeform.numbers import is_missing_value, unit_in
from rackview.exchange.freeform.targets import role_of
from rackview.exchange.sheets import Sheet
from rackview.language import _

HEADER_WITHIN = 30
"""Filled rows among which the header is looked for."""
MOST_COLUMNS = 200
_FOOTER = re.compile(
    r"(?:grand )?(?:totals?|sums?|averages?|avg\.?|means?|median|min(?:imum)?|max(?:imum)?|std\.?(?: ?dev\.?)?|"
    r"gesamt|summe|mittel(?:wert)?|durchschnitt|promedio|suma|moyenne|legend|key|source)\b[\s:.]*",
    re.IGNORECASE,
)
_UNIT_CELL = re.compile(
    r"[\[(]?\s*(?:°?\s*[cf]|deg\.?\s?[cf]|ml|l|gal(?:lons?)?|g|ppt|psu|‰|sg|ms/cm|µs/cm|mg/l|ppm|"
    r"(?:ind|animals|rotifers|#|n|tiere)?\s*(?:/|per )\s*m?l|"
    r"d/m/y+|m/d/y+|dd[./-]mm[./-]yy+|mm[./-]dd[./-]yy+|yyyy-mm-dd|hh:mm|-|–|%|date|time|text|n|1-5|0-4)\s*[\])]?\Z",
    re.IGNORECASE,
)
_GENERIC = re.compile(
    r"\b(?:tank|vessel|culture|bucket|jar|bottle|carboy|cone|container|becken|beh[aä]lter|eimer|tonne|kultur|no|nr|"
    r"cultivo)\b\.?|[\s_#:.\-]+",
    re.IGNORECASE,
)
NEAR, LONG_NAME = 0.72, 4
"""How alike two names must be, from 0 to 1, to be asked about as one, and how many letters each must have."""
_VESSEL_LIKE = re.compile(r"(?:[a-z]{1,3}|[a-z]+[\s_#-]*)\d{1,3}[a-z]?\Z|[a-z]\Z|\d{1,2}\Z", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Wide:
    """A column whose header names a vessel, and perhaps what its numbers are."""

    vessel: str
    rest: str


@dataclass(frozen=True, slots=True)
class FoundTable:
    """A table found in a sheet: the header's texts, each only once, and the rows under it with their lines.

    `remarks` says what was passed over or filled in; `sections` gives lines from which on a heading named a vessel.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[object, ...]], ...]
    line: int = 0
    remarks: tuple[str, ...] = ()
    titles: tuple[str, ...] = ()
    wide: bool = False


def plain_name(name: object) -> str:
    """A vessel's name without what people put before it, for comparing."""
    text = str(int(name)) if isinstance(name, float) and name.is_integer() else str(name)
    return _GENERIC.sub("", text).lower().lstrip("0") or text.strip().lower()


def names_in(rack: Rack) -> dict[str, str]:
    """The vessel that each plain name means: its own, one it had before, or its place on the shelf, in this order."""
    found: dict[str, str] = {}
    for name, vessel in names_of(rack.vessels.values()):
        found.setdefault(plain_name(name), vessel.vessel)
    return found


def nearest_name(name: str, own: Mapping[str, str]) -> str:
    """The vessel whose name is nearly this one, as by a slip of the pen; none for a short name or another number."""
    from difflib import get_close_matches

    def numbers(text: str) -> list[str]:
        return re.findall(r"\d+", text)

    plain = plain_name(name)
    alike = [known for known in own if numbers(known) == numbers(plain) and len(known) >= LONG_NAME]
    near = get_close_matches(plain, alike, 1, NEAR) if len(plain) >= LONG_NAME else []
    return own[near[0]] if near else ""


def find_table(sheet: Sheet, known: Mapping[str, str]) -> FoundTable:
    """The table in a sheet; `known` are the plain names of vessels that a header or heading may bear."""
    rows = sheet.rows
    place = _header_at([cells for _, cells in rows[:HEADER_WITHIN]], known)
    remarks: list[str] = []
    if place is None:
        width = max(len(cells) for _, cells in rows)
        head: list[str] = [_("(column {n})").format(n=n) for n in range(1, width + 1)]
        line, body = 0, list(rows)
        remarks.append(_("no row of names was found, so the columns are numbered"))
        titles: tuple[str, ...] = ()
    else:
        line, cells = rows[place]
        above = rows[place - 1][1] if place else ()
        head, joined = _joined(above, cells, known)
        body = list(rows[place + 1 :])
        passed = place - joined
        titles = tuple(str(c).strip() for _, r in rows[:passed] for c in r if not is_missing_value(c))
        if passed:
            remarks.append(
                _("{passed} {word} above the names of the columns passed over").format(
                    passed=passed, word=_("row") if passed == 1 else _("rows")
                )
            )
        if body and _is_units(body[0][1]):
            head = [_with_unit(h, u) for h, u in zip(head, _padded(body[0][1], len(head)), strict=True)]
            remarks.append(_("the row of units read with the names"))
            body = body[1:]
    header = _once(head)
    kept, passed = _kept(body, header, cells if place is not None else ())
    if passed:
        remarks.append(
            _("{passed} {word} of totals or repeated names passed over").format(
                passed=passed, word=_("row") if passed == 1 else _("rows")
            )
        )
    return FoundTable(header, tuple(kept), line, tuple(remarks), titles)


def _padded(cells: Sequence[object], width: int) -> tuple[object, ...]:
    return (*cells[:width], *[""] * (width - len(cells)))


def _header_at(rows: list[tuple[object, ...]], known: Mapping[str, str]) -> int | None:
    """The row that names the columns: the one with most names in it, if it has more names than anything else."""
    best, most = None, 0.0
    for place, cells in enumerate(rows):
        filled = [c for c in cells if not is_missing_value(c)]
        texts = [str(c) for c in filled if isinstance(c, str) and not _numeric(c)]
        named = sum(bool(role_of(t)) or _cut(t, known) is not None for t in texts) + sum(
            not isinstance(c, str) and plain_name(c) in known for c in filled
        )
        days = sum(looks_like_day(c) for c in filled[1:])
        if filled and looks_like_day(filled[0]) and days < 2:
            continue  # a row of the table itself
        if days >= 2 and days >= len(filled) - 2:
            if any(
                _days_in_both(cells, beside) for beside in (*rows[max(0, place - 1) : place], *rows[place + 1 :][:1])
            ):
                continue  # columns of days
            named += days
        score = named + 0.1 * len(texts) - 0.5 * (len(filled) - len(texts)) * (days < 2)
        if len(filled) >= 2 and named >= 1 and score > most and named >= len(filled) / 4:
            best, most = place, score
    return best


def _days_in_both(above: Sequence[object], below: Sequence[object]) -> bool:
    return any(looks_like_day(a) and looks_like_day(b) for a, b in zip(above, below, strict=False))


def _numeric(text: str) -> bool:
    return re.fullmatch(r"[~<>]?\s*[\d.,:/\-\s]+(?:%|e[+-]?\d+)?", text.strip(), re.IGNORECASE) is not None


def _joined(above: Sequence[object], cells: Sequence[object], known: Mapping[str, str]) -> tuple[list[str], int]:
    """The header, with the row above it where that names vessels over several columns each."""
    head = [_text(c) for c in cells]
    over = [_text(c) for c in _padded(above, len(head))]
    vessels = [o for o in over if o and (plain_name(o) in known or _VESSEL_LIKE.match(o))]
    if len(vessels) < 2 or len(vessels) < sum(map(bool, over)):
        return head, 0
    current = ""
    found = []
    for up, name in zip(over, head, strict=True):
        current = up or current
        shared = not current or (role_of(name) in {"date", "time", "note"} and not up)
        found.append(name if shared else f"{current} {name}".strip())
    return found, 1


def _text(cell: object) -> str:
    if isinstance(cell, datetime | date):
        return cell.isoformat()[:10]
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return " ".join(str(cell).split()) if not is_missing_value(cell) else ""


def _is_units(cells: Sequence[object]) -> bool:
    filled = [str(c).strip() for c in cells if not is_missing_value(c)]
    return (
        bool(filled)
        and all(_UNIT_CELL.match(c) for c in filled)
        and any(re.search(r"[a-z°%‰/]", c, re.IGNORECASE) for c in filled)
    )


def _with_unit(head: str, unit: object) -> str:
    text = "" if is_missing_value(unit) else str(unit).strip(" ()[]")
    return f"{head} ({text})" if text and head else head


def _once(head: Sequence[str]) -> tuple[str, ...]:
    seen: dict[str, int] = {}
    found = []
    for name in head:
        seen[name] = seen.get(name, 0) + 1
        found.append(f"{name} #{seen[name]}" if name and seen[name] > 1 else name)
    return tuple(found)


def _kept(
    body: Iterable[tuple[int, tuple[object, ...]]], header: tuple[str, ...], names: Sequence[object]
) -> tuple[list[tuple[int, tuple[object, ...]]], int]:
    repeated = [_text(c) for c in names if not is_missing_value(c)]
    kept, passed = [], 0
    for line, cells in body:
        filled = [c for c in cells if not is_missing_value(c)]
        if not filled:
            continue
        first = filled[0]
        footer = isinstance(first, str) and _FOOTER.match(first) is not None
        again = len(filled) == len(repeated) and all(map(eq, map(_text, filled), repeated))
        if (footer and not looks_like_day(first)) or again:
            passed += 1
            continue
        kept.append((line, _padded(cells, max(len(header), len(cells)))))
    return kept, passed


# --- wide sheets --------------------------------------------------------------------------------------------------


def wide_columns(table: FoundTable, known: Mapping[str, str]) -> dict[int, Wide]:
    """Columns whose header is a vessel's name, or begins with one; empty for a long table.

    A name that is no vessel's counts where it looks like one and stands among others of its kind.
    """
    found: dict[int, Wide] = {}
    like: dict[int, Wide] = {}
    for place, header in enumerate(table.header):
        if not header or looks_like_day(header) or (header.startswith("(column ") and header.endswith(")")):
            continue
        cut = _cut(header, known)
        if cut is not None:
            found[place] = cut
        elif not role_of(header):
            bare = re.sub(r"[\[(].*", "", header).strip()
            if _VESSEL_LIKE.match(bare):
                like[place] = Wide(bare, header[len(bare) :].strip())
    if found or len(like) >= 2:
        return found | like
    return {}


def _cut(header: str, known: Mapping[str, str]) -> Wide | None:
    """A header cut into a known vessel and the rest."""
    words = header.split(" ")
    for n in range(len(words), 0, -1):
        bare = re.sub(r"[\[(].*", "", " ".join(words[:n])).strip(" :-_/,")
        if bare and plain_name(bare) in known and not (n < len(words) and plain_name(bare).isdigit()):
            rest = header[len(bare) :].strip(" :-_/,")
            return Wide(known[plain_name(bare)], rest)
    for n in range(1, len(words)):
        bare = " ".join(words[n:]).strip(" :-_/,()")
        if bare and plain_name(bare) in known and role_of(" ".join(words[:n])):
            return Wide(known[plain_name(bare)], " ".join(words[:n]))
    return None


def lengthened(table: FoundTable, wide: dict[int, Wide], value: str) -> FoundTable:
    """A wide table with one row per line and vessel; `value` names what stands under headers that are only a name."""
    shared = [n for n in range(len(table.header)) if n not in wide]
    rests = list(dict.fromkeys(w.rest if role_of(w.rest) else f"{value} {w.rest}".strip() for w in wide.values()))
    vessels = list(dict.fromkeys(w.vessel for w in wide.values()))
    places = {(w.vessel, w.rest if role_of(w.rest) else f"{value} {w.rest}".strip()): n for n, w in wide.items()}
    header = (*(table.header[n] for n in shared), "vessel", *rests)
    rows = []
    for line, cells in table.rows:
        base = tuple(cells[n] for n in shared)
        for vessel in vessels:
            own = [cells[places[vessel, r]] if (vessel, r) in places else "" for r in rests]
            if not all(is_missing_value(c) for c in own):
                rows.append((line, (*base, vessel, *own)))
    remarks = (
        *table.remarks,
        _("{vessels} vessels side by side turned into one row per vessel").format(vessels=len(vessels)),
    )
    return replace(table, header=_once(header), rows=tuple(rows), remarks=remarks, wide=True)


def days_across(table: FoundTable) -> FoundTable | None:
    """A table with a column per day turned into one with a row per day; None for any other."""
    days = [n for n, h in enumerate(table.header) if h and (looks_like_day(h) or serial(h) is not None)]
    if len(days) < 2 or len(days) < 0.5 * sum(map(bool, table.header)):
        return None
    shared = [n for n in range(len(table.header)) if n not in days and table.header[n]]
    rows = [
        (line, (table.header[d], *(cells[n] for n in shared), cells[d]))
        for line, cells in table.rows
        for d in days
        if not is_missing_value(cells[d])
    ]
    header = _once(("date", *(table.header[n] for n in shared), "value"))
    return replace(
        table,
        header=header,
        rows=tuple(rows),
        remarks=(*table.remarks, _("a column per day turned into a row per day")),
    )


def headings(table: FoundTable, known: Mapping[str, str]) -> FoundTable:
    """A table without a vessel column in which rows of one cell name the vessel of the rows under them."""
    current, found, rows = "", False, []
    for line, cells in table.rows:
        filled = [c for c in cells if not is_missing_value(c)]
        name = plain_name(filled[0]) if filled else ""
        if len(filled) == 1 and name in known and not looks_like_day(filled[0]):
            current, found = known[name], True
            continue
        rows.append((line, (*cells[: len(table.header)], current)))
    if not found:
        return table
    remarks = (*table.remarks, _("headings between the rows read as the vessel of the rows under them"))
    return replace(table, header=_once((*table.header, "vessel")), rows=tuple(rows), remarks=remarks)


__all__ = [
    "FoundTable",
    "Wide",
    "days_across",
    "find_table",
    "headings",
    "lengthened",
    "names_in",
    "nearest_name",
    "plain_name",
    "unit_in",
    "wide_columns",
]
