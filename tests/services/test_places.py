"""Where settings lie is known in two ways, and the short one must say what the other does."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from rackview import translations
from rackview.services import places


@pytest.mark.parametrize("set_to", [None, "", "/somewhere/else", "settings", " "])
def test_the_language_is_looked_up_where_the_window_keeps_its_settings(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, set_to: str | None
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    if set_to is not None:
        monkeypatch.setenv("XDG_CONFIG_HOME", set_to)
    assert translations._settings() == places.config_dir()


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere platformdirs is asked")
def test_the_usual_settings_on_linux_are_found_without_asking_for_their_place(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    monkeypatch.setitem(sys.modules, "platformdirs", None)
    (tmp_path / ".config" / "rackview").mkdir(parents=True)
    (tmp_path / ".config" / "rackview" / "window.ini").write_text("[General]\nlanguage=es\n")
    assert translations._kept() == "es"
