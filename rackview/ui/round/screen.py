"""The round: vessel by vessel in the safe order, by digits and Enter; one key records all and goes on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QHideEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QLayout, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from rackview.core.errors import InputError
from rackview.core.events import Count
from rackview.services import pictures
from rackview.services.faults import StoreError
from rackview.ui import keys
from rackview.ui.base import SubPage
from rackview.ui.forms.calendar import CalendarPopup
from rackview.ui.rack.trends import Trends
from rackview.ui.round.card import round_card
from rackview.ui.round.day import as_it_was, moment_on
from rackview.ui.round.drafts import RoundDrafts, form
from rackview.ui.round.end import RoundEnd
from rackview.ui.round.line_edit import AT_ONCE
from rackview.ui.round.model import Entry
from rackview.ui.round.order import Stop, stops
from rackview.ui.round.page import RoundPage
from rackview.ui.words import event_words, formats

if TYPE_CHECKING:
    from rackview.core.assessment import Assessment, Suggestion
    from rackview.core.rack import Rack
    from rackview.services.advice_cache import AsIf
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.tally.page import TallyPage
    from rackview.ui.theme import Theme

SAVE_MS = 300
THINK_MS = 150
BASE = (1280.0, 680.0)
"""The size at which everything is drawn at scale 1; a larger window draws larger."""


class RoundScreen(SubPage):
    """The daily entry.

    Signals
    -------
    open_vessel(str) : the page of a vessel is wanted
    """

    open_vessel = Signal(str)
    _thought = Signal(int, bool, object)

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        self.entry: Entry | None = None
        self.day: datetime | None = None
        self.order: tuple[Stop, ...] = ()
        self._scale = 1.0
        self._trends = Trends()
        self._drafts = RoundDrafts(session)
        self._tallying: TallyPage | None = None
        self._tried = False
        self._dirty = False
        self._busy = False
        self._save_timer = self._timer(SAVE_MS, self.save)
        self._think_timer = self._timer(THINK_MS, self._think)
        self._asked = 0
        self._thought.connect(self._take_thought)
        self._build()
        self.set_scale(1.0)

    def _timer(self, ms: int, call: object) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(ms)
        timer.timeout.connect(call)
        return timer

    # --- building -------------------------------------------------------------------------------------------------

    def _build(self) -> None:
        self.page = RoundPage(self.theme, self)
        self.strip, self.card = self.page.strip, self.page.card
        self.count, self.do = self.page.count, self.page.do
        self.end = RoundEnd(self.theme, self)
        self._pages = QStackedWidget(self)
        self._pages.addWidget(self.page)
        self._pages.addWidget(self.end)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)  # a smaller window draws smaller
        whole.addWidget(self._pages)
        for group in (self.count, self.do):
            group.edited.connect(self._edited)
            group.taken.connect(self._taken)
            group.moved.connect(self._moved)
            group.commanded.connect(self._commanded)
            group.left.connect(self._focus_left)
        self.count.stage_wanted.connect(self._stage_wanted)
        self.count.picture_chosen.connect(self._keep_picture)
        self.strip.chosen.connect(self.go)
        self.do.restart_wanted.connect(self._restart)
        self.page.forget.connect(self._forget)
        self.page.day_wanted.connect(self._ask_day)
        self.end.day_after.connect(lambda: self._day_by(1))
        self.end.leave.connect(self.leave)
        self.end.chosen.connect(self.go)

    def _stage_wanted(self, by_stage: int) -> None:
        if self.entry is not None:
            self.entry.count_by_stage(by_stage=bool(by_stage))
            self._dirty = True
            self._show_fields()
            self.page.focus(self.count.first_empty(self.entry))

    def _keep_picture(self, path: str) -> None:
        """Keep a picture with the store at once, as its card may be gone by the time the count is recorded."""
        if self.entry is None:
            return
        try:
            name = pictures.keep_picture(self.session, path)
        except (InputError, StoreError) as error:
            self._trouble(str(error))
            return
        self.entry.put("picture", name, self.session.now())
        self._typed()

    def _restart(self) -> None:
        if self.entry is not None:
            self.save()
            self.open_vessel.emit(self.entry.vessel)

    # --- coming and going -----------------------------------------------------------------------------------------

    def open(self, vessel: str | None = None) -> None:
        """Show the round at `vessel`, or at the first vessel that is not done, or its end if all are."""
        self._sort()
        if vessel is None and self.entry is not None and self._pages.currentIndex() == 0:
            vessel = self.entry.vessel
        if vessel is None or vessel not in [s.vessel for s in self.order]:
            vessel = next((s.vessel for s in self.order if not s.done), None)
        if vessel is None:
            self._show_end()
        else:
            self.go(vessel)

    def go(self, vessel: str) -> None:
        """Go to one vessel; what is typed for the present one is kept as a draft."""
        self.save()
        self._load(vessel)
        self._pages.setCurrentIndex(0)
        self.page.focus(self.count.first_empty(self.entry) if self.entry else None)

    def _load(self, vessel: str) -> None:
        if vessel not in self.session.rack.vessels:
            return
        draft = self._drafts.of(vessel)
        rack, assessed, suggestions = self._then(vessel)
        self.entry = Entry(rack, vessel, assessed, suggestions, draft, self.day)
        self._tried = draft is not None
        self.page.note("")
        begun = self.entry.begun if draft is not None else None
        self.page.show_draft(
            "" if begun is None else formats.moment(begun.astimezone(), self.session.now().astimezone())
        )
        self._dirty = False
        self._sort()
        self._show_card()
        self._think()
        self.entry.settle()
        self._show_fields()
        self.do.begin(self.entry)

    # --- the day ----------------------------------------------------------------------------------------------------

    def _then(self, vessel: str) -> tuple[Rack, Assessment, Sequence[Suggestion]]:
        """The rack, what is believed and what is suggested now; on the round of another day as it was, and nothing."""
        if self.day is None:
            return self.session.rack, self.session.assessments()[vessel], self.session.suggestions()
        from rackview.advice.api import assess

        was = as_it_was(self.session.rack, self.day)
        return was, assess(was, vessel, self.day), ()

    def _at(self) -> datetime:
        """The moment of the round, in the keeper's zone."""
        return (self.day or self.session.now()).astimezone()

    def for_day(self, day: date) -> None:
        """Do the round of a day; what is typed for the present one is kept as a draft."""
        self.save()
        now = self.session.now().astimezone()
        self.day = self._drafts.day = moment_on(self.session.rack, min(day, now.date()), now)
        self.entry, self.order = None, ()
        self.open()

    def _day_by(self, days: int) -> None:
        self.for_day(self._at().date() + timedelta(days=days))

    def _ask_day(self) -> None:
        """Let the keeper choose the day from a small calendar."""
        popup = CalendarPopup(self._at().date(), self, last=self.session.now().astimezone().date())
        popup.chosen.connect(self.for_day)
        popup.open_below(self.page.day)

    def _show_day(self) -> None:
        now = self.session.now().astimezone()
        told = self.tr("today") if self.day is None else formats.moment(self._at(), now)
        self.page.show_day(self.tr("Round for: {day}").format(day=told), past=self.day is not None)

    def _forget(self) -> None:
        """Throw the draft of this vessel away; nothing of it is recorded."""
        if self.entry is not None:
            vessel = self.entry.vessel
            self._save_timer.stop()
            self._dirty = False
            self.session.drop_draft(form(vessel, self.day))
            self._load(vessel)
            self.page.focus(self.count.first_empty(self.entry))
            self.page.note(self.tr("The draft is forgotten."))

    def refresh(self, change: Change | None = None) -> None:
        """Take in what changed elsewhere; what is typed stays."""
        if self._busy:
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
        self.entry.renew(*self._then(vessel))
        self._sort()
        self._show_card()
        self._think()

    def _sort(self) -> None:
        drafted = self._drafts.begun()
        if self.entry is not None and self.entry.draft():
            drafted.add(self.entry.vessel)
        midnight = self._at().replace(hour=0, minute=0, second=0, microsecond=0)
        until = None if self.day is None else midnight + timedelta(days=1)
        rack, suggestions = self.session.rack, self.session.suggestions()
        fresh = stops(
            rack, self.session.round_order(), self.session.assessments(), suggestions, midnight, drafted, until
        )
        if {s.vessel for s in fresh} == {s.vessel for s in self.order}:
            kept = {s.vessel: n for n, s in enumerate(self.order)}  # the way does not change under one's feet
            tools = {s.vessel: s.own_tools for s in self.order}
            fresh = tuple(sorted(fresh, key=lambda s: (s.own_tools and not tools[s.vessel], kept[s.vessel])))
        self.order = fresh
        self._show_head()

    def _show_head(self) -> None:
        here = self.entry.vessel if self.entry else ""
        names = [s.vessel for s in self.order]
        if here in names:
            self.page.show_where(names.index(here) + 1, len(names))
        self.strip.show_stops(self.order, here)
        self._show_day()

    def _show_card(self) -> None:
        if self.entry is not None:
            now = self._at()
            trend = self._trends.one(self.entry.rack, self.entry.vessel, now)
            self.card.show_card(round_card(self.entry, trend, now))

    # --- typing -----------------------------------------------------------------------------------------------------

    def _edited(self, key: str, text: str) -> None:
        if self.entry is None:
            return
        self.entry.put(key, text, self.session.now())
        self._typed()

    def _typed(self) -> None:
        self._dirty = True
        self._save_timer.start()
        self._think_timer.start()
        self._show_fields()

    def _taken(self, key: str, seen: str) -> None:
        """A suggestion was taken as it was seen."""
        if self.entry is not None:
            self.entry.take(key, seen, self.session.now())
            self._typed()
            self.page.go_on(key, "next", self.entry)

    def _take_all(self) -> None:
        """Take all suggestions that the keeper sees, as they are painted."""
        if self.entry is not None and self._pages.currentIndex() == 0:
            seen = self.do.suggested()
            for key, text in seen.items():
                self.entry.take(key, text, self.session.now())
            if seen:
                self._typed()
            else:
                self.page.note(self.tr("Nothing is suggested that is not typed or taken."))

    def _show_fields(self) -> None:
        entry = self.entry
        if entry is None:
            return
        errors = {k: str(e) for k, e in entry.errors().items()}
        if not self._tried:  # what belongs together is asked for only once the keeper wants to record
            errors = {k: v for k, v in errors.items() if entry.error(k) is not None}
        self.count.show_entry(entry, errors)
        cautions, at = self._cautions(entry), self._at()
        self.do.show_entry(entry, errors, at, cautions=cautions, stale=self._stale(entry))
        if self.session.read_only is not None:
            self.page.note(self.session.read_only)
            self.do.button.setEnabled(False)

    def _cautions(self, entry: Entry) -> tuple[str, ...]:
        """The general cautions at the first vessel of the round, those of the tasks at hand at every one."""
        from rackview.advice.cautions import cautions, general, tasks_of_harvest

        first = not any(s.done for s in self.order)
        asked = [c for s in entry.suggestions for c in s.cautions if c not in general()]
        tasks = [a for a in ("clean", "split") if entry.text(a) or entry.ghost(a)]
        if entry.text("harvest") and not any(s.action == "harvest" for s in entry.suggestions):
            tasks += tasks_of_harvest(feeds_larvae=True, discarded=True)  # where it goes is not said
        if (entry.number("fixative") or 1.0) > 1.0:
            tasks.append("fixed")
        if any(entry.text(k).strip() for k in ("tan", "ph")):
            tasks.append("test")
        if entry.feed_unit() == "g" and (entry.text("feed") or entry.ghost("feed")):
            tasks.append("dry feed")
        return tuple(dict.fromkeys((*(general() if first else ()), *asked, *cautions(tasks, said=general()))))

    def _stale(self, entry: Entry) -> str:
        now = self.session.now()
        if self.day is not None or entry.begun is None or entry.moment(now) == now:
            return ""
        begun = entry.begun.astimezone()
        return f"{formats.weekday(begun.date())} {formats.clock(begun)}"

    def _think(self) -> None:
        """Ask for advice as if what is typed were recorded already; it may come a moment later."""
        entry = self.entry
        if entry is None:
            return
        now = self.day or self.session.now()
        seen = entry.observed(now) if entry.begun is not None and entry.moment(now) == now else []
        self._asked += 1
        if seen:
            counted = any(isinstance(e, Count) for e in seen)
            done = partial(self._thought.emit, self._asked, counted)
            self.session.as_if(entry.rack.record(*seen), entry.vessel, now.astimezone(), done)
            return
        entry.doubted, entry.believed = "", entry.assessment.density_per_ml
        if self.day is None:
            entry.offer(self.session.suggestions())
            done = partial(self._thought.emit, self._asked, False)  # noqa: FBT003 - a signal takes no names
            self.session.as_if(entry.rack, entry.vessel, now.astimezone(), done)
        self._show_fields()

    def _take_thought(self, asked: int, counted: bool, found: AsIf) -> None:
        """Show what would be advised, unless something else was typed since."""
        entry = self.entry
        if entry is None or asked != self._asked:
            return
        entry.believed = found.density_per_ml
        entry.doubted = found.doubt if counted else ""
        if self.day is None:
            entry.counting = found.counting
            entry.offer(found.suggestions)
        self._show_fields()

    def _focus_left(self) -> None:
        if self._dirty:
            self.save()

    def save(self) -> None:
        """Keep what is typed as a draft, now."""
        self._save_timer.stop()
        entry = self.entry
        if entry is None or not self._dirty:
            return
        try:
            self._drafts.keep(entry)
        except StoreError as error:
            self._trouble(str(error))
            return
        self._dirty = False
        self.page.note(self.tr("Saved as you type {time}").format(time=formats.clock(self.session.now().astimezone())))

    def _trouble(self, sentence: str) -> None:
        self.page.note(sentence, "error")
        self._announce(sentence)

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
        key = event.key()
        command = keys.command("Round", key)
        if command in AT_ONCE | {"leave"}:
            self._commanded(command)
        elif key == Qt.Key.Key_Up and self.do.button.hasFocus():
            self.page.focus(self.do.rows()[-1][0])
        elif key in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            pressed = QApplication.focusWidget()
            if isinstance(pressed, QPushButton):
                pressed.click()
        else:
            super().keyPressEvent(event)

    def _tally(self) -> None:
        """Count with the eyes at the microscope; stages are counted in the fields, as they take more keys than two."""
        entry = self.entry
        if entry is None or self._pages.currentIndex() != 0:
            return
        if entry.stages != ("all",):
            self.page.note(self.tr("The tally by key counts all animals together; by stage it is typed in the fields."))
            return
        if self._tallying is None:
            from rackview.ui.tally.page import TallyPage

            self._tallying = TallyPage(self.theme, self)
            self._tallying.finished.connect(self._tallied)
            self._tallying.left.connect(self._back_to_fields)
            self._pages.addWidget(self._tallying)
        vessel = entry.rack.vessels[entry.vessel]
        self._tallying.begin(f"{vessel.place} {vessel.vessel}", entry.number("dilution") or 1.0)
        self._pages.setCurrentWidget(self._tallying)
        self._tallying.setFocus()

    def _tallied(self) -> None:
        """Put what was tallied into the fields, where it can be seen and changed before it is recorded."""
        entry, found = self.entry, self._tallying.tally if self._tallying is not None else None
        if entry is not None and found is not None:
            now = self.session.now()
            for n, animals in enumerate(found.tallies):
                entry.put(f"{entry.stages[0]}.{n}", str(animals), now)
            for n in range(len(found.tallies), len(entry.tallies(entry.stages[0]))):
                entry.put(f"{entry.stages[0]}.{n}", "", now)
            if not entry.staged and any(found.tallies):
                entry.put("females_checked", str(sum(found.tallies)), now)
                entry.put("with_eggs", str(found.with_eggs), now)
            entry.put("ciliates", found.ciliates, now)
            self._typed()
        self._back_to_fields()

    def _back_to_fields(self) -> None:
        self._pages.setCurrentIndex(0)
        if self.entry is not None:
            self.page.focus(self.count.first_empty(self.entry))

    def _leave(self) -> None:
        self.save()
        self.leave.emit()

    def _step(self, by: int) -> None:
        names = [s.vessel for s in self.order]
        if self.entry is None or self._pages.currentIndex() == 1:
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
        if entry is None or self._pages.currentIndex() == 1:
            return
        now = self.session.now()
        wrong = entry.errors()
        if wrong:
            self._tried = True
            self._show_fields()
            self.page.focus(next(iter(wrong)))
            self._announce(str(next(iter(wrong.values()))))
            return
        events = entry.events(now)
        if not events:
            self._step(1)
            return
        settings = self.session.rack.settings
        when = "" if self.day is None else f" ({formats.moment(self._at(), now.astimezone())})"
        words = self.tr("{vessel}{when}: {what}").format(
            when=when,
            vessel=entry.rack.vessels[entry.vessel].place,
            what=", ".join(event_words.summary(e, settings) for e in events),
        )
        self._save_timer.stop()
        self._think_timer.stop()
        self._busy = True
        try:
            made = entry.new_vessel
            if made is None:
                self.session.record(events, words)
            else:
                self.session.take(vessels=[made], events=events, words=words)
        except (InputError, StoreError) as error:
            self._trouble(str(error))
            return
        finally:
            self._busy = False
        self._drafts.recorded(entry, entry.moment(now))
        self._dirty = False
        doubt = self._doubt(entry.vessel) if any(isinstance(e, Count) for e in events) else ""
        left = ", ".join(event_words.kind_word(action) for action in entry.left_out())
        self.said.emit(words)
        self._announce(f"{words}. {doubt}" if doubt else words)
        self._after(entry.vessel)
        if doubt:
            self.page.note(self.tr("{doubt} − takes it back to count again.").format(doubt=doubt), "error")
        elif left:
            self.page.note(self.tr("Recorded. Suggested and not taken: {left}.").format(left=left))

    def _doubt(self, vessel: str) -> str:
        """What to say of the count just recorded if it wants to be made again; it is kept either way."""
        from rackview.advice.recount import doubted

        found = doubted(self.session.rack, vessel, self.session.now())
        return "" if found is None else f"{self.session.rack.vessels[vessel].place}: {found.text}"

    def _after(self, vessel: str) -> None:
        self.entry = None
        names = [s.vessel for s in self.order]  # the way as it was: the vessel may have turned suspect by its count
        onward = set(names[names.index(vessel) + 1 :]) if vessel in names else set(names)
        self._sort()
        following = [s.vessel for s in self.order if not s.done and s.vessel in onward]
        if following:
            self.go(following[0])
        else:
            self._show_end()

    def undo(self) -> None:
        """Take the last record back and return to its vessel, with all that was typed there."""
        words = self.session.undo_words
        if words is None:
            self.page.note(self.tr("Nothing to undo."))
            return
        self.save()
        self._busy = True
        try:
            self.session.undo()
        except (InputError, StoreError) as error:
            self._trouble(str(error))
            return
        finally:
            self._busy = False
        self.said.emit(self.tr("Taken back: {what}").format(what=words))
        vessel = self._drafts.bring_back()
        if vessel is None:
            self.refresh()
            return
        self.entry = None
        self.go(vessel)
        self.page.note(self.tr("Taken back: {what}").format(what=words))

    # --- the end ----------------------------------------------------------------------------------------------------

    def _show_end(self) -> None:
        self.entry = None
        self._sort()
        self.end.show_end(self.session, self.order, self.day)
        self._pages.setCurrentIndex(1)
        self.end.setFocus(Qt.FocusReason.OtherFocusReason)

    # --- look -------------------------------------------------------------------------------------------------------

    def _announce(self, words: str) -> None:
        if QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, words))

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.page.set_theme(theme)
        self.end.set_theme(theme)
        if self._tallying is not None:
            self._tallying.set_theme(theme)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.page.set_scale(scale)
        self.end.set_scale(scale)

    def minimumSizeHint(self) -> QSize:
        return QSize(900, 500)

    def take_keyboard(self) -> None:
        if self._pages.currentIndex() == 1:
            self.end.setFocus(Qt.FocusReason.OtherFocusReason)
        elif self.entry is not None:
            self.page.focus(self.count.first_empty(self.entry))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        fits = min(self.width() / BASE[0], self.height() / BASE[1])
        scale = max(0.625, min(2.5, int(fits * 16) / 16))
        if scale != self._scale:
            self.set_scale(scale)

    def hideEvent(self, event: QHideEvent) -> None:
        self.save()
        super().hideEvent(event)
