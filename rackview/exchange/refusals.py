"""Refused lines as a file of their own: what stood there, and why it was not taken."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from datetime import date, time
from typing import TYPE_CHECKING

from rackview.exchange.guard import guarded
from rackview.exchange.headers import WHY
from rackview.exchange.sheets import Sheet
from rackview.language import _

if TYPE_CHECKING:
    from rackview.exchange.draft import ImportDraft


def refused_text(draft: ImportDraft) -> str:
    """The refused lines as CSV text, under the names of their columns, with the reason in a column of its own.

    Tables with other columns follow after a blank line. Mended, each part can be imported; the column of reasons is
    passed over then.
    """
    reasons: dict[str, dict[int, list[str]]] = defaultdict(lambda: defaultdict(list))
    for line in draft.intake.refused:
        reasons[line.file][line.line].append(line.sentence)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    lines = {u.label: u.table.line for u in draft.foreign}
    for sheet in draft.sheets:
        if not isinstance(sheet, Sheet) or sheet.label not in reasons:
            continue
        why = reasons.pop(sheet.label)
        head = lines.get(sheet.label, sheet.rows[0][0])
        if out.tell():
            writer.writerow([])
        writer.writerow([WHY, *next((map(_cell, cells) for n, cells in sheet.rows if n == head), ())])
        for number, cells in sheet.rows:
            if number in why:
                writer.writerow([" ".join(why[number]), *map(_cell, cells)])
        for number in why.keys() - {n for n, _cells in sheet.rows}:
            writer.writerow([" ".join(why[number])])
    for label, why in reasons.items():
        for number, sentences in why.items():
            writer.writerow(
                [
                    _("{label}, line {number}: {sentences}").format(
                        label=label, number=number, sentences=" ".join(sentences)
                    )
                    if number
                    else " ".join((label, *sentences))
                ]
            )
    return out.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, date | time):
        return value.isoformat()
    return guarded(value) if isinstance(value, str) else value
