"""What can be done with the selected line of the day: done, change, decline with a reason typed on the spot."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QLineEdit, QPushButton, QSizePolicy, QStackedLayout, QWidget

from rackview.language import _

USUAL_LETTERS, LEAST_PX = 22, 10
"""So many letters stand on the four buttons side by side at the size that is set; the least size that is read."""


class ItemBar(QWidget):
    """Done, Change, Decline of the selected line, and the line to type a reason in.

    Signals
    -------
    done(), change(), declined(str) : what was chosen, with the reason typed
    why() : what stands behind the line is asked for
    asked() : a reason is asked for
    left() : the keyboard goes back to the list
    """

    done = Signal()
    change = Signal()
    declined = Signal(str)
    why = Signal()
    asked = Signal()
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._stack = QStackedLayout(self)
        self._stack.setContentsMargins(0, 0, 0, 0)
        choices = QWidget(self)
        row = QHBoxLayout(choices)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        self.done_button = QPushButton(_("Done"), choices)
        self.done_button.setProperty("role", "primary")
        self.change_button = QPushButton(_("Change"), choices)
        self.decline_button = QPushButton(_("Decline"), choices)
        self.why_button = QPushButton(_("Why"), choices)
        for button, key, wide in (
            (self.done_button, "Enter", 6),
            (self.change_button, "C", 7),
            (self.decline_button, "D", 7),
            (self.why_button, "W", 5),
        ):
            button.setToolTip(key)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            row.addWidget(button, max(wide, len(button.text())))
        asking = QWidget(self)
        line = QHBoxLayout(asking)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(6)
        self.reason = QLineEdit(asking)
        self.reason.setPlaceholderText(_("Why not? Then Enter"))
        self.reason.setAccessibleName(_("Reason for declining"))
        self.reason.setMaxLength(200)
        line.addWidget(self.reason)
        self._stack.addWidget(choices)
        self._stack.addWidget(asking)
        self.done_button.clicked.connect(self.done)
        self.change_button.clicked.connect(self.change)
        self.why_button.clicked.connect(self.why)
        self.decline_button.clicked.connect(self.ask)
        self.reason.returnPressed.connect(self._decline)
        self.reason.installEventFilter(self)

    def set_size(self, px: int) -> None:
        """Set the size of the type; in a language of longer words it is smaller."""
        letters = sum(
            len(b.text()) for b in (self.done_button, self.change_button, self.decline_button, self.why_button)
        )
        px = min(px, max(LEAST_PX, px * USUAL_LETTERS // letters))
        self.setStyleSheet(
            f"QPushButton, QLineEdit {{ padding: 5px 2px; font-size: {px}px; }}"
            " QPushButton:focus, QLineEdit:focus { padding: 4px 1px; }"
        )

    def name_deed(self, action: str) -> None:
        """Name the first button by what it does: counts and tests are typed in, all else is recorded as done."""
        typed = {"count": _("Count"), "test": _("Test")}
        self.done_button.setText(typed.get(action, _("Done")))

    @property
    def asking(self) -> bool:
        """Whether a reason is being typed."""
        return self._stack.currentIndex() == 1

    def ask(self) -> None:
        """Let the reason be typed."""
        self.reason.clear()
        self._stack.setCurrentIndex(1)
        self.reason.setFocus()
        self.asked.emit()

    def rest(self) -> None:
        """Back to the four buttons."""
        self._stack.setCurrentIndex(0)

    def _decline(self) -> None:
        reason = self.reason.text().strip()
        self.rest()
        self.left.emit()
        self.declined.emit(reason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            # a line edit and a button pass Enter on; the list below must not take it as "done" for its own line
            pressed = QApplication.focusWidget()
            if isinstance(pressed, QPushButton):
                pressed.click()
            event.accept()
            return
        super().keyPressEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Escape:
            self.rest()
            self.left.emit()
            return True
        return super().eventFilter(watched, event)
