"""What the planner knows of a rack of one strain: its cultures and what is needed of them, without history."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Any

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.core.outlook import Outlook
from rackview.planner.constants import (
    CAUGHT,
    DENSE,
    LOWEST_PER_ML,
    MARGIN,
    OFTEN,
    RATION_G,
    SHARE_MOST,
    SHARE_OVER,
    START_PER_ML,
    STARTER_DAYS,
)
from rackview.planner.value import Worth

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]


@dataclass(frozen=True, slots=True)
class Culture:
    """One vessel. `outlook` is None where it holds nothing that is known of.

    `gives` says that it may be harvested today, `food` that what it holds may be fed to larvae, `seeds` that it may
    start another, `takes` that culture may be put into it today: as a "split" where it stands empty, as a "restart"
    where it holds a culture, "" where neither is wanted. `least_per_ml` is the thinnest that it is to be thinned to,
    `thins` says whether it is to be thinned at all, `doubted` that it serves only after the others, `start_per_ml` is
    what it is started at, `most` the largest share taken from it in a day. `rinse` is the share that must be exchanged
    today as its water asks for it; `lowest_per_ml` is the thinnest that it may serve down to lest a brood be lost.
    `ration` is dry feed, g per million and day. `anew` is what it is worth, as a share
    of a vessel, to start it anew for other reasons than its stock, such as its age; `urgent` that it failed, so that
    even a doubted giver will do.
    """

    vessel: str
    volume_l: float
    level_l: float
    outlook: Outlook | None
    gives: bool = True
    food: bool = True
    seeds: bool = True
    takes: str = ""
    reserve: bool = False
    least_per_ml: float = START_PER_ML
    lowest_per_ml: float = LOWEST_PER_ML
    start_per_ml: float = START_PER_ML
    most: float = SHARE_MOST
    thins: bool = True
    doubted: bool = False
    rinse: float = 0.0
    ration: float = RATION_G
    anew: float = 0.0
    urgent: bool = False

    @property
    def fill(self) -> float:
        """How full it stands, at most 1."""
        return min(self.level_l / self.volume_l, 1.0)


@dataclass(frozen=True, slots=True)
class NeedAhead:
    """Animals needed a day from today on, in millions.

    `early` marks days whose need may come a day sooner or later than said. `more` says that broods come now and then
    that nobody has announced yet; `done_m` is what larvae were already given today, `margin` the share
    over the need that the keeper has taken, for losses at the sieve and for counts that err. `spread` is the doubt of
    what larvae eat, a standard deviation of the logarithm. `mouths_m` can be given away today and every day to those
    who can do without, at `mouth_worth` a million. `said_days` is for how many days from today needs have been said at
    all, None for all of them: a brood that is still fed on the last of them goes on.
    """

    millions: tuple[float, ...] = ()
    early: tuple[bool, ...] = ()
    more: bool = False
    done_m: float = 0.0
    margin: float = SHARE_OVER
    spread: float = 0.0
    mouths_m: float = 0.0
    mouth_worth: float = 0.0
    said_days: int | None = None

    @property
    def larvae(self) -> bool:
        """Whether larvae are fed from this rack, now or sooner or later."""
        return self.more or any(m > 0.0 for m in self.millions)

    @property
    def goes_on(self) -> int | None:
        """The first day of a brood that is fed on the last day of which needs were said; None if there is none."""
        end = len(self.millions) if self.said_days is None else min(self.said_days, len(self.millions))
        if self.said_days is None or end < 2 or self.millions[end - 1] <= 0.0:
            return None
        begin = end - 1
        while begin > 0 and self.millions[begin - 1] > 0.0:
            begin -= 1
        return begin

    @property
    def open_m(self) -> float:
        """What is still needed today."""
        return max(self.millions[0] - self.done_m, 0.0) if self.millions else 0.0


@dataclass(frozen=True, slots=True)
class Falls:
    """Of what the cultures of a strain fall here, by what the rack's own record taught of causes.

    `dense` is the share of the futures in which days near the ceiling bring a culture down, `caught` the chance that a
    culture catches what a neighbour has, `often` how often falls begin that no sign speaks of, against usual. The
    defaults are for a rack that taught nothing yet: common practice, no source.
    """

    dense: float = DENSE
    caught: float = CAUGHT
    often: float = OFTEN


@dataclass(frozen=True, slots=True)
class Problem:
    """One strain to decide for: its cultures in the order of the rack, the need, what things are worth, why they fall.

    `starter_days` pass until a bought starter is there.
    """

    cultures: tuple[Culture, ...]
    need: NeedAhead
    worth: Worth = field(default_factory=Worth)
    starter_days: float = STARTER_DAYS
    falls: Falls = field(default_factory=Falls)


@dataclass(frozen=True, slots=True)
class Transfer:
    """Culture from one vessel to another today: share of the giver's volume."""

    action: str
    giver: str
    taker: str
    share: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the futures say of a way to act: value, days of falling short, what is met, and how the vessels stand.

    `short` is the probability of less than the need's line, day by day, with the mornings in between planned anew
    (`planner.replanning`), `met` the mean share met.
    """

    value: float
    short: tuple[float, ...]
    met: tuple[float, ...]
    need: tuple[float, ...]
    given: tuple[float, ...]
    supply: tuple[tuple[float, float, float], ...]
    lost: float


@dataclass(frozen=True, slots=True)
class Choice:
    """What to do today: share to take of every vessel, transfers; what is expected of it, and otherwise.

    `starter` names the vessel to start with a bought starter. `otherwise` holds by vessel what is expected if nothing
    is done there. `scale` is how much stock is kept in the days ahead, against what a sound keeper would, `later`
    what share of the need is taken on them. `gone` says that the strain is as good as lost.
    """

    shares: dict[str, float]
    transfers: tuple[Transfer, ...]
    starter: str | None
    expected: Outcome
    otherwise: dict[str, Outcome]
    scale: float = 1.0
    later: float = MARGIN
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Outlined:
    """The days ahead of a choice: probability of falling short, supply in millions (median, low, high) and who gives.

    `gives` holds by day and vessel litres and millions; vessels that give nothing are left out. `met` is the share of
    all that is needed that can be given, `missed` the days under the line in each future (days, futures).
    """

    short: tuple[float, ...]
    supply: tuple[tuple[float, float, float], ...]
    gives: tuple[dict[str, tuple[float, float]], ...]
    met: float = 1.0
    missed: Array = field(default_factory=lambda: np.zeros((0, 0), bool), compare=False, repr=False)
