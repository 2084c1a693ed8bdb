"""The clock on the wall: every hour and day that is shown is the keeper's own, wherever the PC stands."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rackview.ui.minute import LATE_MS, MinuteTimer

SHOWN = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from PySide6.QtWidgets import QLabel
from rackview import app
from rackview.services.sessions import open_session
from rackview.ui.window import MainWindow
application = app.application()
at = datetime(2026, 5, 14, 3, 30, tzinfo=UTC)
window = MainWindow(open_session(Path(sys.argv[1]), lambda: at))
window.resize(1366, 768)
window.show()
application.processEvents()
import re
texts = [label.text() for label in window.screen_widget().findChildren(QLabel)]
print(*sorted({found[0] for text in texts for found in re.finditer(r"\\b\\d\\d:\\d\\d|\\d+ May", text)}))
"""


@pytest.mark.parametrize(
    ("zone", "shown"), [("UTC", "03:30 14 May"), ("EST+5", "13 May 22:30"), ("JST-9", "12:30 14 May")]
)
def test_the_rack_shows_the_keepers_own_clock(small_store: Path, tmp_path: Path, zone: str, shown: str) -> None:
    shutil.copytree(small_store, tmp_path, dirs_exist_ok=True)
    env = os.environ | {"TZ": zone, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", SHOWN, str(tmp_path / "rack.db")], env=env, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == shown


@pytest.mark.parametrize(("second", "left_ms"), [(0, 60_000), (42, 18_000), (59, 1_000)])
def test_what_is_of_a_minute_is_shown_anew_when_the_next_begins(qtbot, second: int, left_ms: int) -> None:
    timer = MinuteTimer(lambda: datetime(2026, 5, 14, 3, 30, second, tzinfo=UTC))
    timer.begin()
    assert timer.interval() == left_ms + LATE_MS
    timer.stop()
