"""A panel beside the page in which one event is typed or corrected; no window opens over the page."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.advice.words.cautions import CAUTIONS, cautions, tasks_of_harvest
from rackview.core.assessment import Severity
from rackview.core.errors import InputError
from rackview.core.events import Event, Restart, Split
from rackview.core.parse import PICTURE, event_from_row
from rackview.core.rack import Rack, check_event
from rackview.core.vessel import Vessel
from rackview.language import _
from rackview.services import pictures
from rackview.ui.forms import remembered
from rackview.ui.forms.asks import event_asks, shown_row
from rackview.ui.forms.form import Form
from rackview.ui.forms.futures import ForecastFans, futures
from rackview.ui.forms.kept import keep_draft, settle, take_away
from rackview.ui.forms.moves import NEW, NoRoomError, carried_out, check_room, made_for
from rackview.ui.round.day import as_it_was
from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets.fields import scrolling_column, tall
from rackview.ui.widgets.marked_lines import Marked, MarkedLines
from rackview.ui.words import event_words, formats

if TYPE_CHECKING:
    from rackview.core.assessment import Suggestion
    from rackview.services.rack_session import RackSession

FORESEEN = frozenset({"harvest", "split", "restart"})
NEW_ASKED = ("new_vessel", "new_place", "new_volume_l")


class EventPanel(QWidget):
    """Types one event of a vessel (`begin`) or corrects a recorded one (`correct`).

    Signals
    -------
    done(str) : it is recorded; the words say what
    left() : the keeper goes back; a draft of what was typed is kept
    harvest_wanted(str) : a vessel that is full should be harvested before culture goes into it
    """

    done = Signal(str)
    left = Signal()
    harvest_wanted = Signal(str)

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        self.form: Form | None = None
        self._vessel = ""
        self._kind = ""
        self._old: Event | None = None
        self._suggestion: Suggestion | None = None
        self._title = QLabel(self)
        self._title.setFont(fonts.font(20, fonts.BOLD))
        self._title.setWordWrap(True)
        self._why = MarkedLines(theme, px=14, most=4, parent=self)
        self._mixed = MarkedLines(theme, px=14, most=4, parent=self)
        self._futures = ForecastFans(theme, self)
        self._full = ""
        self.harvest_first = QPushButton(self)
        self.harvest_first.clicked.connect(lambda: self.harvest_wanted.emit(self._full))
        self.harvest_first.hide()
        self._gravest = MarkedLines(theme, px=13, most=8, parent=self)
        self._cautions = MarkedLines(theme, px=13, most=6, parent=self)
        self._column = scrolling_column(self, _("Form and forecast"))
        self._column.setContentsMargins(24, 14, 24, 6)
        self._column.setSpacing(8)
        parts: tuple[QWidget, ...] = (self._title, self._why, self._mixed, self.harvest_first, self._futures)
        for part in (*parts, self._gravest, self._cautions):
            self._column.addWidget(part)
        self._column.addStretch(1)
        self._below = QVBoxLayout()  # the buttons, which no scrolling hides
        self._below.setContentsMargins(24, 6, 24, 12)
        self._below.setSpacing(2)
        cast("QVBoxLayout", self.layout()).addLayout(self._below)

    @property
    def open(self) -> bool:
        """Whether something is being typed here."""
        return self.form is not None

    @property
    def kind(self) -> str:
        """The kind of event that is, or was last, typed here."""
        return self._kind

    def begin(self, vessel: str, kind: str, suggestion: Suggestion | None = None, *, from_draft: bool = True) -> None:
        """Type a new event of a kind, pre-filled from a suggestion, or from the draft if there is one."""
        self._old, self._suggestion = None, suggestion
        word = event_words.kind_word(kind)
        place = self.session.rack.vessels[vessel].place
        self._start(vessel, kind, f"{place} {vessel}: {word}", _("Record"))
        if self.form is None:
            return
        row = self._suggested(kind, suggestion)
        self.form.fill(row)
        draft = self.session.draft(self._form_name()) if from_draft else None
        if draft is not None:
            self.form.restore(draft)
        if kind == "harvest":
            self.form.lead("volume_l", "refill_l")  # as on the round: as much new water as was taken
        self._why.show_lines((Marked(suggestion.why),) if suggestion is not None and suggestion.why else ())
        self._caution(suggestion)
        self._foresee()
        self.form.begin()

    def correct(self, event: Event) -> None:
        """Correct a recorded event."""
        self._old = event
        word = event_words.kind_word(event.kind)
        self._start(event.vessel, event.kind, _("Correct: {what}").format(what=word), _("Save"))
        if self.form is None:
            return
        self.form.fill(shown_row(event, self.session.now().astimezone()))
        draft = self.session.draft(self._form_name())
        if draft is not None:
            self.form.restore(draft)
        place = self.session.rack.vessel(event.vessel).place
        now = self.session.now().astimezone()
        which = f"{place} {event.vessel}, {formats.moment(event.at.astimezone(), now)}."
        self._why.show_lines((Marked(f"{which} " + _("The old entry stays in the history.")),))
        self._caution(None)
        self._futures.show_futures(())
        self.form.begin()

    def _start(self, vessel: str, kind: str, title: str, save: str) -> None:
        self.close_form()
        self._vessel, self._kind = vessel, kind
        self._title.setText(title)
        asks = event_asks(self.session.rack, vessel, kind, recorded=self._old is not None)
        self.form = Form(
            asks,
            self.session.rack.settings,
            save=save,
            columns=2,
            cancel=_("Back"),
            now=self.session.now,
            parent=self,
        )
        self.form.submitted.connect(self._save)
        self.form.cancelled.connect(self._leave)
        self.form.changed.connect(self._typed)
        self.form.forgotten.connect(self._forget)
        self._below.addWidget(self.form.draft_line, 0, Qt.AlignmentFlag.AlignLeft)
        self._below.addWidget(self.form.foot)
        for part in (self._gravest, self._cautions):
            self._column.removeWidget(part)
        self._column.insertWidget(3, self.form)
        self._column.insertWidget(3, self._gravest)
        self._column.insertWidget(7, self._cautions)

    def close_form(self) -> None:
        """Take the form away."""
        self.harvest_first.hide()
        if self.form is not None:
            take_away(self.form, self._column)
            self.form = None

    def _suggested(self, kind: str, suggestion: Suggestion | None) -> dict[str, object]:
        row: dict[str, object] = {"at": "now"}
        rack = self.session.rack
        if kind == "feed":
            stock = rack.stock[0] if rack.stock else None
            row |= {"feed": stock.feed if stock else "", "unit": stock.unit if stock else "mL"}
        elif kind == "harvest":
            row |= {"mesh_um": rack.profile(self._vessel).mesh_um}
        elif kind == "count":
            habit = remembered.habit(rack, self._vessel)  # as the round has it: another dilution is another density
            row |= {"aliquot_ml": habit.aliquot_ml, "dilution": habit.dilution, "fixative": habit.fixative}
        if suggestion is None:
            return row
        amount = suggestion.amount
        if kind == "feed":
            row |= {"amount": amount, "feed": suggestion.feed or row["feed"], "unit": suggestion.unit or row["unit"]}
        elif kind == "harvest":
            row |= {"volume_l": amount, "refill_l": suggestion.refill_l, "to": suggestion.to}
            row["mesh_um"] = suggestion.mesh_um or row["mesh_um"]
        elif kind == "split":
            refill = amount if suggestion.refill_l is None else suggestion.refill_l
            row |= {"volume_l": amount, "to_vessel": suggestion.other_vessel, "refill_l": refill}
        elif kind == "restart":
            row |= {"volume_l": amount, "from_vessel": suggestion.other_vessel, "reason": suggestion.code}
            row["density_per_ml"] = suggestion.density_per_ml
        elif kind == "clean":
            row["what"] = suggestion.what or "floss"
        return row

    def _caution(self, suggestion: Suggestion | None) -> None:
        """Those of the task by the table, and those of the suggestion; a correction puts no hand into the water."""
        asked = () if suggestion is None else suggestion.cautions
        own = () if self._old is not None else cautions(self._tasks(), said=asked)
        said = (*asked, *own)
        gravest = tuple(c for c in said if c == CAUTIONS["bleach"])
        self._gravest.show_lines(tuple(Marked(c, strong=True) for c in gravest))
        self._cautions.show_lines(tuple(Marked(c) for c in said if c not in gravest))

    def _tasks(self) -> tuple[str, ...]:
        """The tasks that the open form is for, as far as its fields tell."""
        said = {} if self.form is None else self.form.typed()
        if self._kind == "harvest":
            where = str(said.get("to") or "")
            return tasks_of_harvest(feeds_larvae=where != "discard", discarded=where in {"", "discard"})
        if self._kind == "clean":
            return "clean", f"clean {said.get('what') or 'floss'}"
        if self._kind == "feed":
            return ("dry feed",) if said.get("unit") == "g" else ()
        if self._kind == "count":
            return ("count", "fixed") if str(said.get("fixative") or "1").strip() not in {"", "1"} else ("count",)
        return {"reading": ("test",)}.get(self._kind, (self._kind,))

    # --- typing -----------------------------------------------------------------------------------------------------

    def _form_name(self) -> str:
        return f"event:{self._vessel}:{self._kind}" if self._old is None else f"event:{self._old.id}"

    def _typed(self) -> None:
        if self.form is None:
            return
        self.save()
        self._caution(self._suggestion)
        self._foresee()

    def _row(self) -> dict[str, object]:
        row: dict[str, object] = dict(self.form.row()) if self.form is not None else {}
        row |= {"vessel": self._vessel, "kind": self._kind}
        return row

    def _new_vessel(self, row: dict[str, object]) -> Vessel | None:
        """The vessel that the split makes, whose name then stands in the row; raises `InputError`."""
        asked = {column: row.pop(column) for column in NEW_ASKED if column in row}
        if row.get("to_vessel") != NEW:
            return None
        made = made_for(self.session.rack, self._vessel, asked)
        row["to_vessel"] = made.vessel
        return made

    def _foresee(self) -> None:
        self._mixed.show_lines(())
        if self._kind not in FORESEEN or self._old is not None:
            self._futures.show_futures(())
            return
        row = self._row()
        try:
            made = self._new_vessel(row)
            rack = self.session.rack if made is None else self.session.rack.with_vessel(made)
            events = self._events(row, rack)
        except InputError:
            self._futures.show_futures(())
            return
        self._mixed.show_lines(self._strains_mixed(events, rack))
        self._futures.show_futures(futures(rack, events, self.session.now()))

    def _strains_mixed(self, events: list[Event], rack: Rack) -> tuple[Marked, ...]:
        """What to say where culture would come into a vessel of another strain."""
        for event in events:
            if event.partner is None or rack.vessels[event.vessel].strain == rack.vessels[event.partner].strain:
                continue
            told = [f"{rack.vessels[n].place} {rack.profile(n).title}" for n in (event.vessel, event.partner)]
            words = _("Two strains would mix: {one}, {other}. Larvae may get prey of the wrong size.")
            return (Marked(words.format(one=told[0], other=told[1]), Severity.week),)
        return ()

    def _events(self, row: dict[str, object], rack: Rack) -> list[Event]:
        """All that the form says, the main event first checked; raises `InputError`."""
        event = event_from_row(row)
        if isinstance(event, Split | Restart):
            check_event(rack.vessels, event)
            return carried_out(rack, event)
        return [event]

    def save(self) -> None:
        """Keep what is typed as a draft."""
        if self.form is not None:
            keep_draft(self.form, self.session, self._form_name())

    def _save(self) -> None:
        if self.form is None:
            return
        words: list[str] = []
        self.harvest_first.hide()
        if settle(self.form, self.session, self._form_name(), lambda: words.append(self._put())):
            self.close_form()
            self.done.emit(words[0])

    def _put(self) -> str:
        """Record or correct what the form says and give the words for it; raises `InputError` or `StoreError`."""
        row = self._row()
        if row.get("picture") and not PICTURE.fullmatch(str(row["picture"])):
            row["picture"] = pictures.keep_picture(self.session, str(row["picture"]))
        place = self.session.rack.vessels[self._vessel].place
        settings = self.session.rack.settings
        if self._old is None:
            made = self._new_vessel(row)
            rack = self.session.rack if made is None else self.session.rack.with_vessel(made)
            events = self._events(row, rack)
            split = events[-1]
            if isinstance(split, Split):
                self._check_room(as_it_was(rack, split.at), split)
            words = f"{place}: " + ", ".join(event_words.summary(e, settings) for e in events)
            words += self._other_day(events[0])
            if made is None:
                self.session.record(events, words)
            else:
                self.session.take(vessels=[made], events=events, words=words)
        else:
            event = event_from_row(row)
            what = event_words.summary(event, settings)
            words = _("{place}: corrected to {what}").format(place=place, what=what)
            self.session.correct(self._old.id, event, words)
        return words

    def _other_day(self, event: Event) -> str:
        """When it was recorded for, if not for today: a slip in a date shows."""
        at, now = event.at.astimezone(), self.session.now().astimezone()
        return "" if at.date() == now.date() else f" ({formats.moment(at, now)})"

    def _check_room(self, rack: Rack, split: Split) -> None:
        """Refuse a split into a vessel that is full, and offer to harvest that one first."""
        try:
            check_room(rack, split.to_vessel, split.volume_l, split.fill_l, rack.settings)
        except NoRoomError:
            self._full = split.to_vessel
            self.harvest_first.setText(_("Harvest {place} first…").format(place=rack.vessels[self._full].place))
            self.harvest_first.setToolTip(_("What is typed here is kept as a draft"))
            tall(self.harvest_first, 40)
            self.harvest_first.show()
            raise

    def _forget(self) -> None:
        """Throw the draft away and begin anew."""
        self.session.drop_draft(self._form_name())
        if self._old is None:
            self.begin(self._vessel, self._kind, self._suggestion)
        else:
            self.correct(self._old)

    def _leave(self) -> None:
        self.close_form()
        self.left.emit()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self._why.set_theme(theme)
        self._mixed.set_theme(theme)
        self._futures.set_theme(theme)
        self._gravest.set_theme(theme)
        self._cautions.set_theme(theme)
