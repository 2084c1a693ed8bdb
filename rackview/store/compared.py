"""Up to where the day book was compared with the store: what is as it was then need not be compared again.

A store remembers the running number up to which every entry had a good line, the place in the book up to which those
lines stand, and the digest of the book up to there. Rows are never changed or erased, and later ones have greater
numbers, so as long as the digest holds only what came behind is to be looked at. It vouches for the book alone; whether
a row is still as it was written, `check` says.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.store.daybook import BookPosition, DayBook

CHUNK = 1 << 20
"""Bytes of a file that are read between two looks whether to stop."""


@dataclass(frozen=True, slots=True)
class BookCompared:
    """Every entry up to `n` has a good line in the book before `place`, which had this digest then (SHA-256)."""

    n: int = 0
    place: BookPosition = BookPosition("", 0)
    digest: str = ""

    def __str__(self) -> str:
        return f"{self.n} {self.digest} {self.place}"

    @classmethod
    def told(cls, text: str | None) -> BookCompared:
        """What `str` wrote; nothing compared for any other text."""
        n, digest, place = (text or "").split(" ", 2) if (text or "").count(" ") >= 2 else ("", "", "")
        return cls(int(n), BookPosition.read(place), digest) if n.isdecimal() else cls()


class BookDigest:
    """The digest of a day book from its first line on, which goes along as the book grows."""

    def __init__(self, book: DayBook, look: Callable[[], None]) -> None:
        """`look` is called again and again, and may raise."""
        self._book = book
        self._look = look
        self._here = BookPosition()
        self._running = hashlib.sha256()

    def upto(self, place: BookPosition) -> str:
        """The digest of what stands before a place, which is not before the one that was asked for last."""
        for path in self._book.files():
            if self._here.file <= path.name <= place.file:
                begin = self._here.size if path.name == self._here.file else 0
                self._running.update(b"" if begin else path.name.encode())
                self._feed(path, begin, place.size if path.name == place.file else path.stat().st_size)
        self._here = place
        return self._running.hexdigest()

    def _feed(self, path: Path, begin: int, end: int) -> None:
        with path.open("rb") as file:
            file.seek(begin)
            while begin < end and (read := file.read(min(CHUNK, end - begin))):
                self._look()
                self._running.update(read)
                begin += len(read)


def still_compared(said: BookCompared, book: DayBook, look: Callable[[], None]) -> tuple[BookCompared, BookDigest]:
    """What of a comparison still holds, all of it or nothing, and the digest up to there."""
    digest = BookDigest(book, look)
    if said.digest and digest.upto(said.place) == said.digest:
        return said, digest
    return BookCompared(), BookDigest(book, look)
