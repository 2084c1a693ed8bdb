"""The right of the round: what is suggested for the vessel, to be taken or changed; the button that records.

Every line has its place whether it says something or not, so nothing moves under the keeper's hand.
"""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from rackview.language import _
from rackview.ui.forms import moves
from rackview.ui.round import words as round_words
from rackview.ui.round.entry.beside import VOLUMES
from rackview.ui.round.entry.model import Entry
from rackview.ui.round.fields.field import Field
from rackview.ui.round.fields.field_group import CRAMPED, FieldGroup
from rackview.ui.round.fields.line_edit import ChoiceLine
from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets.fields import begin_left, tall, to_read
from rackview.ui.widgets.marked_lines import Marked, MarkedLines
from rackview.ui.words import event_words

NOT_TYPED = frozenset({"hold", "count", "test", "restart"})
"""Suggested actions that are told in a sentence, as no amount of them is typed on the round."""

PAIRS = (("harvest", "refill"), ("feed", "clean"))
SPLIT = (("split", "split_to"), ("split_refill", "split_fill"))
TOLD_LINES = 2


class DoPanel(FieldGroup):
    """Harvest, refill, feed, clean and split with what is suggested; the button that records everything of the vessel.

    Signals
    -------
    restart_wanted() : the keeper asks for the page on which a vessel is restarted
    """

    restart_wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self._title = QLabel(_("Do"), self)
        self._aside = QLabel(self)
        self._aside.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._told = MarkedLines(theme, px=14, most=2, parent=self)
        self._split = QPushButton(_("Split…"), self)
        self._split.setCheckable(True)
        self._split.setProperty("role", "choice")
        self._split.clicked.connect(lambda: self.show_split(shown=self._split.isChecked()))
        self._restart = QPushButton(_("Restart…"), self)
        self._restart.clicked.connect(self.restart_wanted)
        self.take_all = QPushButton(_("Take all"), self)
        self.take_all.setAccessibleName(_("Take all that is suggested, as it stands"))
        self.take_all.clicked.connect(lambda: self.commanded.emit("take all"))
        self._key = QLabel(self)
        self._key.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._key.setWordWrap(False)
        self._cautions = MarkedLines(theme, px=13, most=8, parent=self)
        self._captions_of: dict[str, QLabel] = {}
        self._feeds: tuple[str, ...] = ()
        self._feed = ""
        self.button = QPushButton(_("Record, next vessel"), self)
        self.button.setProperty("role", "primary")
        self.button.setAutoDefault(True)
        self.button.clicked.connect(lambda: self.commanded.emit("record"))
        self._lay_out()
        self.set_scale(1.0)

    def _lay_out(self) -> None:
        self._column = QVBoxLayout(self)
        self._column.setSpacing(0)
        head = QHBoxLayout()
        head.addWidget(self._title)
        head.addWidget(self._aside, 1)
        self._column.addLayout(head)
        self._told_place = QWidget(self)
        told = QVBoxLayout(self._told_place)
        told.setContentsMargins(0, 6, 0, 0)
        told.addWidget(self._told)
        told.addStretch(1)
        self._column.addWidget(self._told_place)
        self._column.addLayout(self._build_rows(PAIRS, self))
        more = QHBoxLayout()
        more.setSpacing(6)
        for button, share in ((self.take_all, 3), (self._split, 1), (self._restart, 1)):
            more.addWidget(button, share)
        self._column.addSpacing(4)
        self._column.addLayout(more)
        self._column.addSpacing(4)
        self._column.addWidget(self.button)
        self._column.addWidget(self._key)
        self._below = QStackedWidget(self)
        scroll = to_read(self._cautions, _("Cautions"), self)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._below.addWidget(scroll)
        moved = QWidget(self)
        grid = self._build_rows(SPLIT, moved)
        grid.setRowStretch(3 * len(SPLIT), 1)
        moved.setLayout(grid)
        self._below.addWidget(moved)
        self._column.addSpacing(2)
        self._column.addWidget(self._below, 1)
        self._order(scroll)

    def _order(self, scroll: QWidget) -> None:
        """Tab goes about the panel as it is read."""
        lines = {key: field.line for key, field in self.fields.items()}
        way = [lines["harvest"], lines["refill"], self._feed_name, lines["feed"], lines["clean"], self.take_all]
        way += [self._split, self._restart, self.button, scroll, *(lines[k] for pair in SPLIT for k in pair)]
        for before, after in pairwise(way):
            self.setTabOrder(before, after)

    def _build_rows(self, pairs: tuple[tuple[str, str], ...], parent: QWidget) -> QGridLayout:
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(2)
        grid.setHorizontalSpacing(12)
        for n, pair in enumerate(pairs):
            for column, key in enumerate(pair):
                field = self._field(key)
                field.setParent(parent)
                caption: QWidget = self._caption(key, field, parent)
                grid.addWidget(caption, 3 * n, column, Qt.AlignmentFlag.AlignLeft)
                grid.addWidget(field, 3 * n + 1, column)
                grid.setColumnStretch(column, 1)
            line = self.hint_line(list(pair), lines=2 if pairs is PAIRS else 1)
            line.setParent(parent)
            grid.addWidget(line, 3 * n + 2, 0, 1, 2)
        return grid

    def _field(self, key: str) -> Field:
        cleaning = (
            ("leave", _("leave")),
            ("floss", _("floss")),
            ("vessel", _("vessel")),
            ("airline", _("airline")),
        )
        match key:
            case "clean":
                name = _("clean: 0 leave, 1 floss, 2 vessel, 3 airline")
                return self.add_field(Field(key, name, self.theme, size=18, choices=cleaning))
            case "split_to":
                return self.add_field(Field(key, _("split into"), self.theme, size=16, choices=(("", ""),), first=1))
            case _:
                return self.add_field(Field(key, self._words(key).lower(), self.theme, size=20))

    def _words(self, key: str) -> str:
        return {
            "harvest": _("Harvest"),
            "refill": _("Refill"),
            "feed": _("Feed"),
            "clean": _("Clean"),
            "split": _("Split off"),
            "split_to": _("into"),
            "split_refill": _("Refill"),
            "split_fill": _("Fill up with"),
        }[key]

    def _caption(self, key: str, field: Field, parent: QWidget) -> QWidget:
        if key == "feed":
            self._feed_name = QPushButton(parent)
            self._feed_name.setProperty("role", "quiet")
            self._feed_name.setText(self._words(key))
            self._feed_name.clicked.connect(self._next_feed)
            return self._feed_name
        label = QLabel(self._words(key), parent)
        label.setBuddy(field.line)
        self._captions_of[key] = label
        return label

    # --- showing ----------------------------------------------------------------------------------------------------

    def begin(self, entry: Entry) -> None:
        """A vessel is come to: its split stands open if one is suggested or typed."""
        self.show_split(shown=bool(entry.text("split") or entry.ghost("split")))

    def show_split(self, *, shown: bool) -> None:
        """Show the fields of a split in the place of the cautions, or these again."""
        self._split.setChecked(shown)
        self._below.setCurrentIndex(int(shown))
        self._below.setMinimumHeight(0 if shown else 1)  # cautions scroll; what stands above them is not to be squeezed

    @property
    def splitting(self) -> bool:
        """Whether the fields of a split are shown."""
        return self._below.currentIndex() == 1

    def show_entry(
        self, entry: Entry, errors: dict[str, str], at: datetime, *, cautions: tuple[str, ...], stale: str
    ) -> None:
        """Show one vessel's actions as of `at`, in the keeper's zone; `stale` says when an old draft was typed."""
        for key in VOLUMES:
            self.fields[key].set_unit(entry.settings.volume_unit)
        self.fields["feed"].set_unit(entry.feed_unit())
        self._choices("split_to", entry.others(), entry)
        self._feeds, self._feed = tuple(o.name for o in entry.feeds), entry.text("feed_name")
        several = len(self._feeds) > 1
        self._feed_name.setEnabled(several)
        n = self._feeds.index(self._feed) + 1 if self._feed in self._feeds else 0
        self._feed_name.setText(
            _("Feed {n} of {all}").format(n=n, all=len(self._feeds)) if several else self._words("feed")
        )
        self._feed_name.setAccessibleName(_("Feed: {feed}, press for the next").format(feed=self._feed))
        self._feed_name.setToolTip(self._feed)
        hints = round_words.doing(entry, at)
        self._aside.setText(_("typed {when}").format(when=stale) if stale else _("[ ] is only suggested"))
        wrong_split = any(k in errors for pair in SPLIT for k in pair)
        if wrong_split:
            self.show_split(shown=True)
        self.show_fields(entry, hints, errors)
        self.take_all.setEnabled(any(entry.ghost(k) for k in self.fields))
        self._key.setText(self._key_words(entry, errors))
        self._tell(entry, cautions)

    def _key_words(self, entry: Entry, errors: dict[str, str]) -> str:
        kinds = dict.fromkeys(event_words.kind_word(kind) for kind in entry.kinds())
        if errors:
            return _("first mend what is marked")
        if kinds:
            return _("+ key: {what}").format(what=", ".join(kinds))
        if entry.errors():
            return _("+ key: record")  # what is still wanting is asked for then, not before
        return _("+ key: go on, nothing to record")

    def _tell(self, entry: Entry, cautions: tuple[str, ...]) -> None:
        told = [s for s in entry.suggestions if s.action in NOT_TYPED or s.action == "split"][:2]
        lines = [Marked(s.text or s.why, s.severity, strong=True) for s in told]
        if len(told) == 1 and told[0].text and told[0].why:
            lines.append(Marked(told[0].why))
        self._told.show_lines(tuple(lines))
        self._told_place.setToolTip("\n".join(w for s in told for w in (s.text, s.why) if w))
        self._cautions.show_lines(tuple(Marked(c) for c in cautions))
        for s in entry.suggestions:
            if s.action in self.fields:
                self.fields[s.action].line.setToolTip(s.why)

    def _next_feed(self) -> None:
        here = self._feeds.index(self._feed) if self._feed in self._feeds else -1
        self.edited.emit("feed_name", self._feeds[(here + 1) % len(self._feeds)])

    def _choices(self, key: str, values: tuple[str, ...], entry: Entry) -> None:
        line = self.fields[key].line
        choices = tuple((v, self._place(v, entry)) for v in values)
        if isinstance(line, ChoiceLine) and tuple(zip(line.values, line.words, strict=True)) != choices:
            line.set_choices(choices)

    def _place(self, vessel: str, entry: Entry) -> str:
        """What a vessel that could take a split is called among the choices."""
        if vessel == moves.NEW:
            return _("{place} new").format(place=moves.made_for(entry.rack, entry.vessel).place)
        return entry.rack.vessels[vessel].place

    def suggested(self) -> dict[str, str]:
        """What the keeper sees suggested now and may take, field by field."""
        return {key: seen for key, field in self.fields.items() if (seen := field.suggested())}

    # --- moving about ---------------------------------------------------------------------------------------------

    def rows(self) -> list[list[str]]:
        """The keys of the fields now shown, row by row as they stand."""
        return [list(pair) for pair in (*PAIRS, *(SPLIT if self.splitting else ()))]

    def next_of(self, key: str) -> str | None:
        """Where Enter leads from a field; None for the button at the end."""
        order = [k for row in self.rows() for k in row]
        after = order.index(key) + 1 if key in order else 0
        return order[after] if after < len(order) else None

    def set_theme(self, theme: Theme) -> None:
        super().set_theme(theme)
        self._told.set_theme(theme)
        self._cautions.set_theme(theme)

    def set_scale(self, scale: float) -> None:
        super().set_scale(scale)
        least = scale < CRAMPED
        self._column.setContentsMargins(*(round(m * scale) for m in ((26, 6, 26, 2) if least else (26, 16, 26, 12))))
        self._title.setFont(fonts.font(fonts.px(22, scale), fonts.BOLD))
        small = fonts.font(fonts.px(14, scale))
        self._aside.setFont(small)
        self._key.setFont(small)
        self._key.setFixedHeight(round(max(24 * scale, fonts.px(14, scale) * 1.35)))
        for label in self._captions_of.values():
            label.setFont(fonts.font(fonts.px(15, scale), fonts.MEDIUM))
            label.setFixedHeight(round(max(23 * scale, fonts.px(15, scale) * 1.35)))
        self._told.set_scale(scale)
        self._told_place.setFixedHeight(round(fonts.px(14, scale) * 1.4 * TOLD_LINES + 14 * scale))
        self._cautions.set_scale(scale)
        self.button.setFont(fonts.font(fonts.px(19, scale), fonts.SEMIBOLD))
        tall(self.button, round(54 * scale))
        for button in (self.take_all, self._split, self._restart):
            button.setFont(fonts.font(fonts.px(14, scale), fonts.MEDIUM))
            tall(button, round(44 * scale), round(6 * scale))
        self._feed_name.setFont(fonts.font(fonts.px(15, scale), fonts.MEDIUM))
        tall(self._feed_name, round(23 * scale), side=0)
        begin_left(self._feed_name)
        self._below.updateGeometry()  # a page of it that is hidden tells nobody that it has become smaller

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(QRectF(self.rect()), self.theme.rail)
