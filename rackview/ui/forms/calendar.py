"""A small calendar that opens below a field and puts the chosen day into it."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QDate, Qt, Signal
from PySide6.QtGui import QKeyEvent, QTextCharFormat
from PySide6.QtWidgets import QCalendarWidget, QFrame, QVBoxLayout, QWidget

from rackview.ui.theme import fonts


class CalendarPopup(QFrame):
    """A month to choose a day from: arrows walk, Enter or a click chooses, Esc closes.

    Signals
    -------
    chosen(object) : the day, a `datetime.date`
    """

    chosen = Signal(object)

    def __init__(self, shown: date, parent: QWidget | None = None, *, last: date | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Popup)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setObjectName("calendar")
        self.month = QCalendarWidget(self)
        self.month.setFont(fonts.font(14))
        self.month.setFirstDayOfWeek(Qt.DayOfWeek.Monday)
        self.month.setVerticalHeaderFormat(QCalendarWidget.VerticalHeaderFormat.NoVerticalHeader)
        plain = QTextCharFormat()
        plain.setForeground(self.palette().text())
        for weekend in (Qt.DayOfWeek.Saturday, Qt.DayOfWeek.Sunday):
            self.month.setWeekdayTextFormat(weekend, plain)
        if last is not None:
            self.month.setMaximumDate(QDate(last.year, last.month, last.day))
        self.month.setSelectedDate(QDate(shown.year, shown.month, shown.day))
        self.month.activated.connect(self._take)
        self.month.clicked.connect(self._take)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.addWidget(self.month)
        self.setFocusProxy(self.month)

    def _take(self, picked: QDate) -> None:
        self.chosen.emit(date(picked.year(), picked.month(), picked.day()))
        self.close()

    def open_below(self, field: QWidget) -> None:
        """Open below a field, and take the keyboard."""
        self.adjustSize()
        below = field.mapToGlobal(field.rect().bottomLeft())
        screen = field.screen().availableGeometry()
        x = min(below.x(), screen.right() - self.width())
        y = below.y() + 2 if below.y() + self.height() < screen.bottom() else below.y() - field.height() - self.height()
        self.move(max(screen.left(), x), max(screen.top(), y))
        self.show()
        self.month.setFocus(Qt.FocusReason.PopupFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close()
        else:
            super().keyPressEvent(event)
