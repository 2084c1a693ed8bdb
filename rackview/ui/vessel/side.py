"""The right side of a vessel's page: what is suggested and why, what was learned, and a button for every action."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.advice.words.suggestions import likelihood_of, risk_of
from rackview.core.assessment import Assessment, Flag, Suggestion
from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets.fields import scrolled, tall
from rackview.ui.widgets.marked_lines import Marked, MarkedLines

STARTED = frozenset({"harvest", "feed", "clean", "split", "restart"})


@dataclass(frozen=True, slots=True)
class LearnedLines:
    """What was learned of a vessel, in sentences, and from how many counts."""

    counts: str = ""
    sentences: tuple[str, ...] = ()


class Reason(QWidget):
    """One suggestion or flag with its reason, a button that starts it, and one that opens what stands behind it.

    Signals
    -------
    started(object) : the suggestion is to be carried out
    explained(object) : what stands behind it is asked for
    """

    started = Signal(object)
    explained = Signal(object)

    def __init__(self, what: Suggestion | Flag, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        head = MarkedLines(theme, px=15, most=3, parent=self)
        head.show_lines((Marked(title_of(what), what.severity, strong=True),))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 10)
        column.setSpacing(5)
        column.addWidget(head)
        why = why_of(what)
        if why:
            said = MarkedLines(theme, px=13, most=5, parent=self)
            said.show_lines((Marked(why),))
            column.addWidget(said)
        row = QHBoxLayout()
        row.setSpacing(6)
        if isinstance(what, Suggestion) and what.action in STARTED:
            start = QPushButton(_("Start…"), self)
            start.setAccessibleName(_("Start: {what}").format(what=title_of(what)))
            start.clicked.connect(lambda: self.started.emit(what))
            tall(start, 36)
            row.addWidget(start)
        sure = QLabel(sure_of(what), self)
        sure.setProperty("voice", "soft")
        sure.setFont(fonts.font(13))
        sure.setWordWrap(True)
        self.why_button = QPushButton(_("Why"), self)
        self.why_button.setProperty("role", "quiet")
        self.why_button.setToolTip(_("key W"))
        self.why_button.setAccessibleName(_("Why: {what}").format(what=title_of(what)))
        self.why_button.clicked.connect(lambda: self.explained.emit(what))
        tall(self.why_button, 36, 8)
        row.addWidget(self.why_button)
        row.addStretch(1)
        sure.setVisible(bool(sure.text()))
        column.addWidget(sure)  # beside the buttons it was cut in the narrowest panel
        column.addLayout(row)


def title_of(what: Suggestion | Flag) -> str:
    """A suggestion or flag in its one sentence."""
    if isinstance(what, Suggestion):
        return what.text or what.why or what.action
    return what.text


def why_of(what: Suggestion | Flag) -> str:
    """The reason beside it, if it has one."""
    if isinstance(what, Suggestion) and what.why != title_of(what):
        return what.why
    return ""


def sure_of(what: Suggestion | Flag) -> str:
    """The chance that it rests on, in words; nothing for what is simply due."""
    return risk_of(what) if isinstance(what, Suggestion) else likelihood_of(what)


class VesselSide(QWidget):
    """Suggestions, flags and action buttons of one vessel.

    Signals
    -------
    wanted(str) : an action by its event kind, or rest, return, edit, loss
    started(object) : a suggestion to carry out
    explained(object) : a suggestion or flag whose evidence is asked for, None for that of the density alone
    """

    wanted = Signal(str)
    started = Signal(object)
    explained = Signal(object)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._shown: tuple[Assessment, tuple[Suggestion, ...], LearnedLines] | None = None
        self._list = QWidget(self)
        self._rows = QVBoxLayout(self._list)
        self._rows.setContentsMargins(0, 0, 8, 0)
        self._rows.setSpacing(4)
        scroll = scrolled(self._list, self)
        title = QLabel(_("Next"), self)
        title.setFont(fonts.font(20, fonts.BOLD))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(24, 18, 16, 18)
        whole.setSpacing(10)
        whole.addWidget(title)
        self.loss_button = QPushButton(_("The days &before the loss…"), self)
        self.loss_button.clicked.connect(partial(self.wanted.emit, "loss"))
        tall(self.loss_button, 44, 8)
        loss = QHBoxLayout()
        loss.setContentsMargins(0, 0, 8, 0)
        loss.addWidget(self.loss_button)
        whole.addLayout(loss)
        whole.addWidget(scroll, 1)
        whole.addLayout(self._buttons())

    def _buttons(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 8, 0)
        grid.setSpacing(6)
        self._by_name: dict[str, QPushButton] = {}
        words = {
            "count": _("C&ount…"),
            "harvest": _("&Harvest…"),
            "feed": _("&Feed…"),
            "clean": _("&Clean…"),
            "split": _("&Split…"),
            "restart": _("Res&tart…"),
            "top_up": _("Top &up…"),
            "reading": _("&Water test…"),
            "note": _("&Note…"),
            "rest": _("&Rest"),
            "return": _("&Return"),
            "edit": _("&Edit vessel…"),
        }
        places = ("count", "reading", "harvest", "feed", "split", "restart", "clean", "top_up", "rest", "note", "edit")
        for name, word in words.items():
            button = QPushButton(word, self)
            button.clicked.connect(partial(self.wanted.emit, name))
            tall(button, 44, 8)
            self._by_name[name] = button
            n = places.index("rest" if name == "return" else name)
            grid.addWidget(button, n // 2, n % 2)
        return grid

    def show_vessel(
        self, seen: Assessment, suggestions: tuple[Suggestion, ...], learned: LearnedLines, *, read_only: bool
    ) -> None:
        """Show what is suggested for a vessel, what is wrong with it, and what was learned of it."""
        same = self._shown is not None and _told(*self._shown) == _told(seen, suggestions, learned)
        self._shown = seen, suggestions, learned
        if not same:
            self._fill(seen, suggestions, learned)
        self.loss_button.setVisible(seen.state == "crashed")
        resting = seen.state == "resting"
        for name, button in self._by_name.items():
            button.setEnabled(not read_only and (not resting or name in {"return", "restart", "note", "edit", "clean"}))
        self._by_name["rest"].setVisible(not resting)
        self._by_name["return"].setVisible(resting)

    def reasons(self) -> tuple[Suggestion | Flag, ...]:
        """What is suggested and what is wrong, in the order shown."""
        if self._shown is None:
            return ()
        seen, suggestions, _ = self._shown
        return (*suggestions, *sorted(seen.flags, key=lambda f: -f.severity))

    def _fill(self, seen: Assessment, suggestions: tuple[Suggestion, ...], learned: LearnedLines) -> None:
        while (item := self._rows.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        if not suggestions and not seen.flags:
            quiet = QLabel(self._quiet(seen), self._list)
            quiet.setProperty("voice", "soft")
            quiet.setWordWrap(True)
            self._rows.addWidget(quiet)
        for what in self.reasons():
            row = Reason(what, self.theme, self._list)
            row.started.connect(self.started)
            row.explained.connect(self.explained)
            self._rows.addWidget(row)
        self._tell_learned(seen, learned)
        self._rows.addStretch(1)
        before: QWidget = self.loss_button
        for button in self._list.findChildren(QPushButton):
            QWidget.setTabOrder(before, button)  # made anew, they would come after all else
            before = button

    def _tell_learned(self, seen: Assessment, learned: LearnedLines) -> None:
        """What the program has learned of the vessel, and the way to what its density rests on."""
        if not learned.sentences:
            return
        head = QHBoxLayout()
        holder = QWidget(self._list)
        holder.setLayout(head)
        head.setContentsMargins(0, 8, 0, 0)
        title = QLabel(_("What it has learned"), holder)
        title.setFont(fonts.font(15, fonts.SEMIBOLD))
        head.addWidget(title)
        counts = QLabel(learned.counts, holder)
        counts.setProperty("voice", "soft")
        counts.setFont(fonts.font(13))
        counts.setWordWrap(True)
        head.addWidget(counts, 1)
        self._rows.addWidget(holder)
        said = MarkedLines(self.theme, px=13, most=8, parent=self._list)
        said.show_lines(tuple(Marked(s) for s in learned.sentences))
        self._rows.addWidget(said)
        if seen.density_per_ml is not None and seen.counts_so_far:
            rests = QPushButton(_("What the density rests on"), self._list)
            rests.setProperty("role", "quiet")
            rests.clicked.connect(lambda: self.explained.emit(None))
            tall(rests, 36, 0)
            self._rows.addWidget(rests, 0, Qt.AlignmentFlag.AlignLeft)

    def _quiet(self, seen: Assessment) -> str:
        """What to say where nothing is suggested."""
        if seen.state == "resting":
            return _("At rest. Restart it from a vessel or a starter, or return it and split into it.")
        if not seen.counts_so_far and seen.density_per_ml is None:
            return _("Nothing known yet. Restart it from a vessel or a starter, or count what is in it.")
        return _("Nothing to do here now.")

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        if self._shown is not None:
            self._fill(*self._shown)


def _told(seen: Assessment, suggestions: tuple[Suggestion, ...], learned: LearnedLines) -> object:
    """What the list says, so that it is not made anew under the keeper's hands when nothing changed."""
    flags = tuple((f.code, f.text, f.severity, f.evidence) for f in seen.flags)
    said = tuple((s.code, s.text, s.why, s.evidence, s.severity) for s in suggestions)
    return seen.vessel, flags, said, learned
