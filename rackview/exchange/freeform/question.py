"""What may be asked about a table, and the answers."""

from __future__ import annotations

from collections.abc import Mapping

from rackview.core.dataclass import dataclass

Answers = Mapping[str, str]
"""Question to answer, as a mapping file has them."""


COLUMN = "column "


THIN = "logger"


THINNING = ("the mean of each day, with low and high", "every value")


DATE_ORDER, YEAR, SIGN, VESSEL, UNKNOWN, NEW_VOLUME, CRASHED, CLEANED, WIDE = (
    "date order", "year", "separator", "vessel", "unknown vessels", "litres of new vessels", "crashed", "cleaned",
    "numbers under the vessels",
)  # fmt: skip


OTHER, RENAMED = "none of these", "vessels of this rack by other names"
"""Of a name that no vessel bears: it is none of the rack, and they all are."""


@dataclass(frozen=True, slots=True)
class Question:
    """What may be asked about a table.

    `options` are the answers to choose from, none where a text or number is wanted. A plain question need not be
    asked: its guess is taken unless the keeper says otherwise.
    """

    key: str
    text: str
    options: tuple[str, ...]
    guess: str
    plain: bool = False
