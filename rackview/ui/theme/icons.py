"""The program's own icon, from the SVG that ships with it."""

from __future__ import annotations

from pkgutil import get_data

from PySide6.QtCore import QByteArray, QRectF
from PySide6.QtGui import QIcon, QImage, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

SIZES = (16, 24, 32, 48, 64, 128, 256)


def app_icon() -> QIcon:
    """The window's icon at the usual sizes."""
    data = get_data("rackview.resources", "icons/rackview.svg") or b""
    renderer = QSvgRenderer(QByteArray(data))
    icon = QIcon()
    for size in SIZES:
        image = QImage(size, size, QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(0)
        painter = QPainter(image)
        renderer.render(painter, QRectF(0, 0, size, size))
        painter.end()
        icon.addPixmap(QPixmap.fromImage(image))
    return icon
