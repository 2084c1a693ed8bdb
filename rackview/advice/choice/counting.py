"""How far counting helps today: which vessels need no count, and when the tallies typed so far are enough."""

from __future__ import annotations

from rackview.advice.choice.problem import collapse_under_way, problem_of
from rackview.advice.constants import SKIPPED_MOST_DAYS, SURELY_SOUND
from rackview.advice.moment import when
from rackview.advice.situation import Situation, situation
from rackview.core.assessment import Counting
from rackview.core.rack import Rack
from rackview.planner.constants import LEAST_ALIQUOTS
from rackview.planner.counting import CountWorth, worth_of_counting
from rackview.rules.care import newest_since
from rackview.rules.due import count_due, whole_days


def counting(rack: Rack, vessel: str, at: object) -> Counting:
    """How far counting one vessel helps today's choice, with what was counted so far."""
    rack.vessel(vessel)
    return _said(situation(rack, when(at)), vessel)


def _said(sit: Situation, vessel: str) -> Counting:
    view = sit.views[vessel]
    found = _worths(sit, view.vessel.strain).get(vessel)
    today = list(newest_since(view.care.counts, view.today))
    newest = view.care.last_count
    if found is None or newest is None:
        return Counting(vessel, "count")
    if today:
        aliquots = sum(c.aliquots for c in today)
        wanted = aliquots < LEAST_ALIQUOTS or not found.enough or count_due(view, sit.findings[vessel]) is not None
        return Counting(vessel, "more" if wanted else "enough", found.more)
    due = count_due(view, sit.findings[vessel])
    late = whole_days(newest.day, view.today) > SKIPPED_MOST_DAYS
    sound = not sit.suspects[vessel] and collapse_under_way(view) <= SURELY_SOUND and view.care.counts_since_move > 0
    if due is None and not late and sound and not found.wanted:
        return Counting(vessel, "none", found.look)
    return Counting(vessel, "count", found.look)


def _worths(sit: Situation, strain: str) -> dict[str, CountWorth]:
    key = f"counting {strain}"
    if key not in sit.memo:
        own = [v for v in sit.views.values() if v.vessel.strain == strain]
        cvs = {v.vessel.vessel: v.estimate.aliquot_cv for v in own}
        ml = {c.looked_at_ml / c.aliquots for v in own if (c := v.care.last_count) is not None and c.aliquots}
        from rackview.advice.choice.build import declined

        problem = problem_of(sit, strain, declined(sit))
        sit.memo[key] = worth_of_counting(problem, cvs, min(ml, default=1.0))
    found: dict[str, CountWorth] = sit.memo[key]
    return found
