"""What a suggestion rests on, as short phrases: the last count, the trend, what stays, what is needed, what is due."""

from __future__ import annotations

from collections.abc import Sequence

from rackview.advice.constants import LEVEL_PER_DAY
from rackview.advice.words.speech import Values, animals_seen, days_text, million, per_cent, per_ml
from rackview.language import _

NOTHING_RECORDED = _("nothing counted yet")


def counted_text(found_per_ml: float, animals: int | None, days: int) -> str:
    """A count as evidence."""
    when = _("today") if days == 0 else _("{days} ago").format(days=days_text(days))
    return _("counted {found_per_ml} from {animals}, {when}").format(
        found_per_ml=per_ml(found_per_ml), animals=animals_seen(animals), when=when
    )


def started_text(days: int) -> str:
    """A start as evidence."""
    return _("started today") if days == 0 else _("started {days} ago").format(days=days_text(days))


def growing_text(rate: float, low: float, high: float) -> str:
    """A net rate with its 90 % interval as evidence."""
    word = _("rising") if rate > LEVEL_PER_DAY else _("falling") if rate < -LEVEL_PER_DAY else _("level")
    return _("{word} {rate:.2f} a day ({low:.2f} to {high:.2f})").format(word=word, rate=abs(rate), low=low, high=high)


def staying_text(left_per_ml: float) -> str:
    """What a harvest leaves, as evidence."""
    return _("{left_per_ml} remain").format(left_per_ml=per_ml(left_per_ml))


def needed_text(animals: float, strain: str, broods: Sequence[str], own_word: bool, *, by_tanks: bool = False) -> str:
    """A demand as evidence; `by_tanks` says that it was corrected by what was left in the larval tanks."""
    if own_word:
        return _("you announced {animals} {strain} for today").format(animals=million(animals), strain=strain)
    left = _(", by what was left in their tanks") if by_tanks else ""
    return _("{broods} need {animals} {strain} today{left}").format(
        broods=", ".join(broods), animals=million(animals), strain=strain, left=left
    )


def seen_text(code: str, values: Values) -> str:
    """What was seen that a flag is named by, eggs and swimming, as evidence; nothing for other flags."""
    told = []
    if code in {"early", "eggs_low", "eggs_held"} and "share" in values:
        told.append(_("{share} with eggs").format(share=per_cent(values["share"])))
    if code in {"early", "swimming"} and "score" in values:
        told.append(_("swims {score} of 5").format(score=values["score"]))
    return ", ".join(told)


LAST_DONE = {"count": _("counted"), "test": _("tested"), "clean": _("cleaned")}


def due_evidence(action: str, days: float | None) -> str:
    """When something due was last done, as evidence."""
    done = LAST_DONE[action]
    if days is None:
        return _("never {done}").format(done=done)
    return (
        _("{done} today").format(done=done)
        if round(days) <= 0
        else _("last {done} {days} ago").format(done=done, days=days_text(days))
    )
