"""What the vessels of a rack have taught each other for the days ahead.

The belief of the present rests on a vessel's own record alone, so that no entry elsewhere moves what is advised for
it; a forecast, which has to say what the signs seen now will bring, listens to all vessels of the strain.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackview.core.rack import Rack

if TYPE_CHECKING:
    from rackview.science.state.pool import Pool


def taught(rack: Rack, vessel: str, day: float) -> Pool:
    """What the vessels with this vessel's profile had taught by `day` (days since 1970-01-01T00:00Z)."""
    from rackview.science.state.belief import believe
    from rackview.science.state.growth import Prior
    from rackview.science.state.pool import pooled

    profile = rack.profile(vessel)
    alike = [name for name in rack.vessels if rack.profile(name) == profile]
    return pooled(Prior.of(profile), {name: believe(rack.log(name, day), profile) for name in alike})
