"""Whether a count just made wants to be made again, for the window to ask at once."""

from __future__ import annotations

from rackview.advice.beliefs import flag_of
from rackview.advice.moment import when
from rackview.advice.situation import situation_of_one
from rackview.advice.words.speech import Speech
from rackview.core.assessment import Flag
from rackview.core.rack import Rack

ASKING = ("drop", "falling", "misfit", "clumped")
"""Rules that a single count can raise by itself, the most pressing first."""


def doubted(rack: Rack, vessel: str, at: object) -> Flag | None:
    """The flag by which the newest count of the vessel asks to be made again, None if it may stand."""
    sit = situation_of_one(rack, vessel, when(at))
    counts = sit.views[rack.vessel(vessel).vessel].care.counts
    if not counts:
        return None
    newest = counts[-1]
    raised = {f.code: f for f in sit.findings[vessel] if newest.id in f.events and f.state != "shelved"}
    code = next((c for c in ASKING if c in raised), None)
    return None if code is None else flag_of(raised[code], Speech(rack.settings, rack.vessels))
