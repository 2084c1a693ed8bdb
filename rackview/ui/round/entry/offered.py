"""What the suggestions for a vessel come to as texts of the round's fields: shown as suggestions, never as values."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rackview.core.assessment import Suggestion
from rackview.core.tables import Settings
from rackview.ui.round.entry.columns import CLEANING
from rackview.ui.words import keeper_units as ku

TogetherWith = dict[str, tuple[str, ...]]

TOGETHER: TogetherWith = {"harvest": ("harvest_to", "harvest_mesh"), "split": ("split_to",)}
"""Fields that are taken in one step with another, as they say what it is."""


def offered(suggestions: Sequence[Suggestion], settings: Settings, feed: Callable[[Suggestion], str]) -> dict[str, str]:
    """Field to the text that is suggested for it; `feed` gives the amount of the feed that the round shows."""
    found: dict[str, str] = {}
    for s in suggestions:
        if s.action == "clean":
            found["clean"] = s.what if s.what in CLEANING else "floss"
        if s.amount is None:
            continue
        if s.action == "harvest":
            found["harvest"] = ku.volume_text(s.amount, settings)
            found["refill"] = ku.volume_text(s.amount if s.refill_l is None else s.refill_l, settings)
            found["harvest_to"] = s.to or ""
            found["harvest_mesh"] = ku.plain(s.mesh_um) if s.mesh_um else ""
        elif s.action == "feed":
            found["feed"] = feed(s)
        elif s.action == "split" and s.other_vessel:
            found["split"] = ku.volume_text(s.amount, settings)
            found["split_to"] = s.other_vessel
            found["split_refill"] = ku.volume_text(s.amount if s.refill_l is None else s.refill_l, settings)
    return {key: text for key, text in found.items() if text}
