"""The words of the round: what a count comes to, what readings mean, what an action amounts to."""

from __future__ import annotations

import math
import statistics
from datetime import datetime

from rackview.core.assessment import Interval, Measured
from rackview.core.clock import calendar_days
from rackview.core.errors import InputError
from rackview.core.profile import StrainProfile
from rackview.core.tables import Settings
from rackview.language import _
from rackview.ui.forms import moves
from rackview.ui.round.entry.beside import VOLUMES
from rackview.ui.round.entry.columns import ACTS, GRAVITY
from rackview.ui.round.entry.model import Entry
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

OLD_DAYS = 3.0
"""A reading older than this is named as old where it stands in for one that was not typed."""


ODD = 2.326
"""Standard deviations beyond which a count wants a second look: one good count in fifty."""
FAR = 3.0
"""An aliquot that many times the others, or less than others by that, is named: project choice."""
SAMPLE_CV = 0.07
"""How much a sample differs from the vessel, however well it is stirred: common practice, no source."""


def surprise(counted: Interval, expected: Interval | None, animals: int, aliquots: int, aliquot_cv: float) -> int:
    """-1 if the count is lower than what was expected, 1 if higher, 0 if in keeping.

    Judged by the chance in so many animals, by how much aliquots are known to differ beyond it, and by the doubt in
    what was expected. An interval of the aliquots themselves would take two or three of them too seriously.
    """
    if expected is None or expected.median <= 0:
        return 0
    if animals == 0:
        return -1 if counted.high90 < expected.low90 else 0
    doubt = math.log(expected.high90 / max(expected.low90, 1e-9)) / 3.29
    spread = math.hypot(animals**-0.5, aliquot_cv / math.sqrt(aliquots), SAMPLE_CV, doubt)
    z = math.log(counted.median / expected.median) / spread
    return -1 if z < -ODD else 1 if z > ODD else 0


def verdict(entry: Entry, counted: Interval) -> tuple[str, bool]:
    """What to think of a count, and whether it wants a second look."""
    density = entry.density()
    if not entry.complete:
        return _("the density takes all three stages"), False
    assessed = entry.assessment
    told = surprise(counted, assessed.density_per_ml, *entry.seen(), assessed.aliquot_cv)
    odd = {
        -1: _("lower than expected: count again"),
        1: _("higher than expected: count again"),
    }.get(told, "")
    if entry.doubted == "drop":
        odd = odd or _("lower than expected: count again")
        return _("{odd}; kept, and believed meanwhile").format(odd=odd), True
    if entry.doubted == "misfit":
        odd = odd or _("implausible count: count again")
        return _("{odd}; kept, but hardly believed").format(odd=odd), True
    if odd:
        return odd, True
    if density is not None and density.clumped:
        return _uneven(entry.sums()), True
    if entry.assessment.density_per_ml is None:
        return _("the first count here"), False
    return _("as expected"), False


def _uneven(tallies: list[int]) -> str:
    """What to say of aliquots that differ more than a mixed sample allows: which one, where one stands far apart."""
    far, by = _farthest(tallies)
    rest = tallies[:far] + tallies[far + 1 :]
    if len(rest) > 1 and by > max(math.log(FAR), 2 * _farthest(rest)[1]):
        return _("uneven: {n} is far from the others; mix the sample, count again").format(n=tallies[far])
    return _("uneven: mix the sample and count again")


def _farthest(tallies: list[int]) -> tuple[int, float]:
    """Which tally is farthest from the middle of the others, and by how much on the log scale."""
    apart = [
        abs(math.log((one + 1) / (statistics.median(tallies[:n] + tallies[n + 1 :]) + 1)))
        for n, one in enumerate(tallies)
    ]
    far = max(range(len(tallies)), key=apart.__getitem__)
    return far, apart[far]


def counting_advice(entry: Entry) -> str:
    """Whether more counting can change today's choice; the wanted precision where nobody has worked that out."""
    found = entry.counting
    if found is None or found.code not in {"more", "enough"}:
        return precision(entry)
    if found.code == "more":
        return _("one more aliquot is worth its minute")
    if litres := entry.suggested.get("harvest", ""):
        unit = entry.settings.volume_unit
        return _("enough: harvest stays {litres} {unit}").format(litres=litres, unit=unit)
    return _("enough: nothing to take today")


