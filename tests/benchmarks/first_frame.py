"""How soon a real window shows something, from the start of the process, beside a bare Qt window on the same display.

    python tests/benchmarks/first_frame.py [rounds]

Needs Xvfb and openbox. A watcher on the same display looks at the screen every few milliseconds, so what is timed is
what an eye would see: when a window is there, when it is no longer one flat colour (black, or the ground alone), and
how long it stood flat in between. Three programs, each in a process of its own, in turn: a bare window that paints a
hundred lines of text; the program on an empty store; the program on the demo rack. Medians of the rounds, and their
ratio to the bare window, which holds on a busy machine too.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "window"))
from screen import display

BARE = """
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QApplication, QWidget
class Bare(QWidget):
    def paintEvent(self, event):
        painter = QPainter(self)
        for n in range(100):
            painter.drawText(20 + 200 * (n % 5), 30 + 30 * (n // 5), f"line {n}")
app = QApplication([])
window = Bare()
window.resize(1300, 700)
window.show()
app.exec()
"""
LONGEST = 30.0
FLAT = 8
"""A window with no more colours than this is flat: its ground, perhaps a frame."""


class Watcher:
    """Looks at a display."""

    def __init__(self, name: str) -> None:
        os.environ |= {"DISPLAY": name, "QT_QPA_PLATFORM": "xcb"}
        from PySide6.QtGui import QGuiApplication

        self._app = QGuiApplication([])

    def colours(self) -> int:
        """How many colours are seen in the middle of the screen."""
        image = self._app.primaryScreen().grabWindow(0).toImage()
        wide, high = image.width(), image.height()
        return len({image.pixel(x, y) for x in range(40, wide - 40, 9) for y in range(60, high - 60, 9)})

    def ground(self) -> int:
        """The colour of the empty desktop."""
        return self._app.primaryScreen().grabWindow(0).toImage().pixel(200, 200)

    def first_frame(self, words: list[str]) -> tuple[float, float]:
        """Seconds until a window is there, and until it shows something."""
        before = self.ground()
        start = time.monotonic()
        process = subprocess.Popen(words, env=dict(os.environ), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        there = 0.0
        try:
            while (passed := time.monotonic() - start) < LONGEST:
                if not there and self.ground() != before:
                    there = passed
                if self.colours() > FLAT:
                    return there or passed, passed
                time.sleep(0.004)
        finally:
            process.kill()
            process.wait(10)
            while self.ground() != before:
                time.sleep(0.02)
        raise TimeoutError(f"nothing was seen of {words} in {LONGEST:.0f} s")


def main(rounds: int) -> None:
    with tempfile.TemporaryDirectory() as folder, display(1366, 768) as name:
        for part in ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_RUNTIME_DIR"):
            os.environ[part] = str(Path(folder) / part)
            Path(os.environ[part]).mkdir(mode=0o700)
        demo = str(Path(folder) / "demo.db")
        subprocess.run([sys.executable, "-m", "rackview", "demo", demo], check=True, capture_output=True)
        watcher = Watcher(name)
        ours = [sys.executable, "-m", "rackview", "--store"]
        cases = {
            "bare window": [sys.executable, "-c", BARE],
            "empty store": [*ours, str(Path(folder) / "new.db")],
            "demo rack": [*ours, demo],
        }
        seen: dict[str, list[tuple[float, float]]] = {case: [] for case in cases}
        for case, words in cases.items():
            watcher.first_frame(words)  # compiles, and warms the disk
            print(f"{case}: warm", flush=True)
        for _ in range(rounds):
            for case, words in cases.items():
                seen[case].append(watcher.first_frame(words))
        bare = statistics.median(full for _, full in seen["bare window"])
        print(f"{'':12} window  picture  flat between  x bare")
        for case, found in seen.items():
            there, full = (statistics.median(v) for v in zip(*found, strict=True))
            flat = statistics.median(b - a for a, b in found)
            print(f"{case:12} {there:5.2f} s  {full:5.2f} s       {flat:5.2f} s  {full / bare:5.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
