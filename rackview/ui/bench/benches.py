"""The benches by name, and the words of a formula as a keeper reads them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from itertools import chain

from rackview.language import _
from rackview.science.formula_entry import Input
from rackview.ui.bench import culture_benches as culture
from rackview.ui.bench import water_benches as water
from rackview.ui.bench.sums import Sum


@cache
def benches() -> dict[str, tuple[Sum, ...]]:
    """The benches by name, each with its sums; a formula of the shelf stands on one of them."""
    return {
        _("Counting"): culture.COUNTING,
        _("Growth"): culture.GROWTH,
        _("Temperature"): culture.TEMPERATURE,
        _("Eggs"): culture.EGGS,
        _("Copepods"): culture.COPEPODS,
        _("Salinity"): water.SALINITY,
        _("Ammonia"): water.AMMONIA,
        _("Oxygen"): water.OXYGEN,
        _("Tomorrow"): water.TOMORROW,
        _("Mixing"): water.mixing_bench(),
        _("Feed"): culture.FEED,
        _("Live algae"): culture.ALGAE,
        _("Transfer"): culture.TRANSFER,
        _("Enrichment"): culture.ENRICHMENT,
        _("Cold storage"): culture.COLD,
        _("Disinfection"): water.DISINFECTION,
        _("Larvae"): culture.LARVAE,
        _("Vessels"): water.VESSELS,
    }


def matching(text: str) -> tuple[Sum, ...]:
    """The sums that hold every word typed: first those whose question does, then those whose bench or formula does."""
    words = text.lower().split()
    if not words:
        return ()
    asked, told = [], []
    for name, sums in benches().items():
        for one in sums:
            if all(word in one.question.lower() for word in words):
                asked.append(one)
            elif all(word in f"{name} {one.question} {one.formula.title}".lower() for word in words):
                told.append(one)
    return (*asked, *told)


@cache
def _questions() -> dict[str, str]:
    """What each function answers, by its name alone; the plainer of two sums that share a function."""
    found: dict[str, str] = {}
    for one in chain.from_iterable(benches().values()):
        found.setdefault(one.function.split(".")[1], one.question)
    return found


def for_keepers(words: str, asks: Iterable[Input] = ()) -> str:
    """Words of a docstring with what a keeper knows, a sum or an input, in place of the name of a function or value."""
    labels = {ask.name: ask.label for ask in asks}

    def named(match: re.Match[str]) -> str:
        name = match[1]
        if name.isupper():
            return _("the list")
        asked = _questions().get(name.rpartition(".")[2])
        if asked is not None:
            return f"“{asked}”"
        return labels.get(name) or (name if "." in name else name.replace("_", " "))

    return re.sub(r"`([^`]*)`", named, words)