def uncounted(entry: Entry) -> str:
    """What to say before anything is tallied."""
    if entry.counting is not None and entry.counting.code == "none":
        return _("No count needed today: it would hardly change what is taken.")
    return _("The density appears as you type.")


def precision(entry: Entry) -> str:
    """How many more aliquots the wanted precision takes."""
    share = entry.settings.count_precision
    more = entry.more(share)
    if more is None:
        return ""
    if more == 0:
        return _("enough for ±{share} %").format(share=f"{share * 100:.0f}")
    if more > 20:
        return _("too few animals for ±{share} %: use a larger aliquot").format(share=f"{share * 100:.0f}")
    return _("{n} more for ±{share} %").format(n=more, share=f"{share * 100:.0f}")


def sampling(entry: Entry) -> str:
    """How the sample is taken, in a few words."""
    words = [_("{ml} mL each").format(ml=entry.text("aliquot"))]
    if entry.text("dilution").strip() not in {"", "1"}:
        words.append(_("{n}-fold dilution").format(n=entry.text("dilution")))
    if entry.text("fixative").strip() not in {"", "1"}:
        words.append(_("fixative {n}-fold").format(n=entry.text("fixative")))
    return ", ".join(words)


def swimming_word(digit: str) -> str:
    """The word for a swimming mark of 1 to 5."""
    words = (
        _("hardly any"),
        _("weak"),
        _("slow"),
        _("lively"),
        _("very lively"),
    )
    return words[int(digit) - 1] if digit in set("12345") else ""


def tint_word(digit: str) -> str:
    """The word for a tint of 0 to 4."""
    words = (
        _("clear"),
        _("faint"),
        _("clearing"),
        _("green"),
        _("dark"),
    )
    return words[int(digit)] if digit in set("01234") else ""


def hints(entry: Entry) -> dict[str, str]:
    """The words beneath each field that has something to say."""
    found = {"swimming": swimming_word(entry.text("swimming")), "tint": tint_word(entry.text("tint"))}
    eggs, usual = entry.eggs(), entry.assessment.ovigerous_share
    if eggs is not None:
        found["with_eggs"] = formats.percent_of(eggs)
        if usual is not None:
            found["with_eggs"] = _("{now}, usually {usual}").format(
                now=formats.percent_of(eggs), usual=formats.percent_of(usual)
            )
    elif usual is not None:
        found["with_eggs"] = _("usually {usual}").format(usual=formats.percent_of(usual))
    per_female = entry.egg_ratio()
    if per_female is not None:
        found["eggs"] = _eggs(per_female, entry.profile)
    try:
        found |= _water(entry)
    except InputError as error:
        found["gravity"] = str(error)
    return {k: v for k, v in found.items() if v}


def _eggs(per_female: float, profile: StrainProfile) -> str:
    """Eggs per female, and what the strain's published bands call that."""
    said = _("{n} per female").format(n=f"{per_female:.2f}")
    edges = profile.eggs_falling, profile.eggs_growing, profile.eggs_high
    if not edges[0] < edges[1] < edges[2] or per_female > edges[2]:
        return said
    from rackview.science.development import egg_band

    words = {
        "falling": _("as in a falling culture"),
        "stationary": _("as at a standstill"),
        "growing": _("as in growth"),
    }
    return _("{n}, {band}").format(n=said, band=words[egg_band(per_female, edges)])


