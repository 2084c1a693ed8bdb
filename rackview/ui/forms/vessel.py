"""Adding a vessel, or changing one that is there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.core.errors import InputError
from rackview.core.ids import content_id
from rackview.core.vessel import Vessel
from rackview.language import _
from rackview.services.faults import StoreError
from rackview.ui.forms.asks import vessel_asks
from rackview.ui.forms.form import Form
from rackview.ui.forms.kept import keep_draft, settle, take_away
from rackview.ui.forms.places import neighbour, next_free, set_up
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import scrolling_column, tall

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

NEW = "vessel:new"


class VesselForm(QWidget):
    """The form of one vessel; renamed, what is recorded stays its own.

    Signals
    -------
    done(str) : saved or removed; the words say what
    left() : the keeper goes back; a draft of a new vessel is kept

    Attributes
    ----------
    saved_name : the vessel that was saved last
    """

    done = Signal(str)
    left = Signal()

    def __init__(self, session: RackSession, parent: QWidget | None = None, *, columns: int = 1) -> None:
        super().__init__(parent)
        self.session = session
        self.saved_name = ""
        self.form: Form | None = None
        self._old: Vessel | None = None
        self._where: tuple[str, int] = ("", 0)
        self._columns = columns
        self._title = QLabel(self)
        self._title.setFont(fonts.font(20, fonts.BOLD))
        self._remove = QPushButton(_("Remove this vessel"), self)
        self._remove.setProperty("role", "quiet")
        self._remove.clicked.connect(self._take_off)
        tall(self._remove, 32, 8)
        self._column = scrolling_column(self)
        self._column.setContentsMargins(24, 8, 24, 8)
        self._column.setSpacing(8)
        self._column.addWidget(self._title)
        self._retire = QPushButton(_("Take out of use for good"), self)
        self._retire.setToolTip(_("Gone from the shelf, kept in the records; undo brings it back"))
        self._retire.setProperty("role", "quiet")
        self._retire.clicked.connect(self._take_out)
        tall(self._retire, 32, 8)
        self._another = QPushButton(_("Add another like this"), self)
        self._another.setProperty("role", "quiet")
        self._another.clicked.connect(self._add_another)
        tall(self._another, 32, 8)
        for button in (self._another, self._retire, self._remove):  # above the form, where no scrolling hides them
            self._column.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        self._column.addStretch(1)
        self._below = QVBoxLayout()  # the buttons, which no scrolling hides
        self._below.setContentsMargins(24, 8, 24, 8)
        whole = self.layout()
        assert isinstance(whole, QVBoxLayout)  # noqa: S101 - made by the column
        whole.addLayout(self._below)

    def add(self, shelf: str = "", position: int = 0, like: Vessel | None = None) -> None:
        """Ask for a new vessel, at a place if one was chosen, else at the next free one.

        It is set up as its neighbour is, or as the vessel `like`, until the keeper says otherwise.
        """
        self._old, self._where = None, (shelf, position)
        form = self._start(_("Add a vessel"), _("Add"))
        there, place = next_free(self.session.rack, shelf)
        known = neighbour(self.session.rack, there) if like is None else like
        row: dict[str, object] = {"strain": next(iter(self.session.rack.strains))} if known is None else set_up(known)
        form.fill({**row, "shelf": there, "position": position or place})
        if known is not None:
            form.put_hint("strain", _("set up as {place}, to change freely").format(place=known.place))
        form.put_hint("vessel", _("blank: called by its place"))
        draft = self.session.draft(self._draft_name()) if like is None else None
        if draft is not None:
            form.restore(draft)
            if shelf:
                form.restore({"shelf": shelf, "position": position})
        form.begin()

    def edit(self, vessel: Vessel) -> None:
        """Change a vessel."""
        self._old = vessel
        form = self._start(_("{place} {vessel}").format(place=vessel.place, vessel=vessel.vessel), _("Save"))
        form.fill(vessel.row())
        draft = self.session.draft(self._draft_name())
        if draft is not None:
            form.restore(draft)
        used = self.session.rack.logs[vessel.vessel].length > 0
        form.put_hint("vessel", _("what is recorded stays its own under a new name") if used else "")
        self._remove.setVisible(not used)
        self._retire.setVisible(used)
        self._another.show()
        form.input("strain").setFocus()

    def _add_another(self) -> None:
        """Ask for a vessel that is set up like the one shown, at the next free place of its shelf."""
        if self._old is not None:
            like = self._old
            self.add(like.shelf, like=like)

    def _draft_name(self) -> str:
        return NEW if self._old is None else f"vessel:{content_id(*sorted(self._old.row().items()))}"

    def _start(self, title: str, save: str) -> Form:
        if self.form is not None:
            take_away(self.form, self._column)
        self._title.setText(title)
        self._remove.hide()
        self._another.hide()
        self._retire.hide()
        asks = vessel_asks(self.session.rack)
        self.form = Form(
            asks,
            self.session.rack.settings,
            save=save,
            columns=self._columns,
            cancel=_("Back"),
            now=self.session.now,
            parent=self,
        )
        self.form.submitted.connect(self._save)
        self.form.forgotten.connect(self._forget)
        self.form.cancelled.connect(self.left)
        self.form.changed.connect(self.save)
        self._column.insertWidget(4, self.form)
        self._below.addWidget(self.form.foot)
        return self.form

    def _forget(self) -> None:
        """Throw the draft away and begin anew."""
        self.session.drop_draft(self._draft_name())
        if self._old is None:
            self.add(*self._where)
        else:
            self.edit(self._old)

    def save(self) -> None:
        """Keep a vessel as typed so far."""
        if self.form is not None and self.form.typed().get("vessel"):
            keep_draft(self.form, self.session, self._draft_name())

    def _save(self, row: dict[str, object]) -> None:
        if self.form is None:
            return
        if self._old is None and not str(row["vessel"]).strip():
            row = {**row, "vessel": f"{row['shelf']}{row['position']}".strip()}
        words = _("Add {vessel}") if self._old is None else _("Change {vessel}")
        if self._old is not None and str(row["vessel"]).strip() != self._old.vessel:
            words = _("Rename {old} to {vessel}").replace("{old}", self._old.vessel)
        words = words.format(vessel=str(row["vessel"]).strip())

        def put() -> None:
            vessel = Vessel.from_row(row)
            if self._old is None and vessel.vessel in self.session.rack.known_vessels:
                raise InputError("vessel", vessel.vessel, _("a name that no vessel of this rack has yet"))
            if self._old is not None and vessel.vessel != self._old.vessel:
                self.session.rename_vessel(self._old.vessel, vessel, words)
            else:
                self.session.put_vessel(vessel, words)
            self.saved_name = vessel.vessel

        if settle(self.form, self.session, self._draft_name(), put):
            self.done.emit(words)

    def _take_out(self) -> None:
        if self.form is None or self._old is None:
            return
        words = _("{vessel} out of use for good").format(vessel=self._old.vessel)
        try:
            self.session.retire_vessel(self._old.vessel, words)
        except (InputError, StoreError) as error:
            self.form.show_trouble(str(error))
            return
        self.saved_name = ""
        self.done.emit(words)

    def _take_off(self) -> None:
        if self.form is None or self._old is None:
            return
        words = _("Remove {vessel}").format(vessel=self._old.vessel)
        try:
            self.session.remove_vessel(self._old.vessel, words)
        except (InputError, StoreError) as error:
            self.form.show_trouble(str(error))
            return
        self.saved_name = ""
        self.done.emit(words)
