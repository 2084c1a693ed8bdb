"""The subcommands `import`, `export` and `record`: tables in and out at the command line, and one event."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackview import terminal as say
from rackview.core.errors import InputError
from rackview.language import _

if TYPE_CHECKING:
    from rackview.exchange.draft import ImportDraft
    from rackview.exchange.intake import LineVerdict

SHOWN = 20
"""Refused lines that are said one by one; of more, how many there are."""


def add_import(one: argparse.ArgumentParser) -> None:
    """The arguments of `import`."""
    one.add_argument(
        "files", nargs="+", type=Path, metavar="FILE", help=_("a table or a workbook; - for standard input")
    )
    one.add_argument("--dry-run", action="store_true", help=_("only say line by line what would be taken or refused"))
    one.add_argument(
        "--map", type=Path, metavar="JSON", help=_("what the columns mean; written for you if not there yet")
    )
    one.add_argument("--good", action="store_true", help=_("take the lines that can be taken, even if others can't"))
    one.add_argument(
        "--refused", type=Path, metavar="CSV", help=_("where to save the refused lines with their reasons")
    )


def add_export(one: argparse.ArgumentParser) -> None:
    """The arguments of `export`."""
    one.add_argument("folder", type=Path, metavar="FOLDER", help=_("the folder to write to"))
    one.add_argument(
        "--labels", action="store_true", help=_("only labels for the vessels, each with a QR code of its name")
    )
    one.add_argument(
        "--ics", action="store_true", help=_("only days to come for a calendar: hatching, ordering, cleaning")
    )
    one.add_argument("--xlsx", action="store_true", help=_("one workbook, rack.xlsx, instead of CSV files"))


def add_record(one: argparse.ArgumentParser) -> None:
    """The arguments of `record`."""
    one.add_argument("kind", metavar="KIND", help=_("what happened, such as count, feed or harvest"))
    one.add_argument(
        "--vessel", required=True, metavar="NAME", help=_("the vessel at which it happened, by its name or place")
    )
    one.add_argument("cells", nargs="*", metavar="COLUMN=VALUE", help=_("its columns, as in the event table"))
    one.set_defaults(takes=(*one.get_default("takes"), "vessel"))


def run_import(words: argparse.Namespace) -> int:
    """Carry out `import`."""
    from rackview.core.rack import Rack
    from rackview.services import files, mappings

    path = say.store_of(words)
    text = sys.stdin.buffer.read() if Path("-") in words.files else b""
    fresh = words.map is not None and not words.map.exists()
    answers = None if words.map is None or fresh else mappings.read_mapping(words.map)
    if words.dry_run or fresh:
        rack = say.rack_of(words, whole=True) if path.exists() else Rack.build(())
        sheets = files.open_files(words.files, text)
        found = files.draft(sheets, rack, say.now(), answers, good_only=words.good, tell=_looked)
    else:
        ends: list[int] = []  # the answer comes as soon as all is in the store
        found = files.import_files(
            words.files,
            path,
            say.now,
            answers,
            text=text,
            good_only=words.good,
            looked=_looked,
            taken=lambda found: ends.append(_answered(found, words, path)),
            tell=lambda share: say.progress(_("of what is believed is worked out") if share < 1 else "", share),
        )
        if ends:
            return ends[0]
    if fresh and found.foreign:
        mappings.write_mapping(found, words.map)
        say.print_sentence(
            _("{map} has what is guessed and asked; look through it, then give it with --map again.").format(
                map=words.map
            )
        )
        return say.FAILED
    if found.open:
        return _asked(found)
    return _answered(found, words, path)


def _looked(share: float) -> None:
    say.progress(_("of the lines is looked through") if share < 1 else "", share)


def _asked(found: ImportDraft) -> int:
    say.print_lines(
        _("{text} ({options}; likely {guess})").format(
            text=q.text, options=", ".join(q.options[:8]) or _("a number"), guess=q.guess or _("unknown")
        )
        for q in found.open
    )
    number = _("1 question is") if len(found.open) == 1 else _("{open} questions are").format(open=len(found.open))
    say.print_sentence(
        _("Nothing was taken in, as {number} open; --map FILE writes a file for the answers and reads it.").format(
            number=number
        )
    )
    return say.FAILED


def _answered(found: ImportDraft, words: argparse.Namespace, path: Path) -> int:
    from rackview.services import files

    intake = found.intake
    if not words.quiet:
        say.print_lines(f"{remark}." for remark in found.remarks)
    if words.dry_run:
        verdicts = {"taken": _("would take "), "known": _("is there already: "), "refused": _("would refuse: ")}
        said = intake.refused if words.quiet else intake.lines
        say.print_lines(f"{line.place}: {verdicts[line.verdict]}{line.sentence}" for line in said)
    else:
        say.print_lines(_first(intake.refused), sys.stderr)
    if words.refused is not None and intake.refused:
        files.write_refused(found, words.refused)
    if intake.refused and not intake.partial:
        say.print_sentence(
            _("Nothing was taken in, as {refused} can't be.").format(refused=say.count(len(intake.refused)))
        )
        return say.FAILED
    if not words.quiet:
        done = _("would be taken in") if words.dry_run else _("taken into {path}").format(path=path)
        left = _(", {refused} left out").format(refused=len(intake.refused)) if intake.refused else ""
        say.print_lines(
            [
                _("{count} {done}, {count_2} there already{left}.").format(
                    count=say.count(intake.count("taken")), done=done, count_2=intake.count("known"), left=left
                )
            ]
        )
    return say.DONE


def _first(refused: tuple[LineVerdict, ...]) -> Iterable[str]:
    yield from map(str, refused[:SHOWN])
    if len(refused) > SHOWN:
        yield _("… and {refused} more; --refused FILE saves them all with their reasons.").format(
            refused=len(refused) - SHOWN
        )


def run_export(words: argparse.Namespace) -> int:
    """Carry out `export`."""
    from rackview.services import files

    if words.labels:
        place = files.give_labels(say.rack_of(words), words.folder)
        say.print_lines([_("The labels are in {place}; print it from a browser at its true size.").format(place=place)])
        return say.DONE
    if words.ics:
        from rackview.services import days

        place = days.give_days(say.rack_of(words), words.folder, say.now())
        say.print_lines([_("The days to come are in {place}, for any calendar.").format(place=place)])
        return say.DONE
    if words.xlsx:
        place = files.give_workbook(say.rack_of(words, whole=True), words.folder)
        say.print_lines(
            [
                _("All tables are in {place}, a sheet for each; its last sheet says what their columns mean.").format(
                    place=place
                )
            ]
        )
        return say.DONE
    written = files.give_out(say.rack_of(words, whole=True), words.folder)
    say.print_lines(
        [
            _("{written} tables written to {folder}; dictionary.csv says what their columns mean.").format(
                written=len(written), folder=words.folder
            )
        ]
    )
    return say.DONE


def run_record(words: argparse.Namespace) -> int:
    """Carry out `record`: one event, checked as if it were typed in the window."""
    from rackview.services import sessions

    vessel = say.rack_of(words).find_vessel(words.vessel).vessel
    row: dict[str, Any] = {"kind": words.kind, "vessel": vessel}
    for cell in words.cells:
        column, sign, value = cell.partition("=")
        if not sign or not column:
            raise InputError("COLUMN=VALUE", cell, _("a column of the event table, an equals sign and a value"))
        if column in {"kind", "vessel", "at", "id", "entered_at", "entered_by", "entered_on"} or column in row:
            raise InputError(column, value, _("each column once, and kind, vessel and --at where they belong"))
        row[column] = value
    session = sessions.open_session(say.store_of(words), say.now)
    try:
        session.record({**row, "at": words.at or session.now()}, words.kind)
    finally:
        session.close()
    say.print_lines([_("Recorded: {kind} at {vessel}.").format(kind=words.kind, vessel=vessel)])
    return say.DONE
