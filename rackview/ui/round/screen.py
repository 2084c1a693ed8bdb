"""The round: vessel by vessel in the safe order, by digits and Enter; one key records all and goes on."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QHideEvent, QKeyEvent
from PySide6.QtWidgets import QWidget

from rackview.language import _
from rackview.ui import keys
from rackview.ui.forms.calendar import CalendarPopup
from rackview.ui.rack.trends import Trends
from rackview.ui.round.card import round_card
from rackview.ui.round.caution import cautions_of
from rackview.ui.round.day import RoundDay
from rackview.ui.round.drafts import RoundDrafts
from rackview.ui.round.entry.model import Entry
from rackview.ui.round.fields.line_edit import AT_ONCE
from rackview.ui.round.frame import RoundFrame
from rackview.ui.round.order import Stop, onward, same_way, stops
from rackview.ui.round.recorder import Recorder
from rackview.ui.round.saving import Saving
from rackview.ui.round.tallying import put_tally
from rackview.ui.round.thinking import Thinking
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme


class RoundScreen(RoundFrame):
    """The daily entry.

    Signals
    -------
    open_vessel(str) : the page of a vessel is wanted
    """

    open_vessel = Signal(str)

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.session = session
        self.entry: Entry | None = None
        self.order: tuple[Stop, ...] = ()
        self._trends = Trends()
        self._day = RoundDay(session)
        self._drafts = RoundDrafts(session, self._day)
        self._recorder = Recorder(session, self._drafts, self)
        self.thinking = Thinking(session, self)
        self._tried = False
        self._saving = Saving(self._drafts, self)
        self._connect()

    def _connect(self) -> None:
        for group in (self.count, self.do):
            group.edited.connect(self._edited)
            group.taken.connect(self._taken)
            group.moved.connect(self._moved)
            group.commanded.connect(self._commanded)
            group.left.connect(self.save)
        self.count.stage_wanted.connect(self._stage_wanted)
        self.count.picture_chosen.connect(self._keep_picture)
        self.strip.chosen.connect(self.go)
        self.do.restart_wanted.connect(self._restart)
        self.page.forget.connect(self._forget)
        self.page.day_wanted.connect(self._ask_day)
        self.end.day_after.connect(lambda: self._day_by(1))
        self.end.leave.connect(self.leave)
        self.end.chosen.connect(self.go)
        self._tallying.finished.connect(self._tallied)
        self._tallying.left.connect(self._back_to_fields)
        self.thinking.offered.connect(self._show_fields)
        self._recorder.failed.connect(self.trouble)
        self._saving.due.connect(self.save)
        self._saving.saved.connect(self._saved)
        self._saving.failed.connect(self.trouble)

    def _stage_wanted(self, by_stage: int) -> None:
        if self.entry is not None:
            self.entry.count_by_stage(by_stage=bool(by_stage))
            self._saving.typed()
            self._show_fields()
            self.page.focus(self.count.first_empty(self.entry))

    def _keep_picture(self, path: str) -> None:
        if self.entry is not None and self._recorder.keep_picture(self.entry, path):
            self._typed()

    def _restart(self) -> None:
        if self.entry is not None:
            self.save()
            self.open_vessel.emit(self.entry.vessel)

    # --- coming and going -----------------------------------------------------------------------------------------

    def open(self, vessel: str | None = None) -> None:
        """Show the round at `vessel`, or one that was begun, or the first that is not done, or its end if all are."""
        self._sort()
        if vessel is None and self.entry is not None and self.at_fields:
            vessel = self.entry.vessel
        if vessel is None or vessel not in [s.vessel for s in self.order]:
            begun = (s.vessel for s in self.order if s.drafted)  # what was typed is shown before anything else is asked
            vessel = next(begun, None) or next((s.vessel for s in self.order if not s.done), None)
        if vessel is None:
            self._show_end()
        else:
            self.go(vessel)

    def go(self, vessel: str) -> None:
        """Go to one vessel; what is typed for the present one is kept as a draft."""
        self.save()
        self._load(vessel)
        self._back_to_fields()

    def _load(self, vessel: str) -> None:
        if vessel not in self.session.rack.vessels:
            return
        draft = self._drafts.of(vessel)
        rack, assessed, suggestions = self._day.known(vessel)
        self.entry = Entry(rack, vessel, assessed, suggestions, draft, self.day)
        self._tried = draft is not None
        self.page.note("")
        self.page.show_draft(None if draft is None else self.entry.begun, self.session.now().astimezone())
        self._saving.settled()
        self._sort()
        self._show_card()
        self.thinking.think(self.entry)
        self.entry.settle()
        self._show_fields()
        self.do.begin(self.entry)

    # --- the day ----------------------------------------------------------------------------------------------------

    @property
    def day(self) -> datetime | None:
        """The moment for which the round of another day is recorded; None for today, now."""
        return self._day.moment

    def for_day(self, day: date) -> None:
        """Do the round of a day; what is typed for the present one is kept as a draft."""
        self.save()
        self._day.choose(day)
        self.entry, self.order = None, ()
        self.open()

    def _day_by(self, days: int) -> None:
        self.for_day(self._day.at.date() + timedelta(days=days))

    def _ask_day(self) -> None:
        """Let the keeper choose the day from a small calendar."""
        popup = CalendarPopup(self._day.at.date(), self, last=self.session.now().astimezone().date())
        popup.chosen.connect(self.for_day)
        popup.open_below(self.page.day)

    def _forget(self) -> None:
        """Throw the draft of this vessel away; nothing of it is recorded."""
        if self.entry is not None:
            vessel = self.entry.vessel
            self._saving.settled()
            self._drafts.forget(vessel)
            self._load(vessel)
            self.page.focus(self.count.first_empty(self.entry))
            self.page.note(_("The draft is forgotten."))

    def refresh(self, change: Change | None = None) -> None:
        """Take in what changed elsewhere; what is typed stays."""
        if self._recorder.busy:
            return
        taken_back = self._drafts.bring_back()
        if self.entry is None:
            return
        if taken_back == self.entry.vessel and not self.entry.typed:
            self._load(taken_back)
            return
        vessel = self.entry.vessel
        if vessel not in self.session.rack.vessels:
            self.entry = None
            self.open()
            return
        self.entry.renew(*self._day.known(vessel))
        self._sort()
        self._show_card()
        self.thinking.think(self.entry)

    def _sort(self) -> None:
        drafted = self._drafts.begun()
        if self.entry is not None and self.entry.draft():
            drafted.add(self.entry.vessel)
        session, (midnight, until) = self.session, self._day.bounds()
        known = (session.rack, session.round_order(), session.assessments(), session.suggestions())
        self.order = same_way(stops(*known, midnight, drafted, until), self.order)
        self.page.show_way(self.order, self.entry.vessel if self.entry else "")
        self.page.show_day(self._day.at, self.session.now().astimezone(), past=self.day is not None)

    def _show_card(self) -> None:
        if self.entry is not None:
            now = self._day.at
            trend = self._trends.one(self.entry.rack, self.entry.vessel, now)
            self.card.show_card(round_card(self.entry, trend, now))

    # --- typing -----------------------------------------------------------------------------------------------------

    def _edited(self, key: str, text: str) -> None:
        if self.entry is None:
            return
        self.entry.put(key, text, self.session.now())
        self._typed()

    def _typed(self) -> None:
        self._saving.typed()
        self.thinking.soon()
        self._show_fields()

    def _taken(self, key: str, seen: str) -> None:
        """A suggestion was taken as it was seen."""
        if self.entry is not None:
            self.entry.take(key, seen, self.session.now())
            self._typed()
            self.page.go_on(key, "next", self.entry)

    def _take_all(self) -> None:
        """Take all suggestions that the keeper sees, as they are painted."""
        if self.entry is not None and self.at_fields:
            seen = self.do.suggested()
            for key, text in seen.items():
                self.entry.take(key, text, self.session.now())
            if seen:
                self._typed()
            else:
                self.page.note(_("Nothing is suggested that is not typed or taken."))

    def _show_fields(self) -> None:
        entry = self.entry
        if entry is None:
            return
        errors = {k: str(e) for k, e in entry.errors().items()}
        if not self._tried:  # what belongs together is asked for only once the keeper wants to record
            errors = {k: v for k, v in errors.items() if entry.error(k) is not None}
        self.count.show_entry(entry, errors)
        cautions = cautions_of(entry, first=not any(s.done for s in self.order))
        self.do.show_entry(entry, errors, self._day.at, cautions=cautions, stale=self._day.stale(entry))
        if self.session.read_only is not None:
            self.page.note(self.session.read_only)
            self.do.button.setEnabled(False)

    def save(self) -> None:
        """Keep what is typed as a draft, now."""
        self._saving.save(self.entry)

    def _saved(self) -> None:
        self.page.note(_("Saved as you type {time}").format(time=formats.clock(self.session.now().astimezone())))

    # --- keys -------------------------------------------------------------------------------------------------------

    def _moved(self, key: str, where: str) -> None:
        if self.entry is not None:
            self.page.go_on(key, where, self.entry)

    def _commanded(self, command: str) -> None:
        {
            "record": self.record,
            "undo": self.undo,
            "take all": self._take_all,
            "tally": self._tally,
            "day before": lambda: self._day_by(-1),
            "day after": lambda: self._day_by(1),
            "day": self._ask_day,
            "skip": lambda: self._step(1),
            "back": lambda: self._step(-1),
            "leave": self._leave,
        }[command]()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        command = keys.command("Round", event.key())
        if command in AT_ONCE | {"leave"}:
            self._commanded(command)
        elif not self.page.press(event.key()):
            super().keyPressEvent(event)

    def _tally(self) -> None:
        """Count with the eyes at the microscope; stages are counted in the fields, as they take more keys than two."""
        entry = self.entry
        if entry is None or not self.at_fields:
            return
        if entry.stages != ("all",):
            self.page.note(_("The tally by key counts all animals together; by stage it is typed in the fields."))
            return
        self._tallying.begin(entry)

    def _tallied(self) -> None:
        if self.entry is not None and self._tallying.tally is not None:
            put_tally(self.entry, self._tallying.tally, self.session.now())
            self._typed()
        self._back_to_fields()

    def _back_to_fields(self) -> None:
        self.show_page(self.page)
        self.page.focus(self.count.first_empty(self.entry) if self.entry else None)

    def _leave(self) -> None:
        self.save()
        self.leave.emit()

    def _step(self, by: int) -> None:
        names = [s.vessel for s in self.order]
        if self.entry is None or self.at_end:
            return
        n = names.index(self.entry.vessel) + by if self.entry.vessel in names else 0
        if n >= len(names):
            self.save()
            self._show_end()
        else:
            self.go(names[max(0, n)])

    # --- recording --------------------------------------------------------------------------------------------------

    def record(self) -> None:
        """Record all of this vessel as one step and go on; what is wrong is shown, and nothing is recorded."""
        entry = self.entry
        if entry is None or self.at_end:
            return
        now = self.session.now()
        wrong = entry.errors()
        if wrong:
            self._tried = True
            self._show_fields()
            self.page.focus(next(iter(wrong)))
            self.announce(str(next(iter(wrong.values()))))
            return
        events = entry.events(now)
        if not events:
            self._step(1)
            return
        self._saving.hold()
        self.thinking.stop()
        recorded = self._recorder.record(entry, events, now)
        if recorded is None:
            return
        self._saving.settled()
        words, doubt = recorded.words, recorded.doubt
        self.said.emit(words)
        self.announce(f"{words}. {doubt}" if doubt else words)
        self._after(entry.vessel)
        if doubt:
            self.page.note(_("{doubt} − takes it back to count again.").format(doubt=doubt), "error")
        elif recorded.left_out:
            self.page.note(_("Recorded. Suggested and not taken: {left}.").format(left=recorded.left_out))

    def _after(self, vessel: str) -> None:
        self.entry = None
        ahead = onward(self.order, vessel)  # by the way as it was: its count may have made the vessel suspect
        self._sort()
        following = [s.vessel for s in self.order if not s.done and s.vessel in ahead]
        if following:
            self.go(following[0])
        else:
            self._show_end()

    def undo(self) -> None:
        """Take the last record back and return to its vessel, with all that was typed there."""
        words = self.session.undo_words
        if words is None:
            self.page.note(_("Nothing to undo."))
            return
        self.save()
        if not self._recorder.take_back():
            return
        self.said.emit(_("Taken back: {what}").format(what=words))
        vessel = self._drafts.bring_back()
        if vessel is None:
            self.refresh()
            return
        self.entry = None
        self.go(vessel)
        self.page.note(_("Taken back: {what}").format(what=words))

    # --- the end ----------------------------------------------------------------------------------------------------

    def _show_end(self) -> None:
        self.entry = None
        self._sort()
        self.end.show_end(self.session, self.order, self.day)
        self.show_page(self.end)
        self.focus_end()

    def take_keyboard(self) -> None:
        if self.at_end:
            self.focus_end()
        elif self.entry is not None:
            self.page.focus(self.count.first_empty(self.entry))

    def hideEvent(self, event: QHideEvent) -> None:
        self.save()
        super().hideEvent(event)
