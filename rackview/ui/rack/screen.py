"""The rack screen: the shelves with their vessels, and the day's list beside them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from rackview.core.errors import InputError
from rackview.language import _
from rackview.services.advice_cache import SOON_DAYS, larvae_days
from rackview.services.faults import StoreError
from rackview.ui.paint.gauge import paint_gauge
from rackview.ui.paint.shelf import paint_board
from rackview.ui.paint.supply import paint_brief
from rackview.ui.rack import rack_moves
from rackview.ui.rack.day_list import day_list
from rackview.ui.rack.presenter import Presenter, ranked, waiting
from rackview.ui.rack.rack_state import DayList, FreePlace, RackState, Supply
from rackview.ui.rack.rail import Rail
from rackview.ui.rack.tile import Gauge, TileState, tile
from rackview.ui.rack.view import RackView
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.services.advice_cache import CachedAdvice
    from rackview.services.change import Change
    from rackview.services.rack_session import RackSession

OLD = timedelta(minutes=2)
"""Advice that is older is said to be, even if nothing was entered since."""

AT_ONCE = 2
"""So many tiles are painted at once after an entry: that of a vessel, and of one that it was split into."""

UNPAINTED_MS = 1_000
"""After so long the work begins though nothing was painted: a window may open hidden behind others."""


class RackScreen(QWidget):
    """The first screen.

    Signals
    -------
    opened(str) : a vessel was chosen
    add_vessel(str, int) : a vessel should be added at this shelf and position ("" and 0: anywhere)
    demo_wanted() : the demo rack should be opened
    said(str) : words for the window's line

    The rail's signals are `screen.rail.done`, `.change` and `.decline`.
    """

    opened = Signal(str)
    add_vessel = Signal(str, int)
    demo_wanted = Signal()
    said = Signal(str)

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._presenter = Presenter()
        self._answers: CachedAdvice | None = None  # those that are shown
        self._prepared: tuple[CachedAdvice, tuple[RackState, DayList]] | None = None
        self._glance = False
        self.theme = theme
        self.header = RackHeader(theme, self)
        self.strip = SupplyStrip(theme, self)
        self.view = RackView(theme, self)
        self.first = FirstRun(theme, self)
        self.rail = Rail(theme, self)
        left = QVBoxLayout()
        left.setContentsMargins(10, 4, 8, 8)
        left.setSpacing(4)
        for widget in (self.header, self.strip):
            left.addWidget(widget)
        left.addWidget(self.view, 1)
        left.addWidget(self.first, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addLayout(left, 1)
        row.addWidget(self.rail)
        self.view.opened.connect(self.opened)
        self.view.free_chosen.connect(self.add_vessel)
        self.view.carried.connect(self._carry)
        self.view.dropped.connect(self._drop)
        self.first.add.clicked.connect(lambda: self.add_vessel.emit("", 0))
        self.first.demo.clicked.connect(self.demo_wanted)
        self.rail.pointed.connect(self.view.select)
        self.setFocusProxy(self.view)
        self.show_state(waiting(session.rack, self._now(), banner=session.read_only or ""), DayList(), waits=True)
        self._shown = self._begun = False

    def _now(self) -> datetime:
        return self._session.now().astimezone()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self._shown:
            self._shown = True
            # a real screen paints when its window system says so: work begun before that holds up a black window
            QTimer.singleShot(UNPAINTED_MS, self, self._begin)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self._begun:
            QTimer.singleShot(0, self, self._begin)

    def _begin(self) -> None:
        if not self._begun:
            self._begun = True
            self._session.look_first_at(self.view.in_view())
            self._when_fresh()

    def refresh(self) -> None:
        """Show the rack as it is now; before the first showing that waits, so that shelves stand there at once."""
        if self._shown:
            self._begun = True
            self._when_fresh()

    def _when_fresh(self) -> None:
        """Show what is advised now; while that is worked out behind, what was advised last stands with its age."""
        if self._session.freshen():
            self.work_out()
            return
        at = self._session.advised_at
        if self._session.waits_for_advice or at is None:
            self._show_looked()
            return
        now = self._now()
        if self._session.behind_the_rack or now - at >= OLD:
            self.header.show_age(formats.clock(at.astimezone(now.tzinfo)))

    def _show_looked(self) -> None:
        """Show what is believed where that is all that is known: the first answers of a start."""
        session, found = self._session, self._session.looked_at
        if found:
            state = self._presenter.looked(session.rack, found, self._now(), banner=session.read_only or "")
            self.show_state(state, DayList(), waits=True)
            QTimer.singleShot(0, session.looked_shown)

    def show_first(self, change: Change) -> None:
        """Paint the tiles of a vessel or two at once after an entry; what to do and the other tiles follow."""
        session, vessels = self._session, change.vessels if change.tables == {"events"} else ()
        known = {t.vessel: t for shelf in self.view.rack.shelves for t in shelf.places if isinstance(t, TileState)}
        named = [v for v in vessels if v in known and v in session.rack.vessels]
        if not session.advises_behind or session.waits_for_advice or session.recounting or len(named) > AT_ONCE:
            return
        from rackview.advice.api import assess_first

        for name in named:
            seen, before = assess_first(session.rack, name, session.moment()), known[name]
            self.view.show_tile(tile(session.rack, seen, None, before.trend, self._now(), rank=before.rank))

    def prepare(self, found: CachedAdvice) -> None:
        """Work out all that `work_out` will show of these answers; called in the thread that advises."""
        self._prepared = found, self._drawn(found)

    def work_out(self) -> None:
        """Work out what is believed and advised now, as far as that was not done behind, and show it, if it is new."""
        found, prepared = self._session.answers(), self._prepared
        if found is self._answers:
            return
        self.show_state(*(prepared[1] if prepared is not None and prepared[0] is found else self._drawn(found)))
        self._answers = found

    def _drawn(self, found: CachedAdvice) -> tuple[RackState, DayList]:
        """The shelves and the day's list for these answers."""
        rack, at, banner = found.rack, found.at, self._session.read_only or ""
        if not rack.vessels:
            return self._presenter.rack(rack, {}, (), at, banner=banner), day_list(rack, (), None, at)
        assessments, suggestions = found.assessments(), found.suggestions()
        state = self._presenter.rack(rack, assessments, suggestions, at, banner=banner)
        ahead = found.plan(larvae_days(rack, at.date())).broods if rack.broods else ()
        plan, flags, ranks = found.plan(SOON_DAYS), found.rack_flags(), ranked(assessments.values())
        return state, day_list(rack, suggestions, plan, at, flags=flags, ranks=ranks, ahead=ahead)

    def _carry(self, vessel: str, key: Qt.Key) -> None:
        self._move(vessel, rack_moves.stepped(self._session.rack, vessel, key))

    def _drop(self, vessel: str, on: TileState | FreePlace) -> None:
        self._move(vessel, rack_moves.dropped(self._session.rack, on))

    def _move(self, vessel: str, place: tuple[str, int] | None) -> None:
        """Put a vessel elsewhere on the shelf; undo takes it back."""
        if place is None or self._session.read_only is not None:
            return
        try:
            self._session.move_vessel(vessel, *place)
        except (InputError, StoreError) as error:
            self.said.emit(str(error))
        self.view.select(vessel)

    def show_state(self, state: RackState, today: DayList, *, waits: bool = False) -> None:
        """Show a ready-made state; `waits` says that it is still being worked out."""
        self._answers = None
        empty = not state.shelves
        self.header.show_state(state)
        self.strip.show_supply(today.supplies[0] if today.supplies else None)  # the tightest
        self.view.show_shelves(state.shelves)
        self.rail.show_day(today, read_only=bool(state.banner), waiting=waits)
        self.view.setVisible(not empty)
        self.first.setVisible(empty)
        self.first.add.setEnabled(not state.banner)
        self.setFocusProxy(self.first.add if empty else self.view)
        self._arrange_for_distance(empty)

    def set_glance(self, on: bool) -> None:
        """Draw for reading from 3 m: no list, no sentences, supply in a few large words."""
        self._glance = on
        self.view.set_glance(on)
        self._arrange_for_distance(not self.view.rack.shelves)

    def apply_theme(self, theme: Theme) -> None:
        """Dress the screen in a theme."""
        self.theme = theme
        for part in (self.header, self.strip, self.view, self.first, self.rail):
            part.apply_theme(theme)

    def _arrange_for_distance(self, empty: bool) -> None:
        self.rail.setVisible(not self._glance and not empty)
        self.strip.setVisible(self._glance and not empty)
        self.header.setVisible(not self._glance or empty)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.rail.setFixedWidth(rail_width(self.width()))


