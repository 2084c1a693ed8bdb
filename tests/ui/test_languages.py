"""A window that speaks another language says nothing in English, and the other way round."""

from __future__ import annotations

import gettext
import json
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from string import Formatter

import pytest

from rackview import translations

OTHERS = [code for code in translations.offered() if code != translations.ENGLISH]
WALK = """
import json, sys
from datetime import UTC, datetime
from pathlib import Path
from rackview import translations
translations.install(sys.argv[2:])
from PySide6.QtCore import QAbstractListModel, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractButton, QAbstractItemView, QApplication, QComboBox, QGroupBox, QLabel, QLineEdit
from PySide6.QtWidgets import QWidget
from rackview import app
from rackview.services.sessions import open_session
from rackview.ui.registry import SCREENS
from rackview.ui.window import MainWindow
app.application()
at = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
window = MainWindow(open_session(Path(sys.argv[1]), lambda: at))
window.resize(1366, 768)
window.show()
seen = {}
def look(screen):
    texts = seen.setdefault(screen, set())
    for one in (window, *window.findChildren(QWidget)):
        texts |= {one.toolTip(), one.accessibleName(), one.accessibleDescription(), one.windowTitle()}
        if isinstance(one, QLabel | QAbstractButton):
            texts.add(one.text())
        if isinstance(one, QLineEdit):
            texts.add(one.placeholderText())
        if isinstance(one, QGroupBox):
            texts.add(one.title())
        if isinstance(one, QComboBox):
            texts |= {one.itemText(n) for n in range(one.count())}
        if isinstance(one, QAbstractItemView) and one.model() is not None:
            model = one.model()
            roles = (Qt.DisplayRole, Qt.ToolTipRole, Qt.AccessibleTextRole)
            columns = 1 if isinstance(model, QAbstractListModel) else model.columnCount()
            for row in range(min(model.rowCount(), 200)):
                for column in range(columns):
                    texts |= {str(model.index(row, column).data(role) or "") for role in roles}
            for column in range(columns):
                texts.add(str(model.headerData(column, Qt.Horizontal) or ""))
    texts |= {action.text() for action in window.findChildren(QAction)}
for screen in SCREENS:
    if screen == "help":
        continue  # its pages are the documents, which are in English
    window.go(screen)
    for _ in range(5):
        QApplication.processEvents()
    look(screen)
for vessel in list(window.session.rack.vessels)[:4]:
    window.go("vessel", vessel)
    QApplication.processEvents()
    look("vessel")
print(json.dumps({s: sorted(t - {""}) for s, t in seen.items()}))
window.leave()
"""


def shown(store: Path, *words: str) -> dict[str, list[str]]:
    done = subprocess.run(
        [sys.executable, "-c", WALK, str(store), *words],
        env={**os.environ, "LANG": "C.UTF-8"}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    found: dict[str, list[str]] = json.loads(done.stdout.splitlines()[-1])
    return found


def command(store: Path, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "rackview", "--store", str(store), "--at", "2026-05-14T07:30Z", *words],
        capture_output=True, text=True, check=True, env={**os.environ, "COLUMNS": "4000"},
    )  # fmt: skip
    return done.stdout


def pieces(text: str) -> set[str]:
    """The parts of a sentence between its fields that have three words or more."""
    parts = (before.strip(" .,;:") for before, _name, _form, _turned in Formatter().parse(text))
    return {p for p in parts if len(re.findall(r"[^\W\d_]{2,}", p)) >= 3}


@cache
def both(code: str) -> tuple[set[str], set[str]]:
    """What only English says, and what only the other language does."""
    with (translations.FOLDER / code / "LC_MESSAGES" / "rackview.mo").open("rb") as file:
        entries = gettext.GNUTranslations(file)._catalog
    english, other = set(), set()
    for key, text in entries.items():
        if isinstance(key, str) and key:
            english |= pieces(key)
            other |= pieces(text)
    return english - other, other - english


def found_in(texts: list[str], wrong: set[str]) -> list[str]:
    whole = "\n".join(texts)
    return sorted(w for w in wrong if w in whole and re.search(rf"(?<!\w){re.escape(w)}(?!\w)", whole))


@pytest.mark.parametrize("code", OTHERS)
def test_no_screen_says_anything_in_another_language(small_store: Path, tmp_path: Path, code: str) -> None:
    english, other = both(code)
    assert min(len(english), len(other)) > 1000
    (tmp_path / "rack.db").write_bytes((small_store / "rack.db").read_bytes())
    for words, wrong in ((("--language", code), english), ((), other)):
        seen = shown(tmp_path / "rack.db", *words)
        assert sum(map(len, seen.values())) > 500
        assert {s: f for s, t in seen.items() if (f := found_in(t, wrong))} == {}


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("asked", ["status", "advise", "plan", "stock"])
def test_no_answer_of_the_command_line_does(small_store: Path, code: str, asked: str) -> None:
    english, other = both(code)
    store = small_store / "rack.db"
    assert found_in([command(store, asked, "--language", code)], english) == []
    assert found_in([command(store, asked)], other) == []


DAYS = """
import sys
from datetime import date
from rackview import translations
translations.install(["--language", "es"])
from rackview.ui.forms.dates import parse_day
for text in sys.argv[1:]:
    print(parse_day(text, date(2026, 5, 14), first=True))
"""


def test_days_are_understood_in_the_words_of_the_language_and_in_english() -> None:
    said = {
        "ayer": "2026-05-13", "hoy": "2026-05-14", "mañana": "2026-05-15", "hace 3 días": "2026-05-11",
        "3 abr": "2026-04-03", "3 de abril de 2025": "2025-04-03", "12 ene": "2026-01-12", "miércoles": "2026-05-13",
        "yesterday": "2026-05-13", "3 Apr": "2026-04-03", "monday": "2026-05-11",
    }  # fmt: skip
    done = subprocess.run([sys.executable, "-c", DAYS, *said], capture_output=True, text=True, check=True)
    assert done.stdout.split() == list(said.values())
