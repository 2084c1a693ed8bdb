"""What the import page knows: the sheets as read, the answers so far, and what they would add. No Qt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.services import files

if TYPE_CHECKING:
    from rackview.services.files import ImportDraft, LineVerdict, Question, Read, Understanding

SHOWN = 200
"""Lines that the page lists; of more it says how many there are."""
PREVIEW = 6


@dataclass()
class ImportModel:
    """Answers are by header key, so that one answer holds for every sheet with the same columns."""

    paths: tuple[Path, ...] = ()
    sheets: list[Read] = field(default_factory=list)
    answers: dict[str, dict[str, str]] = field(default_factory=dict)
    draft: ImportDraft | None = None

    def reader(self, rack: Rack, now: datetime, tell: Callable[[float], None]) -> Callable[[], ImportDraft]:
        """The work of reading with the answers so far, to be done wherever there is time; it changes nothing here.

        `tell` hears which share of the lines is looked through.
        """
        paths, sheets = self.paths, self.sheets
        answers = {key: dict(given) for key, given in self.answers.items()}

        def read() -> ImportDraft:
            found = sheets or files.open_files(paths)
            return files.draft(found, rack, now, answers, good_only=True, tell=tell)

        return read

    def take(self, draft: ImportDraft) -> None:
        """Keep what was read."""
        self.draft = draft
        self.sheets = list(zip(draft.names, draft.sheets, strict=True))

    def answer(self, table: Understanding, key: str, value: str) -> None:
        """Answer one question about one table."""
        self.answers[table.header_key] = {**table.answers, **self.answers.get(table.header_key, {}), key: value}

    def asked(self) -> list[tuple[Understanding, Question]]:
        """The questions that are not plain, each once, with the table that they are about.

        How much new vessels hold is asked once they are said to be new.
        """
        found: dict[tuple[str, str], tuple[Understanding, Question]] = {}
        for table in self.draft.foreign if self.draft is not None else ():
            for question in table.questions:
                if not question.plain and (question.key != files.NEW_VOLUME or files.UNKNOWN in table.answers):
                    found.setdefault((table.header_key, question.key), (table, question))
        return list(found.values())

    def lines(self) -> list[LineVerdict]:
        """What each line becomes: those that can't be taken first, then the others as they stand."""
        if self.draft is None:
            return []
        intake = self.draft.intake
        return [*intake.refused, *(line for line in intake.lines if line.verdict != "refused")][:SHOWN]

    @property
    def unanswered(self) -> int:
        """How many questions are shown and not answered yet."""
        return sum(question.key not in table.answers for table, question in self.asked())

    @property
    def ready(self) -> int:
        """How many lines can be taken now; 0 while a question is open."""
        return 0 if self.draft is None or self.draft.open else self.draft.intake.count("taken")
