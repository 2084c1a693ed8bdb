"""Findings that need the whole rack: contacts, eggs against the rack's habit, reserves, one shelf, a common cause."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from rackview.core.assessment import Severity
from rackview.core.clock import EPOCH
from rackview.core.dataclass import dataclass
from rackview.core.tables import Settings, Stock
from rackview.rules.care import Care
from rackview.rules.constants import (
    COMMON_DAYS,
    COMMON_LEAST,
    COMMON_SHARE,
    CONTACT_CHANCE,
    FRESH_BOTTLE_DAYS,
    NEW_DAYS,
)
from rackview.rules.findings import Finding, finding
from rackview.rules.view import View

CARRIED = {"ciliates", "crash"}
"""Conditions that tools and hands carry from vessel to vessel."""


OWN_CAUSE = {
    "misfit", "floss", "count_old", "clumped", "contact", "mixed_strain", "dense", "feed_expired", "eggs_held",
}  # fmt: skip
"""Flags that have a cause of the vessel's own and say nothing of a shared one."""


@dataclass(frozen=True, slots=True)
class RackFinding:
    """A condition of the rack: the code, the strain or vessels it is about, and the values for its sentence."""

    code: str
    vessels: tuple[str, ...]
    values: Mapping[str, object] = field(default_factory=dict)
    events: tuple[str, ...] = ()


def contacts(views: Mapping[str, View], found: Mapping[str, tuple[Finding, ...]]) -> dict[str, Finding]:
    """Per vessel: the newest contact with a vessel that was known to be suspect, if it was not looked at since."""
    sources: list[tuple[float, str, str]] = []
    for name, findings in found.items():
        carried = [f for f in findings if f.code in CARRIED and f.state != "shelved" and f.severity > Severity.notice]
        if not carried:
            continue
        view = views[name]
        since = max(min(f.since for f in carried), view.day - view.profile.contact_days)
        event = next((e for f in carried for e in f.events), "")
        sources += [(day, name, event) for day in touches(view.care) if since <= day <= min(view.day, since + NEW_DAYS)]
    if not sources:
        return {}
    sources.sort()
    result: dict[str, Finding] = {}
    for name, view in views.items():
        touched = [d for d in touches(view.care) if d >= view.day - view.profile.contact_days]
        if not touched or any(f.code in CARRIED for f in found[name]) or not view.stocked:
            continue
        hit = _newest_contact(name, touched, sources, view.profile.contact_hours / 24.0)
        if hit is None or looked_clean(view.care, hit[0]):
            continue
        day, source, event = hit
        result[name] = finding("contact", day, event, chance=CONTACT_CHANCE, other=source)
    return result


def touches(care: Care) -> list[float]:
    """Days on which hands and tools were in the vessel."""
    days = [c.day for c in care.counts] + [h.day for h in care.harvests] + [s.day for s in care.cleaned.values()]
    return days + [s.day for s in care.splits_out]


def _newest_contact(
    name: str, touched: list[float], sources: list[tuple[float, str, str]], reach: float
) -> tuple[float, str, str] | None:
    hits = [
        (day, source, event)
        for day in touched
        for then, source, event in sources
        if source != name and 1e-6 < day - then <= reach
    ]
    return max(hits, default=None)


def looked_clean(care: Care, since: float) -> bool:
    """Whether a count at least a day after `since` found no ciliates."""
    return any(c.ciliates == "none" and c.day >= since + 0.5 for c in care.ciliates)


def rack_findings(
    views: Mapping[str, View],
    found: Mapping[str, tuple[Finding, ...]],
    settings: Settings,
    stock: tuple[Stock, ...] = (),
) -> tuple[RackFinding, ...]:
    """What is wrong with the rack as a whole, the common cause first."""
    common = common_cause(views, found, stock)
    rest = [*no_reserve(views, settings), *one_place(views)]
    return (*([common] if common else []), *rest)


def _kept_in_several(views: Mapping[str, View]) -> list[list[View]]:
    """The vessels in use of each strain that more than one of them holds, strain by strain."""
    strains: dict[str, list[View]] = {}
    for view in views.values():
        if view.stocked:
            strains.setdefault(view.vessel.strain, []).append(view)
    return [group for _, group in sorted(strains.items()) if len(group) > 1]


def no_reserve(views: Mapping[str, View], settings: Settings) -> list[RackFinding]:
    """Strains with two or more vessels and none of them kept as a reserve, all in one."""
    if not settings.keep_reserve:
        return []
    bare = [group for group in _kept_in_several(views) if not any(v.vessel.reserve for v in group)]
    return [_of_strains("no_reserve", bare)] if bare else []


def one_place(views: Mapping[str, View]) -> list[RackFinding]:
    """Strains of which every vessel stands on one shelf of a rack with several, shelf by shelf."""
    if len({v.vessel.shelf for v in views.values()}) < 2:
        return []
    together: dict[str, list[list[View]]] = {}
    for group in _kept_in_several(views):
        if len({v.vessel.shelf for v in group}) == 1:
            together.setdefault(group[0].vessel.shelf, []).append(group)
    return [_of_strains("one_place", groups, shelf=shelf) for shelf, groups in sorted(together.items())]


def _of_strains(code: str, groups: list[list[View]], **values: object) -> RackFinding:
    vessels = tuple(v.vessel.vessel for group in groups for v in group)
    return RackFinding(code, vessels, {"strains": [group[0].profile.title for group in groups], **values})


def common_cause(
    views: Mapping[str, View], found: Mapping[str, tuple[Finding, ...]], stock: tuple[Stock, ...]
) -> RackFinding | None:
    """One cause for many vessels that went wrong together."""
    in_use = [name for name, view in views.items() if view.stocked]
    fresh: dict[str, list[Finding]] = {}
    for name in in_use:
        new = [
            f
            for f in found[name]
            if f.code not in OWN_CAUSE and f.state == "active" and views[name].day - f.since <= COMMON_DAYS
        ]
        if new:
            fresh[name] = new
    if len(fresh) < COMMON_LEAST or len(fresh) <= COMMON_SHARE * len(in_use):
        return None
    return RackFinding(
        "common",
        tuple(fresh),
        {"cause": _guess(views, fresh, stock), "count": len(fresh), "of": len(in_use)},
        tuple(dict.fromkeys(e for flags in fresh.values() for f in flags for e in f.events)),
    )


def _guess(views: Mapping[str, View], fresh: Mapping[str, list[Finding]], stock: tuple[Stock, ...]) -> str:
    codes = {name: {f.code for f in flags} for name, flags in fresh.items()}

    def share(of: set[str]) -> float:
        return sum(1 for c in codes.values() if c & of) / len(codes)

    if share({"warm", "cold", "temperature_step"}) >= 0.5:
        return "temperature"
    if share({"salinity", "salinity_step", "evaporation"}) >= 0.5:
        return "salt"
    if share({"ciliates"}) >= 0.5:
        return "tools"
    feeds = {views[n].care.feeds[-1].event.feed for n in fresh if views[n].care.feeds}
    day = next(views[n].day for n in fresh)
    if len(feeds) == 1:
        for one in stock:
            opened = None if one.opened is None else (one.opened.toordinal() - EPOCH.toordinal())
            if one.feed in feeds and opened is not None and -1.0 <= day - opened <= FRESH_BOTTLE_DAYS:
                return "bottle"
    return "unknown"
