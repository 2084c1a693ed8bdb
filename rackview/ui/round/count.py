"""The middle of the round: tallies, what they come to, the signs of the culture, the water."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.advice.words.speech import animals_seen
from rackview.core.assessment import Interval
from rackview.core.events import SG_REFERENCES
from rackview.language import _
from rackview.ui.paint.scale import ScaleState, around
from rackview.ui.round import words as round_words
from rackview.ui.round.entry.columns import MOST, SAMPLE, WATER
from rackview.ui.round.entry.model import Entry
from rackview.ui.round.fields.field import Field
from rackview.ui.round.fields.field_group import CRAMPED, FieldGroup
from rackview.ui.round.reckoning import Reckoned, Reckoning
from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets import sample_picture
from rackview.ui.widgets.fields import tall
from rackview.ui.words import formats
from rackview.ui.words.choices import reference_word
from rackview.ui.words.keeper_units import DEGREES

WIDEST = 104
STAGES = ("all", "nauplii", "copepodites", "adults")


class CountPanel(FieldGroup):
    """Fields for one vessel's count and water, and the reckoning between them.

    Signals
    -------
    stage_wanted(int) : count by stage (1) or all together (0)
    picture_chosen(str) : the file of a picture of the sample
    """

    stage_wanted = Signal(int)
    picture_chosen = Signal(str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.stages: tuple[str, ...] = ("all",)
        self._dressed = False
        self._heading = QLabel(self)
        self._sample = QPushButton(self)
        self._sample.setCheckable(True)
        self._sample.setProperty("role", "quiet")
        self._sample.setAccessibleDescription(_("Change how the sample is taken"))
        self._sample.toggled.connect(self._show_sample)
        self.by_stage = QPushButton(_("By stage"), self)
        self.by_stage.setCheckable(True)
        self.by_stage.setProperty("role", "choice")
        self.by_stage.clicked.connect(self._stage_wanted)
        self.reckoning = Reckoning(theme, self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        head = QHBoxLayout()
        head.addWidget(self._heading)
        head.addStretch(1)
        head.addWidget(self.by_stage)
        head.addWidget(self._sample)
        column.addLayout(head)
        self._sample_box = self._build_sample()
        column.addWidget(self._sample_box)
        column.addLayout(self._build_tallies())
        self._tally_line = self.hint_line([f"{s}.{n}" for s in STAGES for n in range(MOST)])
        column.addWidget(self._tally_line)
        column.addStretch(1)
        column.addWidget(self.reckoning)
        column.addStretch(1)
        column.addLayout(self._build_signs())
        column.addWidget(self.hint_line(["with_eggs", "females_checked", "eggs", "swimming", "ciliates", "tint"]))
        column.addStretch(1)
        column.addLayout(self._build_water())
        column.addWidget(self.hint_line(["temperature", "gravity", "ph", "tan", "oxygen"]))
        column.addStretch(2)
        self.set_scale(1.0)

    def _build_sample(self) -> QWidget:
        box = QWidget(self)
        row = QHBoxLayout(box)
        row.setContentsMargins(0, 4, 0, 8)
        self._row(row)
        for key, label, unit in (
            ("aliquot", _("aliquot"), "mL"),
            ("dilution", _("dilution, -fold"), ""),
            ("fixative", _("fixative, -fold"), ""),
        ):
            row.addWidget(self.captioned(label, Field(key, label, self.theme, unit=unit, size=18, height=46)), 3)
        references = tuple((r, reference_word(r)) for r in SG_REFERENCES)
        label = _("hydrometer at")
        field = Field("sg_reference", label, self.theme, size=18, height=46, choices=references)
        row.addWidget(self.captioned(label, field), 4)
        self._picture = QPushButton(self)
        self._picture.setToolTip(_("Keep a picture of the sample beside this count; nothing is counted in it"))
        self._picture.clicked.connect(self._ask_picture)
        row.addWidget(self._picture, 3, Qt.AlignmentFlag.AlignBottom)
        box.hide()
        return box

    def _build_tallies(self) -> QGridLayout:
        self._grid = QGridLayout()
        self._grid.setContentsMargins(0, 6, 0, 0)
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(2)
        names = {
            "all": "",
            "nauplii": _("nauplii"),
            "copepodites": _("copepodites"),
            "adults": _("adults"),
        }
        self._stage_labels: dict[str, QLabel] = {}
        for line, stage in enumerate(STAGES):
            label = QLabel(names[stage], self)
            label.setAlignment(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
            self._stage_labels[stage] = label
            self._grid.addWidget(label, line, 0)
            for n in range(MOST):
                name = _("tally {n}").format(n=n + 1) + (f", {names[stage]}" if names[stage] else "")
                field = self.add_field(Field(f"{stage}.{n}", name, self.theme, centred=True))
                field.best_width = WIDEST
                field.line.space_goes_on = n + 1 < MOST  # in the last one, more tallies stand with spaces between
                self._grid.addWidget(field, line, n + 1)
                field.hide()
        self._grid.setColumnStretch(MOST + 1, 1)
        return self._grid

    def _build_signs(self) -> QHBoxLayout:
        row = self._row(QHBoxLayout())
        eggs = QHBoxLayout()
        eggs.setSpacing(4)
        eggs.addWidget(self.captioned(_("with eggs"), Field("with_eggs", _("with eggs"), self.theme)), 3)
        checked = Field("females_checked", _("females checked"), self.theme, size=18)
        eggs.addWidget(self.captioned(_("of females"), checked), 3)
        tallied = Field("eggs", _("eggs on them, if you tally them"), self.theme, size=18)
        eggs.addWidget(self.captioned(_("eggs"), tallied), 3)
        row.addLayout(eggs, 8)
        swimming = Field("swimming", _("swimming, 1 to 5"), self.theme, unit=_("of 5"))
        row.addWidget(self.captioned(_("swimming"), swimming), 3)
        ciliates = (("none", _("none")), ("some", _("some")), ("many", _("many")))
        seen = Field("ciliates", _("ciliates: 0 none, 1 some, 2 many"), self.theme, choices=ciliates)
        row.addWidget(self.captioned(_("ciliates"), seen), 3)
        tint = Field("tint", _("tint, 0 to 4"), self.theme, unit=_("of 4"))
        row.addWidget(self.captioned(_("tint"), tint), 3)
        return row

    def _build_water(self) -> QHBoxLayout:
        row = self._row(QHBoxLayout())
        row.addWidget(self.captioned(_("water"), Field("temperature", _("water temperature"), self.theme)), 6)
        self._gravity = self.captioned(_("spec. gravity"), Field("gravity", _("specific gravity"), self.theme))
        row.addWidget(self._gravity, 8)
        row.addWidget(self.captioned("pH", Field("ph", "pH", self.theme)), 4)
        tan = Field("tan", _("total ammonia"), self.theme, unit="mg/L")
        row.addWidget(self.captioned("TAN", tan), 6)
        oxygen = Field("oxygen", _("oxygen"), self.theme, unit="mg/L")
        row.addWidget(self.captioned(_("oxygen"), oxygen), 6)
        return row

    def _row(self, row: QHBoxLayout) -> QHBoxLayout:
        row.setSpacing(12)
        return row

    # --- showing ----------------------------------------------------------------------------------------------------

    def show_entry(self, entry: Entry, errors: dict[str, str]) -> None:
        """Show one vessel's entry as typed."""
        settings = entry.settings
        if entry.stages != self.stages or not self._dressed:
            self.stages, self._dressed = entry.stages, True
            self._dress_tallies()
        self.by_stage.setVisible(entry.staged)
        self.by_stage.setChecked(len(entry.stages) > 1)
        self.fields["temperature"].set_unit(DEGREES[settings.temperature_unit])
        unit = settings.salinity_unit
        self.fields["gravity"].set_unit(entry.text("sg_reference") if unit == "SG" else unit)
        words = {"SG": _("spec. gravity"), "ppt": _("salinity"), "mS/cm": _("conductivity")}[unit]
        self._gravity.label.setText(words)
        whole = _("specific gravity") if unit == "SG" else words
        self.fields["gravity"].line.setAccessibleName(whole)
        self._heading.setText(_("Animals in each {ml} mL").format(ml=entry.text("aliquot") or "1"))
        told = round_words.sampling(entry)
        kept = bool(entry.text("picture"))
        self._sample.setText((_("Sample: {how}, picture") if kept else _("Sample: {how}")).format(how=told))
        self._picture.setText(_("Picture kept") if kept else _("Picture…"))
        if any(k in errors for k in SAMPLE) and not self._sample.isChecked():
            self._sample.setChecked(True)
        self.show_fields(entry, round_words.hints(entry), errors)
        self.reckoning.show_reckoned(self._reckon(entry))

    def _dress_tallies(self) -> None:
        several = len(self.stages) > 1
        for stage in STAGES:
            self._stage_labels[stage].setVisible(several and stage in self.stages)
            for n in range(MOST):
                field = self.fields[f"{stage}.{n}"]
                field.set_size(*((22, 44) if several else (40, 72 if self.scale < CRAMPED else 84)))
                field.setVisible(stage in self.stages)

    def _reckon(self, entry: Entry) -> Reckoned:
        profile, expected = entry.profile, entry.assessment.density_per_ml
        counted = entry.interval()
        low, high = around(profile.floor_per_ml, profile.ceiling_per_ml, counted, expected)
        scale = ScaleState(low, high, expected, counted, _("expected"))
        if counted is None:
            return Reckoned(verdict=round_words.uncounted(entry), scale=scale)
        verdict, odd = round_words.verdict(entry, counted)
        more = round_words.counting_advice(entry)
        return Reckoned(
            number=formats.two_figures(counted.median),
            detail=self._detail(entry, counted),
            verdict=f"{verdict}; {more}" if more and not odd else verdict,
            odd=odd,
            scale=scale,
        )

    def _detail(self, entry: Entry, counted: Interval) -> str:
        density = entry.density()
        animals = density.animals if density is not None else 0
        words = _("{span} from {animals}").format(span=formats.span(counted), animals=animals_seen(animals))
        if len(self.stages) > 1:
            found = [entry.interval(s) for s in self.stages]
            parts = [formats.two_figures(f.median) for f in found if f is not None]
            if len(parts) > 1:
                words = _("{whole}: {parts} by stage").format(whole=words, parts=", ".join(parts))
        return words

    # --- moving about ---------------------------------------------------------------------------------------------

    def rows(self) -> list[list[str]]:
        """The keys of the fields now shown, row by row as they stand."""
        found = [[f"{s}.{n}" for n in range(MOST)] for s in self.stages]
        if self._sample.isChecked():
            found.insert(0, [*SAMPLE, "sg_reference"])
        found.append(["with_eggs", "females_checked", "eggs", "swimming", "ciliates", "tint"])
        found.append(["temperature", "gravity", "ph", "tan", "oxygen"])
        return found

    def next_of(self, key: str, entry: Entry) -> str | None:
        """Where Enter leads from a field; None at the end of the panel."""
        stage, _, n = key.partition(".")
        if stage in self.stages and n:
            onward = f"{stage}.{int(n) + 1}"
            if entry.text(key).strip() and int(n) + 1 < MOST:
                return onward
            later = self.stages[self.stages.index(stage) + 1 :]
            return f"{later[0]}.0" if later else "with_eggs"
        order = [k for row in self.rows()[-2:] for k in row]
        if key not in order:
            return f"{self.stages[0]}.0"
        if key == "with_eggs" and (not entry.text(key).strip() or entry.text("females_checked").strip()):
            return "swimming"  # how many were checked is remembered; the arrow keys lead there and to the egg tally
        if key == "females_checked":
            return "swimming"
        if key in WATER and not entry.text(key).strip():
            return None  # what is not measured is passed over in one step; the arrow keys lead to the rest
        after = order.index(key) + 1
        return order[after] if after < len(order) else None

    def first_empty(self, entry: Entry) -> str:
        """The tally field to begin with."""
        stage = self.stages[0]
        return f"{stage}.{min(len(entry.tallies(stage)), MOST - 1)}"

    def _stage_wanted(self) -> None:
        self.stage_wanted.emit(int(self.by_stage.isChecked()))

    def _ask_picture(self) -> None:
        chosen = sample_picture.ask(self)
        if chosen:
            self.picture_chosen.emit(chosen)

    def _show_sample(self, shown: bool) -> None:
        self._sample_box.setVisible(shown)
        if shown:
            self.fields["aliquot"].line.setFocus(Qt.FocusReason.OtherFocusReason)

    def field(self, key: str) -> Field | None:
        """A field by its key."""
        return self.fields.get(key)

    def set_theme(self, theme: Theme) -> None:
        super().set_theme(theme)
        self.reckoning.set_theme(theme)

    def set_scale(self, scale: float) -> None:
        super().set_scale(scale)
        self.reckoning.set_scale(scale)
        self._grid.setContentsMargins(0, 0 if scale < CRAMPED else 6, 0, 0)
        if self._dressed:
            self._dress_tallies()
        self._heading.setFont(fonts.font(fonts.px(18, scale), fonts.SEMIBOLD))
        face = fonts.font(fonts.px(15, scale), fonts.MEDIUM)
        for label in self._stage_labels.values():
            label.setFont(face)
        for stage in STAGES:
            for n in range(MOST):
                self.fields[f"{stage}.{n}"].setMaximumWidth(round(WIDEST * scale))
        self._sample.setFont(fonts.font(fonts.px(14, scale)))
        tall(self._sample, round(34 * scale), 4)
        self._picture.setFont(fonts.font(fonts.px(14, scale)))
        tall(self._picture, round(46 * scale), 6)
        self.by_stage.setFont(fonts.font(fonts.px(14, scale)))
        tall(self.by_stage, round(34 * scale), 8)
