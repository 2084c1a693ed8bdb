"""How long from a key to the paint that answers it, on a rack of 48 vessels, beside a bare field of Qt's.

    python tests/benchmarks/key_to_paint.py [keys]

Keys are sent to the real widgets without a screen, and everything that waits is worked off until the field (or the
rack's view) has painted: what runs between the key and the picture is in it, what comes later by a timer is not.
Processor time; the median, and the 95th of 100. The bare field is a QLineEdit that is typed into in the same way: the
reference frame, below which no field can come.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

os.environ["QT_QPA_PLATFORM"] = "offscreen"

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from rackview import app as rackview
from rackview.core.events import Count, Feed, Harvest
from rackview.core.vessel import Vessel
from rackview.services.sessions import open_session
from rackview.ui.window import MainWindow

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
VESSELS, DAYS = 48, 21
LONGEST = 5.0


class Painted(QObject):
    """Notes when a widget was painted last."""

    def __init__(self, watched: QWidget) -> None:
        super().__init__(watched)
        self.at = 0.0
        watched.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            self.at = time.process_time()
        return False


def milliseconds(target: QWidget, painted: QWidget, press: Callable[[QWidget, int], None], keys: int) -> list[float]:
    """From each key to the paint that follows, ms."""
    seen, found = Painted(painted), []
    QApplication.processEvents()
    for n in range(keys):
        start = time.process_time()
        press(target, n)
        while seen.at < start:
            if time.process_time() - start > LONGEST:
                raise TimeoutError(f"nothing was painted after key {n}")
            QApplication.processEvents()
        found.append(1000 * (seen.at - start))
    return found


def rack(folder: Path) -> Path:
    """A store of 48 vessels with three weeks of counts, feedings and harvests."""
    session = open_session(folder / "rack.db", lambda: NOW)
    vessels = [Vessel(f"V{n:02}", "rotifer-L", "ABCD"[n // 12], n % 12 + 1, 20) for n in range(VESSELS)]
    events: list[object] = []
    for day in range(DAYS, 0, -1):
        for n, vessel in enumerate(vessels):
            at = NOW - timedelta(days=day, minutes=n)
            tallies = (28 + (n * day) % 9, 30 + (n + day) % 7, 31)
            events.append(Count(at=at, vessel=vessel.vessel, tallies=tallies, dilution=7))
            events.append(Feed(at=at + timedelta(seconds=9), vessel=vessel.vessel, feed="algae", amount=4))
            events.append(Harvest(at=at + timedelta(seconds=19), vessel=vessel.vessel, volume_l=4, refill_l=4))
    session.take(vessels=vessels, events=events)  # type: ignore[arg-type]  # a list of several kinds
    session.close()
    return folder / "rack.db"


def digit(target: QWidget, n: int) -> None:
    """Type a digit; after three, make room again."""
    if n % 3 == 0 and isinstance(target, QLineEdit):
        target.clear()
    QTest.keyClick(target, Qt.Key(Qt.Key.Key_1 + n % 9))


def arrow(target: QWidget, n: int) -> None:
    """Go to and fro on the rack."""
    QTest.keyClick(target, Qt.Key.Key_Right if n % 4 < 2 else Qt.Key.Key_Left)


def main(keys: int) -> None:
    application = rackview.application()
    with tempfile.TemporaryDirectory() as folder:
        session = open_session(rack(Path(folder)), lambda: NOW)
        window = MainWindow(session, look="light")
        window.resize(1366, 728)
        window.show()
        bare = QLineEdit()
        bare.show()
        rows: dict[str, list[float]] = {"bare field": milliseconds(bare, bare, digit, keys)}
        bare.hide()
        application.processEvents()
        while window.screen_widget().rail.model.rowCount() == 0:  # type: ignore[attr-defined]
            application.processEvents()  # until the estimates and the list of the day stand there
        view = window.screen_widget().view  # type: ignore[attr-defined]  # the rack is shown first
        rows["arrow on the rack"] = milliseconds(view, view.viewport(), arrow, keys)
        window.go("round")
        page = window.screen_widget()
        for name, field in (("tally of the round", page.count.fields["all.0"]), ("harvest", page.do.fields["harvest"])):  # type: ignore[attr-defined]
            field.line.setFocus()
            application.processEvents()
            rows[name] = milliseconds(field.line, field.line, digit, keys)
        window.close()
        session.close()
    base = statistics.median(rows["bare field"])
    print(f"{'':20} median   95th   x bare field")
    for name, found in rows.items():
        middle, high = statistics.median(found), sorted(found)[int(len(found) * 0.95)]
        print(f"{name:20} {middle:4.1f} ms {high:4.1f} ms {middle / base:6.1f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
