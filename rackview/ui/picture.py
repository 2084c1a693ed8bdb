"""Drawing one screen of the window to a PNG file, without showing a window."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QEvent, QPoint, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QRegion
from PySide6.QtWidgets import QWidget

from rackview.core.errors import InputError
from rackview.language import _
from rackview.ui.window import SCREENS, MainWindow

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

SMALLEST, LARGEST = 320, 16_000


def draw(session: RackSession, out: Path, *, screen: str, size: tuple[int, int], look: str) -> None:
    """Draw `screen` as the window would show it on `session` into the PNG file `out`."""
    if screen not in SCREENS:
        raise InputError("screen", screen, _("one of ") + ", ".join(SCREENS))
    if not all(SMALLEST <= side <= LARGEST for side in size):
        raise InputError(
            "size",
            f"{size[0]}x{size[1]}",
            _("width and height from {smallest} to {largest} pixels").format(smallest=SMALLEST, largest=LARGEST),
        )
    window = MainWindow(session, None, look=look)
    window.setMinimumSize(window.minimumSize().boundedTo(QSize(*size)))  # as on a screen of that size
    window.go(screen)
    image = grab(window, QSize(*size))
    window.deleteLater()
    if not image.save(str(out), "PNG"):  # type: ignore[call-overload]  # the stub wants bytes, Qt takes text
        raise OSError(_("{out} could not be written.").format(out=out))


def grab(widget: QWidget, size: QSize) -> QImage:
    """The widget at `size`, laid out and painted as on screen, as an image."""
    widget.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    widget.resize(size)
    widget.show()
    for _unused in range(3):  # layouts settle in a few turns
        QCoreApplication.sendPostedEvents()
        QCoreApplication.processEvents()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)
    image = QImage(size, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    widget.render(
        painter, QPoint(), QRegion(), QWidget.RenderFlag.DrawWindowBackground | QWidget.RenderFlag.DrawChildren
    )
    painter.end()
    widget.hide()
    return image
