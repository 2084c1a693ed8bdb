"""What the estimate hands to whoever looks ahead: one vessel's culture as a few numbers, without its history."""

from __future__ import annotations

from rackview.core.dataclass import dataclass


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is believed of one culture now, for sampling its futures. Logarithms are natural, rates per day.

    `log_density` is of animals per mL. `rate_per_day` is the growth this culture would have if it were thin and fed,
    at its present temperature; growth falls to nothing at the ceiling, of which `log_ceiling` is the logarithm.
    Each comes with its standard deviation. `daily_sd` is how much one day's growth departs from the last's mean.
    `collapse_chance` is the probability that a collapse is under way, `collapses_per_day` the rate at which falls begin
    under the usual care.
    """

    log_density: float
    log_density_sd: float
    rate_per_day: float
    rate_sd: float
    log_ceiling: float
    log_ceiling_sd: float
    daily_sd: float
    collapse_chance: float
    collapses_per_day: float
