"""English from left to right whatever the system's locale, and numbers as that system writes them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ASKED = """
import json, sys
from datetime import UTC, datetime
from pathlib import Path
from PySide6.QtCore import QEvent, QLocale, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget
from rackview import app
from rackview.core.events import Count, Feed
from rackview.services.sessions import open_session
from rackview.ui.words import formats
from rackview.ui.window import MainWindow
at = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
app.application()
session = open_session(Path(sys.argv[1]), lambda: at)
window = MainWindow(session)
window.show()
window.go("round", "Brill")
page = window.screen_widget()
def type_in(field, text):
    for letter in text:
        key = QKeyEvent(QEvent.Type.KeyPress, 0, Qt.KeyboardModifier.NoModifier, letter)
        QApplication.sendEvent(field.line, key)
type_in(page.count.fields["all.0"], sys.argv[2])
type_in(page.do.fields["feed"], sys.argv[3])
page.record()
events = list(session.rack.events())
count = max((e for e in events if isinstance(e, Count)), key=lambda e: e.at)
fed = max((e for e in events if isinstance(e, Feed)), key=lambda e: e.at)
directions = {w.layoutDirection().name for w in (window, *window.findChildren(QWidget))}
print(json.dumps({
    "system": QLocale.system().name(), "directions": sorted(directions), "day": formats.full_date(at.date()),
    "tallies": count.tallies, "fed": fed.amount, "menu": window.commands["undo"].text()[:5],
}))
"""


@pytest.mark.parametrize(
    ("lang", "tally", "amount"),
    [("ar_EG.UTF-8", "٣٤", "٤٫٥"), ("tr_TR.UTF-8", "34", "4,5"), ("C.UTF-8", "34", "4.5")],
)
def test_english_from_left_to_right_and_numbers_as_the_system_writes_them(
    small_store: Path, tmp_path: Path, lang: str, tally: str, amount: str
) -> None:
    (tmp_path / "rack.db").write_bytes((small_store / "rack.db").read_bytes())
    done = subprocess.run(
        [sys.executable, "-c", ASKED, str(tmp_path / "rack.db"), tally, amount],
        env={**os.environ, "LANG": lang, "LC_ALL": lang, "LANGUAGE": lang.partition("_")[0]},
        capture_output=True,
        text=True,
        check=True,
    )
    told = json.loads(done.stdout.splitlines()[-1])
    assert told["system"] == lang.partition(".")[0], "the system was of that locale"
    assert told["directions"] == ["LeftToRight"]
    assert told["day"] == "Thursday 14 May"
    assert told["menu"] == "&Undo"
    assert (told["tallies"], told["fed"]) == ([34], 4.5)
