"""Pictures of samples in the window: chosen from a file, seen small in a list, and whole."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QIcon, QImageReader, QPixmap
from PySide6.QtWidgets import QDialog, QFileDialog, QLabel, QVBoxLayout, QWidget

from rackview.language import _

SMALL = QSize(40, 28)
SHARE = 0.85
"""Of the screen that a whole picture may take."""


def ask(parent: QWidget) -> str:
    """The file that the keeper chooses, "" for none."""
    words = _("Picture of the sample")
    kinds = _("Pictures (*.jpg *.jpeg *.png *.webp *.bmp)")
    chosen, _unused = QFileDialog.getOpenFileName(parent, words, "", kinds)
    return chosen


def _read(path: Path, room: QSize) -> QPixmap:
    """The picture, upright, no larger than the room; empty if it can't be read."""
    reader = QImageReader(str(path))
    reader.setAutoTransform(True)
    size = reader.size()
    if size.isValid():
        reader.setScaledSize(size.scaled(room, Qt.AspectRatioMode.KeepAspectRatio).boundedTo(size))
    return QPixmap.fromImageReader(reader)


@lru_cache(maxsize=200)
def thumbnail(path: Path) -> QIcon:
    """The picture as small as a row of a list."""
    return QIcon(_read(path, SMALL * 2))


def show_picture(path: Path, title: str, parent: QWidget) -> QDialog:
    """Show the whole picture over the window; any key that leaves a dialog closes it."""
    dialog = QDialog(parent)
    dialog.setWindowTitle(title)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    label = QLabel(dialog)
    picture = _read(path, parent.screen().availableSize() * SHARE)
    if picture.isNull():
        label.setText(_("{file} can't be read as a picture.").format(file=path))
    else:
        label.setPixmap(picture)
    label.setAccessibleName(title)
    column = QVBoxLayout(dialog)
    column.setContentsMargins(0, 0, 0, 0)
    column.addWidget(label)
    dialog.open()
    return dialog
