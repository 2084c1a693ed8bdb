"""What things are worth against each other, to be changed and set back; all that is advised is weighed by it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.core import read
from rackview.core.dataclass import dataclass
from rackview.core.tables import MOST_WORTH, Settings
from rackview.language import _
from rackview.rules.constants import USUAL_DRY_G_PER_ML
from rackview.services.faults import StoreError
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.form import Form
from rackview.ui.forms.kept import keep_draft, settle, take_away
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import tall
from rackview.ui.words import keeper_units as ku

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

DRAFT = "worth"
PER_ML = 150.0
"""Animals per mL of a culture of which litres are thrown or given away, for a worth told by litres."""
STARTER = "starter_days"
WIDEST = 760


@dataclass(frozen=True, slots=True)
class Priced:
    """One thing of the table: its name among the worths, what it is called, how many units of its own make one here."""

    name: str
    label: str
    times: float = 1.0


def priced() -> tuple[Priced, ...]:
    """What has a worth, in amounts that a keeper handles."""
    millions = 10.0 * PER_ML * 1e3 / 1e6
    return (
        Priced("brood", _("A brood raised")),
        Priced("vessel", _("A culture to be built up anew")),
        Priced("strain", _("The last of a strain lost")),
        Priced("starter", _("A bought starter")),
        Priced("feed_g", _("A litre of feed"), 1e3 * USUAL_DRY_G_PER_ML),
        Priced("minute", _("Ten minutes of work"), 10.0),
        Priced("spare_m", _("Ten litres thrown away"), millions),
        Priced("mouth_m", _("Ten litres to a standing need"), millions),
    )


class WorthForm(QWidget):
    """A field for each worth and for how long a starter takes.

    Signals
    -------
    left() : the keyboard goes back to the list
    """

    left = Signal()

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.form: Form | None = None
        self.setMaximumWidth(WIDEST)
        title = QLabel(_("What things are worth"), self)
        title.setFont(fonts.font(24, fonts.BOLD))
        about = QLabel(
            _(
                "What is advised is what is worth most by this table over the days ahead. Only how large the numbers "
                "are against each other counts, so any one unit will do. A litre of feed is of a concentrate with "
                "{dry} g dry; litres thrown or given away are of a culture with {n} per mL."
            ).format(dry=round(1e3 * USUAL_DRY_G_PER_ML), n=round(PER_ML)),
            self,
        )
        about.setWordWrap(True)
        about.setFont(fonts.font(15))
        self.reset = QPushButton(_("Back to the usual worths"), self)
        self.reset.clicked.connect(self._reset)
        tall(self.reset, 44)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 4, 16, 24)
        self._column.setSpacing(14)
        self._column.addWidget(title)
        self._column.addWidget(about)
        self._column.addWidget(self.reset, 0, Qt.AlignmentFlag.AlignLeft)
        self._column.addStretch(1)

    def refresh(self) -> None:
        """Show the worths as they stand; what is typed stays."""
        if self.form is None or not self.form.touched:
            self._fill()

    def _fill(self) -> None:
        if self.form is not None:
            take_away(self.form, self._column)
        settings = self.session.rack.settings
        asks = tuple(Ask(p.name, p.label, hint=self._hint(p)) for p in priced())
        starter = Ask(STARTER, _("A starter takes"), unit=_("days"), hint=_("from order to arrival"))
        self.form = Form((*asks, starter), settings, save=_("Save"), cancel=_("Back"), parent=self)
        self.form.submitted.connect(self._submit)
        self.form.cancelled.connect(self.left)
        self.form.changed.connect(self.save)
        self.form.button.setEnabled(self.session.read_only is None)
        self._column.insertWidget(2, self.form)
        shown = {p.name: ku.plain(_figures(p.times * worth_of(settings, p.name))) for p in priced()}
        self.form.fill({**shown, STARTER: ku.plain(settings.starter_days)})
        self._given = self.form.typed()
        draft = self.session.draft(DRAFT)
        if draft:
            self.form.restore(draft)
        self.reset.setVisible(bool(settings.worth))
        self.reset.setEnabled(self.session.read_only is None)

    def _hint(self, one: Priced) -> str:
        return _("usually {n}").format(n=ku.plain(_figures(one.times * worth_of(Settings(), one.name))))

    def begin(self) -> None:
        """Put the keyboard into the first field."""
        if self.form is not None:
            self.form.begin()

    def save(self) -> None:
        """Keep what is typed as a draft."""
        if self.form is not None:
            keep_draft(self.form, self.session, DRAFT)

    def _submit(self, row: dict[str, object]) -> None:
        form = self.form
        if form is not None and settle(form, self.session, DRAFT, lambda: self._put(self._changed(row))):
            self._fill()

    def _changed(self, row: dict[str, object]) -> Settings:
        """The settings with what was typed, a blank for the usual; raises `InputError` naming the field."""
        settings = self.session.rack.settings
        worth = dict(settings.worth)
        for one in priced():
            text = str(row.get(one.name) or "").strip()
            if text == self._given.get(one.name):
                continue
            most = MOST_WORTH * one.times
            value = read.number_in(
                {one.name: text}, one.name, _("a worth from 0 to {most:.0f}").format(most=most), low=0, high=most
            )
            worth.pop(one.name, None)
            if value is not None:
                worth[one.name] = value / one.times
        days = read.number_in(row, STARTER, _("days from 0 to 365; blank for the usual"), low=0, high=365)
        return replace(settings, worth=worth, starter_days=Settings().starter_days if days is None else days)

    def _put(self, settings: Settings) -> None:
        if settings != self.session.rack.settings:
            self.session.put_settings(settings, _("Change what things are worth"))

    def _reset(self) -> None:
        try:
            self._put(replace(self.session.rack.settings, worth={}))
            self.session.drop_draft(DRAFT)
        except StoreError as error:
            if self.form is not None:
                self.form.show_trouble(str(error))
            return
        self._fill()


def worth_of(settings: Settings, name: str) -> float:
    """What one unit of a thing is worth by these settings."""
    from rackview.planner.value import Worth

    found: float = getattr(Worth.of(settings.worth), name)
    return found


def _figures(value: float) -> float:
    """A worth with four figures: 0.225 and 16, not what a product of floats leaves."""
    return float(f"{value:.4g}")
