"""The command line: every subcommand, its options, and the sentence it ends with when something goes wrong.

Exit status 0 on success, 1 on failure with one sentence on standard error, 2 on misuse. Nothing is imported before a
subcommand needs it: `--version` and `--help` load neither Qt nor numpy, and only the window and `picture` load Qt.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from rackview import __version__, table_commands, terminal
from rackview.core.clock import as_utc, from_text
from rackview.core.errors import InputError
from rackview.terminal import DONE, FAILED, MISUSED, STOPPED


def main(arguments: Sequence[str] | None = None) -> int:
    """Carry out one command line (the program's own if None) and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that can't show a letter must not end the command
    words = _parsed(arguments)
    if words.demo and words.store:
        parser().error("--demo opens a fresh demo rack, so it takes no --store")
    if words.demo and words.command:
        parser().error(
            f"--demo opens the window, so it takes no {words.command}; rackview demo PATH writes a demo rack"
        )
    try:
        status: int = words.run(words)
        print(end="", flush=True)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # nobody reads any more: end quietly
        return DONE
    except KeyboardInterrupt:
        return STOPPED
    except Exception as error:  # noqa: BLE001 - whatever happens, the keeper gets a sentence
        return _failed(error, words.command or "window")
    return status


def _parsed(arguments: Sequence[str] | None) -> argparse.Namespace:
    """The words of a command line; columns of an event may stand before and after options."""
    top = parser()
    words, more = top.parse_known_args(arguments)
    if more and (words.command != "record" or any(m.startswith("-") for m in more)):
        top.error(f"unrecognized arguments: {' '.join(more)}")
    if more:
        words.cells += more
    return words


# --- the words ----------------------------------------------------------------------------------------------------


def parser() -> argparse.ArgumentParser:
    """Every subcommand and option with its help."""
    top = argparse.ArgumentParser(
        prog="rackview",
        description="Every culture vessel of a live-feed rack at a glance, and what to do with it next. "
        "Without a subcommand the window opens.",
        epilog="TIME is ISO 8601, such as 2026-03-01T08:00; without an offset it is local time.",
        allow_abbrev=False,
    )
    top.add_argument(
        "--version", action="version", version=f"rackview {__version__}", help="print the version and nothing else"
    )
    top.add_argument("--store", type=Path, metavar="PATH", help="the store to use instead of the keeper's own")
    top.add_argument("--demo", action="store_true", help="open the window on a fresh copy of the demo rack")
    top.set_defaults(run=_window, command=None)

    anywhere = argparse.ArgumentParser(add_help=False)
    anywhere.add_argument(
        "--store",
        type=Path,
        metavar="PATH",
        default=argparse.SUPPRESS,
        help="the store to use instead of the keeper's own",
    )
    moment = argparse.ArgumentParser(add_help=False)
    moment.add_argument(
        "--at", type=_moment, metavar="TIME", help="answer as of this time; nothing entered for later counts"
    )
    answer = argparse.ArgumentParser(add_help=False, parents=[anywhere, moment])
    answer.add_argument("--json", action="store_true", help="print one JSON document and nothing else")

    subcommands = top.add_subparsers(metavar="SUBCOMMAND", title="subcommands")

    def add(name: str, run: Any, text: str, *parents: argparse.ArgumentParser) -> argparse.ArgumentParser:
        one = subcommands.add_parser(
            name,
            help=text,
            description=text[0].upper() + text[1:] + ".",
            parents=parents or (anywhere,),
            allow_abbrev=False,
        )
        one.set_defaults(run=run, command=name)
        return one

    add("status", _status, "what each vessel holds, how it grows and what is wrong with it", answer)
    add("advise", _advise, "what to do, in the order in which to do it", answer)
    one = add("plan", _plan, "demand, supply and who gives what, day by day", answer)
    one.add_argument("--days", type=_days, default=7, metavar="N", help="how many days ahead, 1 to 60 (usually 7)")
    one = add("picture", _picture, "draw a screen of the window to a PNG file", anywhere, moment)
    one.add_argument("out", type=Path, metavar="OUT.png", help="the file to write")
    one.add_argument("--screen", default="rack", metavar="NAME", help="which screen (usually rack)")
    one.add_argument(
        "--size", type=_size, default=(1280, 800), metavar="WxH", help="width and height in pixels (usually 1280x800)"
    )
    one.add_argument(
        "--theme", choices=("light", "dark"), default="light", metavar="LOOK", help="light or dark (usually light)"
    )
    table_commands.add_import(
        add("import", table_commands.take_in, "take in tables from CSV, XLSX or ODS files, all of them or nothing")
    )
    one = add("export", table_commands.give_out, "write every table as CSV, with a dictionary of the columns")
    one.add_argument("folder", type=Path, metavar="FOLDER", help="the folder to write to")
    one.add_argument(
        "--labels", action="store_true", help="only labels for the vessels, each with a QR code of its name"
    )
    one.add_argument(
        "--ics", action="store_true", help="only days to come for a calendar: hatching, ordering, cleaning"
    )
    one.add_argument("--xlsx", action="store_true", help="one workbook, rack.xlsx, instead of CSV files")
    table_commands.add_record(
        add("record", table_commands.record, "enter one event, as if it were typed in the window", anywhere, moment)
    )
    one = add("backup", _backup, "write a safe, verified copy of the store")
    one.add_argument("file", type=Path, nargs="?", metavar="FILE", help="where to (usually the folder of backups)")
    one = add("restore", _restore, "make the store anew from a backup and the day book, keeping what is replaced")
    one.add_argument("file", type=Path, nargs="?", metavar="FILE", help="the backup (without one, the day book alone)")
    add("check", _check, "look through the store and say what is wrong with it")
    one = add("merge", _merge, "take in the entries of another PC's store")
    one.add_argument("other", type=Path, metavar="OTHER_STORE", help="the other PC's store")
    of_no_store = argparse.ArgumentParser(add_help=False)
    one = add("install-desktop", _install_desktop, "put rackview into your applications menu, on Linux", of_no_store)
    one.add_argument("--remove", action="store_true", help="take it out of the menu again")
    one = add("demo", _demo, "write the demo rack into a new store")
    one.add_argument("path", type=Path, metavar="PATH", help="the new store")
    return top


def _moment(text: str) -> datetime:
    try:
        as_utc(text)  # refuses a year that no one can mean
        at = from_text(text)
        return at if at.tzinfo else at.astimezone()
    except InputError as error:
        raise argparse.ArgumentTypeError(f"found “{text}”, but needs {error.wanted}") from None
    except (ValueError, OverflowError, OSError):
        raise argparse.ArgumentTypeError(f"found “{text}”, but needs a time such as 2026-03-01T08:00") from None


def _days(text: str) -> int:
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= 60:
        return int(text)
    raise argparse.ArgumentTypeError(f"found “{text}”, but needs a whole number from 1 to 60")


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.lower().partition("x")
    if all(side.isascii() and side.isdecimal() and len(side) < 6 for side in (width, height)):
        return int(width), int(height)
    raise argparse.ArgumentTypeError(f"found “{text}”, but needs width and height such as 1280x800")


# --- the subcommands ----------------------------------------------------------------------------------------------


def _window(words: argparse.Namespace) -> int:
    from rackview import app

    return app.run(words.store, demo=words.demo)


def _status(words: argparse.Namespace) -> int:
    rack, at = terminal.rack_of(words), words.at or terminal.now()
    from rackview.advice import api

    found = api.assess_all(rack, at).values()
    if words.json:
        from rackview.advice import rows

        return _json([rows.status_row(a) for a in found])
    from rackview.services import printout

    return terminal.lines(printout.status(found, rack, at))


def _advise(words: argparse.Namespace) -> int:
    rack, at = terminal.rack_of(words), words.at or terminal.now()
    from rackview.advice import api

    found = api.advise(rack, at)
    if words.json:
        from rackview.advice import rows

        return _json([rows.suggestion_row(s) for s in found])
    from rackview.services import printout

    return terminal.lines(printout.advice(found, rack, at))


def _plan(words: argparse.Namespace) -> int:
    rack, at = terminal.rack_of(words), words.at or terminal.now()
    from rackview.advice import api

    found = api.plan(rack, at, words.days)
    if words.json:
        from rackview.advice import rows

        return _json(rows.plan_rows(found))
    from rackview.services import printout

    return terminal.lines(printout.plan(found, rack, at))


def _picture(words: argparse.Namespace) -> int:
    from rackview import app

    try:
        app.picture(
            terminal.store_of(words), words.out, screen=words.screen, size=words.size, theme=words.theme, at=words.at
        )
    except InputError as error:
        if error.field not in {"screen", "size"}:
            raise
        terminal.sentence(f"rackview picture: --{error}")
        return MISUSED
    return DONE


def _backup(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    print(f"A verified copy is in {maintenance.back_up(terminal.store_of(words), words.file, terminal.now())}.")
    return DONE


def _restore(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    path = terminal.store_of(words)
    back = maintenance.put_back(path, words.file, terminal.now())
    print(f"{path} is made anew with {back.entries} entries.")
    if back.kept is not None:
        print(f"What was in its place is kept as {back.kept}.")
    if back.bad_lines:
        print(f"{terminal.count(back.bad_lines)} of the day book could not be read.")
    return DONE


def _check(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    path = terminal.store_of(words)
    found = maintenance.check(path, _progress if sys.stderr.isatty() else lambda *_: None)
    if not found:
        print(f"Nothing is wrong with {path}.")
        return DONE
    terminal.lines(map(str, found), sys.stderr)
    return FAILED


def _progress(what: str, share: float) -> None:
    """One line that is written over: what is looked at, and how much lies behind."""
    print(f"\r{f'{share:.0%} {what}' if what else '':40}", end="" if what else "\r", file=sys.stderr, flush=True)


def _merge(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    path = terminal.store_of(words)
    terminal.rack_of(words)  # says so if there is no store to merge into
    merged = maintenance.merge_in(path, words.other)
    number = len(merged.written.events) + len(merged.written.rows)
    print(f"{number} {'entry' if number == 1 else 'entries'} of {words.other} taken into {path}.")
    return terminal.lines(merged.conflicts)


def _install_desktop(words: argparse.Namespace) -> int:
    from rackview.services import desktop

    if words.remove:
        gone = desktop.remove()
        print("Taken out of the applications menu." if gone else "It was not in the applications menu.")
        return terminal.lines(map(str, gone))
    written = desktop.install()
    print("In the applications menu now; rackview install-desktop --remove takes it out again.")
    return terminal.lines(map(str, written))


def _demo(words: argparse.Namespace) -> int:
    from rackview.services import sessions

    now = terminal.now()
    session = sessions.demo_session(words.path, terminal.now, now.date())
    session.close()
    print(f"The demo rack, an invented one, is in {words.path}; rackview --store {words.path} opens it.")
    return DONE


# --- saying it ----------------------------------------------------------------------------------------------------


def _json(rows: object) -> int:
    import json

    print(json.dumps(rows, indent=1))
    return DONE


def _failed(error: Exception, command: str) -> int:
    """One sentence: what is expected to go wrong explains itself, anything else names the log with the details."""
    from rackview.services.faults import StoreError

    if isinstance(error, StoreError | InputError):
        terminal.sentence(str(error))
        return FAILED
    if isinstance(error, OSError):
        where = error.filename or f"rackview {command} stopped"
        terminal.sentence(f"{where}: {error.strerror}." if error.strerror else str(error))
        return FAILED
    from rackview.services import logbook

    place = logbook.write_down(error, f"rackview {command}")
    where = f"the details are in {place}" if place else "and the log could not be written either"
    terminal.sentence(f"Something went wrong inside rackview ({type(error).__name__}); {where}.")
    return FAILED
