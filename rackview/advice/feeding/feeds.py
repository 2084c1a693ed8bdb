"""Which feed a vessel is given, and how much of it makes a dose."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import chain

from rackview.advice.situation import Situation
from rackview.core.dataclass import dataclass
from rackview.core.events import Feed
from rackview.core.tables import Stock
from rackview.language import _
from rackview.rules.constants import USUAL_DRY_G_PER_ML
from rackview.rules.view import View


@dataclass(frozen=True, slots=True)
class Dose:
    """So much of a feed, in `unit`, of `strength` g dry in each; `guessed` if that is not known. Without a feed, g dry.

    `words` is the unit, with the name of a feed that is not the rack's usual one.
    """

    amount: float
    unit: str
    words: str
    stock: Stock | None
    guessed: bool = False
    strength: float = 1.0

    @property
    def feed(self) -> str | None:
        """The name of the feed."""
        return None if self.stock is None else self.stock.feed


def dose(sit: Situation, view: View, dry_g: float) -> Dose:
    """What `dry_g` of dry matter are of the feed that this vessel is given."""
    stock = _feeds(sit)[view.vessel.vessel]
    if stock is None:
        return Dose(dry_g, "g", _("g dry feed"), None)
    strength = stock.dry_g_per_ml
    if strength is None:
        strength = USUAL_DRY_G_PER_ML if stock.unit == "mL" else 1.0
    words = stock.unit if stock.feed == _usual(sit) else f"{stock.unit} {stock.feed}"
    return Dose(dry_g / strength, stock.unit, words, stock, stock.dry_g_per_ml is None, strength)


def _feeds(sit: Situation) -> dict[str, Stock | None]:
    """The feed of every vessel by its name, found once a moment."""
    if "feeds" not in sit.memo:
        sit.memo["feeds"] = {name: _feed_for(sit, view) for name, view in sit.views.items()}
    found: dict[str, Stock | None] = sit.memo["feeds"]
    return found


def _usual(sit: Situation) -> str | None:
    """The feed that most vessels get, which need not be named; of two as common the one that is first by name."""
    if "usual feed" not in sit.memo:
        found = Counter(one.feed for name, one in _feeds(sit).items() if one is not None and sit.views[name].stocked)
        sit.memo["usual feed"] = min(found, key=lambda feed: (-found[feed], feed), default=None)
    usual: str | None = sit.memo["usual feed"]
    return usual


def _feed_for(sit: Situation, view: View) -> Stock | None:
    """The feed that the vessel got last, else the newest of its strain, else the first on the shelf not expired.

    One that is no longer on the shelf is not asked for, unless nothing is known of the shelf.
    """
    shelf = sit.rack.stock
    for fed in chain((f.event for f in view.care.feeds[-1:]), _fed_alike(sit, view)):
        known = next((one for one in shelf if one.feed == fed.feed), None)
        if known is not None:
            return known
        if not shelf:
            return Stock(fed.feed, unit=fed.unit)
    fresh = [one for one in shelf if one.expires is None or one.expires >= sit.when.date]
    return next(iter([*fresh, *shelf]), None)


def _fed_alike(sit: Situation, view: View) -> Iterator[Feed]:
    """The last feedings of the strain's vessels, the newest first."""
    views = (v for v in sit.views.values() if v.vessel.strain == view.vessel.strain and v.care.feeds)
    last = sorted((v.care.feeds[-1] for v in views), key=lambda fed: (-fed.day, fed.event.feed))
    yield from (fed.event for fed in last)
