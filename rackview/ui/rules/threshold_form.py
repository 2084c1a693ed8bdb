"""The values that a rule looks at, to be changed for the whole rack, a strain or one vessel, and set back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from rackview.core import read
from rackview.core.tables import Settings, strain_scope
from rackview.language import _
from rackview.rules.catalogue.rule import Rule
from rackview.rules.catalogue.thresholds import THRESHOLDS, Threshold, check_thresholds
from rackview.services.faults import StoreError
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.choose import Choose
from rackview.ui.forms.form import Form
from rackview.ui.forms.kept import keep_draft, settle, take_away
from rackview.ui.rules import rule_words
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import tall
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

Overrides = dict[tuple[str, str], float]


class ThresholdForm(QWidget):
    """A choice of rack, strain or vessel, a field for each value, and the way back to the profile's own.

    Signals
    -------
    scoped() : another scope was chosen
    left() : the keyboard goes back to the list
    """

    scoped = Signal()
    left = Signal()

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.form: Form | None = None
        self._rule: Rule | None = None
        self._given: dict[str, str] = {}
        self.scope = Choose(self)
        self.scope.setAccessibleName(_("Values for"))
        self.scope.setFixedWidth(240)
        self.scope.activated.connect(self._scope_chosen)
        self.reset = QPushButton(self)
        self.reset.clicked.connect(self._reset)
        self.note = QLabel(self)
        self.note.setWordWrap(True)
        self.note.setProperty("voice", "soft")
        self.note.setFont(fonts.font(13))
        title = QLabel(_("Values"), self)
        title.setFont(fonts.font(17, fonts.SEMIBOLD))
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(title)
        head.addStretch(1)
        words = QLabel(_("for"), self)
        words.setProperty("voice", "soft")
        words.setBuddy(self.scope)
        head.addWidget(words)
        head.addWidget(self.scope)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(10)
        self._column.addLayout(head)
        self._column.addWidget(self.note)
        self._column.addWidget(self.reset, 0, Qt.AlignmentFlag.AlignLeft)

    # --- showing ----------------------------------------------------------------------------------------------------

    def scope_name(self) -> str:
        """The scope chosen: a vessel, a strain, or "" for the whole rack."""
        return self.scope.currentData() or ""

    def show_rule(self, rule: Rule) -> None:
        """Show a rule's values; what is typed and not saved stays as long as it is the same rule."""
        self._offer()
        if self.form is not None and rule is self._rule and self.form.touched:
            return
        self.save()
        self._rule = rule
        self._fill()

    def _offer(self) -> None:
        rack = self.session.rack
        choices = [(scope, rule_words.scope_words(rack, scope)) for scope in rule_words.scopes(rack)]
        choices[0] = ("", _("the whole rack"))
        if [self.scope.itemData(n) for n in range(self.scope.count())] != [c[0] for c in choices]:
            kept = self.scope.currentData()
            self.scope.clear()
            for value, word in choices:
                self.scope.addItem(word, value)
            self.scope.setCurrentIndex(max(0, self.scope.findData(kept)))

    def _scope_chosen(self) -> None:
        self.save()
        self._fill()
        self.scoped.emit()

    def _fill(self) -> None:
        if self._rule is None:
            return
        if self.form is not None:
            take_away(self.form, self._column)
            self.form = None
        rule, rack, scope = self._rule, self.session.rack, self.scope_name()
        self.note.setText(self._note(rule))
        self.note.setVisible(bool(self.note.text()))
        if rule.thresholds:
            asks = tuple(self._ask(THRESHOLDS[f]) for f in rule.thresholds)
            self.form = Form(asks, rack.settings, save=_("Save"), cancel=_("Back"), parent=self)
            self.form.submitted.connect(self._submit)
            self.form.cancelled.connect(self.left)
            self.form.changed.connect(self.save)
            self.form.button.setEnabled(self.session.read_only is None)
            self._column.insertWidget(2, self.form)
            self.form.fill({f: self._text(f) for f in rule.thresholds})
            self._given = self.form.typed()
            self._restore_draft()
        mine = [f for f in rule.thresholds if (scope, f) in rack.settings.overrides]
        self.reset.setVisible(bool(mine))
        self.reset.setEnabled(self.session.read_only is None)
        wider = next((w for f in mine if (w := rule_words.wider_scope(rack, scope, f)) is not None), None)
        back = _("Back to the profile's own")
        if wider is not None:
            back = _("Back to that of {scope}").format(scope=rule_words.scope_words(rack, wider))
        self.reset.setText(back)
        tall(self.reset, 44)

    def _ask(self, one: Threshold) -> Ask:
        hint = rule_words.own_words(self.session.rack, self.scope_name(), one.field)
        label = formats.sentence(one.name).rstrip(".")
        return Ask(one.field, label, unit=rule_words.unit(one, self.session.rack.settings), hint=hint)

    def _note(self, rule: Rule) -> str:
        rack, scope = self.session.rack, self.scope_name()
        if not rule.thresholds:
            return _("This rule rests on fixed limits; there is no value of the profile to change.")
        notes = []
        if not scope and any(len(set(rule_words.own_values(rack, "", f).values())) > 1 for f in rule.thresholds):
            notes.append(_("The strains differ here; a value for the whole rack holds for all of them."))
        inside = set(rule_words.vessels_of(rack, scope)) - {scope}
        strains = {strain_scope(rack.vessels[n].strain) for n in inside} - {scope}
        own = [
            s
            for s in rule_words.scopes(rack)
            if s in inside | strains and any((s, f) in rack.settings.overrides for f in rule.thresholds)
        ]
        if own:
            names = ", ".join(rule_words.scope_words(rack, s) for s in own)
            notes.append(_("With a value of its own: {vessels}.").format(vessels=names))
        return " ".join(notes)

    def _text(self, field: str) -> str:
        """What stands in the field: the scope's own word, else the one value that holds, else nothing."""
        one, rack, scope = THRESHOLDS[field], self.session.rack, self.scope_name()
        value = rack.settings.overrides.get((scope, field))
        if value is None:
            found = set(rule_words.own_values(rack, scope, field).values())
            if len(found) != 1:
                return ""
            value = found.pop()
        return ku.plain(rule_words.shown(one, value, rack.settings))

    # --- drafts -----------------------------------------------------------------------------------------------------

    def _draft_name(self) -> str:
        return f"rule:{self._rule.code if self._rule is not None else ''}:{self.scope_name()}"

    def save(self) -> None:
        """Keep what is typed as a draft."""
        if self.form is not None:
            keep_draft(self.form, self.session, self._draft_name())

    def _restore_draft(self) -> None:
        draft = self.session.draft(self._draft_name())
        if draft and self.form is not None:
            self.form.restore(draft)

    # --- changing ---------------------------------------------------------------------------------------------------

    def begin(self) -> None:
        """Put the keyboard into the first value, or the choice of the scope if there is none."""
        if self.form is not None:
            self.form.begin()
        else:
            self.scope.setFocus(Qt.FocusReason.OtherFocusReason)

    def _submit(self, row: dict[str, object]) -> None:
        form, rule, scope = self.form, self._rule, self.scope_name()
        if form is None or rule is None:
            return
        if settle(form, self.session, self._draft_name(), lambda: self._put(*self._changed(row, rule, scope))):
            self._fill()

    def _changed(self, row: dict[str, object], rule: Rule, scope: str) -> tuple[Settings, list[str]]:
        """The settings with what was typed; raises `InputError` naming the field."""
        rack = self.session.rack
        overrides: Overrides = dict(rack.settings.overrides)
        changed: dict[str, float] = {}
        words = []
        for field in rule.thresholds:
            one = THRESHOLDS[field]
            text = str(row.get(field) or "").strip()
            if text == self._given.get(field):
                continue
            bounds = _("{one} to {one_2}").format(one=self._say(one, one.low), one_2=self._say(one, one.high))
            value = read.number_in({field: text}, field, bounds)
            if value is None:
                overrides.pop((scope, field), None)
                words.append(one.name)
                continue
            value = rule_words.base(one, value, rack.settings)
            changed[field] = overrides[scope, field] = value
            words.append(f"{one.name} {self._say(one, value)}")
        settings = replace(rack.settings, overrides=overrides)
        self._check(settings, scope, changed)
        return settings, words

    def _check(self, settings: Settings, scope: str, changed: dict[str, float]) -> None:
        fresh = self.session.rack.with_settings(settings)
        for name in rule_words.vessels_of(fresh, scope):
            profile = fresh.profile(name)
            touched = {f: v for f, v in changed.items() if getattr(profile, f) == v}
            check_thresholds(profile, touched, self._say)

    def _say(self, one: Threshold, value: float) -> str:
        return rule_words.value_words(one, value, self.session.rack.settings)

    def _put(self, settings: Settings, words: list[str]) -> None:
        where = rule_words.scope_words(self.session.rack, self.scope_name())
        if words:
            self.session.put_settings(settings, f"{where}: {', '.join(words)}")

    def _reset(self) -> None:
        if self._rule is None:
            return
        scope, rack = self.scope_name(), self.session.rack
        gone = {(scope, f) for f in self._rule.thresholds}
        overrides = {k: v for k, v in rack.settings.overrides.items() if k not in gone}
        words = [self.reset.text()[:1].lower() + self.reset.text()[1:], self._rule.short]
        try:
            self._put(replace(rack.settings, overrides=overrides), words)
            self.session.drop_draft(self._draft_name())
        except StoreError as error:
            if self.form is not None:
                self.form.show_trouble(str(error))
            return
        self._fill()

    def field(self, name: str) -> QLineEdit:
        """The line in which a value is typed."""
        found = self.form.input(name) if self.form is not None else None
        if not isinstance(found, QLineEdit):
            raise KeyError(name)
        return found
