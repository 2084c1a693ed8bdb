"""The shelves are painted before anything is worked out, and before anything is loaded that only later steps need."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, date, datetime

import pytest

from rackview.services.sessions import demo_session

START = """
import gc, sys
from pathlib import Path
from PySide6.QtCore import QTimer
from rackview import app
from rackview.ui.rack.view import RackView
from rackview.ui.rack.screen import RackScreen
application = app.application()
program = app.Program(application)
told = []
paint, work_out = RackView.paintEvent, RackScreen.work_out
def painted(self, event):
    if not told:
        heavy = ("pandas", "numpy", "scipy", "pyqtgraph", "sqlite_utils", "gsw")
        told.extend(["painted", *(m for m in heavy if m in sys.modules)])
    paint(self, event)
def worked_out(self):
    print("painted" in told, self.rail._calm.text(), *told[1:], sep="|")
    work_out(self)
    print(self.rail.model.rowCount() > 0)
    QTimer.singleShot(0, application.quit)
RackView.paintEvent, RackScreen.work_out = painted, worked_out
searches = []
gc.callbacks.append(lambda phase, told: searches.append(phase))
program.open(Path(sys.argv[1]))
print(len(searches), gc.isenabled(), gc.get_freeze_count() > 10_000)
program.run()
"""


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    path = tmp_path_factory.mktemp("first") / "rack.db"
    demo_session(path, lambda: datetime.now(UTC), date.today()).close()  # noqa: DTZ011 - the started program's own day
    return path


def test_the_shelves_are_painted_first_and_nothing_heavy_is_loaded_for_it(store):
    done = subprocess.run([sys.executable, "-c", START, str(store)], capture_output=True, text=True, check=True)
    searches, *shown = done.stdout.splitlines()
    assert shown == ["True|One moment…", "True"]
    assert searches == "0 True True", "while a window is made no garbage is searched for, and later not among its parts"


def test_no_source_is_read_at_a_start() -> None:
    """PySide would read that of every module, which none of ours needs it to."""
    code = (
        "import linecache, sys; from rackview import app; from rackview.advice import suggest; "
        "assert 'PySide6.QtWidgets' in sys.modules; "
        "print([name for name in linecache.cache if 'rackview' in name and name.endswith('suggest.py')]); "
        "import builtins; print('feature' in builtins.__import__.__name__)"
    )
    env = os.environ | {"QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["[]", "False"], "nor is each import asked for Qt's functions by other names"
