"""The entry in the applications menu: put there and taken out, well-formed by our own parser and by the usual tools."""

from __future__ import annotations

import argparse
import configparser
import re
import shutil
import subprocess
import sys
from importlib import resources
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from rackview import __version__
from rackview.cli import parser
from rackview.core.errors import InputError
from rackview.services import desktop

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="a menu of Linux desktops")
MAIN = {"AudioVideo", "Development", "Education", "Game", "Graphics", "Network", "Office", "Science", "Settings"}
"""Main categories of the Desktop Menu Specification, from memory; an entry names at least one."""


def entry(path: Path) -> configparser.SectionProxy:
    parser = configparser.RawConfigParser(delimiters=("=",), comment_prefixes=("#",), strict=True)
    parser.optionxform = str  # type: ignore[assignment, method-assign]
    parser.read(path, encoding="utf-8")
    assert parser.sections() == ["Desktop Entry"]
    return parser["Desktop Entry"]


@pytest.fixture
def home(tmp_path) -> Path:
    return tmp_path / "share"


def test_it_is_put_into_the_menu_and_taken_out_without_a_trace(home):
    other = home / "applications" / "other.desktop"
    other.parent.mkdir(parents=True)
    other.write_text("[Desktop Entry]\n")
    written = desktop.install_menu_entry(["/usr/bin/rackview"], home)
    assert len(written) == 5
    assert all(p.is_file() for p in written)
    assert desktop.installed(home)
    assert desktop.install_menu_entry(["/usr/bin/rackview"], home) == written, "twice is as once"
    assert sorted(desktop.remove(home)) == sorted(written)
    assert not desktop.installed(home)
    assert desktop.remove(home) == []
    assert [p for p in home.rglob("*") if p.is_file()] == [other]


def test_the_entry_is_well_formed_and_starts_this_program(home):
    desktop.install_menu_entry(folder=home)
    found = entry(home / "applications" / f"{desktop.APP_ID}.desktop")
    assert (found["Type"], found["Name"], found["Terminal"]) == ("Application", "rackview", "false")
    assert found["Icon"] == desktop.APP_ID
    for key in ("Categories", "Keywords"):
        assert found[key].endswith(";")
    assert MAIN & set(found["Categories"].split(";"))
    assert Path(found["TryExec"]).is_absolute()
    assert found["Exec"].startswith(desktop.quoted(found["TryExec"]))


@pytest.mark.parametrize(
    ("argument", "quoted"),
    [
        ("/usr/bin/rackview", "/usr/bin/rackview"),
        ("/home/a b/rackview", '"/home/a b/rackview"'),
        ('/odd/"$`\\', '"/odd/\\"\\$\\`\\\\"'),
        ("100%", "100%%"),
        ("", '""'),
    ],
)
def test_arguments_are_quoted_as_the_desktop_entry_specification_says(argument, quoted):
    assert desktop.quoted(argument) == quoted


def test_a_backslash_is_escaped_once_more_as_a_value():
    assert 'Exec="/a\\\\\\\\b"' in desktop.with_command("Exec=rackview\n", ["/a\\b"])


def test_metainfo_names_the_entry_the_licences_and_this_version():
    text = (resources.files("rackview.resources.linux") / f"{desktop.APP_ID}.metainfo.xml").read_text("utf-8")
    root = ET.fromstring(text)  # noqa: S314 - our own file
    assert root.get("type") == "desktop-application"
    assert root.findtext("id") == desktop.APP_ID
    assert root.findtext("metadata_license") == "CC0-1.0"
    assert root.findtext("project_license") == "MIT"
    assert root.findtext("launchable") == f"{desktop.APP_ID}.desktop"
    assert root.find("content_rating") is not None
    assert {r.get("version") for r in root.iter("release")} >= {__version__}
    assert not [e for e in root.iter() if e.tag == "url" or "http" in (e.text or "")], "no address that is not ours"
    summary = root.findtext("summary")
    assert summary
    assert not summary.endswith(".")


@pytest.mark.parametrize(
    ("tool", "arguments", "ending"),
    [
        ("desktop-file-validate", (), "desktop"),
        ("appstreamcli", ("validate", "--no-net"), "metainfo.xml"),
    ],
)
def test_the_usual_tools_find_nothing_wrong(home, tool, arguments, ending):
    if shutil.which(tool) is None:
        pytest.skip(f"{tool} is not installed")
    (path,) = [p for p in desktop.install_menu_entry(["/usr/bin/rackview"], home) if p.name.endswith(f".{ending}")]
    done = subprocess.run([tool, *arguments, str(path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_relative_data_folder_does_not_count(monkeypatch):
    assert desktop.data_home({"XDG_DATA_HOME": "/data"}) == Path("/data")
    assert desktop.data_home({"XDG_DATA_HOME": "data"}) == Path.home() / ".local" / "share"


def test_another_system_gets_a_sentence(monkeypatch, home):
    monkeypatch.setattr(sys, "platform", "win32")
    with pytest.raises(InputError, match="a Linux desktop"):
        desktop.install_menu_entry(folder=home)


def test_the_command_does_both(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    run = [sys.executable, "-m", "rackview", "install-desktop"]
    said = subprocess.run(run, capture_output=True, text=True, check=True).stdout
    assert "In the applications menu now" in said
    assert desktop.installed(tmp_path)
    said = subprocess.run([*run, "--remove"], capture_output=True, text=True, check=True).stdout
    assert "Taken out" in said
    assert not desktop.installed(tmp_path)


def test_the_manual_page_has_every_word_of_the_command_line(home):
    """Made anew by the command in DEVELOPERS.md; the usual formatter finds nothing wrong with it."""
    page = (resources.files("rackview.resources.linux") / desktop.MANUAL).read_text("utf-8")
    assert f"rackview {__version__}" in page.splitlines()[0]
    said = " ".join(re.sub(r"\\f.|\\,|\\/|\\", "", page).split())
    top = parser()
    (group,) = (a for a in top._actions if isinstance(a, argparse._SubParsersAction))
    for name, one in {"": top, **group.choices}.items():
        assert f".SS \\fBrackview {name.replace('-', chr(92) + '-')}\\fR" in page or not name
        for action in one._actions:
            if action.help and not isinstance(action, argparse._HelpAction):
                assert action.help in said, (name, action.dest)
    desktop.install_menu_entry(["/usr/bin/rackview"], home)
    groff = shutil.which("groff")
    if groff is not None:
        ended = subprocess.run(
            [groff, "-man", "-Tutf8", "-ww", str(home / "man/man1/rackview.1")],
            capture_output=True,
            text=True,
            check=True,
        )
        assert ended.stderr == ""