def rail_width(width: int) -> int:
    """How much of the window's width the day's list takes, px."""
    return max(272, min(480, round(width * 0.205)))


class RackHeader(QWidget):
    """The rack's name, whether it is invented, the date and time; below it why nothing can be recorded, if so."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name, self._invented, self._moment = QLabel(self), QLabel(self), QLabel(self)
        self._age = QLabel(self)
        self._banner = QLabel(self)
        self._banner.setWordWrap(True)
        self._banner.hide()
        line = QHBoxLayout()
        line.setSpacing(16)
        line.addWidget(self._name)
        line.addWidget(self._invented)
        line.addStretch(1)
        line.addWidget(self._age)
        line.addWidget(self._moment)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 2, 12, 4)
        column.setSpacing(6)
        column.addLayout(line)
        column.addWidget(self._banner)
        self.apply_theme(theme)

    def show_state(self, state: RackState) -> None:
        """Show names and moment."""
        self._name.setText(state.name)
        self._invented.setText(state.invented)
        self._moment.setText(f"{state.date}   {state.time}")
        self._age.setText("")
        self._banner.setText(state.banner)
        self._banner.setVisible(bool(state.banner))

    def show_age(self, clock: str) -> None:
        """Say that what stands there is of an earlier moment, and that it is being worked out anew."""
        self._age.setText(_("as of {time}, being worked out anew").format(time=clock))

    def age(self) -> str:
        """What is said of the age of what is shown; "" where it is of now."""
        return self._age.text()

    def apply_theme(self, theme: Theme) -> None:
        """Dress the header in a theme."""
        self._size()
        self._age.setStyleSheet(f"color: {theme.week.name()};")
        self._invented.setStyleSheet(f"color: {theme.soft.name()};")
        self._moment.setStyleSheet(f"color: {theme.middle.name()};")
        self._banner.setStyleSheet(
            f"color: {theme.today.name()}; background: {theme.tile.name()}; border: 2px solid {theme.today.name()};"
            " border-radius: 6px; padding: 8px 12px;"
        )

    def _size(self) -> None:
        px = max(17, min(26, round(self.width() / 76)))
        self._name.setFont(fonts.font(px, fonts.BOLD))
        self._invented.setFont(fonts.font(round(px * 0.84)))
        self._moment.setFont(fonts.font(round(px * 0.88), fonts.MEDIUM))
        self._age.setFont(fonts.font(round(px * 0.72), fonts.MEDIUM))
        self._banner.setFont(fonts.font(round(px * 0.84), fonts.SEMIBOLD))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._size()


class SupplyStrip(QWidget):
    """Whether there is enough food, in a few words to be read from 3 m."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._supply: Supply | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_supply(self, supply: Supply | None) -> None:
        """Show the tightest of the day's supplies."""
        self._supply = supply
        self.setAccessibleName("" if supply is None else supply.accessible)
        self.update()

    def apply_theme(self, theme: Theme) -> None:
        """Dress the strip in a theme."""
        self._theme = theme
        self.update()

    def sizeHint(self) -> QSize:
        window = self.window()
        return QSize(400, max(56, min(150, round(window.height() * 0.1))))

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._supply is not None:
            painter = QPainter(self)
            paint_brief(painter, QRectF(self.rect()).adjusted(8, 4, -8, -4), self._supply, self._theme)


