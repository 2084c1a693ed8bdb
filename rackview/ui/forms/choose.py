"""A box to choose from, that shows it is one and is changed by nobody who only scrolls the page."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPaintEvent, QPalette, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QSizePolicy, QStyle, QStyleOptionComboBox, QStylePainter, QWidget

from rackview.ui.paint.ink import pen, saved

ARROW = 32
"""Room that the arrow of a combo box takes at its right, px."""


class Choose(QComboBox):
    """A combo box that shows it is one; a choice longer than the box ends in an ellipsis and is told in a tooltip."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumContentsLength(6)
        self.setStyleSheet("min-height: 32px;")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)  # the wheel brings no keyboard
        self.currentTextChanged.connect(self._tell)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel scrolls the page and never changes what is chosen."""
        event.ignore()

    def shown(self) -> str:
        """As much of the choice as there is room for."""
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        place = QStyle.SubControl.SC_ComboBoxEditField
        box = self.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, place, self)
        room = min(box.right(), self.width() - ARROW) - box.left()
        return self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, room)

    def _tell(self) -> None:
        self.setToolTip(self.currentText() if self.shown() != self.currentText() else "")

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._tell()

    def list_width(self) -> int:
        """How wide the open list must be to show its longest choice whole, px."""
        words = self.view().fontMetrics()
        return ARROW + max((words.horizontalAdvance(self.itemText(n)) for n in range(self.count())), default=0)

    def showPopup(self) -> None:
        """Open the list."""
        self.view().setMinimumWidth(self.list_width())
        super().showPopup()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        option.currentText = self.shown()
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        x, y = self.width() - 20.0, self.height() / 2
        with saved(painter):
            painter.setPen(pen(self.palette().color(QPalette.ColorRole.Text), 1.6))
            painter.drawPolyline([QPointF(x - 5, y - 2.5), QPointF(x, y + 2.5), QPointF(x + 5, y - 2.5)])
