"""From decisions to suggestions: amounts on the jug, words, evidence, sureness, cautions, priority, order."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from datetime import datetime, timedelta

from rackview.advice.choice.build import Decisions, Feeding, Hold
from rackview.advice.choice.harvests import Take
from rackview.advice.choice.moves import Move
from rackview.advice.choice.problem import DISCARD
from rackview.advice.constants import (
    DIGITS_L,
    FED_SURE,
    FINE_STEP,
    FINE_UNDER,
    JUG_STEP_L,
    MOST_POURED,
    MOVED_FED_SURE,
    RESTART_DAYS,
    RESTART_SURE,
    SMALL_STEP_L,
    STARTER_SURE,
    STEP,
)
from rackview.advice.evidence import count_evidence, finding_evidence, growth_evidence, need_evidence, seen_evidence
from rackview.advice.feeding.feeds import dose
from rackview.advice.order import SUSPECT, contamination_rank, ranks
from rackview.advice.situation import Situation
from rackview.advice.what_if.otherwise import fed, otherwise, otherwise_words, with_futures
from rackview.advice.words import evidence as evidence_words
from rackview.advice.words import suggestions as words
from rackview.advice.words.cautions import cautions, tasks_of_harvest
from rackview.advice.words.speech import Speech
from rackview.core.assessment import Evidence, Severity, Suggestion
from rackview.language import _
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.due import Due
from rackview.rules.findings import Finding
from rackview.rules.view import View

URGENT, LARVAE, SOON, ROUTINE = range(1, 5)
DENSE = ("dense", "crowded")
WITHIN = ("count", "test", "restart", "clean", "harvest", "split", "feed", "hold")
"""The order of actions at one vessel: look first, dirty work, then take, then feed."""


def suggestions(sit: Situation, decided: Decisions) -> tuple[Suggestion, ...]:
    """All suggestions of the day in the order in which to carry them out."""
    speech = Speech(sit.rack.settings, sit.rack.vessels)
    found: list[Suggestion] = []
    for name, take in decided.takes.items():
        found.append(_harvest(sit, sit.views[name], take, speech, decided))
    found += [_split(sit, m, speech) if m.action == "split" else _restart(sit, m, speech) for m in decided.moves]
    found += [_starter(sit, sit.views[name], decided) for name in decided.starters]
    found = [with_futures(s, decided.strains[sit.views[s.vessel].vessel.strain]) for s in found]
    for name, feeding in decided.feeds.items():
        found.append(_feed(sit, sit.views[name], feeding, speech, decided))
    for name, due in decided.cleans.items():
        found.append(_clean(sit, sit.views[name], due, speech))
    for name, due in decided.counts.items():
        found.append(_count(sit, sit.views[name], due, speech))
    for name, due in decided.tests.items():
        found.append(_test(sit, sit.views[name], due, speech))
    for name, hold in decided.holds.items():
        found.append(_hold(sit, sit.views[name], hold, speech))
    return tuple(sorted(found, key=_place_in_round(sit, decided)))


def _place_in_round(sit: Situation, decided: Decisions) -> Callable[[Suggestion], tuple[int, int, int]]:
    """Sort key: vessel by vessel in the service order; a vessel filled by a split is fed right after the split."""
    rank = ranks(sit)
    filled = {m.target: m.donor for m in decided.moves if m.action == "split"}

    def key(one: Suggestion) -> tuple[int, int, int]:
        donor = filled.get(one.vessel)
        if one.action == "feed" and donor is not None:
            return rank[donor], WITHIN.index("split"), 1
        return rank[one.vessel], WITHIN.index(one.action), 0

    return key


# --- shared parts ---


def rounded(value: float) -> float:
    """An amount as one can read it off a jug: two figures, and halves of the second between 10 and 20."""
    if value <= 0.0:
        return 0.0
    scale = 10.0 ** math.floor(math.log10(value))
    step = FINE_STEP if value / scale < FINE_UNDER else STEP
    return float(f"{round(value / scale / step) * step * scale:.6g}")


def floored(value: float, most: float) -> float:
    """`rounded`, but never over `most`."""
    found = rounded(value)
    if found <= most:
        return found
    step = JUG_STEP_L if most >= 1.0 else SMALL_STEP_L
    return round(int(most / step) * step, DIGITS_L) or most


def _worst(findings: Iterable[Finding], codes: Collection[str]) -> Severity | None:
    return max(
        (f.severity for f in findings if f.code in codes and f.state not in {"shelved", "suppressed"}), default=None
    )


def _own_tools(sit: Situation, vessel: str) -> bool:
    return contamination_rank(sit, vessel) >= SUSPECT


def _cautions(sit: Situation, vessel: str, tasks: Iterable[str] = (), *codes: str) -> tuple[str, ...]:
    """Those of the tasks, by the one table, and those that only this suggestion has."""
    own = (words.CAUTIONS["own_tools"],) if _own_tools(sit, vessel) else ()
    return tuple(dict.fromkeys((*own, *cautions(tasks), *map(words.CAUTIONS.__getitem__, codes))))


def _settled(code: str, sit: Situation, move: Move) -> str:
    return words.SETTLED[code].format(place=sit.views[move.target].vessel.place)


def _soon(sit: Situation, days: float) -> datetime:
    return sit.when.at + timedelta(days=days)


def _flag_text(finding: Finding | None, speech: Speech) -> str:
    return "" if finding is None else words.flag(finding.code, finding.values, speech)


def _due_why(table: Mapping[str, str], due: Due, finding: Finding | None, speech: Speech) -> str:
    short = "" if finding is None else BY_CODE[finding.code].short
    return words.due_why(table, due.code, due.days, _flag_text(finding, speech), short)


def _answered(sit: Situation, vessel: str, code: str) -> Finding | None:
    return next((f for f in sit.findings[vessel] if f.code == code), None)


# --- one function per action ---


def _harvest(sit: Situation, view: View, take: Take, speech: Speech, decided: Decisions) -> Suggestion:
    name, level = view.vessel.vessel, view.estimate.level_l
    litres = floored(take.share * level, MOST_POURED * level)
    share = litres / level
    day = decided.strains[view.vessel.strain]
    per_ml = view.animals / (level * 1000.0)
    doubts = sit.suspects[name]
    standing = {s.consumer for s in sit.rack.standing}
    values = {
        "litres": litres,
        "share": share,
        "per_ml": per_ml,
        "animals": share * view.animals,
        "code": take.code,
        "for": fed(day),
        "met": day.met,
        "need": take.need,
        "doubt": _flag_text(doubts[0], speech) if doubts else "",
        "to_larvae": take.to not in {"", DISCARD, *standing},
        "standing": take.to if take.to in standing else "",
        "otherwise": otherwise_words(otherwise(day, name), fed(day)),
    }
    for_larvae = take.code in {"demand", "short", "doubted"}
    settled = [_settled("restart_too", sit, m) for m in decided.moves if m.donor == name and m.action == "restart"]
    settled += [_settled("split_too", sit, m) for m in decided.moves if m.donor == name and m.action == "split"]
    risk = view.below(view.profile.floor_per_ml / max(1.0 - share, 1e-6), 1.0) or 0.0
    evidence = (
        *count_evidence(view),
        *growth_evidence(view),
        Evidence(evidence_words.staying_text(per_ml * (1.0 - share))),
        *(need_evidence(day.need, view.profile.title) if for_larvae and day.need else ()),
        *(e for d in doubts for e in seen_evidence(d)),
    )
    tasks = tasks_of_harvest(feeds_larvae=for_larvae or bool(values["to_larvae"]), discarded=take.to == DISCARD)
    minded = _cautions(sit, name, tasks, *(("doubted",) if doubts and for_larvae else ()))
    return Suggestion(
        vessel=name, action="harvest", amount=litres, unit="L", other_vessel=None,
        priority=URGENT if take.code == "short" else LARVAE if for_larvae else SOON,
        before=sit.when.tonight, why=words.harvest_why(values, speech), evidence=evidence,
        sureness=min(max(1.0 - risk, 0.0), 1.0), cautions=(*settled, *minded), code=take.code,
        text=words.action_text("harvest", values, speech), severity=_worst(sit.findings[name], DENSE),
        refill_l=round(max(0.0, min(view.vessel.volume_l, view.vessel.volume_l - level + litres)), DIGITS_L),
        mesh_um=view.profile.mesh_um, to=take.to or None, density_per_ml=per_ml,
        own_tools=_own_tools(sit, name),
    )  # fmt: skip


def _feed(sit: Situation, view: View, feeding: Feeding, speech: Speech, decided: Decisions) -> Suggestion:
    name = view.vessel.vessel
    given = dose(sit, view, feeding.dry_g)
    amount, stock = rounded(given.amount), given.stock
    dry_g = amount * given.strength
    ration = feeding.ration if feeding.animals <= 0.0 else dry_g / (feeding.animals / 1e6)
    values = {
        "amount": amount, "unit_words": given.words, "unit": given.unit, "strength": given.strength, "dry_g": dry_g,
        "ration": ration, "animals": feeding.animals, "reasons": feeding.reasons,
    }  # fmt: skip
    codes = ["guess"] if given.guessed else []
    if stock is not None and stock.expires is not None and stock.expires < sit.when.date:
        codes.append("expired")
    tint = view.care.tints[-1] if view.care.tints else None
    start = next((m for m in decided.moves if m.target == name), None)
    evidence = count_evidence(view if start is None else sit.views[start.donor])
    if tint is not None and {"tint_high", "tint_low"} & set(feeding.reasons):
        evidence = (
            *evidence,
            Evidence(
                _("tint {value:.0f} before feeding").format(value=tint.value), (tint.event,) if tint.event else ()
            ),
        )
    return Suggestion(
        vessel=name, action="feed", amount=amount, unit=given.unit, feed=given.feed, other_vessel=None, priority=SOON,
        before=sit.when.tonight, why=words.feed_why(values, speech), evidence=evidence,
        sureness=FED_SURE if not feeding.reasons else MOVED_FED_SURE,
        cautions=_cautions(sit, name, ["dry feed"] if given.unit == "g" else [], *codes), code="ration",
        text=words.action_text("feed", values, speech),
        severity=_worst(sit.findings[name], ("overfed",)), own_tools=_own_tools(sit, name),
    )  # fmt: skip


def _clean(sit: Situation, view: View, due: Due, speech: Speech) -> Suggestion:
    name = view.vessel.vessel
    finding = _answered(sit, name, due.why)
    severity = _worst(sit.findings[name], ("floss", due.why))
    return Suggestion(
        vessel=name, action="clean", amount=None, unit=None, other_vessel=None,
        priority=URGENT if severity is Severity.today else SOON if severity else ROUTINE,
        before=sit.when.tonight if severity else _soon(sit, 2.0),
        why=_due_why(words.CLEAN_WHY, due, finding, speech),
        evidence=_due_evidence("clean", due), sureness=due.sureness,
        cautions=_cautions(sit, name, ("clean", f"clean {due.what}")),
        code=due.code, text=words.action_text("clean", {"what": due.what}, speech), severity=severity, what=due.what,
        own_tools=_own_tools(sit, name),
    )  # fmt: skip


def _count(sit: Situation, view: View, due: Due, speech: Speech) -> Suggestion:
    name = view.vessel.vessel
    finding = _answered(sit, name, due.why)
    urgent = due.code == "recount"
    severity = finding.severity if finding is not None else None
    return Suggestion(
        vessel=name, action="count", amount=None, unit=None, other_vessel=None,
        priority=URGENT if urgent and severity is Severity.today else LARVAE if urgent or not due.routine else ROUTINE,
        before=sit.when.tonight if not due.routine else _soon(sit, 1.0),
        why=_due_why(words.COUNT_WHY, due, finding, speech),
        evidence=(*seen_evidence(finding), *_due_evidence("count", due)), sureness=due.sureness,
        cautions=_cautions(sit, name, ("count",)),
        code=due.code, text=words.action_text("count", {"code": due.code}, speech), severity=severity,
        own_tools=_own_tools(sit, name),
    )  # fmt: skip


def _test(sit: Situation, view: View, due: Due, speech: Speech) -> Suggestion:
    name = view.vessel.vessel
    finding = _answered(sit, name, due.why)
    return Suggestion(
        vessel=name, action="test", amount=None, unit=None, other_vessel=None,
        priority=ROUTINE if due.routine else LARVAE, before=sit.when.tonight if not due.routine else _soon(sit, 2.0),
        why=_due_why(words.TEST_WHY, due, finding, speech),
        evidence=_due_evidence("test", due), sureness=due.sureness, cautions=_cautions(sit, name, ("test",)),
        code=due.code, text=words.action_text("test", {}, speech),
        severity=finding.severity if finding is not None else None, own_tools=_own_tools(sit, name),
    )  # fmt: skip


def _due_evidence(action: str, due: Due) -> tuple[Evidence, ...]:
    text = evidence_words.due_evidence(action, due.days)
    return (Evidence(text, tuple(e for e in due.events if e)),)


def _hold(sit: Situation, view: View, hold: Hold, speech: Speech) -> Suggestion:
    name = view.vessel.vessel
    finding = hold.finding
    urgent = finding is not None and finding.severity is Severity.today
    return Suggestion(
        vessel=name, action="hold", amount=None, unit=None, other_vessel=None,
        priority=URGENT if urgent else ROUTINE if finding is None else LARVAE,
        before=sit.when.tonight, why=words.hold_why(hold.code, _flag_text(finding, speech)),
        evidence=(*seen_evidence(finding), *count_evidence(view)),
        sureness=1.0 if finding is None else finding.chance, cautions=_cautions(sit, name), code=hold.code,
        text=words.action_text("hold", {"code": hold.code}, speech),
        severity=None if finding is None else finding.severity, own_tools=_own_tools(sit, name),
    )  # fmt: skip


def _moved(sit: Situation, move: Move, litres: float) -> dict[str, float]:
    """Densities, per mL, of what is poured over, of the new culture and of what stays, for an amount as on the jug."""
    full, giver = sit.views[move.target].vessel.volume_l, sit.views[move.donor].vessel.volume_l
    moved = move.start_per_ml * full / move.litres
    left = move.left_per_ml / max(1.0 - move.litres / giver, 1e-6) * (1.0 - litres / giver)
    return {"moved": moved, "start": moved * litres / full, "left": left}


def _split(sit: Situation, move: Move, speech: Speech) -> Suggestion:
    view = sit.views[move.donor]
    level = view.estimate.level_l
    litres = floored(move.litres, MOST_POURED * level)
    moved = _moved(sit, move, litres)
    values = {
        "litres": litres, "to": move.target, "code": move.code, "per_ml": view.animals / (level * 1000.0),
        "ready": move.ready_days, **moved,
    }  # fmt: skip
    target = sit.views[move.target]
    codes = ["return"] if target.care.use == "resting" else []
    fill = words.CAUTIONS["fill_up"].format(place=target.vessel.place)
    risk = view.below(view.profile.floor_per_ml / max(1.0 - litres / level, 1e-6), 1.0) or 0.0
    return Suggestion(
        vessel=move.donor, action="split", amount=litres, unit="L", other_vessel=move.target, priority=SOON,
        before=_soon(sit, 2.0), why=words.split_why(values, speech),
        evidence=(*count_evidence(view), *growth_evidence(view)), sureness=min(max(1.0 - risk, 0.0), 1.0),
        cautions=(*_cautions(sit, move.donor, ("split",), *codes), fill), code=move.code,
        text=words.action_text("split", values, speech), severity=_worst(sit.findings[move.donor], DENSE),
        refill_l=round(max(0.0, view.vessel.volume_l - level + litres), DIGITS_L), density_per_ml=moved["start"],
        own_tools=_own_tools(sit, move.donor),
    )  # fmt: skip


def _restart(sit: Situation, move: Move, speech: Speech) -> Suggestion:
    donor, target = sit.views[move.donor], sit.views[move.target]
    litres = floored(move.litres, target.vessel.volume_l)
    finding, moved = move.finding, _moved(sit, move, litres)
    values = {
        "litres": litres, "from": move.donor, "code": move.code, **moved,
        "reserve": donor.vessel.reserve, "days": finding.values.get("days") if finding is not None else None,
    }  # fmt: skip
    codes = ["reserve_last"] if donor.vessel.reserve else []
    urgent = move.urgent
    return Suggestion(
        vessel=move.target, action="restart", amount=litres, unit="L", other_vessel=move.donor,
        priority=URGENT if urgent else ROUTINE, before=_soon(sit, 1.0 if urgent else RESTART_DAYS),
        why=words.restart_why(values, speech),
        evidence=(*finding_evidence(finding, speech), *count_evidence(donor)),
        sureness=finding.chance if finding is not None and urgent else RESTART_SURE,
        cautions=_cautions(sit, move.target, ("restart",), *codes), code=move.code,
        text=words.action_text("restart", values, speech),
        severity=finding.severity if finding is not None else None, density_per_ml=moved["start"],
        own_tools=_own_tools(sit, move.target),
    )  # fmt: skip


def _starter(sit: Situation, view: View, decided: Decisions) -> Suggestion:
    name, choice = view.vessel.vessel, decided.strains[view.vessel.strain].choice
    values = {"strain": view.profile.title, "code": "starter", "gone": choice.gone}
    return Suggestion(
        vessel=name, action="restart", amount=view.vessel.volume_l, unit="L", other_vessel=None, priority=URGENT,
        before=sit.when.tonight, why=words.starter_why(values), evidence=count_evidence(view), sureness=STARTER_SURE,
        cautions=_cautions(sit, name, ("starter",)), code="starter", text=words.STARTER_TEXT,
        severity=_worst(sit.findings[name], ("crash", "failing")), own_tools=_own_tools(sit, name),
    )  # fmt: skip