def _water(entry: Entry) -> dict[str, str]:
    from rackview.science import ammonia, oxygen

    found: dict[str, str] = {}
    settings, profile = entry.settings, entry.profile
    degrees = entry.number("temperature")
    if degrees is not None and not profile.temperature_low_c <= degrees <= profile.temperature_high_c:
        low = ku.temperature(profile.temperature_low_c, settings)
        high = f"{ku.temperature(profile.temperature_high_c, settings):.0f} {ku.DEGREES[settings.temperature_unit]}"
        found["temperature"] = _("best {low:.0f} to {high}").format(low=low, high=high)
    salinity = typed_salinity(entry)
    if salinity is not None and GRAVITY[settings.salinity_unit] != "salinity":
        low_s, high_s = salinity
        shown = f"{low_s:.1f}" if high_s - low_s < 0.05 else f"{low_s:.1f}–{high_s:.1f}"
        found["gravity"] = _("{n} salinity").format(n=shown)
    water = entry.assessment.water
    warm, warm_old = _or_last(degrees, water.temperature_c)
    salt, salt_old = _or_last(None if salinity is None else sum(salinity) / 2, water.salinity)
    ph, ph_old = _or_last(entry.number("ph"), water.ph)
    tan, o2 = entry.number("tan"), entry.number("oxygen")
    if tan is not None:
        if ph is None or warm is None or salt is None:
            lacking = [w for v, w in ((ph, "pH"), (warm, _("water")), (salt, _("gravity"))) if v is None]
            found["tan"] = _("NH3-N needs {what}").format(what=", ".join(lacking))
        else:
            nh3 = tan * float(ammonia.unionised_fraction(ph, warm, salt))
            old = any(d > OLD_DAYS for d in (warm_old, salt_old, ph_old))
            found["tan"] = (_("NH3-N {n}, old pH") if old else _("NH3-N {n}")).format(n=f"{nh3:.1g}")
    if o2 is not None and warm is not None and salt is not None:
        full = float(oxygen.saturation_mg_l(warm, salt))
        found["oxygen"] = _("{n} % of full").format(n=f"{100 * o2 / full:.0f}")
    return found


def _or_last(typed: float | None, measured: Measured | None) -> tuple[float | None, float]:
    if typed is not None:
        return typed, 0.0
    return (None, 0.0) if measured is None else (measured.value, measured.age_days)


def typed_salinity(entry: Entry) -> tuple[float, float] | None:
    """The salinity that the typed gravity, salinity or conductivity means, as a range; None if none was typed."""
    from rackview.science import seawater

    value = entry.number("gravity")
    if value is None:
        return None
    column = GRAVITY[entry.settings.salinity_unit]
    if column == "salinity":
        return value, value
    degrees = entry.number("temperature")
    if degrees is None and entry.assessment.water.temperature_c is not None:
        degrees = entry.assessment.water.temperature_c.value
    if column == "conductivity_ms_cm":
        if degrees is None:
            return None
        found = float(seawater.salinity_from_conductivity(value, degrees))
        return found, found
    reference = entry.text("sg_reference") or "unknown"
    if reference == "unknown" or (reference == "t/4" and degrees is None):
        low, high = seawater.salinity_range_from_sg(value)
        return float(low), float(high)
    found = float(seawater.salinity_from_sg(value, reference, degrees))
    return found, found


def doing(entry: Entry, at: datetime) -> dict[str, str]:
    """The words beneath each action: what the amount comes to; `at` is now in the keeper's zone."""
    found = {**_taking(entry), **_moving(entry)}
    if entry.text("feed") or entry.ghost("feed") or len(entry.feeds) > 1:
        found["feed"] = ", ".join(w for w in (_ration(entry), entry.text("feed_name")) if w)
    care = entry.assessment.days_since_floss
    if care is None:
        care = entry.assessment.days_since_cleaning
    if care is not None:
        passed = calendar_days(care, at)
        found["clean"] = _("last done {days} ago").format(days=formats.days(passed)) if passed > 0 else _("done today")
    for key in ACTS:
        told = changed(entry, key)
        if told:  # the first of what stood there before: there is room for two lines
            found[key] = ", ".join(w for w in (told, found.get(key, "").partition(", ")[0]) if w)
    return found


def changed(entry: Entry, key: str) -> str:
    """What to say of a suggestion that is another than when the keeper came to the vessel; "" if it is the same."""
    if not entry.moved_on(key):
        return ""
    now, was = (_unit(entry, key, texts.get(key, "")) for texts in (entry.suggested, entry.before or {}))
    if entry.text(key):
        if not now:
            return _("no longer suggested")
        return _("now suggested: {now}").format(now=now)
    if not now:
        return _("was {was}, now none").format(was=was)
    return _("changed, was {was}").format(was=was) if was else _("newly suggested")


