"""docs/command-line.md has every subcommand and option with the help that the program gives, and no other."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from rackview.cli import parser

PAGE = (Path(__file__).parents[2] / "docs" / "command-line.md").read_text(encoding="utf-8")


def subcommands() -> dict[str, tuple[argparse.ArgumentParser, str]]:
    (group,) = (a for a in parser()._actions if isinstance(a, argparse._SubParsersAction))
    said = {a.dest: a.help for a in group._choices_actions}
    return {name: (one, said[name] or "") for name, one in group.choices.items()}


def rows(one: argparse.ArgumentParser) -> list[str]:
    """The table rows that the page must have for a parser."""
    found = []
    for action in one._actions:
        if isinstance(action, argparse._SubParsersAction | argparse._HelpAction):
            continue
        shown = action.metavar or "|".join(action.choices or ())
        name = " ".join(filter(None, [action.option_strings[0] if action.option_strings else "", str(shown)]))
        if isinstance(action, argparse._StoreTrueAction | argparse._VersionAction):
            name = action.option_strings[0]
        found.append(f"| `{name}` | {action.help} |")
    return found


def section(title: str) -> str:
    found = re.search(rf"(?ms)^## {re.escape(title)}\n(.*?)(?=^## |\Z)", PAGE)
    assert found, f"the page has no section on {title}"
    return found[1]


def arguments(text: str) -> list[str]:
    """The rows of a section's table of arguments."""
    _, _, table = text.partition("| argument | what it says |\n|---|---|\n")
    return table.partition("\n\n")[0].splitlines()


def test_every_subcommand_has_its_section_and_options() -> None:
    for name, (one, said) in subcommands().items():
        text = section(f"rackview {name}")
        assert text.startswith(f"\n{said[0].upper()}{said[1:]}.\n")
        assert arguments(text) == rows(one)


def test_the_options_of_the_window() -> None:
    assert arguments(section("rackview")) == rows(parser())


def test_no_section_is_of_a_subcommand_that_is_not_there() -> None:
    assert re.findall(r"(?m)^## rackview ([\w-]+)$", PAGE) == list(subcommands())
