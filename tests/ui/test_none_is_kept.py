"""PySide6 6.12.0 on Python 3.11 drops a reference to None on every void call and aborts after some thousands."""

from __future__ import annotations

import sys

from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage, QPainter


def test_void_calls_keep_their_reference_to_none(qapp):
    image = QImage(8, 8, QImage.Format.Format_ARGB32)
    painter = QPainter(image)
    before = sys.getrefcount(None)
    for _ in range(20_000):
        painter.drawPoint(QPointF(1, 1))
    after = sys.getrefcount(None)
    painter.end()
    assert abs(after - before) < 2_000, f"None lost {before - after} references in 20,000 painter calls"
