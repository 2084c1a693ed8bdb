"""Real windows on files that are no good, off the screen, one after another in one process.

    python tests/benchmarks/store_windows.py STORE...

Each store is opened as the program opens it, every screen and every vessel is gone to, the poll asked, and what the
window offers where it can't be opened is waited for. Tells on the standard output a line of JSON as it begins with a
store and one of what came of it, so that a window which takes the process with it can be told. store_spoilt.py starts
it and reads that.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

NOW = datetime(2026, 3, 13, 8, tzinfo=UTC)
LONGEST_S = 60.0
QUIET_LOOKS = 3
"""Looks in a row at which no thread works until all is done: one that was just given work has not woken at once."""
HOMES = ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_RUNTIME_DIR")


def opened(stores: list[Path], home: Path) -> Iterator[dict[str, object]]:
    """What came of a window on each; one that took its process with it is told as such, and the rest goes on."""
    left = list(stores)
    while left:
        env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", **{name: str(home / name.lower()) for name in HOMES}}
        done = subprocess.run(
            [sys.executable, __file__, *map(str, left)], env=env, capture_output=True, text=True, check=False
        )
        told = [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]
        ended = {str(t["store"]): t for t in told if "what" in t}
        begun = [str(t["store"]) for t in told if "what" not in t]
        for path in list(left):
            if str(path) in ended:
                yield ended[str(path)]
                left.remove(path)
        if done.returncode or not told:
            if not begun or begun[-1] in ended:
                raise RuntimeError(f"{done.returncode}: {done.stderr}")
            yield {"store": begun[-1], "what": "died", "wrong": [f"status {done.returncode}: {done.stderr}"]}
            left.remove(Path(begun[-1]))


def _at_work(thread: threading.Thread) -> bool:
    """Whether a thread beside this one does something; the one that works out advice lives on and waits for more."""
    if thread is threading.current_thread():
        return False
    frame = sys._current_frames().get(thread.ident)
    return thread.name != "advice" or frame is None or frame.f_code is not threading.Condition.wait.__code__


class Watched:
    """The program on one store, with all that escapes it written down."""

    def __init__(self, path: Path) -> None:
        from rackview import app

        self.path = path
        self.wrong: list[str] = []
        self.app = app.application()
        self.program = app.Program(self.app)

    def _step(self, act: Callable[[], object]) -> None:
        """Do it as Qt would, from its event loop."""
        from PySide6.QtCore import QTimer

        QTimer.singleShot(0, act)
        self.app.processEvents()

    def _escaped(self, kind: type[BaseException], error: BaseException, trace: object) -> None:
        from rackview.store import StoreError
        from rackview.ui import crash

        if isinstance(error, StoreError) and crash._Report.mend is not None:
            crash.uncaught(kind, error, trace)
            return
        import traceback

        self.wrong.append("".join(traceback.format_exception(kind, error, trace)))

    def _settle(self) -> None:
        begun, quiet = time.perf_counter(), 0
        while quiet < QUIET_LOOKS and time.perf_counter() - begun < LONGEST_S:
            self.app.processEvents()
            quiet = 0 if any(map(_at_work, threading.enumerate())) else quiet + 1
            time.sleep(0.005)
        self.app.processEvents()

    def look(self) -> dict[str, object]:
        """Open, go everywhere, and say how it ended: opened, damage seen from inside, or what was in the way."""
        sys.excepthook = self._escaped
        threading.excepthook = lambda a: self._escaped(a.exc_type, a.exc_value, a.exc_traceback)
        begun = time.process_time()
        try:
            self.program.open(self.path)
            self._settle()
            what = self._walk()
        except Exception:  # noqa: BLE001 - whatever it is, it is what this looks for
            import traceback

            what = "raised"
            self.wrong.append(traceback.format_exc())
        finally:
            self._step(self._leave)
            self._settle()
        return {
            "store": str(self.path),
            "what": what,
            "wrong": self.wrong,
            "seconds": time.process_time() - begun,
        }

    def _walk(self) -> str:
        from rackview.ui import registry
        from rackview.ui.store.opening import OpeningWindow
        from rackview.ui.window import MainWindow

        window = self.program._window
        if isinstance(window, MainWindow):
            for name in registry.SCREENS:
                self._step(lambda name=name: window.go(name))
            for vessel in tuple(window.session.rack.vessels):
                self._step(lambda vessel=vessel: window.go("vessel", vessel))
            self._step(window._ask_others)
            self._settle()
            self._step(window._ask_others)
            if window.session.fault is None:
                return "opened"
            self._sentence(str(window.session.fault))
            self._step(lambda: window.store_trouble.emit(window.session.fault))
        shown = self.program._window
        if not isinstance(shown, OpeningWindow):
            self.wrong.append(f"no window says what is wrong: {shown}")
            return "nothing"
        self._settle()
        self._sentence(shown.trouble.details)
        if shown.trouble.what == "failed":
            self.wrong.append(f"a fault of our own: {shown.trouble.details}")
        return shown.trouble.what if shown is not window and not isinstance(window, MainWindow) else "seen from inside"

    def _sentence(self, said: str) -> None:
        if "\n" in said or not said.endswith(".") or "Traceback" in said or "inside rackview" in said:
            self.wrong.append(f"no sentence: {said!r}")

    def _leave(self) -> None:
        program = self.program
        program._leave_session()
        if program._window is not None:
            program._window.close()
            program._window.deleteLater()
        if program._door is not None:
            program._door.close()


def main(words: list[str]) -> int:
    """Open each; see the module's text."""
    from rackview import app
    from rackview.services import places
    from rackview.ui import crash

    moment = NOW + timedelta(hours=1)
    app.now = lambda: moment
    crash.install_crash_hooks(places.log_dir())
    for word in words:
        print(json.dumps({"store": word}), flush=True)
        print(json.dumps(Watched(Path(word)).look()), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
