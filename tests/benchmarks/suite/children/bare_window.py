"""A bare Qt window: prints processor time and peak memory at its first paint, or after idling for some seconds."""

import sys
import time
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget

IDLE = float(sys.argv[1]) if len(sys.argv) > 1 else 0.0


def peak() -> float:
    with Path("/proc/self/status").open(encoding="ascii") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) / 1024


class Bare(QWidget):
    def paintEvent(self, event: object) -> None:
        if not IDLE:
            print(time.process_time(), peak(), flush=True)
            app.quit()


def idled() -> None:
    print(time.process_time() - begun[0], 0, flush=True)
    app.quit()


app = QApplication([])
window = Bare()
window.resize(1280, 720)
window.show()
begun = [0.0]
if IDLE:
    QTimer.singleShot(3000, lambda: begun.insert(0, time.process_time()))
    QTimer.singleShot(3000 + round(1000 * IDLE), idled)
app.exec()
