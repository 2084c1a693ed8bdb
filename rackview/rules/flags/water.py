"""Rules that rest on water readings: ammonia, oxygen, pH, temperature, salinity, and their steps."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache

from rackview.core.assessment import Measured, Severity
from rackview.core.events import Reading
from rackview.rules.alarm import news
from rackview.rules.constants import AMMONIA_ALARM, CULTURE_C, OLD_DAYS, STEP_DAYS, USUAL_SALINITY
from rackview.rules.findings import Finding, finding
from rackview.rules.view import View
from rackview.rules.water import nh3_of, reading_salinity, salinity_of


def water_flags(view: View) -> Iterator[Finding]:
    """The findings that rest on the newest readings."""
    rules = (ammonia, oxygen, ph, warm, cold, temperature_step, salinity, salinity_step, evaporation)
    if view.stocked and view.care.readings:
        yield from filter(None, (rule(view) for rule in rules))


def _fresh(value: Measured | None) -> Measured | None:
    return value if value is not None and value.age_days <= OLD_DAYS else None


def _found(code: str, view: View, value: Measured, severity: Severity | None = None, **more: object) -> Finding:
    found = finding(code, view.day - value.age_days, value.event, severity=severity)
    return replace(found, values={"value": value.value, **more})


def _is_news(view: View, read: Callable[[Reading], float | None], wrong: Callable[[float], bool]) -> bool:
    """Whether a value outside its band is news in this vessel's readings."""
    having = [(r.day, value) for r in view.care.readings if (value := read(r)) is not None]
    return news([(day, wrong(value)) for day, value in having])


def _nh3_of(reading: Reading) -> float | None:
    """Un-ionised ammonia of one reading by itself, at the usual salinity."""
    if reading.tan_mg_l is None or reading.ph is None or reading.temperature_c is None:
        return None
    return nh3_of(reading.tan_mg_l, reading.ph, reading.temperature_c, USUAL_SALINITY)


def ammonia(view: View) -> Finding | None:
    """Un-ionised ammonia at or over its limits: what stands day after day is said once, twice the limit always."""
    value, limits = _fresh(view.water.nh3_mg_l), view.profile
    if value is None or value.value < limits.nh3_notice_mg_l:
        return None
    if value.value >= AMMONIA_ALARM * limits.nh3_act_mg_l:
        return _found("ammonia", view, value, Severity.today)
    found = [r for r in view.care.readings if _nh3_of(r) is not None]
    if found and not _is_news(view, _nh3_of, lambda mg_l: mg_l >= limits.nh3_notice_mg_l):
        return None
    return _found("ammonia", view, value, None if value.value >= limits.nh3_act_mg_l else Severity.notice)


def oxygen(view: View) -> Finding | None:
    """Dissolved oxygen under its limit."""
    value = _fresh(view.water.oxygen_mg_l)
    if value is None or value.value >= view.profile.oxygen_low_mg_l:
        return None
    return _found("oxygen", view, value, limit=view.profile.oxygen_low_mg_l)


def ph(view: View) -> Finding | None:
    """pH outside its band, where that is news."""
    value, low, high = _fresh(view.water.ph), view.profile.ph_low, view.profile.ph_high
    if value is None or low <= value.value <= high:
        return None
    if not _is_news(view, lambda r: r.ph, lambda p: not low <= p <= high):
        return None
    return _found("ph", view, value, low=value.value < low, limit=low if value.value < low else high)


def warm(view: View) -> Finding | None:
    """Water over the temperature band: what is usual here is said once, a dangerous excess always."""
    value, high = _fresh(view.water.temperature_c), view.profile.temperature_high_c
    if value is None or value.value <= high:
        return None
    if value.value >= high + view.profile.warm_today_c:
        return _found("warm", view, value, Severity.today, limit=high)
    return _found("warm", view, value, limit=high) if _is_news(view, _celsius, lambda c: c > high) else None


def cold(view: View) -> Finding | None:
    """Water under the temperature at which the strain still does its work, if slower, where that is news."""
    value, limit = _fresh(view.water.temperature_c), view.profile.temperature_slow_c
    if value is None or value.value >= limit or not _is_news(view, _celsius, lambda c: c < limit):
        return None
    return _found("cold", view, value, limit=limit)


def _celsius(reading: Reading) -> float | None:
    return reading.temperature_c


def temperature_step(view: View) -> Finding | None:
    """Two readings of temperature that lie far apart."""
    having = [r for r in view.care.readings if r.temperature_c is not None]
    if len(having) < 2 or having[-1].day - having[-2].day > STEP_DAYS or view.day - having[-1].day > STEP_DAYS:
        return None
    step = (having[-1].temperature_c or 0.0) - (having[-2].temperature_c or 0.0)
    if abs(step) < view.profile.temperature_step_c:
        return None
    usual = view.profile.usual_c
    if abs((having[-1].temperature_c or 0.0) - usual) < abs((having[-2].temperature_c or 0.0) - usual):
        return None  # on its way back to where it should be
    return finding("temperature_step", having[-1].day, having[-2].id, having[-1].id, step=step)


def salinity(view: View) -> Finding | None:
    """Salinity outside its limits."""
    value = _fresh(view.water.salinity)
    if value is None or view.profile.salinity_low <= value.value <= view.profile.salinity_high:
        return None
    inside = (view.profile.salinity_low, view.profile.salinity_high)
    if not _is_news(view, reading_salinity, lambda s: not inside[0] <= s <= inside[1]):
        return None
    low = value.value < view.profile.salinity_low
    limit = view.profile.salinity_low if low else view.profile.salinity_high
    return _found("salinity", view, value, low=low, limit=limit)


def salinity_step(view: View) -> Finding | None:
    """Two readings of salinity that lie far apart."""
    having: list[tuple[Reading, float]] = []
    for reading in view.care.readings[-4:]:
        found = reading_salinity(reading)
        if found is not None:
            having.append((reading, found))
    if len(having) < 2:
        return None
    (before, low), (after, high) = having[-2:]
    if after.day - before.day > STEP_DAYS or view.day - after.day > STEP_DAYS:
        return None
    if abs(high - low) < view.profile.salinity_step:
        return None
    return finding("salinity_step", after.day, before.id, after.id, step=high - low)


@lru_cache(maxsize=64)
def target_salinity(sg: float) -> float | None:
    """Practical salinity of the target specific gravity, on the 25/25 scale."""
    return salinity_of(None, None, sg, "25/25", CULTURE_C)


def evaporation(view: View) -> Finding | None:
    """Salinity that drifted over the target, still within the limits."""
    value = _fresh(view.water.salinity)
    target = target_salinity(view.profile.sg_target)
    if value is None or target is None or value.value > view.profile.salinity_high:
        return None
    if value.value - target <= view.profile.salinity_step:
        return None
    if not _is_news(view, reading_salinity, lambda s: s - target > view.profile.salinity_step):
        return None
    return _found("evaporation", view, value, target=target)
