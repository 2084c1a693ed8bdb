"""The round on paper, for the wet shed: vessels in the safe order, boxes to write in, what is suggested beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QPainter

from rackview.advice.words.speech import Speech
from rackview.core.assessment import Severity
from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.core.vessel import by_place
from rackview.language import _
from rackview.services.printout import deed
from rackview.ui.forms import remembered
from rackview.ui.paint.ink import pen, saved, width_of, wrapped, write
from rackview.ui.paint.marks import paint_severity
from rackview.ui.paint.paper import Block, Page, Text, dashed, empty_box, heading, pages
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

if TYPE_CHECKING:
    from rackview.core.assessment import Assessment, Suggestion
    from rackview.services.rack_session import RackSession
    from rackview.ui.round.order import Stop

ONE_LINE = 900.0
"""From this width on the suggested actions stand beside the boxes, not below them."""
TALLIES = 4
TICK = "tick"
LONG = 1.7
"""How much wider the box of a long caption is."""
SHARES = {"name": 1.75, "tallies": 3.7, "eggs": 1.75, "swim": 0.88, "ciliates": 1.05, "tint": 0.8, "water": 3.8}


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One vessel on the sheet: where, how it is sampled, its flags in a word each, what is suggested."""

    place: str
    name: str
    sampled: tuple[str, ...]
    stages: tuple[str, ...]
    flags: tuple[tuple[Severity, str], ...]
    actions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetColumns:
    """Where the columns stand at a width: left edge and width of each."""

    places: Mapping[str, tuple[float, float]]
    beside: tuple[float, float] | None

    @classmethod
    def at(cls, width: float) -> SheetColumns:
        """The columns at a width; the actions have one of their own where there is room."""
        room = width * 0.66 if width >= ONE_LINE else width
        whole = sum(SHARES.values())
        x, places = 0.0, {}
        for name, share in SHARES.items():
            places[name] = (x, room * share / whole - 6.0)
            x += room * share / whole
        return cls(places, (room + 8.0, width - room - 8.0) if width >= ONE_LINE else None)


