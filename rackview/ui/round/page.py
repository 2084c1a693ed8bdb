"""The page of the round for one vessel: where everything stands, how large it is, where the keyboard goes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.language import _
from rackview.ui.round.count import CountPanel
from rackview.ui.round.do import DoPanel
from rackview.ui.round.entry.model import Entry
from rackview.ui.round.fields.field import Field
from rackview.ui.round.order import Stop
from rackview.ui.round.strip import Strip
from rackview.ui.theme import Theme, fonts
from rackview.ui.vessel.card import VesselCard
from rackview.ui.widgets.fields import begin_left, tall
from rackview.ui.words import formats


class RoundPage(QWidget):
    """The strip on top, the vessel at the left, its count in the middle, what to do at the right.

    Signals
    -------
    forget() : the draft that is shown is to be thrown away
    day_wanted() : the round of another day is wanted
    """

    forget = Signal()
    day_wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.strip = Strip(theme, self)
        self.card = VesselCard(theme, self)
        self.count = CountPanel(theme, self)
        self.do = DoPanel(theme, self)
        self.scale = 1.0
        self._title = QLabel(_("Round"), self)
        self._where = QLabel(self)
        self.day = QPushButton(self)
        self.day.setProperty("role", "quiet")
        self.day.clicked.connect(self.day_wanted)
        self._keys = QLabel(self)
        self._keys.setProperty("voice", "soft")
        self.saved = QLabel(self)
        self.drafted = QPushButton(self)
        self.drafted.setProperty("role", "quiet")
        self.drafted.clicked.connect(self.forget)
        feet = QVBoxLayout()
        feet.setSpacing(2)
        feet.addWidget(self._keys)
        foot = QHBoxLayout()
        foot.addWidget(self.saved, 1)
        foot.addWidget(self.drafted)
        feet.addLayout(foot)
        self._grid = QGridLayout()
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.addWidget(self.card, 0, 0)
        self._grid.addWidget(self.count, 0, 1)
        self._grid.addLayout(feet, 1, 0, 1, 2)
        self._grid.setColumnStretch(1, 1)
        self._grid.setRowStretch(0, 1)
        self._head = QHBoxLayout()
        named = QVBoxLayout()
        named.setSpacing(0)
        first = QHBoxLayout()
        first.addWidget(self._title)
        first.addSpacing(14)
        first.addWidget(self._where, 1)
        named.addStretch(1)
        named.addLayout(first)
        named.addWidget(self.day, 0, Qt.AlignmentFlag.AlignLeft)
        named.addStretch(1)
        self._head.addLayout(named)
        self._head.addWidget(self.strip, 1)
        self._left = QVBoxLayout()
        self._left.addLayout(self._head)
        self._left.addLayout(self._grid, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addLayout(self._left, 1)
        row.addWidget(self.do)
        self.set_scale(1.0)

    # --- words ------------------------------------------------------------------------------------------------------

    def show_way(self, order: Sequence[Stop], here: str) -> None:
        """Show the way, and which vessel of how many this is."""
        names = [s.vessel for s in order]
        if here in names:
            said = _("{n} of {all}, cleanest first").format(n=names.index(here) + 1, all=len(names))
            self._where.setText(said)
            self._where.setMinimumWidth(self._where.sizeHint().width())
        self.strip.show_stops(tuple(order), here)

    def show_day(self, at: datetime, now: datetime, *, past: bool) -> None:
        """Say for which day is recorded; another day than today stands out."""
        told = formats.moment(at, now) if past else _("today")
        self.day.setText(_("Round for: {day}").format(day=told))
        self.day.setProperty("role", "choice" if past else "quiet")
        self.day.setCheckable(past)
        self.day.setChecked(past)
        self.day.style().unpolish(self.day)
        self.day.style().polish(self.day)
        self._dress_day()

    def _dress_day(self) -> None:
        """The day of the round, in line with the title unless it stands out."""
        past = self.day.isCheckable()
        self.day.setFont(fonts.font(fonts.px(14, self.scale), fonts.SEMIBOLD))
        tall(self.day, round(32 * self.scale), 6 if past else 0)
        if not past:
            begin_left(self.day)

    def note(self, words: str, voice: str = "soft") -> None:
        """Say at the foot what was saved, or in the voice "error" what went wrong."""
        self.saved.setText(words)
        if self.saved.property("voice") != voice:
            self.saved.setProperty("voice", voice)
            self.saved.style().polish(self.saved)
            self.saved.setFont(fonts.font(fonts.px(13, self.scale)))

    def show_draft(self, begun: datetime | None, now: datetime) -> None:
        """Mark what is shown as a draft begun then, with the way to forget it; None for no draft."""
        typed = "" if begun is None else formats.moment(begun.astimezone(), now)
        self.drafted.setText(_("Draft of {when}: forget it").format(when=typed) if typed else "")
        self.drafted.setAccessibleName("" if typed else _("No draft"))
        self.drafted.setEnabled(bool(typed))
        tall(self.drafted, round(22 * self.scale), 4)

    # --- keyboard ---------------------------------------------------------------------------------------------------

    def field(self, key: str) -> Field | None:
        """A field of the page by its key."""
        return self.count.fields.get(key) or self.do.fields.get(key)

    def focus(self, key: str | None) -> None:
        """Put the keyboard into a field, or on the button that records."""
        field = None if key is None else self.field(key)
        target = self.do.button if field is None else field.line
        target.setFocus(Qt.FocusReason.TabFocusReason)

    def press(self, key: int) -> bool:
        """Take a key that no field took; False where it means nothing here."""
        if key == Qt.Key.Key_Up and self.do.button.hasFocus():
            self.focus(self.do.rows()[-1][0])
        elif key in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            pressed = QApplication.focusWidget()
            if isinstance(pressed, QPushButton):
                pressed.click()
        else:
            return False
        return True

    def go_on(self, key: str, where: str, entry: Entry) -> None:
        """Go on from a field: next, up, down, left or right."""
        if where == "next":
            if key in self.do.fields:
                self.focus(self.do.next_of(key))
            else:
                self.focus(self.count.next_of(key, entry) or self.do.rows()[0][0])
        elif key in self.do.fields:
            self._move_in_do(key, where)
        else:
            self._move_in_count(key, where)

    def _move_in_do(self, key: str, where: str) -> None:
        rows = self.do.rows()
        line = next((n for n, row in enumerate(rows) if key in row), 0)
        column = rows[line].index(key)
        if where == "left":
            self.focus(rows[line][0] if column else self.count.rows()[-1][-1])
        elif where == "right" and column == 0:
            self.focus(rows[line][1])
        elif where in {"up", "down"}:
            step = line + (1 if where == "down" else -1)
            if step >= 0:
                self.focus(rows[step][column] if step < len(rows) else None)

    def _move_in_count(self, key: str, where: str) -> None:
        rows = self.count.rows()
        line = next((n for n, row in enumerate(rows) if key in row), 0)
        row = rows[line]
        column = row.index(key) if key in row else 0
        if where in {"up", "down"}:
            step = line + (1 if where == "down" else -1)
            if step == len(rows):
                self.focus(self.do.rows()[0][0])  # below what was measured comes what is done
            elif step >= 0:
                self.focus(self._nearest(rows[step], key))
        elif where == "left" and (column or line):
            self.focus(row[column - 1] if column else rows[line - 1][-1])
        elif where == "right":
            self.focus(row[column + 1] if column + 1 < len(row) else self.do.rows()[0][0])

    def _nearest(self, row: list[str], key: str) -> str:
        """The field of a row that stands nearest above or below another."""
        fields = self.count.fields
        x = fields[key].mapTo(self, fields[key].rect().center()).x()
        return min(row, key=lambda k: abs(fields[k].mapTo(self, fields[k].rect().center()).x() - x))

    # --- look -------------------------------------------------------------------------------------------------------

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.strip.set_theme(theme)
        self.card.set_theme(theme)
        self.count.set_theme(theme)
        self.do.set_theme(theme)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self.scale = scale
        self.strip.set_scale(scale)
        self.card.set_scale(scale)
        self.count.set_scale(scale)
        self.do.set_scale(scale)
        self.do.setFixedWidth(round(352 * max(scale, 0.7)))
        self._dress_day()
        self._title.setFont(fonts.font(fonts.px(26, scale), fonts.BOLD))
        self._where.setFont(fonts.font(fonts.px(16, scale)))
        self._where.setContentsMargins(0, round(6 * scale), round(14 * scale), 0)
        self._where.setMinimumWidth(self._where.sizeHint().width())
        self._head.setContentsMargins(round(4 * scale), 0, 0, 0)
        self._left.setContentsMargins(*(round(m * scale) for m in (24, 8, 32, 10)))
        self._left.setSpacing(round(8 * scale))
        self._grid.setHorizontalSpacing(round(28 * scale))
        self._grid.setVerticalSpacing(round(6 * scale))
        self.drafted.setFont(fonts.font(fonts.px(13, scale), fonts.SEMIBOLD))
        tall(self.drafted, round(22 * scale), 4)
        self._keys.setFont(fonts.font(fonts.px(14, scale)))
        self.saved.setFont(fonts.font(fonts.px(13, scale)))
        told = (
            _("Enter next field"),
            _("space take a suggestion"),
            _("* all of them"),
            _("+ record, next"),
            _("− undo"),
            _("/ skip"),
            _("Esc leave"),
        )
        self._keys.setText((" " * (5 if scale >= 0.75 else 3)).join(told))
