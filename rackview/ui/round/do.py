"""The right of the round: what is suggested for the vessel, to be changed freely and recorded with one key."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.advice.words import CAUTIONS
from rackview.ui import event_words, fonts
from rackview.ui.fields import ChoiceLine, Field, tall, to_read
from rackview.ui.marked_lines import Marked, MarkedLines
from rackview.ui.round import words as round_words
from rackview.ui.round.beside import VOLUMES
from rackview.ui.round.field_group import FieldGroup
from rackview.ui.round.model import Entry
from rackview.ui.theme import Theme

NOT_TYPED = frozenset({"hold", "count", "test", "restart"})
"""Suggested actions that are told in a sentence, as no amount of them is typed on the round."""

SPLIT = ("split", "split_to", "split_refill")


class DoPanel(FieldGroup):
    """Harvest, refill, feed, clean and split, pre-filled; the button that records everything of the vessel.

    Signals
    -------
    restart_wanted() : the keeper asks for the restart that is suggested
    """

    restart_wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self._title = QLabel(self.tr("Do"), self)
        self._aside = QLabel(self)
        self._aside.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._told = MarkedLines(theme, px=15, parent=self)
        self._restart = QPushButton(self.tr("Restart…"), self)
        self._restart.clicked.connect(self.restart_wanted)
        self._key = QLabel(self.tr("+ key"), self)
        self._key.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._cautions = MarkedLines(theme, px=13, most=6, parent=self)
        self._labels: list[QLabel] = []
        self._split_parts: list[QWidget] = []
        self._feeds: tuple[str, ...] = ()
        self._feed = ""
        self._column = QVBoxLayout(self)
        self._column.setSpacing(0)
        head = QHBoxLayout()
        head.addWidget(self._title)
        head.addWidget(self._aside, 1)
        self._column.addLayout(head)
        self._column.addSpacing(10)
        self._column.addWidget(self._told)
        self._column.addWidget(self._restart)
        self._column.addSpacing(6)
        self._column.addLayout(self._build_rows())
        self.button = QPushButton(self.tr("Record, next vessel"), self)
        self.button.setProperty("role", "primary")
        self.button.setAutoDefault(True)
        self.button.clicked.connect(lambda: self.commanded.emit("record"))
        self._column.addSpacing(8)
        self._column.addWidget(self.button)
        self._column.addWidget(self._key)
        scroll = to_read(self._cautions, self.tr("Cautions"), self)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setMinimumHeight(40)
        self._column.addSpacing(8)
        self._column.addWidget(scroll, 1)
        self.set_scale(1.0)

    def _build_rows(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(0)
        for line in (8, 10):
            grid.setRowMinimumHeight(line + 1, 5)
        grid.setHorizontalSpacing(10)
        grid.setColumnStretch(0, 1)
        cleaning = (
            ("leave", self.tr("leave")),
            ("floss", self.tr("floss")),
            ("vessel", self.tr("vessel")),
            ("airline", self.tr("airline")),
        )
        self._put(grid, 0, self.tr("Harvest"), self.add_field("harvest", self.tr("harvest"), size=20))
        self._put(grid, 2, self.tr("Refill"), self.add_field("refill", self.tr("refill"), size=20))
        self._feed_name = QPushButton(self)
        self._feed_name.setProperty("role", "quiet")
        self._feed_name.clicked.connect(self._next_feed)
        self._feed_label = self._put(grid, 4, self.tr("Feed"), self.add_field("feed", self.tr("feed"), size=20))
        grid.addWidget(self._feed_name, 4, 0, Qt.AlignmentFlag.AlignLeft)
        clean = self.add_field(
            "clean", self.tr("clean: 0 leave, 1 floss, 2 vessel, 3 airline"), size=18, choices=cleaning
        )
        self._put(grid, 6, self.tr("Clean"), clean)
        self._split_to = self.add_field("split_to", self.tr("split into"), size=16, choices=(("", ""),), first=1)
        self._put(grid, 8, self.tr("Split"), self.add_field("split", self.tr("split"), size=20))
        self._put(grid, 10, self.tr("into"), self._split_to)
        self._put(grid, 12, self.tr("Refill"), self.add_field("split_refill", self.tr("refill after"), size=20))
        self._split_parts = [*self._labels[-3:], *(self.fields[k] for k in SPLIT), *(p[0] for p in self._lines[-3:])]
        return grid

    def _put(self, grid: QGridLayout, line: int, label: str, field: Field) -> QLabel:
        words = QLabel(label, self)
        words.setBuddy(field.line)
        self._labels.append(words)
        grid.addWidget(words, line, 0)
        grid.addWidget(field, line, 1)
        grid.addWidget(self.hint_line([field.key], words), line + 1, 0, 1, 2)
        return words

    def show_entry(self, entry: Entry, errors: dict[str, str], at: datetime, *, first: bool, stale: str) -> None:
        """Show one vessel's actions as of `at`, in the keeper's zone.

        `first` is the first vessel of the day, `stale` when an old draft was typed.
        """
        settings = entry.settings
        for key in VOLUMES:
            self.fields[key].set_unit(settings.volume_unit)
        self.fields["feed"].set_unit(entry.feed_unit())
        self._choices("split_to", entry.others())
        self._feeds, self._feed = tuple(o.name for o in entry.feeds), entry.text("feed_name")
        several = len(self._feeds) > 1
        self._feed_name.setVisible(several)
        self._feed_label.setText("" if several else self.tr("Feed"))
        if several:
            n = self._feeds.index(self._feed) + 1 if self._feed in self._feeds else 0
            self._feed_name.setText(self.tr("Feed {n} of {all}").format(n=n, all=len(self._feeds)))
            self._feed_name.setAccessibleName(self.tr("Feed: {feed}, press for the next").format(feed=self._feed))
        split = any(entry.text(k) for k in ("split", "split_to"))
        for part in self._split_parts:
            part.setVisible(split)
        for key, line in zip(SPLIT, self._split_parts[-3:], strict=True):
            line.setVisible(split and key in errors)
        hints = round_words.doing(entry, at)
        if several or entry.text("feed").strip():
            hints["feed"] = ", ".join(w for w in (self._feed, hints.get("feed", "")) if w)
        self._aside.setText(
            self.tr("typed {when}").format(when=stale) if stale else self.tr("suggested, change freely")
        )
        self.show_fields(entry, hints, errors)
        kinds = dict.fromkeys(event_words.kind_word(kind) for kind in entry.kinds())
        if errors:
            self._key.setText(self.tr("first mend what is marked"))
        elif kinds:
            self._key.setText(self.tr("+ key: {what}").format(what=", ".join(kinds)))
        elif entry.errors():
            self._key.setText(self.tr("+ key: record"))  # what is still wanting is asked for then, not before
        else:
            self._key.setText(self.tr("+ key: go on, nothing to record"))
        self._tell(entry, first=first)

    def _tell(self, entry: Entry, *, first: bool) -> None:
        told = [s for s in entry.suggestions if s.action in NOT_TYPED][:2]
        lines = [Marked(s.text or s.why, s.severity, strong=True) for s in told]
        if told and told[0].text and told[0].why:
            lines.insert(1, Marked(told[0].why))
        self._told.show_lines(tuple(lines))
        self._restart.setVisible(any(s.action == "restart" for s in told))
        cautions = list(dict.fromkeys(c for s in entry.suggestions for c in s.cautions))
        if first and CAUTIONS["power"] not in cautions:
            cautions.insert(0, CAUTIONS["power"])
        if CAUTIONS["gloves"] not in cautions:
            cautions.insert(0, CAUTIONS["gloves"])
        self._cautions.show_lines(tuple(Marked(c) for c in cautions))
        for s in entry.suggestions:
            key = {"clean": "clean", "harvest": "harvest", "feed": "feed", "split": "split"}.get(s.action)
            if key is not None:
                self.fields[key].line.setToolTip(s.why)

    def _next_feed(self) -> None:
        here = self._feeds.index(self._feed) if self._feed in self._feeds else -1
        self.edited.emit("feed_name", self._feeds[(here + 1) % len(self._feeds)])

    def _choices(self, key: str, values: tuple[str, ...]) -> None:
        line = self.fields[key].line
        if isinstance(line, ChoiceLine) and line.values != values:
            line.set_choices(tuple((v, v) for v in values))

    def rows(self) -> list[list[str]]:
        """The keys of the fields now shown, from top to bottom."""
        order = ["harvest", "refill", "feed", "clean", *SPLIT]
        return [[k] for k in order if self.fields[k].isVisibleTo(self)]

    def next_of(self, key: str) -> str | None:
        """Where Enter leads from a field; None for the button at the end."""
        order = [row[0] for row in self.rows()]
        after = order.index(key) + 1 if key in order else 0
        return order[after] if after < len(order) else None

    def set_theme(self, theme: Theme) -> None:
        super().set_theme(theme)
        self._told.set_theme(theme)
        self._cautions.set_theme(theme)

    def set_scale(self, scale: float) -> None:
        super().set_scale(scale)
        self._column.setContentsMargins(*(round(m * scale) for m in (26, 20, 26, 18)))
        self._title.setFont(fonts.font(fonts.px(22, scale), fonts.BOLD))
        small = fonts.font(fonts.px(14, scale))
        self._aside.setFont(small)
        self._key.setFont(small)
        for label in self._labels:
            label.setFont(fonts.font(fonts.px(17, scale), fonts.MEDIUM))
        self._told.set_scale(scale)
        self._cautions.set_scale(scale)
        self.button.setFont(fonts.font(fonts.px(19, scale), fonts.SEMIBOLD))
        tall(self.button, round(56 * scale))
        self._restart.setFont(fonts.font(fonts.px(15, scale), fonts.SEMIBOLD))
        tall(self._restart, round(44 * scale))
        self._feed_name.setFont(fonts.font(fonts.px(17, scale), fonts.MEDIUM))
        tall(self._feed_name, round(44 * scale), side=0)
        for field in self.fields.values():
            field.setFixedWidth(round(138 * scale))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(QRectF(self.rect()), self.theme.rail)
