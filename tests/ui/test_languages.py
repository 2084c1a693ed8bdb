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

FEEDS = {"algae concentrate"}
"""What the keeper of the small store calls a feed, a name that the bench has too."""
OTHERS = [code for code in translations.languages() if code != translations.ENGLISH]
WALK = """
import json, sys
from datetime import UTC, datetime
from pathlib import Path
from rackview import translations
translations.install_language(sys.argv[2:])
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
def look(screen, whole=False):  # a screen that was left has been looked at; all of them once more at the end
    texts = seen.setdefault(screen, set())
    left = [] if whole else [page for page in window.screens.values() if page is not window.screen_widget()]
    away = {one for page in left for one in (page, *page.findChildren(QWidget))}
    for one in (window, *window.findChildren(QWidget)):
        if one in away:
            continue
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
look("at the end", whole=True)
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


@cache
def names(code: str) -> set[str]:
    """English words that stand by themselves somewhere, such as on a button, and are others in the other language."""
    with (translations.FOLDER / code / "LC_MESSAGES" / "rackview.mo").open("rb") as file:
        entries = gettext.GNUTranslations(file)._catalog
    return {k for k, text in entries.items() if isinstance(k, str) and k and k != text} - set(entries.values())


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
        alone = names(code) - FEEDS if words else set()
        assert {s: f for s, t in seen.items() if (f := alone & set(t))} == {}, "a word that stands by itself"


CHANCES = """
import sys
from rackview import translations
translations.install_language(sys.argv[1:])
from rackview.advice.words.flags import flag
from rackview.advice.words.speech import Speech
from rackview.advice.words.suggestions import likelihood_of
from rackview.core.assessment import Flag, Severity
values = {"odds": 0.3, "mornings": 0, "falls": 0}
for more in (values, {}):
    text = flag("early", more, Speech.__new__(Speech))
    print(bool(likelihood_of(Flag("early", Severity.week, text, "fall likely", 0.3))))
"""


@pytest.mark.parametrize("code", [translations.ENGLISH, *OTHERS])
def test_a_chance_that_a_flag_says_is_not_said_again(code: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", CHANCES, "--language", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["False", "True"]


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("asked", ["status", "advise", "plan", "stock"])
def test_no_answer_of_the_command_line_does(small_store: Path, code: str, asked: str) -> None:
    english, other = both(code)
    store = small_store / "rack.db"
    assert found_in([command(store, asked, "--language", code)], english) == []
    assert found_in([command(store, asked)], other) == []


TABLE = """Date,Tank,Amount,Done,Notes
2026-05-01,{vessel},12,turned,clear
2026-05-02,{vessel},14,count,cloudy
"""
WRITTEN = """at,vessel,kind,tallies,swimming,note
2026-05-03T08:00,{vessel},count,12 14,4,seen
"""


@pytest.mark.parametrize("code", OTHERS)
def test_no_answer_about_tables_or_the_store_does(small_store: Path, tmp_path: Path, code: str) -> None:
    english, _other = both(code)
    store = tmp_path / "rack.db"
    store.write_bytes((small_store / "rack.db").read_bytes())
    vessel = json.loads(command(store, "status", "--json"))[0]["vessel"]
    (tmp_path / "kept.csv").write_text(TABLE.format(vessel=vessel))
    (tmp_path / "own.csv").write_text(WRITTEN.format(vessel=vessel))
    for words in (
        ("check",),
        ("import", "--dry-run", str(tmp_path / "own.csv")),
        ("import", "--dry-run", str(tmp_path / "kept.csv")),
        ("export", str(tmp_path / "out")),
    ):
        done = subprocess.run(
            [sys.executable, "-m", "rackview", "--store", str(store), *words, "--language", code],
            capture_output=True, text=True, check=False, env={**os.environ, "COLUMNS": "4000"},
        )  # fmt: skip
        said = done.stdout + done.stderr
        assert said
        assert found_in([said], english) == [], said
        assert not re.search(r"\b(a number|unknown|tallies|swimming|note “)", said), said


CHOICES = """
import json, sys
from rackview import translations
translations.install_language(sys.argv[1:])
from rackview.core.events import CLEANED
from rackview.exchange.freeform.question import THINNING
from rackview.exchange.freeform.separators import SIGNS
from rackview.exchange.freeform.targets import TARGETS
from rackview.exchange.freeform.understand import IN_WIDE
from rackview.ui.bench.benches import benches
from rackview.ui.words.choices import answer_word, argument_word
found = {"column x": [*TARGETS], "numbers under the vessels": IN_WIDE, "logger": THINNING, "separator": [*SIGNS],
         "date order": ["day first", "month first"], "crashed": ["a count of 0", "note"], "cleaned": CLEANED,
         "unknown vessels": ["new vessels", "new rotifer-L", "vessels of this rack by other names", "left out"],
         "vessel": ["note", "count", "left out", "none of these"],
         "kind x": ["count", "reading", "feed", "harvest", "exchange", "clean", "top_up", "split", "restart", "note"]}
