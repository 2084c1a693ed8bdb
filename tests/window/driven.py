"""The program in a process of its own, with a clock that the test turns and an answer to where its widgets are.

Run as: driven.py STORE FOLDER. In FOLDER, `days` holds by how many days the clock is ahead; for every file `ask` the
program writes `where.json`: the name of what has the keyboard, and the middle of every visible widget by its name.
"""

from __future__ import annotations

import json
import os
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from rackview import app
from rackview.ui.rack.tile import TileState
from rackview.ui.rack.view import RackView


def name_of(widget: QWidget) -> str:
    """What a widget is called: its accessible name, else what is written on it."""
    text = widget.text().replace("&", "") if isinstance(widget, QAbstractButton) else ""
    return widget.accessibleName() or text


def tiles(view: RackView) -> dict[str, list[int]]:
    """The middle of every tile by its place."""
    found = {}
    for row in range(view.rack.rowCount()):
        for column in range(view.rack.columnCount()):
            index = view.rack.index(row, column)
            tile = view.rack.place(index)
            if isinstance(tile, TileState):
                middle = view.viewport().mapToGlobal(view.visualRect(index).center())
                found[f"tile {tile.place}"] = [middle.x(), middle.y(), True]
    return found


class Answering(QObject):
    """Answers where everything is."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder
        self.timer = QTimer(self)
        self.timer.timeout.connect(self.answer)
        self.timer.start(20)

    def answer(self) -> None:
        """Write the answer if it was asked for."""
        ask = self.folder / "ask"
        if not ask.exists():
            return
        ask.unlink()
        places = {}
        for widget in QApplication.allWidgets():
            name = name_of(widget)
            if name and widget.isVisible() and not widget.visibleRegion().isEmpty():
                middle = widget.mapToGlobal(widget.visibleRegion().boundingRect().center())
                places[name] = [middle.x(), middle.y(), widget.isEnabled()]
            if isinstance(widget, RackView) and widget.isVisible():
                places |= tiles(widget)
        focus = QApplication.focusWidget()
        told = {"focus": "" if focus is None else name_of(focus), "places": places}
        part = self.folder / "where.part"
        part.write_text(json.dumps(told), encoding="utf-8")
        part.rename(self.folder / "where.json")


def main() -> int:
    """Open the window."""
    store, folder = Path(sys.argv[1]), Path(sys.argv[2])

    def now() -> datetime:
        return datetime.now(UTC) + timedelta(days=float((folder / "days").read_text()))

    app.now = now
    made = app.application()
    answering = Answering(folder)
    made.aboutToQuit.connect(answering.timer.stop)
    return app.run(store)


if __name__ == "__main__":
    status = main()
    sys.stdout.flush()
    os._exit(status)
