"""docs/command-line.md has every subcommand and option with the help that the program gives, and no other."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from pathlib import Path

from rackview.cli import parser

PAGE = (Path(__file__).parents[2] / "docs" / "command-line.md").read_text(encoding="utf-8")


def subcommands(words: Sequence[str] = ()) -> dict[str, tuple[argparse.ArgumentParser, str]]:
    (group,) = (a for a in parser(words)._actions if isinstance(a, argparse._SubParsersAction))
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


def built(*words: str) -> dict[str, argparse.ArgumentParser]:
    """The subcommands that are built for a command line."""
    return {name: one for name, (one, _) in subcommands(words).items()}


def test_a_subcommand_that_is_named_is_built_alone_and_says_the_same() -> None:
    for name, (one, _) in subcommands().items():
        alone = built("--store", "rack.db", name, "--json")
        assert list(alone) == [name]
        assert alone[name].format_help() == one.format_help()
        assert alone[name]._defaults == one._defaults
    assert parser(["status"]).format_usage() == parser().format_usage()


def test_where_help_is_asked_or_no_subcommand_is_named_all_are_built() -> None:
    every = list(subcommands())
    for words in ((), ("--help", "status"), ("status", "-h"), ("--store", "rack.db"), ("stauts",)):
        assert list(built(*words)) == every
    assert parser(["--help", "status"]).format_help() == parser().format_help()


def test_a_store_of_a_subcommands_name_does_not_hide_the_one_that_is_meant() -> None:
    said = parser(["--store", "status", "advise"]).parse_args(["--store", "status", "advise"])
    assert (said.command, said.store) == ("advise", Path("status"))