class FirstRun(QWidget):
    """A rack without vessels: an empty shelf, and the two ways on."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._shelf = EmptyShelf(theme, self)
        self._title = QLabel(_("No vessel on the rack yet"), self)
        self._words = QLabel(
            _("Add the first one with its strain, volume and place, or look at an invented rack first."), self
        )
        self._words.setWordWrap(True)
        for label in (self._title, self._words):
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.add = QPushButton(_("Add a vessel"), self)
        self.add.setProperty("role", "primary")
        self.demo = QPushButton(_("Look at the demo rack"), self)
        buttons = QHBoxLayout()
        buttons.setSpacing(12)
        buttons.addStretch(1)
        for button in (self.add, self.demo):
            button.setMinimumHeight(44)
            buttons.addWidget(button)
        buttons.addStretch(1)
        column = QVBoxLayout(self)
        column.setSpacing(12)
        column.addStretch(2)
        column.addWidget(self._shelf, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(8)
        column.addWidget(self._title)
        column.addWidget(self._words)
        column.addSpacing(8)
        column.addLayout(buttons)
        column.addStretch(3)
        self.apply_theme(theme)

    def apply_theme(self, theme: Theme) -> None:
        """Dress the page in a theme."""
        self._theme = self._shelf.theme = theme
        self._title.setFont(fonts.font(24, fonts.BOLD))
        self._words.setFont(fonts.font(15))
        self._words.setStyleSheet(f"color: {theme.middle.name()};")
        self._shelf.update()


class EmptyShelf(QWidget):
    """Three empty vessels on a board."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.setFixedSize(320, 150)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        for n, height in enumerate((96, 124, 108)):
            rect = QRectF(58 + n * 76, 140 - height, 52, height)
            paint_gauge(painter, rect, Gauge(resting=True), self.theme)
        paint_board(painter, QRectF(self.rect()), self.theme)
