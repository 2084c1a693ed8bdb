"""What the subcommands share: how they end, the store they are asked about, and how a line reaches the terminal."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, redirect_stdout
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from rackview.language import _

if TYPE_CHECKING:
    import argparse

    from rackview.core.rack import Rack

DONE, FAILED, MISUSED, STOPPED = 0, 1, 2, 130


def now() -> datetime:
    """The one clock of the command line."""
    return datetime.now(UTC).astimezone()


def store_of(words: argparse.Namespace) -> Path:
    """The store that is meant: the one that was named, else the keeper's own."""
    if words.store is not None:
        return Path(words.store)
    from rackview.services import places

    return places.store()


def rack_of(words: argparse.Namespace, *, whole: bool = False) -> Rack:
    """What a store holds; a reading command never makes a store.

    Unless `whole`, older history is read only when someone looks that far back, and what was replaced long ago is not.
    """
    from rackview.services.memory import remember
    from rackview.store import Store

    with Store.open(store_of(words), "read") as store:
        return store.load() if whole else store.read(remember)[0]


@contextmanager
def hushed() -> Iterator[None]:
    """While this holds, nothing reaches standard output; what goes wrong is said on standard error all the same."""
    with Path(os.devnull).open("w", encoding="utf-8") as nowhere, redirect_stdout(nowhere):
        yield


def rack_and_moment(words: argparse.Namespace) -> tuple[Rack, datetime]:
    """The rack and the moment that a command asks about; of now, what is believed of a long record is worked out."""
    if words.at:
        return rack_of(words), words.at
    from rackview.services.stretches import thought_through

    return thought_through(store_of(words), note=False).rack, now()


def count(number: int) -> str:
    """So many lines."""
    return _("1 line") if number == 1 else _("{number} lines").format(number=number)


def print_lines(said: Iterable[str], stream: TextIO | None = None) -> int:
    """Print each line, harmless to a terminal."""
    for line in said:
        print(one_line(line), file=stream)
    return DONE


def progress(what: str, share: float) -> None:
    """One line that is written over: what is looked at, and how much lies behind. On a terminal only."""
    if sys.stderr.isatty():
        print(f"\r{f'{share:.0%} {what}' if what else '':40}", end="" if what else "\r", file=sys.stderr, flush=True)


def print_sentence(said: str) -> None:
    """Print a sentence to standard error."""
    print(one_line(said), file=sys.stderr)


def one_line(line: str) -> str:
    """One line for a terminal: a name from a file must not move its cursor."""
    return line if line.isprintable() else "".join(c if c.isprintable() else "�" for c in line)