said = {question: {o: answer_word(question, o) for o in options} for question, options in found.items()}
said["bench"] = {c: argument_word(c) for sums in benches().values() for s in sums for a in s.asks for c in a.choices}
print(json.dumps(said))
"""
SPECIES = re.compile(r"[A-Z][a-z]+ [a-z]+(?:, A\. hudsonica)?|Nannochloropsis|Skeletonema|(?:rotifer|copepod)-\w+")
SAME = {"Paloheimo", "Edmondson", "Snell", "NBS", "total", "t/4", "60/60F", "20/20", "25/25"}
"""Authors, scales and a word that is the same in both languages."""


@pytest.mark.parametrize("code", OTHERS)
def test_what_can_be_chosen_is_shown_in_the_language(code: str) -> None:
    def said(*words: str) -> dict[str, dict[str, str]]:
        done = subprocess.run([sys.executable, "-c", CHOICES, *words], capture_output=True, text=True, check=True)
        return json.loads(done.stdout)  # type: ignore[no-any-return]

    english, other = said(), said("--language", code)
    assert english["unknown vessels"].pop("new rotifer-L") == "new L rotifer"
    assert other["unknown vessels"]["new rotifer-L"] != "new L rotifer"
    assert all(key == word for words in english.values() for key, word in words.items())
    assert {k for k, word in other["vessel"].items() if word != k} == {"left out", "none of these"}, (
        "a vessel may have any name"
    )
    left = {k for question, words in other.items() if question != "vessel" for k, word in words.items() if k == word}
    assert {k for k in left - SAME if not SPECIES.fullmatch(k)} == set()


BASES = """
import json, sys
from rackview import translations
translations.install_language(sys.argv[1:])
from rackview.ui.bench.benches import benches, for_keepers
every = [one.formula for sums in benches().values() for one in sums]
print(json.dumps([for_keepers(words) for f in every for words in (f.text, f.range_words, f.source)]))
"""
CITATION = re.compile(r"[1-2]\d{3}\b|NIST|van 't Hoff")


@pytest.mark.parametrize("code", OTHERS)
def test_on_what_a_sum_rests_is_shown_in_the_language(code: str) -> None:
    def said(*words: str) -> list[str]:
        done = subprocess.run([sys.executable, "-c", BASES, *words], capture_output=True, text=True, check=True)
        return json.loads(done.stdout)  # type: ignore[no-any-return]

    english, other = said(), said("--language", code)
    assert len(english) == len(other) > 450
    assert found_in(other, both(code)[0]) == []
    assert found_in(english, both(code)[1]) == []
    same = {one for one, its in zip(english, other, strict=True) if one == its}
    words = {one for one in same if re.search(r"[^\W\d_]{3,} [^\W\d_]{2,} [^\W\d_]{2,}", one)}
    assert {one for one in words if not CITATION.search(one)} == set()
    assert not {one for one in other if re.search(r"\b(above|or more|common practice|no source|see|definition)\b", one)}


DAYS = """
import sys
from datetime import date
from rackview import translations
translations.install_language(["--language", "es"])
from datetime import UTC, datetime
from rackview.ui.forms.dates import parse_day, parse_moment
now = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
assert [parse_moment(word, now, first=True) for word in ("now", "Ahora")] == [now, now]
for text in sys.argv[1:]:
    print(parse_day(text, date(2026, 5, 14), first=True))
"""


def test_days_are_understood_in_the_words_of_the_language_and_in_english() -> None:
    said = {
        "ayer": "2026-05-13", "hoy": "2026-05-14", "mañana": "2026-05-15", "hace 3 días": "2026-05-11",
        "hace 1 dia": "2026-05-13", "2 days ago": "2026-05-12",
        "3 abr": "2026-04-03", "3 de abril de 2025": "2025-04-03", "12 ene": "2026-01-12", "miércoles": "2026-05-13",
        "yesterday": "2026-05-13", "3 Apr": "2026-04-03", "monday": "2026-05-11",
    }  # fmt: skip
    done = subprocess.run([sys.executable, "-c", DAYS, *said], capture_output=True, text=True, check=True)
    assert done.stdout.split() == list(said.values())
