"""One vessel's entry on the round, as typed: the text of every field, what it says, and what is wrong with it.

No Qt here. Text is kept as it was typed, right or wrong; the checked parser of the core judges each field by itself,
so that a sentence can stand beside the field that earned it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from rackview.core import read
from rackview.core.assessment import Assessment, Interval, Suggestion
from rackview.core.errors import InputError
from rackview.core.events import Event, Split
from rackview.core.parse import TALLIES, event_from_row
from rackview.core.rack import Rack, check
from rackview.ui import keeper_units as ku
from rackview.ui import moves, remembered
from rackview.ui.round import beside as round_beside
from rackview.ui.round import feed as round_feed
from rackview.ui.round.fields import (
    ACTS,
    CHECKED_AS_TYPED,
    CLEANING,
    COLUMNS,
    GRAVITY,
    LABELS,
    SAMPLE,
    SIGNS,
    STAGES,
    STALE,
    WATER,
)

if TYPE_CHECKING:
    from rackview.science.counts import CountDensity


class Entry:
    """What is typed for one vessel. `text` is what a field shows, `typed` only what the keeper touched.

    Attributes
    ----------
    vessel : name of the vessel
    settings : the rack's settings, with the units in which the entry was begun
    stages : the tally rows: one for rotifers, one per stage for copepods
    typed : field to text, as typed
    offered : field to text, from the suggestions; shown until the keeper types there
    begun : when the first key was typed, or None
    doubted : the rule by which the count as typed would ask to be made again, "" if it may stand
    believed : the density that would be believed were it recorded as typed
    """

    def __init__(
        self,
        rack: Rack,
        vessel: str,
        assessment: Assessment,
        suggestions: Sequence[Suggestion] = (),
        draft: Mapping[str, object] | None = None,
    ) -> None:
        self.rack = rack
        self.vessel = vessel
        self.assessment = assessment
        self.profile = rack.profile(vessel)
        self.staged = self.profile.animal == "copepod"
        self.stages: tuple[str, ...] = ("all",)
        self.settings = rack.settings
        self._remembered = round_beside.texts(remembered.habit(rack, vessel))
        self.typed: dict[str, str] = {}
        self.begun: datetime | None = None
        self.doubted = ""
        self.believed = assessment.density_per_ml
        self.offered: dict[str, str] = {}
        self.suggestions: tuple[Suggestion, ...] = ()
        self._feeds: tuple[round_feed.Offer, ...] = ()
        self._fed: Suggestion | None = None
        self.count_by_stage(by_stage=self.staged and remembered.staged(rack, vessel))
        if draft is not None:
            self._restore(draft)
        self.offer(suggestions)

    # --- text -----------------------------------------------------------------------------------------------------

    def text(self, key: str) -> str:
        """What the field shows: as typed, or remembered from last time, or suggested."""
        if key in self.typed:
            return self.typed[key]
        if key == "feed" and self._fed is not None:
            return round_feed.amount(self.feeds, self._fed, self.text("feed_name"))
        return self.offered.get(key) or self._remembered.get(key, "")

    def put(self, key: str, text: str, now: datetime) -> None:
        """Take what was typed, whatever it is."""
        if text == self.text(key) and key not in self.typed:
            return
        if key in {"feed", "feed_name"}:
            chosen = text if key == "feed_name" else self.text("feed_name")
            self.typed |= {"feed_name": chosen, "feed_unit": self._unit_of(chosen)}
        self.typed[key] = text
        if self.begun is None:
            self.begun = now

    def tallies(self, stage: str) -> list[str]:
        """The text of every tally field of a stage, without the empty one at the end."""
        found: list[str] = []
        n = 0
        while f"{stage}.{n}" in self.typed:
            found.append(self.typed[f"{stage}.{n}"])
            n += 1
        while found and not found[-1].strip():
            found.pop()
        return found

    def draft(self) -> dict[str, object]:
        """What must survive a closed window; empty if nothing was typed."""
        if self.begun is None or not self.typed:
            return {}
        by_stage = "yes" if len(self.stages) > 1 else ""
        beside = self._remembered | round_beside.units_of(self.typed, self.settings)
        return {"typed": dict(self.typed), "begun": self.begun.isoformat(), "by_stage": by_stage, "beside": beside}

    def _restore(self, draft: Mapping[str, object]) -> None:
        typed = draft.get("typed")
        begun = draft.get("begun")
        if isinstance(typed, Mapping) and isinstance(begun, str):
            self.typed = {str(k): str(v) for k, v in typed.items()}
            self.begun = datetime.fromisoformat(begun)
            beside = draft.get("beside")
            if isinstance(beside, Mapping):
                self.settings = round_beside.settings_with(beside, self.settings)
                self._remembered |= {k: str(v) for k, v in beside.items() if k in self._remembered}
            self.count_by_stage(by_stage=self.staged and draft.get("by_stage") == "yes")

    def count_by_stage(self, *, by_stage: bool) -> None:
        """Tally nauplii, copepodites and adults apart, or all together."""
        self.stages = STAGES if by_stage else ("all",)

    @property
    def complete(self) -> bool:
        """Whether the tallies give the density of all animals: all together, or every stage alike."""
        lengths = {self._aliquots(s) for s in self.stages}
        return len(lengths) == 1 and lengths != {0}

    # --- suggestions ------------------------------------------------------------------------------------------------

    def offer(self, suggestions: Iterable[Suggestion]) -> None:
        """Pre-fill the actions from the vessel's suggestions; a field that the keeper touched stays as it is."""
        mine = tuple(s for s in suggestions if s.vessel == self.vessel)
        settings = self.settings
        offered: dict[str, str] = {"clean": "leave"}
        self._fed = None
        for s in mine:
            if s.action == "harvest" and s.amount is not None:
                offered["harvest"] = ku.volume_text(s.amount, settings)
                offered["refill"] = ku.volume_text(s.amount if s.refill_l is None else s.refill_l, settings)
            elif s.action == "feed" and s.amount is not None:
                self._fed = s
            elif s.action == "clean":
                offered["clean"] = s.what if s.what in CLEANING else "floss"
            elif s.action == "split" and s.amount is not None and s.other_vessel:
                offered["split"] = ku.volume_text(s.amount, settings)
                offered["split_to"] = s.other_vessel
                offered["split_refill"] = ku.volume_text(s.amount if s.refill_l is None else s.refill_l, settings)
        self._feeds = round_feed.offers(self.rack, self._fed, remembered.last(self.rack, self.vessel).feed)
        offered["feed_name"] = (self._fed.feed if self._fed else None) or self._feeds[0].name
        self.offered = offered
        self.suggestions = mine

    @property
    def feeds(self) -> tuple[round_feed.Offer, ...]:
        """The feeds to choose from, and the one that was typed for if it is offered no longer."""
        name, unit = self.typed.get("feed_name"), self.typed.get("feed_unit")
        if not name or not unit or name in {o.name for o in self._feeds}:
            return self._feeds
        return (*self._feeds, round_feed.Offer(name, unit, None))

    def feed_unit(self) -> str:
        """The unit of the chosen feed: the one it was typed in, or in which it is offered."""
        return self.typed.get("feed_unit") or self._unit_of(self.text("feed_name"))

    def _unit_of(self, feed: str) -> str:
        return next((o.unit for o in self.feeds if o.name == feed), self.feeds[0].unit)

    def others(self) -> tuple[str, ...]:
        """Vessels that could take a split, those at rest first."""
        return moves.targets(self.rack, self.vessel)

    # --- what it says -----------------------------------------------------------------------------------------------

    def number(self, key: str) -> float | None:
        """The field as a number in base units, or None if it is blank or can't be taken."""
        if self.error(key) is not None:
            return None
        return self._base(key)

    def _base(self, key: str) -> float | None:
        raw = read.number({key: self.text(key)}, key, "a number")
        if raw is None:
            return None
        if key == "temperature":
            return ku.celsius(raw, self.settings)
        if key in round_beside.VOLUMES:
            return ku.litres(raw, self.settings)
        return raw

    def _base_or_text(self, key: str) -> object:
        try:
            return self._base(key)
        except InputError:
            return self.text(key)

    def density(self, stage: str | None = None) -> CountDensity | None:
        """The density that the tallies give so far, of one stage or of all together; None while there are none."""
        tallies = self._told(stage)
        if tallies is None:
            return None
        from rackview.science import counts

        return counts.density(tallies, *self._sample())

    def interval(self, stage: str | None = None) -> Interval | None:
        """That density with its 95 % interval, by how this keeper's aliquots have scattered in the vessel."""
        tallies = self._told(stage)
        if tallies is None:
            return None
        from rackview.science.counts import looked_at_ml
        from rackview.science.state.scatter import told

        ml = looked_at_ml(len(tallies), *self._sample())
        return Interval(*told(sum(tallies), ml, len(tallies), self.assessment.aliquot_cv))

    def more(self, precision: float) -> int | None:
        """How many more aliquots a half-width of `precision` (share of the mean) takes; None without a count."""
        tallies = self._told(None)
        if tallies is None or not self.complete or not any(tallies):
            return None
        from rackview.science.state.scatter import needed

        in_all = needed(self.assessment.aliquot_cv, sum(tallies) / len(tallies), precision)
        return max(in_all - len(tallies), 0)

    def seen(self) -> tuple[int, int]:
        """Animals counted so far, and in how many aliquots."""
        sums = self._sums()
        return sum(sums), len(sums)

    def _sample(self) -> tuple[float, float, float]:
        """mL of an aliquot, dilution and fixative as they are typed or were last time."""
        return self._value("aliquot", 1.0), self._value("dilution", 1.0), self._value("fixative", 1.0)

    def _told(self, stage: str | None) -> list[int] | None:
        """The tallies of one stage or of all together; None while there are none, or where one can't be taken."""
        tallied = any(self.tallies(s) for s in (self.stages if stage is None else (stage,)))
        if not tallied or any(self.error(k) for k in (*SAMPLE, *self._tally_keys())):
            return None
        return self._sums() if stage is None else self._counted(stage)

    def _sums(self) -> list[int]:
        """The tallies of all stages together, aliquot by aliquot, as far as every stage has one."""
        rows = [r for s in self.stages if (r := self._counted(s))]
        return [sum(aliquot) for aliquot in zip(*rows, strict=False)]

    def _counted(self, stage: str) -> list[int]:
        """The tallies of a stage, aliquot by aliquot; what was pasted into one field may be several."""
        return [n for t in self.tallies(stage) for n in read.whole_numbers({"tallies": t}, "tallies", TALLIES)]

    def _aliquots(self, stage: str) -> int:
        """How many tallies of a stage there are, right or wrong."""
        return sum(len(read.cells(t)) for t in self.tallies(stage))

    def eggs(self) -> float | None:
        """Share of checked females that carry eggs."""
        eggs, checked = self.number("with_eggs"), self.number("females_checked")
        return None if eggs is None or not checked else eggs / checked

    def _value(self, key: str, default: float) -> float:
        found = self.number(key)
        return default if found is None else found

    def _tally_keys(self) -> list[str]:
        return [f"{s}.{n}" for s in self.stages for n in range(len(self.tallies(s)))]

    # --- what is wrong --------------------------------------------------------------------------------------------

    def error(self, key: str) -> InputError | None:
        """What is wrong with one field by itself, or None."""
        try:
            self._judge(key)
        except InputError as error:
            label = LABELS.get(key, key.partition(".")[0].replace("_", " "))
            if label in self.stages:
                label = "tally"
            return InputError(label, self.text(key), ku.wanted(key, error.wanted, self.settings))
        return None

    def errors(self) -> dict[str, InputError]:
        """Everything that is wrong, by field, in the order of the fields."""
        keys = [*self._tally_keys(), *SAMPLE, *SIGNS, *WATER, *ACTS]
        found = {k: e for k in keys if (e := self.error(k)) is not None}
        signs = [k for k in ("with_eggs", "swimming", "ciliates", "tint") if self.text(k).strip()]
        if signs and not self._tally_keys():
            wanted = "at least one tally to go with " + ", ".join(LABELS.get(k, k) for k in signs)
            found[f"{self.stages[0]}.0"] = InputError("tally", None, wanted)
        if self.text("with_eggs").strip() and not self.text("females_checked").strip():
            found["females_checked"] = InputError("of females", None, "how many females were checked for eggs")
        uneven = {self._aliquots(s) for s in self.stages} - {0}
        if len(uneven) > 1:
            short = min((s for s in self.stages if self.tallies(s)), key=self._aliquots)
            key = f"{short}.{len(self.tallies(short))}"
            found.setdefault(key, InputError("tally", None, "as many tallies of every stage that is counted"))
        if self._filled("refill") and not self._filled("harvest") and "refill" not in found:
            found["harvest"] = InputError("harvest", None, "the volume taken out before the refill")
        return found

    def _judge(self, key: str) -> None:
        text = self.text(key)
        if not text.strip():
            return
        row: dict[str, object] = {"at": "2000-01-01T00:00", "vessel": self.vessel}
        if "." in key:
            event_from_row({**row, "kind": "count", "tallies": text})
        elif key == "gravity":
            event_from_row({**row, "kind": "reading", GRAVITY[self.settings.salinity_unit]: text})
        elif key in COLUMNS:
            kind, column = COLUMNS[key]
            value = text if key in CHECKED_AS_TYPED else self._base_or_text(key)
            row |= {"kind": kind, column: value}
            if kind == "count":
                row["tallies"] = "0"
                if key == "with_eggs":
                    row["females_checked"] = self.text("females_checked").strip() or text
                elif key == "females_checked":
                    row["with_eggs"] = "0"
            elif kind == "feed":
                row["feed"] = self.text("feed_name")
            elif value == 0 and key in {"harvest", "split"}:
                return  # nothing taken is nothing done
            elif column == "refill_l":
                row["volume_l"] = 1e-6
            if kind == "split":
                row["to_vessel"] = self.text("split_to")
            check(self.rack.vessels, event_from_row(row))

    # --- what is recorded -------------------------------------------------------------------------------------------

    def moment(self, now: datetime) -> datetime:
        """The time the entry is recorded for: now, or when it was typed if that is long ago."""
        return self.begun if self.begun is not None and now - self.begun > STALE else now

    def rows(self, now: datetime) -> list[dict[str, object]]:
        """The rows of the event table that this entry says; raises the first `InputError`."""
        for error in self.errors().values():
            raise error
        stale = self.begun is not None and now - self.begun > STALE
        rows = [*self._count_rows(), *self._reading_rows(), *self._action_rows(touched_only=stale)]
        at = self.moment(now).isoformat()
        return [{"at": at, "vessel": self.vessel, **row} for row in rows]

    def events(self, now: datetime) -> list[Event]:
        """The events that this entry says; raises the first `InputError`."""
        found: list[Event] = []
        for row in self.rows(now):
            event = event_from_row(row)
            found += moves.carried_out(self.rack, event) if isinstance(event, Split) else [event]
        return found

    def kinds(self) -> list[str]:
        """The kinds of event that would be recorded as it stands; none while something is wrong."""
        if self.errors():
            return []
        rows = [*self._count_rows(), *self._reading_rows(), *self._action_rows(touched_only=False)]
        return [str(row["kind"]) for row in rows]

    def observed(self, now: datetime) -> list[Event]:
        """What was seen (count and reading), if it can be taken as it stands whatever is typed to be done."""
        if self.errors().keys() - set(ACTS):
            return []
        at = self.moment(now).isoformat()
        return [
            event_from_row({"at": at, "vessel": self.vessel, **row})
            for row in (*self._count_rows(), *self._reading_rows())
        ]

    def _filled(self, key: str) -> bool:
        return bool(self.text(key).strip()) and self.number(key) != 0

    def _count_rows(self) -> list[dict[str, object]]:
        signs: dict[str, object] = {k: self.text(k) for k in ("swimming", "ciliates", "tint")}
        if self.text("with_eggs").strip():
            signs |= {k: self.text(k) for k in ("with_eggs", "females_checked")}
        sample = {COLUMNS[k][1]: self.text(k) for k in SAMPLE}
        rows: list[dict[str, object]] = []
        if len(self.stages) > 1 and self.complete:
            whole = " ".join(str(n) for n in self._sums())
            rows.append({"kind": "count", "tallies": whole, "stage": "all", **sample, **signs})
        for stage in self.stages:
            tallies = [t.strip() for t in self.tallies(stage) if t.strip()]
            if tallies:
                first = {} if rows else signs
                rows.append({"kind": "count", "tallies": " ".join(tallies), "stage": stage, **sample, **first})
        return rows

    def _reading_rows(self) -> list[dict[str, object]]:
        row = {COLUMNS[k][1]: self._base(k) for k in ("temperature", "ph", "tan", "oxygen") if self.text(k).strip()}
        if self.text("gravity").strip():
            column = GRAVITY[self.settings.salinity_unit]
            row[column] = self._base("gravity")
            if column == "sg":
                return [{"kind": "reading", **row, "sg_reference": self.text("sg_reference")}]
        return [{"kind": "reading", **row}] if row else []

    def _action_rows(self, *, touched_only: bool) -> list[dict[str, object]]:
        def due(key: str) -> bool:
            return self._filled(key) and (key in self.typed or not touched_only)

        rows: list[dict[str, object]] = []
        if self.text("clean") in CLEANING[1:] and ("clean" in self.typed or not touched_only):
            rows.append({"kind": "clean", "what": self.text("clean")})
        if due("harvest"):
            asked = next((s for s in self.suggestions if s.action == "harvest"), None)
            rows.append(
                {
                    "kind": "harvest",
                    "volume_l": self._base("harvest"),
                    "refill_l": self._base("refill") or 0.0,
                    "mesh_um": asked.mesh_um if asked and asked.mesh_um else None,
                    "to": (asked.to or "") if asked else "",
                }
            )
        if due("split") and self.text("split_to"):
            rows.append(
                {
                    "kind": "split",
                    "to_vessel": self.text("split_to"),
                    "volume_l": self._base("split"),
                    "refill_l": self._base("split_refill"),
                }
            )
        if due("feed"):
            feed = {"feed": self.text("feed_name"), "amount": self._base("feed"), "unit": self.feed_unit()}
            rows.append({"kind": "feed", **feed})
        return rows
