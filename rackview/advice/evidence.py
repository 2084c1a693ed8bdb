"""The facts behind a suggestion or flag, each with the ids of the events that show it."""

from __future__ import annotations

from rackview.advice.constants import GROWTH_COUNTS
from rackview.advice.words import evidence as evidence_words
from rackview.advice.words import suggestions as words
from rackview.advice.words.speech import Speech
from rackview.core.assessment import Evidence
from rackview.planner.demand import Need
from rackview.rules.due import whole_days
from rackview.rules.findings import Finding
from rackview.rules.view import View


def _ids(*events: str) -> tuple[str, ...]:
    return tuple(e for e in events if e)


def count_evidence(view: View) -> tuple[Evidence, ...]:
    """The newest count, or what the culture was started with."""
    return view.once(_count_evidence)


def _count_evidence(view: View) -> tuple[Evidence, ...]:
    newest = view.care.last_count
    if newest is not None and newest.looked_at_ml > 0.0:
        found = newest.animals / newest.looked_at_ml
        text = evidence_words.counted_text(found, newest.seen, whole_days(newest.day, view.today))
        return (Evidence(text, _ids(newest.id)),)
    event = view.care.started_by or view.care.last_in
    if event is not None:
        return (Evidence(evidence_words.started_text(whole_days(event.day, view.today)), _ids(event.id)),)
    return (Evidence(evidence_words.NOTHING_RECORDED),)


def growth_evidence(view: View) -> tuple[Evidence, ...]:
    """The net rate, and the counts that it rests on."""
    net = view.estimate.net_per_day
    if net is None or not view.care.counts:
        return ()
    newest = view.care.counts[-GROWTH_COUNTS:]
    return (Evidence(evidence_words.growing_text(net.median, net.low90, net.high90), _ids(*(c.id for c in newest))),)


def need_evidence(need: Need, strain: str) -> tuple[Evidence, ...]:
    """What the larvae need of a strain, by its title."""
    return (
        Evidence(
            evidence_words.needed_text(need.animals, strain, need.broods, need.own_word, by_tanks=need.spread > 0.0)
        ),
    )


def seen_evidence(finding: Finding | None) -> tuple[Evidence, ...]:
    """What was seen that a flag is named by, where its sentence is said already."""
    text = "" if finding is None else evidence_words.seen_text(finding.code, finding.values)
    return () if finding is None or not text else (Evidence(text, finding.events),)


def finding_evidence(finding: Finding | None, speech: Speech) -> tuple[Evidence, ...]:
    """A flag, and the events that raised it."""
    if finding is None:
        return ()
    return (Evidence(words.flag(finding.code, finding.values, speech), finding.events),)
