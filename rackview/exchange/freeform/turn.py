"""Rows of an understood table turned into rows of our own tables, or into a sentence for each that can't be."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rackview.core.errors import InputError
from rackview.core.rack import Rack
from rackview.exchange.freeform import numbers
from rackview.exchange.freeform.dates import day_and_time, time_of_day
from rackview.exchange.freeform.guess import PAIR, STAGES
from rackview.exchange.freeform.logger import thinned
from rackview.exchange.freeform.numbers import Measure, Style, UnclearError, is_missing_value
from rackview.exchange.freeform.question import CLEANED, CRASHED, NEW_VOLUME, OTHER, THIN, THINNING, UNKNOWN, VESSEL
from rackview.exchange.freeform.said import LineDraft, event_rows, row_words
from rackview.exchange.freeform.table import names_in, plain_name
from rackview.exchange.freeform.targets import NOTE, OUT, TARGETS, UNITS, Target, kind_of, split_or_restart
from rackview.exchange.freeform.understand import YES, Understanding, cleaned_part
from rackview.exchange.freeform.worded import ABOUT, ABOUT_VALUE, worded
from rackview.exchange.intake import Report, SourceRow, clear
from rackview.language import _

TALLIES = _("whole numbers, one per aliquot")
CILIATES = {
    "none": "none", "no": "none", "0": "none", "clean": "none", "keine": "none", "some": "some", "few": "some",
    "a few": "some", "wenige": "some", "1": "some", "many": "many", "lots": "many", "viele": "many", "2": "many",
    "yes": "some",
}  # fmt: skip
_FAMILY = {t: (family, unit) for family, units in UNITS.items() for unit, t in units.items()}


class Turner:
    """Turns the rows of one understood table; `events` and `vessels` are rows of those tables."""

    def __init__(self, understanding: Understanding, rack: Rack, part: int, report: Report) -> None:
        self.u, self.rack, self.part, self.report = understanding, rack, part, report
        self.style: Style = understanding.style
        places = {h: n for n, h in enumerate(understanding.table.header)}
        self.columns: list[tuple[str, int, Target]] = [
            (h, places[h], TARGETS[name]) for h, name in understanding.columns.items() if name not in {OUT, ""}
        ]
        where = {"date", "time", "vessel"}
        self.where = [(place, target.name) for _, place, target in self.columns if target.name in where]
        self.what = [c for c in self.columns if c[2].name not in {*where, "strain", "shelf", "position"}]
        self.named: dict[str, str] = {}
        self.own = names_in(rack)
        self.default = understanding.answer(VESSEL)
        self.new: dict[str, dict[str, object]] = {}
        self.day: object = None
        self.last_vessel: object = None
        self.has_vessel = any(t.name == "vessel" for _, _, t in self.columns)
        self.targets = {t.name for _, _, t in self.columns}
        self.usual_feed = self._feed("")

    def rows(self, skip: frozenset[int] = frozenset()) -> tuple[list[SourceRow], list[SourceRow]]:
        """Rows of the event table and of the vessel table; lines in `skip` are passed over."""
        events: list[SourceRow] = []
        for line, cells in self.u.table.rows:
            self.report.looked()
            try:
                draft = self._draft(line, cells)
                if draft is not None and line not in skip:
                    events += [
                        SourceRow(self.part, self.u.label, line, row, row_words(row)) for row in event_rows(draft)
                    ]
            except InputError as error:
                if line not in skip:
                    self.report.refused(SourceRow(self.part, self.u.label, line, {}), error)
        if self.u.answer(THIN) == THINNING[0]:
            events = thinned(events)
        vessels = [SourceRow(self.part, self.u.label, self.u.table.line, row) for row in self.new.values()]
        return events, vessels

    def _draft(self, line: int, cells: Sequence[object]) -> LineDraft | None:
        draft = LineDraft(line, usual_feed=self.usual_feed)
        vessel, day, hour = self._shared(cells)
        if vessel == OUT:
            return None
        draft.vessel = vessel
        for header, place, target in self.what:
            cell = cells[place]
            if is_missing_value(cell):
                continue
            try:
                self._put(draft, header, target, cell)
            except UnclearError as error:
                raise InputError(header or target.label, clear(cell), str(error)) from None
        if not (draft.cells or draft.notes or draft.kind or draft.tallies or draft.feeds or draft.stages):
            return None
        if day is None and "date" not in self.targets and draft.vessel in self.new:
            return None  # a list of vessels
        if day is None:
            raise InputError("date", None, _("the day on which it happened"))
        draft.at = self._at(day, hour)
        return draft

    # --- when and where -------------------------------------------------------------------------------------------

    def _shared(self, cells: Sequence[object]) -> tuple[str, object, object]:
        vessel: object = None
        day: object = None
        hour: object = None
        for place, name in self.where:
            cell = cells[place]
            if is_missing_value(cell):
                continue
            if name == "date":
                day = cell
            elif name == "time":
                hour = cell
            else:
                vessel = cell
        self.day = day = day if day is not None else self.day
        self.last_vessel = vessel = vessel if vessel is not None else self.last_vessel
        return self._vessel(vessel, cells), day, hour

    def _vessel(self, cell: object, cells: Sequence[object]) -> str:
        if not self.has_vessel:
            return self.default
        if is_missing_value(cell):
            return ""
        name = str(int(cell)) if isinstance(cell, float) and cell.is_integer() else " ".join(str(cell).split())
        if name not in self.named:
            said = self.u.answers.get(f"{VESSEL} {name}", "")
            self.named[name] = said if said and said != OTHER else self.own.get(plain_name(name), "")
        if self.named[name]:
            return self.named[name]
        answer = self.u.answer(UNKNOWN)
        if answer.startswith("new ") and name not in self.new:
            self.new[name] = self._new(name, answer.removeprefix("new "), cells)
        return name if answer.startswith("new ") else OUT if answer == OUT else name

    def _new(self, name: str, strain: str, cells: Sequence[object]) -> dict[str, object]:
        place = 1 + max((v.position for v in self.rack.vessels.values() if v.shelf == "new"), default=0) + len(self.new)
        row: dict[str, object] = {"vessel": name, "strain": strain, "shelf": "new", "position": place}
        row["volume_l"] = self.u.answer(NEW_VOLUME)
        for _unused, n, target in self.columns:
            if target.kind == "vessel" and not is_missing_value(cells[n]):
                value: object = str(cells[n]).strip()
                if target.numeric:
                    value = target.convert(numbers.measure(cells[n], self.style, target.low, target.high).value)
                row[target.column] = value
        return row

    def _at(self, day: object, hour: object) -> str:
        try:
            on, at, offset = day_and_time(day, self.u.calendar)
        except UnclearError as error:
            raise InputError("date", clear(day), str(error)) from None
        try:
            if hour is not None:
                at = time_of_day(hour)
        except UnclearError as error:
            raise InputError("time", clear(hour), str(error)) from None
        shown = f"{on.isoformat()}T{at.isoformat() if at else '00:00'}"
        return shown + {"Z": "+00:00", "UTC": "+00:00", "GMT": "+00:00"}.get(offset, offset or self.u.offset)

    # --- what -----------------------------------------------------------------------------------------------------

    def _put(self, draft: LineDraft, header: str, target: Target, cell: object) -> None:
        name = target.name
        if name == NOTE:
            words = str(cell).strip()
            draft.notes.append(words if _is_note(header) else f"{header}: {words}")
        elif name == "kind":
            self._kind(draft, " ".join(str(cell).split()))
        elif name == "unit":
            draft.unit = str(cell).strip().lower()
        elif name == "tallies":
            self._tallies(draft, header, cell)
        elif target.column == "density_per_ml":
            self._density(draft, header, target, cell)
        elif target.column == "with_eggs":
            self._eggs(draft, target, cell)
        elif name == "cleaned":
            self._cleaned(draft, header, cell)
        elif name == "ciliates":
            self._ciliates(draft, header, cell)
        elif name == "dilution":
            draft.put("count", "dilution", self._dilution(cell, target))
        elif target.numeric:
            self._number(draft, header, target, cell)
        elif target.column:
            other = self.has_vessel and name in {"to vessel", "from vessel"}
            draft.put(target.kind, target.column, self._vessel(cell, ()) if other else _stage_or_words(cell))

    def _ciliates(self, draft: LineDraft, header: str, cell: object) -> None:
        word = CILIATES.get(str(cell).strip().lower().removesuffix(".0"))
        if word:
            draft.put("count", "ciliates", word)
        else:
            draft.notes.append(f"{header}: {cell}")

    def _kind(self, draft: LineDraft, word: str) -> None:
        known, column, other = split_or_restart(word)
        if plain_name(other) in self.own:
            draft.kind = known
            draft.put(known, column, self.own[plain_name(other)])
            return
        kind = kind_of(word) or self.u.answer(f"kind {word}") or NOTE
        if kind == NOTE:
            draft.notes.append(word)
        elif kind == "exchange":
            draft.kind, draft.exchange = "harvest", True
        else:
            draft.kind = kind
            if kind == "clean" and "cleaned" not in self.targets:
                draft.put("clean", "what", self.u.answer(CLEANED) or "floss")

    def _measure(self, target: Target, cell: object) -> Measure:
        return numbers.measure(cell, self.style, -1e15 if target.low == 0 else target.low, target.high)

    def _tallies(self, draft: LineDraft, header: str, cell: object) -> None:
        if numbers.crashed(cell):
            self._crashed(draft, cell)
            return
        aliquot = numbers.aliquot_in(header)
        if aliquot:
            draft.put("count", "aliquot_ml", aliquot)
        if isinstance(cell, str):
            body, _, words = cell.partition("(")
            several = numbers.whole_list(body, tight=self.style.decimal != ",")
            if several is not None:
                draft.tallies += several
                if words:
                    draft.notes.append(words.rstrip(") "))
                return
        found = numbers.measure(cell, self.style, 0, 1e7)
        if found.value != int(found.value) or found.value < 0 or found.about:
            raise UnclearError(TALLIES)
        draft.tallies.append(int(found.value))
        if found.words:
            draft.notes.append(found.words)

    def _crashed(self, draft: LineDraft, cell: object) -> None:
        draft.notes.append(str(cell).strip())
        if self.u.answer(CRASHED) == "a count of 0":
            draft.put("count", "density_per_ml", 0.0)

    def _density(self, draft: LineDraft, header: str, target: Target, cell: object) -> None:
        if numbers.crashed(cell):
            self._crashed(draft, cell)
            return
        several = numbers.whole_list(cell) if isinstance(cell, str) else None
        if several is not None and target.name == "density /mL":
            draft.tallies += several
            return
        found = numbers.measure(cell, self.style, 0, target.high)
        if found.unit in UNITS["density"] and target.name in UNITS["density"].values():
            target = TARGETS[f"density {found.unit}"]
        elif found.unit:
            raise UnclearError(_("animals per mL or per L"))
        stage = next((s for s in STAGES if s in header.lower()), "")
        if stage:
            if draft.stages.setdefault(STAGES[stage], target.convert(found.value)) != target.convert(found.value):
                raise UnclearError(_("one density of {stage} in a line").format(stage=stage))
        else:
            draft.put("count", "density_per_ml", target.convert(found.value))
        if found.about:
            draft.notes.append(worded(ABOUT, cell=str(cell).strip()))
        if found.words:
            draft.notes.append(found.words)

    def _eggs(self, draft: LineDraft, target: Target, cell: object) -> None:
        pair = PAIR.match(str(cell).strip())
        if pair is not None:
            draft.put("count", "with_eggs", int(pair[1]))
            draft.put("count", "females_checked", int(pair[2]))
            return
        found = numbers.measure(cell, self.style, 0, target.high)
        if found.unit == "%" or target.name == "with eggs %":
            draft.egg_percent = found.value
        else:
            draft.put("count", "with_eggs", found.value)

    def _dilution(self, cell: object, target: Target) -> float:
        pair = re.match(r"1\s*(?::|/|in|to|zu)\s*(\d+(?:[.,]\d+)?)\Z", str(cell).strip())
        if pair is not None:
            return float(pair[1].replace(",", "."))
        text = str(cell).strip().lower().removesuffix("x").removeprefix("x") if isinstance(cell, str) else cell
        return numbers.measure(text, self.style, target.low, target.high).value

    def _cleaned(self, draft: LineDraft, header: str, cell: object) -> None:
        word = str(cell).strip().lower()
        if word in {"no", "n", "nein", "0", "0.0", "false"}:
            return
        if word in YES:
            draft.put("clean", "what", cleaned_part(header) or self.u.answer(CLEANED) or "floss")
            return
        what = cleaned_part(word)
        if what:
            draft.put("clean", "what", what)
        else:
            draft.notes.append(f"{header}: {cell}")

    def _number(self, draft: LineDraft, header: str, target: Target, cell: object) -> None:
        found = self._part(cell) if target.of_volume else None
        found = found or self._measure(target, cell)
        family, unit = _FAMILY.get(target.name, ("", ""))
        if found.unit and family and found.unit != unit:
            other = UNITS[family].get(found.unit)
            if other is None:
                raise UnclearError(_("{label}, not {unit}").format(label=target.label, unit=found.unit))
            target = TARGETS[other]
        elif found.unit and not family and found.unit not in {"ppt", "mg/L", "SG"}:
            raise UnclearError(_("{label}, not {unit}").format(label=target.label, unit=found.unit))
        if target.name == "sg" and 990 <= found.value <= 1100:
            target = TARGETS["sg x 1000"]
        if not target.low <= found.value <= target.high:
            raise UnclearError(
                _("{label} from {low:g} to {high:g}").format(label=target.label, low=target.low, high=target.high)
            )
        value = target.convert(found.value)
        if target.of_volume:
            value = float(f"{value * self._holds(draft.vessel):.6g}")
        if (
            target.kind in {"harvest", "top_up", "split", "feed"}
            and value == 0
            and target.column in {"volume_l", "amount"}
        ):
            return
        if found.about:
            draft.notes.append(worded(ABOUT_VALUE, header=header, value=found.value))
        if found.words:
            draft.notes.append(f"{header}: {found.words}")
        self._place(draft, header, target, value)

    def _place(self, draft: LineDraft, header: str, target: Target, value: float) -> None:
        family = _FAMILY.get(target.name, ("", ""))[0]
        if family == "volume":
            draft.put("?", "volume_l", value)
            return
        if family == "fed":
            name = "" if "feed" in self.targets else self._feed(header)
            draft.feeds.append({"feed": name, "amount": value, "unit": "g" if target.name == "feed g" else "mL"})
            return
        if family == "exchange":
            draft.put("harvest", "refill_l", value)
            draft.put("harvest", "to", "discard")
        draft.put(
            target.kind, target.column, int(value) if target.column in _INTEGERS and value == int(value) else value
        )

    @staticmethod
    def _part(cell: object) -> Measure | None:
        """The part of a whole that is written as 1/3."""
        pair = PAIR.match(str(cell).strip())
        return Measure(int(pair[1]) / int(pair[2]), "fraction") if pair is not None and int(pair[2]) else None

    def _holds(self, vessel: str) -> float:
        """The working volume of a vessel, L."""
        if vessel in self.rack.vessels:
            return self.rack.vessels[vessel].volume_l
        try:
            return float(str(self.new.get(vessel, {}).get("volume_l", "")).replace(",", "."))
        except ValueError:
            raise UnclearError(_("litres, as what this vessel holds is not known")) from None

    def _feed(self, header: str) -> str:
        """The name of the feed of a column of amounts: the stock's, else what the header calls it."""
        bare = re.sub(
            r"[\[(].*?[\])]|\b(?:fed|feed(?:ing)?|given|amount|dose|added|ml|g)\b|[_:]",
            " ",
            header,
            flags=re.IGNORECASE,
        )
        bare = " ".join(bare.split())
        names = {s.feed.lower(): s.feed for s in self.rack.stock}
        if bare.lower() in names:
            return names[bare.lower()]
        if len(names) == 1 and (
            not bare or bare.lower() in {"algae", "food", "paste", "concentrate", "alimento", "futter"}
        ):
            return next(iter(names.values()))
        return bare or (next(iter(names.values())) if names else "feed")


_INTEGERS = frozenset({"with_eggs", "females_checked", "swimming", "tint", "position"})


def _stage_or_words(cell: object) -> str:
    """What a cell says, a stage by its own name."""
    words = str(cell).strip()
    return next((stage for start, stage in STAGES.items() if words.lower().startswith(start)), words)


def _is_note(header: str) -> bool:
    return (
        re.match(
            r"notes?|remark|remarque|comments?|text|bemerk|notiz|komment|notas?|observ|osserv|opmerk",
            header.strip(),
            re.IGNORECASE,
        )
        is not None
    )
