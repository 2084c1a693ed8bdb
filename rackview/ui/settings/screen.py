"""The rack's own settings: its name, the keeper's units and habits. They travel with the record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from rackview.core.events import SG_REFERENCES
from rackview.core.tables import SALINITY_UNITS, TEMPERATURE_UNITS, VOLUME_UNITS, Settings
from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.form import Form
from rackview.ui.forms.kept import keep_draft, settle
from rackview.ui.preferences import WindowSettings
from rackview.ui.reminder import ReminderSetting
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import scrolled
from rackview.ui.words.choices import reference_word

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

WIDEST = 760
DRAFT = "settings"
TEMPERATURES = {"degC": "°C", "degF": "°F"}


class SettingsScreen(SubPage):
    """The form of the rack's settings on a page of its own."""

    def __init__(self, session: RackSession, parent: QWidget | None = None, here: WindowSettings | None = None) -> None:
        """`here` are this PC's own settings."""
        super().__init__(parent)
        self.session = session
        self.reminder = ReminderSetting(here or WindowSettings(None), self)
        title = QLabel(_("Name and units"), self)
        title.setFont(fonts.font(20, fonts.BOLD))
        self.form = Form(self._asks(), session.rack.settings, save=_("Save"), cancel=_("Back"), parent=self)
        self.form.submitted.connect(self._save)
        self.form.cancelled.connect(self.leave)
        self.form.changed.connect(self.save)
        column = QVBoxLayout()
        column.setSpacing(16)
        column.addWidget(title)
        column.addWidget(self.form)
        column.addWidget(self.reminder)
        column.addStretch(1)
        inner = QWidget(self)
        row = QHBoxLayout(inner)
        row.setContentsMargins(48, 16, 48, 16)
        row.addStretch(1)
        row.addLayout(column, 6)
        row.addStretch(1)
        self.form.setMaximumWidth(WIDEST)
        self.reminder.setMaximumWidth(WIDEST)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(scrolled(inner, self))
        below = QHBoxLayout()  # the buttons, which no scrolling hides
        below.setContentsMargins(48, 8, 48, 12)
        below.addStretch(1)
        below.addWidget(self.form.foot, 6)
        below.addStretch(1)
        self.form.foot.setMaximumWidth(WIDEST)
        whole.addLayout(below)
        self.open()

    def _asks(self) -> tuple[Ask, ...]:
        def plain(words: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
            return tuple((w, w) for w in words)

        return (
            Ask("name", _("Name of the rack"), wide=True),
            Ask("keeper", _("Keeper"), hint=_("written beside every entry"), wide=True),
            Ask("volume_unit", _("Volumes in"), choices=plain(VOLUME_UNITS)),
            Ask(
                "temperature_unit",
                _("Temperature in"),
                choices=tuple((u, TEMPERATURES[u]) for u in TEMPERATURE_UNITS),
            ),
            Ask("salinity_unit", _("Salinity read as"), choices=plain(SALINITY_UNITS)),
            Ask(
                "sg_reference",
                _("Specific gravity refers to"),
                choices=tuple((r, reference_word(r)) for r in SG_REFERENCES),
                hint=_("printed on the instrument: sample and water temperature, °C"),
            ),
            Ask(
                "count_precision",
                _("Count until the interval is within"),
                hint=_("a share of the density: 0.2 is ±20 %"),
            ),
            Ask(
                "demand_margin",
                _("Prey to have beyond the need"),
                hint=_("a share of the day's need: 0.2 is a fifth more"),
            ),
            Ask(
                "keep_reserve",
                _("Keep the reserve of each strain untouched"),
                yes=True,
                wide=True,
                hint=_("Without it, a strain that is lost on the rack is lost altogether."),
            ),
        )

    def open(self, argument: str | None = None) -> None:
        """Show the settings as they are."""
        self.form.fill(self.session.rack.settings.row())
        draft = self.session.draft(DRAFT)
        if draft is not None:
            self.form.restore(draft)

    def save(self) -> None:
        """Keep what is typed as a draft."""
        keep_draft(self.form, self.session, DRAFT)

    def take_keyboard(self) -> None:
        self.form.begin()

    def _save(self, row: dict[str, object]) -> None:
        def put() -> None:
            self.session.put_settings(Settings.from_row(row), _("Change name and units"))

        if settle(self.form, self.session, DRAFT, put):
            self.said.emit(_("Changed name and units."))
            self.leave.emit()