@dataclass(frozen=True, slots=True)
class SheetHead:
    """The names of the columns."""

    water: tuple[tuple[str, str], ...]
    keep: bool = True

    def height(self, width: float) -> float:
        return 22.0

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        columns = SheetColumns.at(rect.width())
        words = {
            "name": _("vessel"),
            "tallies": _("animals in each aliquot"),
            "eggs": _("with eggs"),
            "swim": _("swims"),
            "ciliates": _("ciliates"),
            "tint": _("tint"),
        }
        px = 11 if rect.width() >= 640 else 9
        for name, word in words.items():
            x, wide = columns.places[name]
            write(painter, rect.left() + x, rect.top() + 13, word, px, theme.middle, room=wide + 5)
        x, wide = columns.places["water"]
        for n, (word, _unused) in enumerate(self.water):
            left = rect.left() + x + n * (wide + 6) / len(self.water)
            write(painter, left, rect.top() + 13, word, px, theme.middle, room=wide / len(self.water))
        if columns.beside is not None:
            word = _("suggested; tick when done")
            write(painter, rect.left() + columns.beside[0], rect.top() + 13, word, px, theme.middle)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One vessel: its boxes, and its suggested actions with a box to tick."""

    line: SheetLine
    water: tuple[str, ...]
    keep: bool = False

    def _sizes(self, width: float) -> tuple[float, int]:
        """Height of the boxes and size of the type."""
        return (38.0, 13) if width >= 640 else (34.0, 12)

    def _actions(self, width: float) -> list[list[tuple[float, str, str | Severity]]]:
        """Flags and actions in lines: where each begins, its words, and the mark or box before it."""
        columns = SheetColumns.at(width)
        room = columns.beside[1] if columns.beside is not None else width - self._indent(width)
        px = self._sizes(width)[1]
        lines: list[list[tuple[float, str, str | Severity]]] = [[]]
        x = 0.0
        shown: list[tuple[str | Severity, str]] = [*self.line.flags, *((TICK, d) for d in self.line.actions)]
        for before, words in shown:
            wide = 18.0 + width_of(words, px, fonts.MEDIUM)
            if x > 0 and x + wide > room:
                lines.append([])
                x = 0.0
            parts = wrapped(words, px, fonts.MEDIUM, room - 18.0, 4)
            lines[-1].append((x, parts[0], before))
            lines.extend([(0.0, more, "")] for more in parts[1:])
            x = room if len(parts) > 1 else x + wide + 16.0
        return lines

    def _below_name(self) -> float:
        """How far the words under place and name reach below the boxes."""
        return 12.0 * len(self.line.sampled) + 2.0

    def _indent(self, width: float) -> float:
        return SheetColumns.at(width).places["tallies"][0]

    def height(self, width: float) -> float:
        box, px = self._sizes(width)
        actions = len(self._actions(width)) * (px + 5.0) if self.line.actions or self.line.flags else 0.0
        if width >= ONE_LINE:
            return max(box + 4.0 + self._below_name(), actions + 8.0)
        return box + 8.0 + max(actions, self._below_name()) + 6.0

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        width = rect.width()
        columns = SheetColumns.at(width)
        box, px = self._sizes(width)
        with saved(painter):
            painter.setPen(pen(theme.ink, 0.8))
            painter.drawLine(QLineF(rect.topLeft(), rect.topRight()))
        top = rect.top() + 6.0
        self._name(painter, QRectF(rect.left(), top, columns.places["name"][1], rect.height()), theme, width)
        self._boxes(painter, rect.left(), top, box, columns, theme)
        left = rect.left() + (columns.beside[0] if columns.beside is not None else self._indent(width))
        y = rect.top() + 3.0 if columns.beside is not None else top + box + 3.0
        for line in self._actions(width):
            for x, words, before in line:
                mark = QRectF(left + x, y + 3.5, 11.0, 11.0)
                if isinstance(before, Severity):
                    paint_severity(painter, mark, before, theme)
                elif before == TICK:
                    empty_box(painter, mark, theme)
                weight = fonts.BOLD if isinstance(before, Severity) else fonts.MEDIUM
                write(painter, left + x + 18.0, y + px + 1.0, words, px, theme.ink, weight)
            y += px + 5.0

    def _name(self, painter: QPainter, rect: QRectF, theme: Theme, width: float) -> None:
        small = self._sizes(width)[1] - 2
        write(painter, rect.left(), rect.top() + 15, self.line.place, 18, theme.ink, fonts.BOLD)
        px = next((p for p in (small + 1, small) if width_of(self.line.name, p) <= rect.width()), small - 1)
        write(painter, rect.left(), rect.top() + 29, self.line.name, px, theme.ink, room=rect.width() + 4)
        y = rect.top() + 42.0
        for word in self.line.sampled:
            write(painter, rect.left(), y, word, small, theme.middle, room=rect.width())
            y += 12.0

    def _boxes(
        self, painter: QPainter, left: float, top: float, box: float, columns: SheetColumns, theme: Theme
    ) -> None:
        x, wide = columns.places["tallies"]
        names = self.line.stages or ("",) * TALLIES
        self._row(painter, QRectF(left + x, top, wide, box), len(names), theme, names)
        x, wide = columns.places["eggs"]
        self._row(painter, QRectF(left + x, top, wide, box), 2, theme, ("", _("of")))
        for name in ("swim", "ciliates", "tint"):
            x, wide = columns.places[name]
            self._row(painter, QRectF(left + x, top, wide, box), 1, theme)
        x, wide = columns.places["water"]
        self._row(painter, QRectF(left + x, top, wide, box), len(self.water), theme, self.water)

    def _row(self, painter: QPainter, rect: QRectF, count: int, theme: Theme, captions: Sequence[str] = ()) -> None:
        """Boxes side by side; one with a long caption is wider than the rest."""
        weights = [LONG if n < len(captions) and len(captions[n]) > 8 else 1.0 for n in range(count)]
        room, x = rect.width() - 6.0 * (count - 1), rect.left()
        for n, weight in enumerate(weights):
            one = QRectF(x, rect.top(), room * weight / sum(weights), rect.height())
            x = one.right() + 6.0
            empty_box(painter, one, theme)
            if n < len(captions) and captions[n]:
                px = next((p for p in (9, 8) if width_of(captions[n], p) < one.width() - 4), 7)
                write(painter, one.left() + 3, one.top() + px + 1, captions[n], px, theme.soft, room=one.width() - 3)


@dataclass(frozen=True, slots=True)
class Apart:
    """The line from which on every vessel has tools of its own."""

    keep: bool = True

    def height(self, width: float) -> float:
        return 26.0

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        words = _("quarantine from here on: separate tools for each vessel, rinsed hands")
        dashed(painter, QPointF(rect.left(), rect.top() + 5), QPointF(rect.right(), rect.top() + 5), theme.ink)
        write(painter, rect.left(), rect.top() + 20, words, 12, theme.ink, fonts.BOLD)


@dataclass(frozen=True, slots=True)
class Blanks:
    """Words with a line to write on after each."""

    words: tuple[str, ...]
    keep: bool = True

    def height(self, width: float) -> float:
        return 34.0

    def paint(self, painter: QPainter, rect: QRectF, theme: Theme) -> None:
        each = rect.width() / len(self.words)
        for n, word in enumerate(self.words):
            x = rect.left() + n * each
            wide = write(painter, x, rect.top() + 20, word, 12, theme.middle)
            with saved(painter):
                painter.setPen(pen(theme.rim, 0.8))
                painter.drawLine(QLineF(x + wide + 6, rect.top() + 22, x + each - 14, rect.top() + 22))


@dataclass(frozen=True, slots=True)
class RoundSheet:
    """The sheet of one day."""

    title: str
    file: str
    begin: tuple[Block, ...]
    head: SheetHead
    rows: tuple[Block, ...]
    end: tuple[Block, ...]

    def pages(self, width: float, height: float) -> tuple[Page, ...]:
        """All of it on pages of paper."""
        table = [*self.begin, self.head, *self.rows]
        return pages([*table, *self.end], width, height, self.head, len(table))


def round_sheet(session: RackSession) -> RoundSheet:
    """The sheet of the rack as it is now."""
    from rackview.ui.round.order import stops

    rack, now = session.rack, session.now().astimezone()
    suggestions, assessments = session.suggestions(), session.assessments()
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    way = stops(rack, session.round_order(), assessments, suggestions, midnight)
    cautions = _lettered(suggestions)
    water = _water(rack)
    rows: list[Block] = []
    apart = False
    for stop in way:
        if stop.own_tools and not apart:
            apart = True
            rows.append(Apart())
        mine = [s for s in suggestions if s.vessel == stop.vessel]
        line = _line(rack, stop.vessel, assessments[stop.vessel], mine, cautions)
        rows.append(SheetRow(line, tuple(caption for _, caption in water)))
    name = rack.settings.name or _("Rack")
    title = _("Round, {day}").format(day=f"{formats.full_date(now.date())} {now.year}")
    invented = _("an invented rack") if rack.settings.invented else ""
    about = _("Cleanest and most precious first, suspect vessels last. Swims 1–5, tint 0–4.")
    begin: tuple[Block, ...] = (
        Text(title, 20, fonts.BOLD, below=2.0, keep=True),
        Text(", ".join(w for w in (name, invented) if w) + ". " + about, 12, quiet=True, keep=True),
        Blanks((_("begun at"), _("by"))),
    )
    return RoundSheet(
        title,
        _("round {now:%Y-%m-%d}.pdf").format(now=now),
        begin,
        SheetHead(water),
        tuple(rows),
        _end(rack, way, cautions),
    )


def _water(rack: Rack) -> tuple[tuple[str, str], ...]:
    """The water columns: the heading of each, and the words inside its boxes."""
    unit = rack.settings.salinity_unit
    return (
        (ku.DEGREES[rack.settings.temperature_unit], ""),
        (unit, rack.settings.sg_reference if unit == "SG" else ""),
        (_("pH"), ""),
        (_("TAN"), "mg/L"),
    )


def _lettered(suggestions: Sequence[Suggestion]) -> dict[str, str]:
    """Every caution with its letter, in the order in which they first apply."""
    found = dict.fromkeys(c for s in suggestions for c in s.cautions)
    return {c: chr(ord("a") + n) if n < 26 else str(n + 1) for n, c in enumerate(found)}


def _line(
    rack: Rack, vessel: str, seen: Assessment, suggestions: Sequence[Suggestion], cautions: Mapping[str, str]
) -> SheetLine:
    speech = Speech(rack.settings, rack.vessels)
    named = rack.vessels[vessel]
    habit = remembered.habit(rack, vessel)
    ratio = habit.dilution * habit.fixative
    sampled = [f"{habit.aliquot_ml:g} mL", *([_("{n}-fold").format(n=f"{ratio:.3g}")] if ratio > 1 else [])]
    if named.reserve:
        sampled.insert(0, _("reserve"))
    stages: tuple[str, ...] = ()
    if remembered.staged(rack, vessel):
        stages = (_("nauplii"), _("copepodites"), _("adults"))
    actions = []
    for one in suggestions:
        letters = ", ".join(cautions[c] for c in one.cautions)
        actions.append(deed(one, speech) + (f" ({letters})" if letters else ""))
    return SheetLine(
        named.place,
        "" if named.place == vessel else vessel,
        tuple(sampled),
        stages,
        tuple((f.severity, f.short) for f in seen.standing_flags),
        tuple(actions),
    )


def _end(rack: Rack, way: Sequence[Stop], cautions: Mapping[str, str]) -> tuple[Block, ...]:
    served = {s.vessel for s in way}
    away = [v for v in by_place(rack.vessels.values()) if v.vessel not in served]
    resting = [f"{v.place} {v.vessel}" if v.place != v.vessel else v.vessel for v in away]
    found: list[Block] = []
    if not rack.vessels:
        found.append(Text(_("This rack has no vessels yet."), quiet=True))
    if resting:
        words = _("Not on the round, as at rest: {vessels}.").format(vessels=", ".join(resting))
        found.append(Text(words, 12, quiet=True, above=8.0))
    if cautions:
        said = [Text(f"{letter}  {caution}", 11, below=2.0) for caution, letter in cautions.items()]
        found += [heading(_("Mind")), *said]
    return tuple(found)
