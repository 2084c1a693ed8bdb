"""The options that several subcommands share, and how what is typed after an option is read.

The ones in `ANYWHERE` may stand before a subcommand or after it; one that the subcommand has no use for is refused.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from rackview import translations
from rackview.core.clock import as_utc, from_text
from rackview.core.errors import InputError
from rackview.language import _

STORE, AT, JSON, QUIET, VESSEL, LANGUAGE = "store", "at", "json", "quiet", "vessel", "language"


def typed_moment(text: str) -> datetime:
    """A moment as it is typed; without an offset it is local time."""
    try:
        as_utc(text)  # refuses a year that no one can mean
        at = from_text(text)
        return at if at.tzinfo else at.astimezone()
    except InputError as error:
        raise argparse.ArgumentTypeError(
            _("found “{text}”, but needs {wanted}").format(text=text, wanted=error.wanted)
        ) from None
    except (ValueError, OverflowError, OSError):
        raise argparse.ArgumentTypeError(
            _("found “{text}”, but needs a time such as 2026-03-01T08:00").format(text=text)
        ) from None


def typed_days(text: str) -> int:
    """A number of days ahead, 1 to 60."""
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= 60:
        return int(text)
    raise argparse.ArgumentTypeError(_("found “{text}”, but needs a whole number from 1 to 60").format(text=text))


def size(text: str) -> tuple[int, int]:
    """Width and height in pixels."""
    width, _unused, height = text.lower().partition("x")
    if all(side.isascii() and side.isdecimal() and len(side) < 6 for side in (width, height)):
        return int(width), int(height)
    raise argparse.ArgumentTypeError(_("found “{text}”, but needs width and height such as 1280x800").format(text=text))


ANYWHERE: dict[str, dict[str, Any]] = {
    STORE: {"type": Path, "metavar": "PATH", "help": _("the store to use instead of the keeper's own")},
    AT: {
        "type": typed_moment,
        "metavar": "TIME",
        "help": _("answer as of this time; nothing entered for later counts"),
    },
    JSON: {"action": "store_true", "help": _("print one JSON document and nothing else")},
    QUIET: {"action": "store_true", "help": _("say nothing when all is well")},
    LANGUAGE: {
        "choices": translations.languages(),
        "metavar": "CODE",
        "help": _("the language to speak: {codes}").format(codes=", ".join(translations.languages())),
    },
    VESSEL: {
        "action": "append",
        "metavar": "NAME",
        "help": _("only of this vessel, by its name or place; may be given more than once"),
    },
}


def add_to(parser: argparse.ArgumentParser, names: Sequence[str], **default: object) -> None:
    """Give a parser the options of these names."""
    for name in names:
        parser.add_argument(f"--{name}", **{**ANYWHERE[name], **default})


def not_taken(words: argparse.Namespace, own: Sequence[str]) -> str | None:
    """The first option that was given although the subcommand, whose options are `own`, has none of that name."""
    given = (name for name in ANYWHERE if getattr(words, name, None))
    return next((name for name in given if name not in own), None)
