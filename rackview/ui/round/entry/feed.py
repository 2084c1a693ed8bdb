"""Which feeds the round offers, in which unit, and how much of another feed does what the suggested amount would do."""

from __future__ import annotations

from rackview.advice.done import UNNAMED_FEED
from rackview.core.assessment import Suggestion
from rackview.core.dataclass import dataclass
from rackview.core.events import Feed
from rackview.core.rack import Rack
from rackview.language import _
from rackview.rules.constants import USUAL_DRY_G_PER_ML
from rackview.ui.words import keeper_units as ku


@dataclass(frozen=True, slots=True)
class Offer:
    """A feed with the unit it is measured in and its dry matter, g per unit (None: not known)."""

    name: str
    unit: str
    strength: float | None


def offers(rack: Rack, asked: Suggestion | None, last: Feed | None) -> tuple[Offer, ...]:
    """The feeds to choose from: the stock table's; without one the feed suggested, then the one given last."""
    if rack.stock:
        usual = {"mL": USUAL_DRY_G_PER_ML}
        return tuple(Offer(s.feed, s.unit, s.dry_g_per_ml or usual.get(s.unit, 1.0)) for s in rack.stock)
    found = []
    if asked is not None:
        unit = asked.unit or "mL"
        found.append(Offer(asked.feed or UNNAMED_FEED, unit, 1.0 if unit == "g" else None))
    if last is not None and last.feed not in {o.name for o in found}:
        found.append(Offer(last.feed, last.unit, None))
    return tuple(found) or (Offer(_("algae concentrate"), "mL", None),)


def amount(offered: tuple[Offer, ...], asked: Suggestion, chosen: str) -> str:
    """How much of the chosen feed has the dry matter of the amount asked for; "" if that can't be told."""
    if asked.amount is None:
        return ""
    by_name = {o.name: o for o in offered}
    meant, taken = by_name.get(asked.feed or offered[0].name), by_name.get(chosen)
    if meant is taken:
        return ku.amount_text(asked.amount)
    if meant is None or taken is None or not meant.strength or not taken.strength:
        return ""
    return ku.amount_text(float(f"{asked.amount * meant.strength / taken.strength:.2g}"))
