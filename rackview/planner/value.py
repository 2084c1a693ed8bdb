"""What the keeper cares about, in one table; everything the choice weighs is reckoned from it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.planner.constants import (
    BROOD,
    FEED_G,
    MET_LINE,
    MET_WIDTH,
    MINUTE,
    MOUTH_M,
    SPARE_M,
    STARTER,
    STRAIN,
    VESSEL,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    Array = NDArray[Any]


@dataclass(frozen=True, slots=True)
class Worth:
    """What things are worth against each other, in any one unit; each number of 0 or more.

    `brood` is what a brood raised is worth, `vessel` what it costs to have a culture to build up anew, `strain` to lose
    the last of a strain, `starter` to buy one, `feed_g` a gram of dry feed, `minute` a minute's work, `spare_m` a
    million animals thrown away, `mouth_m` a million given to mouths that can do without.
    """

    brood: float = BROOD
    vessel: float = VESSEL
    strain: float = STRAIN
    starter: float = STARTER
    feed_g: float = FEED_G
    minute: float = MINUTE
    spare_m: float = SPARE_M
    mouth_m: float = MOUTH_M

    @classmethod
    def of(cls, own: Mapping[str, float]) -> Worth:
        """The usual worths with the keeper's own in their place, by name."""
        return cls(**own)


def kept(met: Array) -> Array:
    """The share of a brood that is kept over a day of which so much of the need is met; any shape."""
    found: Array = 1.0 / (1.0 + np.exp((MET_LINE - met) / MET_WIDTH))
    return found
