"""What the rack screen shows, ready to draw: plain frozen states with every number already turned into a place.

Made by `rackview.ui.rack.presenter`, tiles by `rackview.ui.rack.tile`; drawn by `rackview.ui.paint`, which neither
queries nor computes. Heights and times run from 0 to 1: heights from the bottom, times from the oldest on the left.
"""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from rackview.core.dataclass import dataclass

if TYPE_CHECKING:
    from rackview.core.assessment import Severity, Suggestion
    from rackview.ui.rack.tile import TileState

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Trend:
    """The last days and the next few of one vessel, on a log scale of its own.

    `lines` are the stretches of the estimate with a step down at each harvest, apart where a split or restart lies
    between; `points` are counts; `fan` holds (time, low 90 %, low 50 %, high 50 %, high 90 %); `last` is the estimate
    now; `band` the working band, held within the scale.
    """

    band: tuple[float, float] | None = None
    lines: tuple[tuple[Point, ...], ...] = ()
    points: tuple[Point, ...] = ()
    fan: tuple[tuple[float, float, float, float, float], ...] = ()
    last: Point | None = None


@dataclass(frozen=True, slots=True)
class FreePlace:
    """A place on a shelf where no vessel stands."""

    shelf: str
    position: int
    accessible: str = ""

    @property
    def place(self) -> str:
        """Shelf and position in one word."""
        return f"{self.shelf}{self.position}"


@dataclass(frozen=True, slots=True)
class Shelf:
    """One shelf from left to right."""

    name: str
    places: tuple[TileState | FreePlace, ...]


@dataclass(frozen=True, slots=True)
class Supply:
    """What the rack can give today against what the larvae need, of one strain, as shares of the bar's length.

    `need` is where the demand stands, None where nothing eats today; `sure` is given in 95 of 100 cases, `likely` in
    half, `most` in 5 of 100. `short` says that the need may not be met. `aside` stands right of
    the heading; `brief` is for letters to be read from 3 m.
    """

    heading: str
    line: str
    aside: str = ""
    note: str = ""
    need: float | None = None
    sure: float = 0.0
    likely: float = 0.0
    most: float = 0.0
    short: bool = False
    brief: str = ""
    accessible: str = ""


class ItemProgress(Enum):
    """How far a thing of the day's list is."""

    open = "open"
    done = "done"
    declined = "declined"


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the day's list; `suggestion` is there while it is open.

    `rows` are the lines of a table, each a place and what is said of it, shown while the line is selected. `together`
    are the suggestions that such a line records at once. A line that `gathers` a kind of work stands for its `members`,
    which follow it while it is `unfolded`.
    """

    place: str
    text: str
    why: str = ""
    step: ItemProgress = ItemProgress.open
    severity: Severity | None = None
    suggestion: Suggestion | None = None
    cautions: tuple[str, ...] = ()
    accessible: str = ""
    rows: tuple[tuple[str, str], ...] = ()
    together: tuple[Suggestion, ...] = ()
    gathers: str = ""
    members: tuple[Item, ...] = ()
    unfolded: bool = False


@dataclass(frozen=True, slots=True)
class DayList:
    """The side column: supply against demand, what was done today and what is left, in the order to do it.

    `cautions` are those that hold for most of what is left; each item has the rest of its own.
    """

    supplies: tuple[Supply, ...] = ()
    cautions: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()
    progress: str = ""
    foot: str = ""


@dataclass(frozen=True, slots=True)
class RackState:
    """The whole rack screen."""

    name: str
    invented: str
    date: str
    time: str
    shelves: tuple[Shelf, ...]
    banner: str = ""

    def tiles(self) -> tuple[TileState, ...]:
        """Every vessel's tile, shelf by shelf from the left."""
        return tuple(p for s in self.shelves for p in s.places if not isinstance(p, FreePlace))