def _unit(entry: Entry, key: str, text: str) -> str:
    if text and key in VOLUMES:
        return f"{text} {entry.settings.volume_unit}"
    if text and key == "feed":
        return f"{text} {entry.feed_unit()}"
    return entry.rack.vessels[text].place if text in entry.rack.vessels else text


def _shown(entry: Entry, key: str) -> float | None:
    """The amount of a field, typed or only suggested, in base units."""
    if entry.text(key):
        return entry.number(key)
    return entry.amount_of(key, entry.ghost(key))


def _taking(entry: Entry) -> dict[str, str]:
    """What a harvest comes to, and the water to refill with."""
    found: dict[str, str] = {}
    per_ml = None if entry.believed is None else entry.believed.median
    level = entry.assessment.level_l or entry.rack.vessels[entry.vessel].volume_l
    taken, back = _shown(entry, "harvest"), _shown(entry, "refill")
    to, mesh = (entry.text(k) or entry.suggested.get(k, "") for k in ("harvest_to", "harvest_mesh"))
    if taken and level:
        words = [f"{100 * taken / level:.0f} %"]
        if per_ml is not None:
            words.append(formats.animals(per_ml * 1000 * taken))
        if to:
            words.append(_("to {to}").format(to=to))
        if mesh:
            words.append(_("{n} µm").format(n=mesh))
        found["harvest"] = ", ".join(words)
    if back and taken is not None and level - taken + back > entry.rack.vessels[entry.vessel].volume_l * 1.05:
        found["refill"] = _("more than the vessel holds")
    elif back:
        found["refill"] = match_water(entry, entry.settings)
    return found


def _moving(entry: Entry) -> dict[str, str]:
    """What a split comes to."""
    found: dict[str, str] = {}
    typed, rack = entry.taking()
    taker = typed or entry.ghost("split_to")
    if taker in rack.vessels and (entry.text("split") or entry.ghost("split")):
        if entry.new_vessel is not None:
            volume = ku.with_unit(rack.vessels[taker].volume_l, entry.settings)
            found["split_to"] = _("new vessel, {volume}").format(volume=volume)
        else:
            found["split_to"] = (
                _("resting: back in use with it")
                if moves.resting(rack, taker)
                else _("{strain}").format(strain=rack.profile(taker).title)
            )
    if entry.text("split_fill"):
        found["split_fill"] = _("new water for {place}").format(
            place=rack.vessels[taker].place if taker in rack.vessels else taker
        )
    return found


def _ration(entry: Entry) -> str:
    """How much dry feed a million animals get."""
    per_ml = None if entry.believed is None else entry.believed.median
    level = entry.assessment.level_l or entry.rack.vessels[entry.vessel].volume_l
    given = _shown(entry, "feed")
    if not given or not per_ml:
        return ""
    chosen = (entry.text("feed_name"), entry.feed_unit())
    strength = next((s.dry_g_per_ml for s in entry.rack.stock if (s.feed, s.unit) == chosen), None)
    left = max(level - (_shown(entry, "harvest") or 0.0), 0.0) * per_ml * 1000 / 1e6
    if not strength or left <= 0:
        return ""
    return _("{g} g a million").format(g=f"{given * strength / left:.2g}")


def match_water(entry: Entry, settings: Settings) -> str:
    """The water to refill with: that of the vessel."""
    water = entry.assessment.water
    words = []
    salinity = typed_salinity(entry)
    if salinity is not None:
        words.append(_("salinity {n}").format(n=f"{sum(salinity) / 2:.0f}"))
    elif water.salinity is not None:
        words.append(_("salinity {n}").format(n=f"{water.salinity.value:.0f}"))
    degrees = entry.number("temperature")
    if degrees is None and water.temperature_c is not None:
        degrees = water.temperature_c.value
    if degrees is not None:
        words.append(ku.temperature_text(degrees, settings))
    return ", ".join(words) or _("matched to the vessel")
