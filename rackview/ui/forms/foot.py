"""The foot of a form: what is wrong with the whole of it, and the buttons to save and to leave."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.ui.widgets.fields import tall


class FormFoot(QWidget):
    """Stands at the end of its form; a page that scrolls may keep it in sight below itself.

    Signals
    -------
    cancelled() : the keeper leaves
    """

    cancelled = Signal()

    def __init__(self, save: str, cancel: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        self.trouble = QLabel(self)
        self.trouble.setProperty("voice", "error")
        self.trouble.setWordWrap(True)
        self.trouble.hide()
        column.addWidget(self.trouble)
        row = QHBoxLayout()
        self.button = QPushButton(save, self)
        self.button.setProperty("role", "primary")
        tall(self.button, 44, 20)
        row.addWidget(self.button)
        leave = QPushButton(cancel, self)
        leave.setProperty("role", "quiet")
        leave.clicked.connect(self.cancelled)
        tall(leave, 44)
        row.addWidget(leave)
        row.addStretch(1)
        column.addLayout(row)

    def say(self, sentence: str) -> None:
        """Show a sentence above the buttons; nothing for ""."""
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))
