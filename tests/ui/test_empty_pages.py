"""An empty page tells what will stand there and what to do for it: no page is merely blank."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from PySide6.QtWidgets import QLabel, QWidget

from rackview.services.sessions import open_session
from rackview.ui.registry import make
from rackview.ui.theme import LIGHT

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
TEACHES = {
    "rack": "Add the first one with its strain, volume and place",
    "round": "Add a vessel, or return a resting one",
    "larvae": "Add one when it is spawned, and the rack is sized for its hatch",
    "stock": "With one here, feeding is suggested in its amounts",
    "records": "The round writes here",
    "loss": "When a culture is lost, the 14 days before it stand here",
    "compare": "record counts and harvests, and kits in a vessel's set-up",
}


@pytest.fixture(scope="module")
def nothing(tmp_path_factory):
    made = open_session(tmp_path_factory.mktemp("empty") / "rack.db", lambda: NOW)
    yield made
    made.close()


def said(screen: QWidget) -> str:
    """The words of a page's labels, names for a screen reader, and texts that its parts paint themselves."""
    found = []
    for one in (screen, *screen.findChildren(QWidget)):
        found += [one.accessibleName(), one.text() if isinstance(one, QLabel) and not one.isHidden() else ""]
        found += [value for value in vars(one).values() if isinstance(value, str)]
    return "\n".join(found)


@pytest.mark.parametrize("name", TEACHES)
def test_an_empty_page_teaches(qtbot, nothing, name):
    parent = QWidget()
    qtbot.addWidget(parent)
    screen = make(name, nothing, LIGHT, parent)
    screen.resize(900, 560)
    for method in ("refresh", "open"):
        if hasattr(screen, method):
            getattr(screen, method)()
    parent.show()
    qtbot.waitUntil(lambda: TEACHES[name] in said(screen))
