"""What the keeper cares about, in one table; everything the choice weighs is reckoned from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    Array = NDArray[Any]

MET_LINE, MET_WIDTH = 0.68, 0.03
"""A day met by less than about 70 % loses a brood, one met by four fifths hardly: common practice, no source."""
THRIFT = 0.8
"""Share of a brood's worth that goes with how well its days are met, where none falls under the line."""
BROOD_DAYS = 9.0
"""Days of a usual brood on live feed, over which that share is spread."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What things are worth against each other, in any one unit; each number of 0 or more.

    `brood` is what a brood raised is worth, `vessel` what it costs to have a culture to build up anew, `strain` to lose
    the last of a strain, `starter` to buy one, `feed_g` a gram of dry feed, `minute` a minute's work, `spare_m` a
    million animals thrown away, `mouth_m` a million given to mouths that can do without.
    """

    brood: float = 200.0
    vessel: float = 25.0
    strain: float = 150.0
    starter: float = 40.0
    feed_g: float = 0.20
    minute: float = 0.06
    spare_m: float = 0.15
    mouth_m: float = 0.30

    @classmethod
    def of(cls, own: Mapping[str, float]) -> Worth:
        """The usual worths with the keeper's own in their place, by name."""
        return cls(**own)


MINUTES = {"harvest": 1.5, "restart": 6.0, "split": 3.0, "clean": 1.5, "feed": 0.4, "count": 0.8}
"""Minutes that each action takes: common practice, no source."""


def kept(met: Array) -> Array:
    """The share of a brood that is kept over a day of which so much of the need is met; any shape."""
    found: Array = 1.0 / (1.0 + np.exp((MET_LINE - met) / MET_WIDTH))
    return found
