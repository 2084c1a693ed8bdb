"""The command line: every subcommand, its options, and the sentence it ends with when something goes wrong.

Exit status 0 on success, 1 on failure with one sentence on standard error, 2 on misuse. Nothing is imported before a
subcommand needs it: `--version` and `--help` load neither Qt nor numpy, and only the window and `picture` load Qt.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Collection, Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackview import __version__, listen_command, options, terminal
from rackview import table_commands as tables
from rackview.core.errors import InputError
from rackview.core.garbage import kept_out
from rackview.language import _, ngettext
from rackview.options import AT, JSON, LANGUAGE, QUIET, STORE, VESSEL
from rackview.terminal import DONE, FAILED, MISUSED, STOPPED

if TYPE_CHECKING:
    from rackview.core.rack import Rack

QUESTIONS = ("status", "advise", "plan", "stock")
SHELLS = ("bash", "zsh", "fish")
HELP = {"-h", "--help"}
LOOKS = ("light", "dark", "high-contrast-light", "high-contrast-dark")


def main(arguments: Sequence[str] | None = None) -> int:
    """Carry out one command line (the program's own if None) and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that can't show a letter must not end the command
    words = _parsed(arguments)
    if words.demo and words.store:
        parser().error(_("--demo opens a fresh demo rack, so it takes no --store"))
    if words.demo and words.command:
        parser().error(
            _("--demo opens the window, so it takes no {command}; rackview demo PATH writes a demo rack").format(
                command=words.command
            )
        )
    try:
        quiet = terminal.hushed() if words.quiet and words.command != "import" else nullcontext()
        with quiet, kept_out() if words.command in QUESTIONS else nullcontext():
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
    top = parser(sys.argv[1:] if arguments is None else arguments)
    words, more = top.parse_known_args(arguments)
    if more and (words.command != "record" or any(m.startswith("-") for m in more)):
        top.error(_("unrecognized arguments: {more}").format(more=" ".join(more)))
    if more:
        words.cells += more
    unused = options.not_taken(words, words.takes)
    if unused is not None:
        named = words.command or _("the window")
        top.error(_("--{unused} is of no use to {command}").format(unused=unused, command=named))
    return words


# --- the words ----------------------------------------------------------------------------------------------------


Add = Callable[..., None]
"""Tells of a subcommand: its name, what it runs, its help, the shared options it takes, and what adds its own."""


def parser(asked: Collection[str] = ()) -> argparse.ArgumentParser:
    """Every option and subcommand with its help.

    Where a subcommand is among the words `asked`, it is built alone: all sixteen take a fortieth of `status`.
    """
    top = argparse.ArgumentParser(
        prog="rackview",
        description=_(
            "Every culture vessel of a live-feed rack at a glance, and what to do with it next. "
            "Without a subcommand the window opens."
        ),
        epilog=_("TIME is ISO 8601, such as 2026-03-01T08:00; without an offset it is local time."),
        allow_abbrev=False,
    )
    top.add_argument(
        "--version",
        action="version",
        version=f"rackview {__version__}",
        help=_("print the version and nothing else"),
    )
    options.add_to(top, (STORE, AT, JSON, QUIET, VESSEL, LANGUAGE))
    top.add_argument("--demo", action="store_true", help=_("open the window on a fresh copy of the demo rack"))
    top.set_defaults(run=_window, command=None, takes=(STORE, LANGUAGE))

    told: dict[str, Callable[[], None]] = {}
    subcommands = top.add_subparsers(metavar="SUBCOMMAND", title="subcommands")

    def add(name: str, run: Any, text: str, *takes: str, more: Callable[..., object] = lambda _one: None) -> None:
        def build() -> None:
            one = subcommands.add_parser(
                name,
                help=text,
                description=text[0].upper() + text[1:] + ".",
                allow_abbrev=False,
            )
            options.add_to(one, (*takes, LANGUAGE), default=argparse.SUPPRESS)  # those before it must not be undone
            one.set_defaults(run=run, command=name, takes=(*takes, LANGUAGE))
            more(one)

        told[name] = build

    _add_questions(add)
    _add_tables(add)
    _add_upkeep(add)
    named = [] if HELP & {*asked} else [name for name in told if name in asked]
    for name in named or told:
        told[name]()
    return top


def _add_questions(add: Add) -> None:
    add("status", _status, _("what each vessel holds, how it grows and what is wrong with it"), STORE, AT, JSON, VESSEL)
    add("advise", _advise, _("what to do, in the order in which to do it"), STORE, AT, JSON, VESSEL)
    ahead = _("how many days ahead, 1 to 60 (usually 7)")
    days = _with("--days", type=options.typed_days, default=7, metavar="N", help=ahead)
    add("plan", _plan, _("demand, supply and who gives what, day by day"), STORE, AT, JSON, more=days)
    add("stock", _stock, _("how long each feed lasts, and what a million animals delivered costs"), STORE, AT, JSON)
    add("picture", _picture, _("draw a screen of the window to a PNG file"), STORE, AT, more=_add_picture)


def _add_picture(one: argparse.ArgumentParser) -> None:
    one.add_argument("out", type=Path, metavar="OUT.png", help=_("the file to write"))
    one.add_argument("--screen", default="rack", metavar="NAME", help=_("which screen (usually rack)"))
    one.add_argument(
        "--size",
        type=options.size,
        default=(1280, 800),
        metavar="WxH",
        help=_("width and height in pixels (usually 1280x800)"),
    )
    one.add_argument(
        "--theme",
        choices=LOOKS,
        default="light",
        metavar="LOOK",
        help=_("one of {looks} (usually light)").format(looks=", ".join(LOOKS)),
    )


def _add_tables(add: Add) -> None:
    takes_in = _("take in tables from CSV, XLSX or ODS files, all of them or nothing")
    add("import", tables.run_import, takes_in, STORE, QUIET, more=tables.add_import)
    gives_out = _("write every table as CSV, with a dictionary of the columns")
    add("export", tables.run_export, gives_out, STORE, QUIET, more=tables.add_export)
    one_event = _("enter one event, as if it were typed in the window")
    add("record", tables.run_record, one_event, STORE, AT, QUIET, more=tables.add_record)


def _add_upkeep(add: Add) -> None:
    probes = _("take in what probes send to your own MQTT broker")
    add("listen", listen_command.run_listen, probes, STORE, QUIET, more=listen_command.add_listen)
    usual = _with("file", type=Path, nargs="?", metavar="FILE", help=_("where to (usually the folder of backups)"))
    add("backup", _backup, _("write a safe, verified copy of the store"), STORE, QUIET, more=usual)
    copy = _with("file", type=Path, nargs="?", metavar="FILE", help=_("the backup, or the folder of a day book"))
    anew = _("make the store anew from a backup and the day book, keeping what is replaced")
    add("restore", _restore, anew, STORE, QUIET, more=copy)
    add("check", _check, _("look through the store and say what is wrong with it"), STORE, QUIET)
    other = _with("other", type=Path, metavar="OTHER_STORE", help=_("the other PC's store"))
    add("merge", _merge, _("take in the entries of another PC's store"), STORE, QUIET, more=other)
    remove = _with("--remove", action="store_true", help=_("take it out of the menu again"))
    menu = _("put rackview into your applications menu, on Linux")
    add("install-desktop", _install_desktop, menu, QUIET, more=remove)
    path = _with("path", type=Path, metavar="PATH", help=_("the new store"))
    add("demo", _demo, _("write the demo rack into a new store"), STORE, QUIET, more=path)
    shell = _with("shell", choices=SHELLS, metavar="SHELL", help=_("bash, zsh or fish"))
    add("completion", _completion, _("print what makes a shell complete these words with the tab key"), more=shell)


def _with(*words: Any, **named: Any) -> Callable[[argparse.ArgumentParser], object]:
    """What adds one argument to a subcommand."""
    return lambda one: one.add_argument(*words, **named)


# --- the subcommands ----------------------------------------------------------------------------------------------


def _window(words: argparse.Namespace) -> int:
    with kept_out():
        from rackview import app
    return app.run(words.store, demo=words.demo)


def _status(words: argparse.Namespace) -> int:
    rack, at = terminal.rack_and_moment(words)
    from rackview.advice import api

    found = [a for name, a in api.assess_all(rack, at).items() if name in _asked_about(words, rack)]
    if words.json:
        from rackview.advice import rows

        return _json([rows.status_row(a) for a in found])
    from rackview.services import printout

    return terminal.print_lines(printout.status_lines(found, rack, at))


def _advise(words: argparse.Namespace) -> int:
    rack, at = terminal.rack_and_moment(words)
    from rackview.advice import api

    asked = _asked_about(words, rack)
    found = [s for s in api.advise(rack, at) if s.vessel in asked or s.other_vessel in asked]
    if words.json:
        from rackview.advice import rows

        return _json([rows.suggestion_row(s) for s in found])
    from rackview.services import printout

    return terminal.print_lines(printout.advice_lines(found, rack, at))


def _asked_about(words: argparse.Namespace, rack: Rack) -> Collection[str]:
    """The vessels that are asked about, all of the rack if none is named; one that it has not is said to be unknown."""
    return {rack.find_vessel(name).vessel for name in words.vessel} if words.vessel else rack.vessels


def _plan(words: argparse.Namespace) -> int:
    rack, at = terminal.rack_and_moment(words)
    from rackview.advice import api

    found = api.plan(rack, at, words.days)
    if words.json:
        from rackview.advice import rows

        return _json(rows.plan_rows(found))
    from rackview.services import printout

    return terminal.print_lines(printout.plan_lines(found, rack, at))


def _stock(words: argparse.Namespace) -> int:
    rack, at = terminal.rack_and_moment(words)
    from rackview.advice.feeding.costs import costs
    from rackview.advice.feeding.stock import lasting

    feeds, months = lasting(rack, at), costs(rack, at)
    if words.json:
        from rackview.advice import rows

        return _json(rows.stock_rows(feeds, months))
    from rackview.services import printout

    return terminal.print_lines(printout.stock_lines(feeds, months, rack, at))


def _picture(words: argparse.Namespace) -> int:
    from rackview import app

    try:
        app.picture(
            terminal.store_of(words), words.out, screen=words.screen, size=words.size, theme=words.theme, at=words.at
        )
    except InputError as error:
        if error.field not in {"screen", "size"}:
            raise
        terminal.print_sentence(_("rackview picture: --{error}").format(error=error))
        return MISUSED
    return DONE


def _backup(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    copy = maintenance.back_up(terminal.store_of(words), words.file, terminal.now(), terminal.progress)
    print(_("A verified copy is in {copy}.").format(copy=copy))
    return DONE


def _restore(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    path = terminal.store_of(words)
    back = maintenance.put_back(path, words.file, terminal.now(), terminal.progress)
    print(_("{path} is made anew with {entries} entries.").format(path=path, entries=back.entries))
    if back.kept is not None:
        print(_("What was in its place is kept as {kept}.").format(kept=back.kept))
    if back.bad_lines:
        print(_("{bad_lines} of the day book could not be read.").format(bad_lines=terminal.count(back.bad_lines)))
    return DONE


def _check(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    path = terminal.store_of(words)
    found = maintenance.check(path, terminal.progress)
    if not found:
        print(_("Nothing is wrong with {path}.").format(path=path))
        return DONE
    terminal.print_lines(map(str, found), sys.stderr)
    return FAILED


def _merge(words: argparse.Namespace) -> int:
    from rackview.services import maintenance

    path = terminal.store_of(words)
    terminal.rack_of(words)  # says so if there is no store to merge into
    merged = maintenance.merge_in(path, words.other, terminal.progress)
    terminal.progress("", 1.0)
    number = len(merged.written.events) + len(merged.written.rows)
    taken = ngettext("{n} entry of {other} taken into {path}.", "{n} entries of {other} taken into {path}.", number)
    print(taken.format(n=number, other=words.other, path=path))
    return terminal.print_lines(merged.conflicts)


def _install_desktop(words: argparse.Namespace) -> int:
    from rackview.services import desktop

    if words.remove:
        gone = desktop.remove()
        print(_("Taken out of the applications menu.") if gone else _("It was not in the applications menu."))
        return terminal.print_lines(map(str, gone))
    written = desktop.install_menu_entry()
    print(_("In the applications menu now; rackview install-desktop --remove takes it out again."))
    return terminal.print_lines(map(str, written))


def _demo(words: argparse.Namespace) -> int:
    from rackview.services import sessions

    now = terminal.now()
    session = sessions.demo_session(words.path, terminal.now, now.date())
    session.close()
    print(_("The demo rack, an invented one, is in {path}; rackview --store {path} opens it.").format(path=words.path))
    return DONE


def _completion(words: argparse.Namespace) -> int:
    import shtab

    print(shtab.complete(parser(), words.shell))
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
        terminal.print_sentence(str(error))
        return FAILED
    if isinstance(error, OSError):
        where = error.filename or _("rackview {command} stopped").format(command=command)
        terminal.print_sentence(f"{where}: {error.strerror}." if error.strerror else str(error))
        return FAILED
    from rackview.services import logbook

    place = logbook.write_down(error, f"rackview {command}")
    where = (
        _("the details are in {place}").format(place=place) if place else _("and the log could not be written either")
    )
    terminal.print_sentence(
        _("Something went wrong inside rackview ({name}); {where}.").format(name=type(error).__name__, where=where)
    )
    return FAILED
