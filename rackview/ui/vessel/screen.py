"""One vessel's page: its history as a plot and as a list, what is believed, what to do, and every action at hand."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QStackedWidget, QVBoxLayout, QWidget

from rackview.core.assessment import Suggestion
from rackview.core.errors import InputError
from rackview.core.events import Event, Rest, Return
from rackview.core.vessel import by_place
from rackview.language import _
from rackview.services import pictures
from rackview.services.faults import StoreError
from rackview.ui import keys
from rackview.ui.base import SubPage
from rackview.ui.forms.event_panel import EventPanel
from rackview.ui.forms.vessel import VesselForm
from rackview.ui.records.event_list import EventList, newest_first
from rackview.ui.theme import fonts
from rackview.ui.vessel.card import VesselCard
from rackview.ui.vessel.facts import belief_card
from rackview.ui.vessel.plots import Plots
from rackview.ui.vessel.range_row import RangeRow
from rackview.ui.vessel.side import LearnedLines, VesselSide, sure_of, title_of, why_of
from rackview.ui.vessel.side_panel import SidePanel
from rackview.ui.vessel.why_page import WhyPage
from rackview.ui.words import event_words

if TYPE_CHECKING:
    from rackview.core.assessment import Flag
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme

RANGES: tuple[float | None, ...] = (14.0, 30.0, 90.0, None)
SIDE, NARROW = 348, 300
WIDE = 1120
"""Width of the page from which the right side has its full width."""
ROOMY = 820
"""Height from which there is room to say what the marks of the plot stand for; below, a tooltip does."""
BASE = (1280.0, 680.0)
"""The size at which the card and the plot are drawn at scale 1."""


class VesselScreen(SubPage):
    """The page of one vessel.

    Signals
    -------
    loss_wanted(str) : the page of the days before this vessel's loss
    """

    loss_wanted = Signal(str)

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        self.vessel = ""
        self._days: float | None = RANGES[1]
        self.plots = Plots(theme, self)
        self._scale = 1.0
        self.card = VesselCard(theme, self)
        self.ranges = RangeRow(RANGES, self)
        self.ranges.show_range(self._days)
        self.events = EventList(with_vessel=False, parent=self)
        self.events.find_picture = partial(pictures.picture_path, session)
        self.side = VesselSide(theme, self)
        self.why = WhyPage(theme, self)
        self._explained: Suggestion | Flag | None = None
        self.panel = EventPanel(session, theme, self)
        self.edit = VesselForm(session, self)
        self._legend = QLabel(self)
        self._legend.setWordWrap(True)
        self._legend.setProperty("voice", "soft")
        self._legend.setFont(fonts.font(13))
        self._message = QLabel(self)
        self._message.setProperty("voice", "error")
        self._message.setWordWrap(True)
        self._message.hide()
        self._stack = QStackedWidget(self)
        for page in (self.side, self.panel, self.edit, self.why):
            self._stack.addWidget(page)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(0)
        self._later.timeout.connect(self._draw)
        self._lay_out()
        self.ranges.range_wanted.connect(self.show_range)
        self.ranges.water_wanted.connect(lambda on: self.show_water(on=on))
        self.ranges.step_wanted.connect(self._step)
        self.side.wanted.connect(self._wanted)
        self.side.started.connect(self.start)
        self.side.explained.connect(self.explain)
        self.why.left.connect(self._back_to_side)
        self.why.shown.connect(self._show_entry)
        self.why.entered.connect(self._to_entry)
        self.panel.done.connect(self._done)
        self.panel.left.connect(self._back_to_side)
        self.panel.harvest_wanted.connect(self._harvest)
        self.edit.done.connect(self._edited)
        self.edit.left.connect(self._back_to_side)
        self.events.correct.connect(self._correct)
        self.events.withdraw.connect(self._withdraw)

    def _lay_out(self) -> None:
        self._rail = SidePanel(self.theme, self)
        self._rail.setFixedWidth(SIDE)
        rail = QVBoxLayout(self._rail)
        rail.setContentsMargins(0, 0, 0, 0)
        rail.addWidget(self._stack)
        middle = QVBoxLayout()
        middle.setSpacing(10)
        middle.addWidget(self.ranges)
        middle.addWidget(self.plots, 8)
        middle.addWidget(self._legend)
        middle.addWidget(self._message)
        middle.addWidget(self.events, 5)
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 0, 0, 0)
        row.setSpacing(20)
        left = QVBoxLayout()
        left.setContentsMargins(0, 10, 0, 14)
        left.addWidget(self.card)
        row.addLayout(left)
        middle.setContentsMargins(0, 10, 0, 14)
        row.addLayout(middle, 1)
        row.addWidget(self._rail)

    # --- showing ----------------------------------------------------------------------------------------------------

    def open(self, vessel: str | None = None) -> None:
        """Show a vessel, or the one shown last."""
        names = list(self.session.rack.vessels)
        wanted = vessel or self.vessel
        if wanted not in names:
            wanted = names[0] if names else ""
        if wanted != self.vessel:
            self.save()
            self._back_to_side()
            self.vessel = wanted
        self.refresh()

    def refresh(self, change: Change | None = None) -> None:
        """Show the vessel as it is now; a form that is open stays as typed."""
        rack = self.session.rack
        if self.vessel not in rack.vessels:
            return
        if (
            change is not None
            and change.vessels
            and self.vessel not in change.vessels
            and not change.tables - {"events"}
        ):
            return
        now = self.session.now().astimezone()
        seen = self.session.assessments()[self.vessel]
        mine = tuple(s for s in self.session.suggestions() if s.vessel == self.vessel)
        self.card.show_card(belief_card(rack, seen, mine, now))
        self.side.show_vessel(seen, mine, self._learned(), read_only=self.session.read_only is not None)
        self.events.read_only = self.session.read_only is not None
        self.events.load(newest_first(rack, self.vessel, incoming=True), rack, now, self.vessel)
        self._name_neighbours()
        self.setAccessibleName(f"{rack.vessels[self.vessel].place} {self.vessel}")
        if self.plots.currentWidget() is None or self.isVisible():
            self._later.start()

    def _learned(self) -> LearnedLines:
        from rackview.advice.record.grounds import lessons
        from rackview.ui.vessel import lesson_words

        rack = self.session.rack
        found = lessons(rack, self.vessel, self.session.now())
        profile = rack.profile(self.vessel)
        return LearnedLines(lesson_words.from_counts(found), lesson_words.sentences(found, profile, rack.settings))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._later.start()

    def _draw(self) -> None:
        """Draw the plot; it comes a moment after the rest, so that the page is there at once."""
        if self.vessel not in self.session.rack.vessels:
            return
        self.plots.show_vessel(self.session.rack, self.vessel, self.session.now().astimezone(), self._days)
        if not self.plots.water and not self._legend.text():
            from rackview.ui.vessel.history_plot import legend

            self._legend.setText(legend())
        self._legend.setVisible(self.height() >= ROOMY and not self.plots.water)

    def show_water(self, *, on: bool) -> None:
        """Show the curves of the water in place of the density, or the density again."""
        self.plots.water = on
        self.ranges.show_water(on=on)
        self._draw()

    def as_text(self) -> str:
        """What is plotted, for a spreadsheet."""
        return self.plots.as_text()

    def show_range(self, days: float | None) -> None:
        """Show the last `days` days, None for the whole history."""
        self._days = days
        self.ranges.show_range(days)
        self._draw()

    def _name_neighbours(self) -> None:
        order, vessels = self._order(), self.session.rack.vessels
        here = order.index(self.vessel)
        self.ranges.name_neighbours(
            vessels[order[here - 1]].place if here > 0 else "",
            vessels[order[here + 1]].place if here + 1 < len(order) else "",
        )

    def _order(self) -> list[str]:
        return [v.vessel for v in by_place(self.session.rack.vessels.values())]

    def _step(self, by: int) -> None:
        order = self._order()
        there = order.index(self.vessel) + by
        if 0 <= there < len(order):
            self.open(order[there])

    # --- doing ------------------------------------------------------------------------------------------------------

    def start(self, suggestion: Suggestion) -> None:
        """Open the panel of a suggested action, pre-filled."""
        if suggestion.vessel != self.vessel:
            self.open(suggestion.vessel)
        self.panel.begin(self.vessel, suggestion.action, suggestion, from_draft=False)
        self._stack.setCurrentWidget(self.panel)

    def explain(self, what: Suggestion | Flag | None = None) -> None:
        """Show what stands behind a suggestion or flag, or with None behind the density alone."""
        from rackview.ui.vessel.why import why_lines

        if isinstance(what, Suggestion) and what.vessel != self.vessel:
            self.open(what.vessel)
        seen, now = self.session.assessments(), self.session.now().astimezone()
        donor = None
        if isinstance(what, Suggestion) and what.action == "restart" and what.other_vessel is not None:
            donor = seen[what.other_vessel]
        self._explained = what
        if what is None:
            title, severity, words, sure = _("What the density rests on"), None, "", ""
        else:
            title, severity, words, sure = title_of(what), what.severity, why_of(what), sure_of(what)
        shown = why_lines(self.session.rack, seen[self.vessel], now, what, donor)
        self.panel.close_form()
        self._stack.setCurrentWidget(self.why)
        self.why.show_why(title, severity, words, sure, shown)
        self.why.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _explain_next(self) -> None:
        """Explain the first thing suggested, or the one after what is explained now."""
        reasons = self.side.reasons()
        n = -1
        if self._stack.currentWidget() is self.why and self._explained in reasons:
            n = reasons.index(self._explained)
        self.explain(reasons[(n + 1) % len(reasons)] if reasons else None)

    def _show_entry(self, event: str, vessel: str) -> None:
        """Choose an entry's row, if it is of this vessel."""
        if vessel == self.vessel:
            self.events.show_event(event)

    def _to_entry(self, event: str, vessel: str) -> None:
        """Go to an entry's row, on its own vessel's page."""
        if vessel != self.vessel:
            self.open(vessel)
        self.events.show_event(event)
        self.events.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _wanted(self, what: str) -> None:
        if what in {"rest", "return"}:
            self._rest(what)
        elif what == "loss":
            self.loss_wanted.emit(self.vessel)
        elif what == "edit":
            self.edit.edit(self.session.rack.vessels[self.vessel])
            self._stack.setCurrentWidget(self.edit)
        else:
            asked = (s for s in self.session.suggestions() if s.vessel == self.vessel and s.action == what)
            self.panel.begin(self.vessel, what, next(asked, None))
            self._stack.setCurrentWidget(self.panel)

    def _harvest(self, vessel: str) -> None:
        """Harvest a vessel that must make room; what is typed for this one is kept as a draft."""
        self.open(vessel)
        self._wanted("harvest")

    def _rest(self, what: str) -> None:
        kind = Rest if what == "rest" else Return
        place = self.session.rack.vessels[self.vessel].place
        event = kind(at=self.session.now(), vessel=self.vessel)
        self._try(lambda: self.session.record(event, f"{place}: {event_words.kind_word(what)}"))

    def _correct(self, event: Event) -> None:
        self.panel.correct(event)
        self._stack.setCurrentWidget(self.panel)

    def _withdraw(self, event: Event) -> None:
        what = event_words.summary(event, self.session.rack.settings)
        words = _("{place}: took back {what}").format(place=self.session.rack.vessels[self.vessel].place, what=what)
        self._try(lambda: self.session.withdraw(event.id, words))

    def _try(self, call: object) -> None:
        try:
            call()  # type: ignore[operator]
        except (InputError, StoreError) as error:
            self._message.setText(str(error))
            self._message.show()
            return
        self._message.hide()
        self.refresh()

    def _done(self, words: str) -> None:
        counted = self._stack.currentWidget() is self.panel and self.panel.kind == "count"
        self._back_to_side()
        self._message.hide()
        if counted and (doubt := self._doubt()):
            self._message.setText(_("Kept as typed. {doubt}").format(doubt=doubt))
            self._message.show()
        self.said.emit(words)
        self.refresh()

    def _doubt(self) -> str:
        """What to say of the newest count if it wants to be made again."""
        from rackview.advice.recount import doubted

        found = doubted(self.session.rack, self.vessel, self.session.moment())
        return "" if found is None else found.text

    def _edited(self, words: str) -> None:
        self.vessel = self.edit.saved_name or self.vessel
        self._done(words)

    def _back_to_side(self) -> None:
        self.panel.close_form()
        self._stack.setCurrentWidget(self.side)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def save(self) -> None:
        """Keep what is typed as a draft."""
        self.panel.save()
        self.edit.save()

    # --- keys and look ----------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        command = keys.command("One vessel", event.key())
        if command.startswith("range"):
            self.show_range(RANGES[int(command[-1])])
        elif command == "water":
            self.show_water(on=not self.plots.water)
        elif command in {"before", "after"}:
            self._step(-1 if command == "before" else 1)
        elif command == "why" and not event.modifiers():
            self._explain_next()
        elif command == "leave":
            if self._stack.currentWidget() is self.side:
                self.leave.emit()
            else:
                self.save()
                self._back_to_side()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._rail.setFixedWidth(SIDE if self.width() >= WIDE else NARROW)
        fits = min(self.width() / BASE[0], self.height() / BASE[1])
        self._legend.setVisible(self.height() >= ROOMY and not self.plots.water)
        scale = max(1.0, min(1.5, int(fits * 8) / 8))
        if scale != self._scale:
            self._scale = scale
            self.card.set_scale(scale)
            self.plots.set_scale(scale)
            self._later.start()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = self._rail.theme = theme
        for part in (self.card, self.side, self.panel, self.why, self.plots):
            part.set_theme(theme)
        self._rail.update()
