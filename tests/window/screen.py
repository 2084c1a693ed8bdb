"""A screen of its own for a real window: an X server without a display, a window manager, keys and a mouse."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

NEEDED = ("Xvfb", "openbox", "xdotool")
PATIENCE = 60.0
"""Seconds until what a key does must have happened, on a machine that does much else."""


def wanted() -> None:
    """Skip where there is no such screen; where the tests of a change run, that is a failure."""
    missing = [name for name in NEEDED if shutil.which(name) is None]
    if missing and os.environ.get("RACKVIEW_WINDOW") == "must":
        pytest.fail(f"a real window needs {', '.join(missing)}; .ci/setup dev installs them")
    if missing:
        pytest.skip(f"no {', '.join(missing)} here")


@contextmanager
def display(width: int, height: int) -> Iterator[str]:
    """An X server with a window manager; gives the name of its display."""
    reading, writing = os.pipe()
    size = f"{width}x{height}x24"
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", size, "-nolisten", "tcp", "-noreset"],
        pass_fds=[writing],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    manager = None
    try:
        with os.fdopen(reading) as told:
            name = f":{told.readline().strip()}"
        manager = subprocess.Popen(
            ["openbox"],
            env={**os.environ, "DISPLAY": name},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        yield name
    finally:
        for process in (manager, server):
            if process is not None:
                process.terminate()
                process.wait(10)


class Program:
    """The program in a window on a display: keys pressed are counted."""

    def __init__(self, name: str, store: Path, folder: Path) -> None:
        self.folder, self.store, self.keys = folder, store, 0
        self._env = {**os.environ, "DISPLAY": name, "QT_QPA_PLATFORM": "xcb", "LC_ALL": "C.UTF-8"}
        (folder / "days").write_text("0")
        self.process = self._start()

    def _start(self) -> subprocess.Popen[bytes]:
        driven = Path(__file__).with_name("driven.py")
        with (self.folder / "program.log").open("ab") as log:
            process = subprocess.Popen(
                [sys.executable, str(driven), str(self.store), str(self.folder)],
                env=self._env,
                stdout=log,
                stderr=log,
            )
        self.process = process
        self.until(lambda: bool(self.where()["places"]), "a window")
        window = self._xdotool("search", "--sync", "--onlyvisible", "--pid", str(process.pid)).split()[-1]
        self._xdotool("windowactivate", "--sync", window)
        self.until(lambda: bool(self.where()["focus"]), "the keyboard")
        return process

    def _logs(self) -> list[Path]:
        """What the program wrote of its troubles."""
        state = Path(os.environ.get("XDG_STATE_HOME", self.folder))
        return [self.folder / "program.log", *state.rglob("rackview.log")]

    def start_again(self) -> None:
        """Start the program once more."""
        self._start()

    def kill(self) -> None:
        """End it as a power cut would."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(10)

    def close(self) -> None:
        """Close it in order."""
        if self.process.poll() is None:
            self._xdotool("key", "ctrl+q")
            try:
                self.process.wait(30)
            except subprocess.TimeoutExpired:
                self.kill()

    def _xdotool(self, *words: str) -> str:
        done = subprocess.run(["xdotool", *words], env=self._env, capture_output=True, text=True, check=True)
        return done.stdout

    def where(self) -> dict[str, dict[str, list[int]]]:
        """What has the keyboard, and where everything is that can be seen."""
        answer = self.folder / "where.json"
        answer.unlink(missing_ok=True)
        (self.folder / "ask").touch()
        end = time.monotonic() + PATIENCE
        while not answer.exists():
            if self.process.poll() is not None or time.monotonic() > end:
                pytest.fail("the program is gone: " + (self.folder / "program.log").read_text()[-2000:])
            time.sleep(0.01)
        return json.loads(answer.read_text(encoding="utf-8"))

    def until(self, true: Callable[[], bool], what: str) -> None:
        """Wait until something is so."""
        end = time.monotonic() + PATIENCE
        while not true():
            if time.monotonic() > end:
                told = self.where()
                said = "\n".join(f.read_text()[-3000:] for f in self._logs())
                pytest.fail(f"no {what}; the keyboard is at {told['focus']}, seen: {sorted(told['places'])}\n{said}")
            time.sleep(0.03)

    def press(self, *names: str) -> None:
        """Press keys one after the other; every key of a chord counts."""
        for name in names:
            self._xdotool("key", "--delay", "8", name)
            self.keys += name.count("+") + 1 if name not in {"plus", "+"} else 1

    def type(self, text: str) -> None:
        """Type a text; a new line is Enter."""
        named = {"\n": "Return", "+": "plus", "*": "asterisk", "-": "minus", "/": "slash", " ": "space", ".": "period"}
        self._xdotool("key", "--delay", "8", *(named.get(c, c) for c in text))
        self.keys += len(text)

    def click(self, name: str) -> None:
        """Click the middle of what bears a name."""
        self.until(lambda: name in self.where()["places"], name)
        x, y, _ = self.where()["places"][name]
        self._xdotool("mousemove", "--sync", str(x), str(y), "click", "1")

    def drag(self, name: str, onto: str) -> None:
        """Drag what bears a name onto what bears another, as a hand does: in steps."""
        self.until(lambda: {name, onto} <= self.where()["places"].keys(), f"{name} and {onto}")
        places = self.where()["places"]
        (x, y, _), (to_x, to_y, _) = places[name], places[onto]
        self._xdotool("mousemove", "--sync", str(x), str(y), "mousedown", "1")
        for n in range(1, 9):
            self._xdotool("mousemove", "--sync", str(x + (to_x - x) * n // 8), str(y + (to_y - y) * n // 8))
        self._xdotool("mouseup", "1")

    def at(self, name: str) -> None:
        """Wait until the keyboard is there."""
        self.until(lambda: str(self.where()["focus"]).startswith(name), f"keyboard at {name}")
