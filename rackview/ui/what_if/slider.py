"""The slider of a question: it moves an amount in a vessel, the day of a brood, or the days away."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from PySide6.QtCore import QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSlider, QVBoxLayout, QWidget

from rackview.core import read
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.rack import Rack
from rackview.ui.theme import fonts
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

STEPS = 100
"""Places of the slider between nothing and a full vessel."""
DAYS_EITHER_WAY = 10
LONGEST_AWAY = 28
FROM = {"harvest": "vessel", "split": "vessel", "restart": "from_vessel"}
"""By kind of question, the field with the vessel that gives."""
REST_MS = 250
"""So long it must stand still before both futures are worked out for it."""


@dataclass(frozen=True, slots=True)
class Slide:
    """The field that a slider moves: `texts` are what it can be set to, `ends` the words beneath its two ends."""

    column: str
    texts: tuple[str, ...]
    ends: tuple[str, str]

    def place(self, text: str) -> int | None:
        """The place for what stands in the field: the nearest number, or the very day; None for anything else."""
        if text in self.texts:
            return self.texts.index(text)
        found, known = _number(text), [_number(t) for t in self.texts]
        if found is None or None in known:
            return None
        return min(range(len(known)), key=lambda n: abs(found - (known[n] or 0.0)))


def slide(rack: Rack, kind: str, typed: Mapping[str, str], now: datetime) -> Slide | None:
    """The slider of a question for what is typed of it so far; None where there is nothing to move."""
    if kind in FROM:
        giver = rack.vessels.get(typed[FROM[kind]])
        if giver is None:
            return None
        full = ku.volume(giver.volume_l, rack.settings)
        unit = rack.settings.volume_unit
        texts = tuple(ku.plain(round(full * n / STEPS, 2 if full < 10 else 1)) for n in range(STEPS + 1))
        return Slide("volume_l", texts, (f"0 {unit}", f"{ku.plain(full)} {unit}"))
    if kind == "away":
        return Slide("away_days", tuple(map(str, range(1, LONGEST_AWAY + 1))), ("1", str(LONGEST_AWAY)))
    brood = next((b for b in rack.broods if kind == "brood" and b.brood == typed["brood"].strip()), None)
    if brood is None:
        return None
    column, day = ("hatched", brood.hatched) if brood.hatched is not None else ("spawned", brood.spawned)
    if day is None:
        return None
    days = [day + timedelta(days=n) for n in range(-DAYS_EITHER_WAY, DAYS_EITHER_WAY + 1)]
    return Slide(column, tuple(d.isoformat() for d in days), (_day(days[0], now), _day(days[-1], now)))


def _day(day: date, now: datetime) -> str:
    return formats.short_date(day, now.date())


def _number(text: str) -> float | None:
    try:
        return read.number_in({"text": text}, "text", "a number")
    except InputError:
        return None


class _Track(QSlider):
    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel scrolls the page and moves no slider."""
        event.ignore()


class Slider(QWidget):
    """A track with words beneath its ends. `moved` holds the field and its text while it is dragged, `rested` comes
    once it stands still."""

    moved = Signal(str, str)
    rested = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._slide: Slide | None = None
        self.track = _Track(Qt.Orientation.Horizontal, self)
        self.track.setMinimumHeight(28)
        self.track.valueChanged.connect(self._move)
        self._ends = (QLabel(self), QLabel(self))
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(REST_MS)
        self._timer.timeout.connect(self.rested)
        column, row = QVBoxLayout(self), QHBoxLayout()
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.track)
        for n, end in enumerate(self._ends):
            end.setFont(fonts.font(13))
            end.setProperty("voice", "soft")
            row.addWidget(end)
            if n == 0:
                row.addStretch(1)
        column.addLayout(row)

    def show_slide(self, found: Slide, text: str, name: str) -> None:
        """Take what is to be moved, put the slider where `text` has it, and call it `name`."""
        self._slide = found
        self.show()
        place = found.place(text)
        if place is None:
            place = len(found.texts) // 2 if found.column in {"hatched", "spawned"} else 0
        with QSignalBlocker(self.track):
            self.track.setRange(0, len(found.texts) - 1)
            self.track.setPageStep(max(1, len(found.texts) // 10))
            self.track.setValue(place)
        self.track.setAccessibleName(name)
        for words, end in zip(found.ends, self._ends, strict=True):
            end.setText(words)

    def _move(self, place: int) -> None:
        if self._slide is not None:
            self.moved.emit(self._slide.column, self._slide.texts[place])
            self._timer.start()
