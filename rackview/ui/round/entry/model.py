"""One vessel's entry on the round, as typed: the text of every field, what it says, and what is wrong with it.

No Qt here. Text is kept as it was typed, right or wrong; the checked parser of the core judges each field by itself,
so that a sentence can stand beside the field that earned it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from rackview.core import read
from rackview.core.assessment import Assessment, Counting, Interval, Suggestion
from rackview.core.errors import InputError
from rackview.core.events import Event, Split
from rackview.core.parse import TALLIES, event_from_row
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.ui.forms import moves, remembered
from rackview.ui.round.entry import beside as round_beside
from rackview.ui.round.entry import feed as round_feed
from rackview.ui.round.entry import judge, rows
from rackview.ui.round.entry.columns import ACTS, SAMPLE, STAGES, STALE
from rackview.ui.round.entry.offered import TOGETHER, offered
from rackview.ui.words import keeper_units as ku

if TYPE_CHECKING:
    from rackview.science.counts import CountDensity


class Entry:
    """What is typed for one vessel. Nothing is recorded but what the keeper typed, took or saw presumed beside it.

    Attributes
    ----------
    vessel : name of the vessel
    settings : the rack's settings, with the units in which the entry was begun
    stages : the tally rows: one for rotifers, one per stage for copepods
    typed : field to text, as typed or taken
    suggested : field to text, from the suggestions as they are now; no value until the keeper takes it
    before : the same as it was when the keeper came to the vessel
    begun : when the first key was typed, or None
    day : the moment of another day for which this is entered, or None for now
    counting : how far counting helps today's choice, None where nobody has worked it out
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
        day: datetime | None = None,
    ) -> None:
        self.rack = rack
        self.vessel = vessel
        self.assessment = assessment
        self.day = day
        self.profile = rack.profile(vessel)
        self.staged = self.profile.animal == "copepod"
        self.stages: tuple[str, ...] = ("all",)
        self.settings = rack.settings
        self._remembered = round_beside.texts(remembered.habit(rack, vessel))
        self.typed: dict[str, str] = {}
        self.begun: datetime | None = None
        self.doubted = ""
        self.counting: Counting | None = None
        self.believed = assessment.density_per_ml
        self.suggested: dict[str, str] = {}
        self.before: dict[str, str] | None = None
        self.suggestions: tuple[Suggestion, ...] = ()
        self._feeds: tuple[round_feed.Offer, ...] = ()
        self._feed_name = ""
        self.count_by_stage(by_stage=self.staged and remembered.staged(rack, vessel))
        if draft is not None:
            self._restore(draft)
        self.offer(suggestions)

    def renew(self, rack: Rack, assessment: Assessment, suggestions: Sequence[Suggestion]) -> None:
        """Take in a rack that changed elsewhere; what is typed, and what stood beside it, stays."""
        self.rack, self.assessment, self.profile = rack, assessment, rack.profile(self.vessel)
        self.settings = round_beside.settings_with(round_beside.typed_units(self.typed, self.settings), rack.settings)
        self.believed = assessment.density_per_ml
        self.offer(suggestions)

    # --- text -----------------------------------------------------------------------------------------------------

    def text(self, key: str) -> str:
        """What the field holds: as typed or taken, or as last time, or presumed from what is typed beside it."""
        if key in self.typed:
            return self.typed[key]
        if key == "feed_name":
            return self._feed_name
        return self._presumed(key) or self._remembered.get(key, "")

    def ghost(self, key: str) -> str:
        """What is suggested for a field that holds nothing; "" for nothing."""
        return "" if self.text(key) else self.suggested.get(key, "")

    def moved_on(self, key: str) -> bool:
        """Whether the suggestion for a field is another than when the keeper came to the vessel."""
        return self.before is not None and self.suggested.get(key, "") != self.before.get(key, "")

    def presumed(self, key: str) -> bool:
        """Whether the field shows what the keeper did not type: as last time, or following from what is typed."""
        return key not in self.typed and bool(self.text(key))

    def _presumed(self, key: str) -> str:
        """New water goes in as much as culture was taken, and an empty vessel is filled up: as every keeper does."""
        of = {"refill": "harvest", "split_refill": "split", "split_fill": "split"}.get(key)
        if of is None or not self.number(of):
            return ""
        if key == "split_fill":
            return self._missing()
        suggested = self.suggested.get(key, "")
        return suggested if suggested and self.typed[of] == self.suggested.get(of) else self.typed[of]

    def _missing(self) -> str:
        """What fills the taker of a split up: all that it lacks if it is empty, nothing if it holds culture."""
        (taker, rack), given = self.taking(), self.number("split")
        if taker not in rack.vessels or given is None:
            return ""
        if not moves.empty(rack, taker):
            return "0"
        return ku.plain(round(ku.volume(max(rack.vessels[taker].volume_l - given, 0.0), self.settings), 2))

    def put(self, key: str, text: str, now: datetime) -> None:
        """Take what was typed, whatever it is; an action typed blank is as if nobody had touched it."""
        if text == self.text(key) and key not in self.typed:
            return
        if key in {"feed", "feed_name"}:
            chosen = text if key == "feed_name" else self.text("feed_name")
            self.typed |= {"feed_name": chosen, "feed_unit": self._unit_of(chosen)}
        for other in TOGETHER.get(key, ()):
            if other not in self.typed and self.suggested.get(other) and (other != "split_to" or text):
                self.typed[other] = self.suggested[other]
        if text or key not in ACTS:
            self.typed[key] = text
        else:
            for gone in (key, *TOGETHER.get(key, ())):
                self.typed.pop(gone, None)
        if key == "feed_name":
            self.offer(self.suggestions)
        if self.begun is None:
            self.begun = now

    def take(self, key: str, seen: str, now: datetime) -> None:
        """Take a suggestion as it was `seen`, whatever is suggested by now."""
        self.put(key, seen, now)

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
        if self.begun is None or not self.touched:
            return {}
        by_stage = "yes" if len(self.stages) > 1 else ""
        beside = self._remembered | round_beside.typed_units(self.typed, self.settings)
        return {"typed": dict(self.typed), "begun": self.begun.isoformat(), "by_stage": by_stage, "beside": beside}

    @property
    def touched(self) -> bool:
        """Whether anything is typed or taken, beyond which feed is looked at."""
        return bool(self.typed.keys() - {"feed_name", "feed_unit"})

    def _restore(self, draft: Mapping[str, object]) -> None:
        typed = draft.get("typed")
        begun = draft.get("begun")
        if isinstance(typed, Mapping) and isinstance(begun, str):
            self.typed = round_beside.within({str(k): str(v) for k, v in typed.items()})
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
        lengths = {self.aliquots(s) for s in self.stages}
        return len(lengths) == 1 and lengths != {0}

    # --- suggestions ------------------------------------------------------------------------------------------------

    def offer(self, suggestions: Iterable[Suggestion]) -> None:
        """Take the vessel's suggestions; what is typed or taken stays as it is, and so does the feed that is shown."""
        mine = tuple(s for s in suggestions if s.vessel == self.vessel)
        fed = next((s for s in mine if s.action == "feed" and s.amount is not None), None)
        self._feeds = round_feed.offers(self.rack, fed, remembered.last(self.rack, self.vessel).feed)
        if self._feed_name not in {o.name for o in self._feeds}:
            self._feed_name = (fed.feed if fed else None) or self._feeds[0].name
        self.suggestions = mine
        self.suggested = offered(
            mine, self.settings, lambda s: round_feed.amount(self.feeds, s, self.text("feed_name"))
        )
        if self.before is None:
            self.before = dict(self.suggested)

    def settle(self) -> None:
        """What is suggested now is what the keeper comes to: what is suggested later and differs is marked."""
        self.before = dict(self.suggested)

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
        """What could take a split: vessels, those at rest first, then a new one."""
        return (*moves.targets(self.rack, self.vessel), moves.NEW)

    @property
    def new_vessel(self) -> Vessel | None:
        """The vessel that is to be made for a split, if one is."""
        return moves.made_for(self.rack, self.vessel) if self.text("split_to") == moves.NEW else None

    def taking(self) -> tuple[str, Rack]:
        """The vessel that a split goes into, "" for none yet, and the rack with it on the shelf."""
        made = self.new_vessel
        return (self.text("split_to"), self.rack) if made is None else (made.vessel, self.rack.with_vessel(made))

    # --- what it says -----------------------------------------------------------------------------------------------

    def number(self, key: str) -> float | None:
        """The field as a number in base units, or None if it is blank or can't be taken."""
        if self.error(key) is not None:
            return None
        return self.base(key)

    def base(self, key: str) -> float | None:
        """The field in base units, None if it is blank; raises `InputError`."""
        return self.amount_of(key, self.text(key))

    def amount_of(self, key: str, text: str) -> float | None:
        """What a text in the field would be in base units, None if it is blank; raises `InputError`."""
        return round_beside.in_base_units(key, text, self.settings)

    def density(self, stage: str | None = None) -> CountDensity | None:
        """The density that the tallies give so far, of one stage or of all together; None while there are none."""
        tallies = self._told(stage)
        if tallies is None:
            return None
        from rackview.science import counts

        return counts.count_density(tallies, *self._sample())

    def interval(self, stage: str | None = None) -> Interval | None:
        """That density with its 95 % interval, by how aliquots scatter here, or these themselves where uneven."""
        tallies = self._told(stage)
        if tallies is None:
            return None
        from rackview.science.counts import looked_at_ml
        from rackview.science.state.scatter import density_interval

        ml = looked_at_ml(len(tallies), *self._sample())
        middle, low, high = density_interval(sum(tallies), ml, len(tallies), self.assessment.aliquot_cv)
        these = self.density(stage)
        if these is not None and these.clumped:
            low, high = min(low, these.low), max(high, these.high)
        return Interval(middle, low, high)

    def more(self, precision: float) -> int | None:
        """How many more aliquots a half-width of `precision` (share of the mean) takes; None without a count."""
        tallies = self._told(None)
        if tallies is None or not self.complete or not any(tallies):
            return None
        from rackview.science.counts import LEAST_ALIQUOTS
        from rackview.science.state.scatter import aliquots_for_precision

        in_all = max(
            aliquots_for_precision(self.assessment.aliquot_cv, sum(tallies) / len(tallies), precision), LEAST_ALIQUOTS
        )
        return max(in_all - len(tallies), 0)

    def seen(self) -> tuple[int, int]:
        """Animals counted so far, and in how many aliquots."""
        sums = self.sums()
        return sum(sums), len(sums)

    def _sample(self) -> tuple[float, float, float]:
        """mL of an aliquot, dilution and fixative as they are typed or were last time."""
        return self._value("aliquot", 1.0), self._value("dilution", 1.0), self._value("fixative", 1.0)

    def _told(self, stage: str | None) -> list[int] | None:
        """The tallies of one stage or of all together; None while there are none, or where one can't be taken."""
        tallied = any(self.tallies(s) for s in (self.stages if stage is None else (stage,)))
        if not tallied or any(self.error(k) for k in (*SAMPLE, *self.tally_keys())):
            return None
        return self.sums() if stage is None else self._counted(stage)

    def sums(self) -> list[int]:
        """The tallies of all stages together, aliquot by aliquot, as far as every stage has one."""
        rows = [r for s in self.stages if (r := self._counted(s))]
        return [sum(aliquot) for aliquot in zip(*rows, strict=False)]

    def _counted(self, stage: str) -> list[int]:
        """The tallies of a stage, aliquot by aliquot; what was pasted into one field may be several."""
        return [n for t in self.tallies(stage) for n in read.whole_numbers({"tallies": t}, "tallies", TALLIES)]

    def aliquots(self, stage: str) -> int:
        """How many tallies of a stage there are, right or wrong."""
        return sum(len(read.cell_items(t)) for t in self.tallies(stage))

    def eggs(self) -> float | None:
        """Share of checked females that carry eggs."""
        eggs, checked = self.number("with_eggs"), self.number("females_checked")
        return None if eggs is None or not checked else eggs / checked

    def egg_ratio(self) -> float | None:
        """Eggs per female, of all females checked; None where they were not tallied."""
        eggs, checked = self.number("eggs"), self.number("females_checked")
        return None if eggs is None or not checked else eggs / checked

    def _value(self, key: str, default: float) -> float:
        found = self.number(key)
        return default if found is None else found

    def tally_keys(self) -> list[str]:
        """The tally fields in which something stands."""
        return [f"{s}.{n}" for s in self.stages for n in range(len(self.tallies(s)))]

    # --- what is wrong --------------------------------------------------------------------------------------------

    def error(self, key: str) -> InputError | None:
        """What is wrong with one field by itself, or None."""
        return judge.error(self, key)

    def errors(self) -> dict[str, InputError]:
        """Everything that is wrong, by field, in the order of the fields."""
        return judge.errors(self)

    # --- what is recorded -------------------------------------------------------------------------------------------

    def moment(self, now: datetime) -> datetime:
        """The time the entry is recorded for: now, or when it was typed if that is long ago, or the day it is for."""
        if self.day is not None:
            return self.day
        return self.begun if self.begun is not None and now - self.begun > STALE else now

    def rows(self, now: datetime) -> list[dict[str, object]]:
        """The rows of the event table that this entry says; raises the first `InputError`."""
        for error in self.errors().values():
            raise error
        return [{"at": self.moment(now).isoformat(), "vessel": self.vessel, **row} for row in rows.rows(self)]

    def events(self, now: datetime) -> list[Event]:
        """The events that this entry says; raises the first `InputError`."""
        found: list[Event] = []
        for row in self.rows(now):
            event = event_from_row(row)
            found += moves.carried_out(self.taking()[1], event) if isinstance(event, Split) else [event]
        return found

    def kinds(self) -> list[str]:
        """The kinds of event that would be recorded as it stands; none while something is wrong."""
        return [] if self.errors() else [str(row["kind"]) for row in rows.rows(self)]

    def left_out(self) -> list[str]:
        """The actions that are suggested and were not taken."""
        fields = {"clean": "clean", "harvest": "harvest", "split": "split", "feed": "feed"}
        return [action for action, key in fields.items() if self.ghost(key)]

    def observed(self, now: datetime) -> list[Event]:
        """What was seen (count and reading), if it can be taken as it stands whatever is typed to be done."""
        if self.errors().keys() - set(ACTS):
            return []
        at = self.moment(now).isoformat()
        return [event_from_row({"at": at, "vessel": self.vessel, **row}) for row in rows.seen(self)]

    def filled(self, key: str) -> bool:
        """Whether an action holds an amount other than 0 that was typed, taken or presumed."""
        return bool(self.text(key).strip()) and self.number(key) != 0
