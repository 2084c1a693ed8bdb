"""The sentences of flags: what is wrong, and what to do about it."""

from __future__ import annotations

from collections.abc import Callable

from rackview.advice.constants import FEW_MORNINGS, MORE_USUAL
from rackview.advice.words.speech import Speech, Values, chance_text, days_text, figures, per_cent, per_ml
from rackview.language import _, ngettext


def _age(v: Values) -> str:
    return (
        _("Started {days} ago").format(days=days_text(v["days"]))
        if v["recorded"]
        else _("At least {days} old").format(days=days_text(v["days"]))
    )


def _crash(v: Values) -> str:
    if v["per_ml"] is None or v["per_ml"] <= v["limit"]:
        return _("Crashed: under {limit}. Restart it from a clean vessel.").format(limit=per_ml(v["limit"]))
    return _("Was under {limit}, now near {per_ml}. Restart it, or decline this flag.").format(
        limit=per_ml(v["limit"]), per_ml=per_ml(v["per_ml"])
    )


FOLLOWED = _(" Chance of a fall within three days: {chance}{beside}.")


def says_chance(text: str) -> bool:
    """Whether the sentence of a flag says itself how likely a fall is."""
    return FOLLOWED.partition("{")[0] in text


def _followed(v: Values) -> str:
    """How often such mornings were followed by a fall, here and elsewhere; nothing where the sign alone speaks."""
    if "odds" not in v:
        return ""
    told = []
    if v["mornings"] >= FEW_MORNINGS:
        told.append(
            _("here after {falls:.0f} of {mornings:.0f} such mornings").format(falls=v["falls"], mornings=v["mornings"])
        )
    chance, usual = chance_text(v["odds"]), chance_text(v.get("elsewhere", v["odds"]))
    if usual != chance:
        told.append(_("on other racks {usual}").format(usual=usual))
    beside = f" ({', '.join(told)})" if told else ""
    return FOLLOWED.format(chance=chance, beside=beside)


def _eggs_low(v: Values) -> str:
    if "share" not in v:
        return _("Few eggs.{followed} Serve it last, count again.").format(followed=_followed(v))
    usual = (
        _(" where {usual} are usual").format(usual=per_cent(v["usual"])) if v["usual"] > MORE_USUAL * v["share"] else ""
    )
    return _("Only {share} carry eggs{usual}.{followed} Serve it last, count again.").format(
        share=per_cent(v["share"]), usual=usual, followed=_followed(v)
    )


def _eggs_held(v: Values) -> str:
    eggs = (
        _("{per_female:.2g} eggs per female").format(per_female=v["per_female"])
        if "per_female" in v
        else _("{share} carry eggs").format(share=per_cent(v["share"]))
    )
    return _("{eggs}, yet no growth. Count again, test the water.").format(eggs=eggs)


def _dense(v: Values) -> str:
    full = (
        _("{per_ml}, near the highest density it has held").format(per_ml=per_ml(v["per_ml"]))
        if v["per_ml"]
        else _("Near the highest density it has held")
    )
    return _("Crowded: {full}.{followed} Harvest more or split; crowding also makes few eggs.").format(
        full=full, followed=_followed(v)
    )


def _ciliates(v: Values) -> str:
    if v.get("many"):
        return _("Many ciliates.{followed} Separate tools, serve it last; rinse the floss.").format(
            followed=_followed(v)
        )
    return _("Some ciliates.{followed} Separate tools, serve it last; rinse the floss.").format(followed=_followed(v))


def _ammonia(v: Values) -> str:
    said = (
        _("Un-ionised ammonia (NH3-N) near {value} mg/L.").format(value=figures(v["value"], 1))
        if "value" in v
        else _("Ammonia.")
    )
    return _("{said}{followed} Feed half, rinse the floss, change water.").format(said=said, followed=_followed(v))


def _swimming(v: Values) -> str:
    said = _("Swims {score} of 5.").format(score=v["score"]) if "score" in v else _("Swims slowly.")
    return _("{said}{followed} Test the water, check the air.").format(said=said, followed=_followed(v))


def _floor(v: Values) -> str:
    if v["under"]:
        return _("Under {limit}. Harvest nothing, count again.").format(limit=per_ml(v["limit"]))
    return _("Likely under {limit} by tomorrow. Count again, leave it to grow.").format(limit=per_ml(v["limit"]))


FLAG_WORDS: dict[str, Callable[[Values, Speech], str]] = {
    "crash": lambda v, s: _crash(v),
    "failing": lambda v, s: _("Under {limit} and still falling. Restart it from a clean vessel.").format(
        limit=per_ml(v["limit"])
    ),
    "floor": lambda v, s: _floor(v),
    "falling": lambda v, s: _("Counts lower than expected.{followed} Count again, test the water.").format(
        followed=_followed(v)
    ),
    "early": lambda v, s: _("Few eggs and slow swimming.{followed} Count again, test the water, serve it last.").format(
        followed=_followed(v)
    ),
    "misfit": lambda v, s: _("Implausible count: it does not fit the counts before it. Count again."),
    "drop": lambda v, s: _("Far fewer than expected. Believe it until counted again."),
    "eggs_low": lambda v, s: _eggs_low(v),
    "eggs_held": lambda v, s: _eggs_held(v),
    "stalled": lambda v, s: _("Under {limit} and hardly growing. Restart it from a thriving vessel.").format(
        limit=per_ml(v["limit"])
    ),
    "dense": lambda v, s: _dense(v),
    "count_old": lambda v, s: _("Not counted for {days}.").format(days=days_text(v["days"])),
    "clumped": lambda v, s: _("Aliquots differ too much (±{error}). Stir, take more, count again.").format(
        error=per_cent(v["error"])
    ),
    "ciliates": lambda v, s: _ciliates(v),
    "swimming": lambda v, s: _swimming(v),
    "mixed_strain": lambda v, s: _("Took culture of strain {other}. Check the size of the animals.").format(
        other=v["other"]
    ),
    "ammonia": lambda v, s: _ammonia(v),
    "oxygen": lambda v, s: _("Oxygen {value} mg/L. Check air line and stone.").format(value=figures(v["value"])),
    "ph": lambda v, s: _("pH {value:.1f}, {word} {limit:.1f}. Test again.").format(
        value=v["value"], word=_("under") if v["low"] else _("over"), limit=v["limit"]
    ),
    "warm": lambda v, s: _("{value}: over {limit}. Cool the room.").format(
        value=s.temperature(v["value"]), limit=s.temperature(v["limit"])
    ),
    "cold": lambda v, s: _("{value}: under {limit}. Warm it slowly.").format(
        value=s.temperature(v["value"]), limit=s.temperature(v["limit"])
    ),
    "temperature_step": lambda v, s: _("Moved {step} between readings.").format(
        step=s.temperature(abs(v["step"]), step=True)
    ),
    "salinity": lambda v, s: _("Salinity {value:.0f}, {word} {limit:.0f}. Correct it in small steps.").format(
        value=v["value"], word=_("under") if v["low"] else _("over"), limit=v["limit"]
    ),
    "salinity_step": lambda v, s: _("Salinity moved by {step:.0f} between readings. Match the refill water.").format(
        step=abs(v["step"])
    ),
    "evaporation": lambda v, s: _("Salinity {value:.0f}, wanted {target:.0f}. Top up with fresh water.").format(
        value=v["value"], target=v["target"]
    ),
    "overfed": lambda v, s: _("Fed {ration} g dry per million: more than they eat in a day.").format(
        ration=figures(v["ration"])
    ),
    "floss": lambda v, s: _("Floss not rinsed for {days}, due after {due}.").format(
        days=days_text(v["days"]), due=days_text(v["due"])
    ),
    "crowded": lambda v, s: _("{per_ml} adults per mL. Take adults out or split.").format(per_ml=figures(v["per_ml"])),
    "ageing": lambda v, s: _("Only {share} nauplii. Feed more, take fewer.").format(share=per_cent(v["share"])),
    "contact": lambda v, s: _("Served after {other}. Look for ciliates at the next count.").format(
        other=s.place(v["other"])
    ),
    "age": lambda v, s: _("{age}. Restart it when the rack can spare it.").format(age=_age(v)),
    "feed_expired": lambda v, s: _("{feed} was {days} past its date when fed.").format(
        feed=v["feed"], days=days_text(v["days"])
    ),
}

COMMON_WORDS = {
    "temperature": _("room temperature"),
    "salt": _("a batch of salt water"),
    "bottle": _("the new feed bottle"),
    "tools": _("shared tools"),
    "unknown": _("something they share: room temperature, salt batch, feed bottle, tools"),
}


def rack_flag(code: str, values: Values) -> str:
    """The sentence of a condition of the whole rack."""
    if code == "common":
        cause = COMMON_WORDS[values["cause"]]
        return _("{count} of {of} vessels went wrong together. Look first at {cause}.").format(
            count=values["count"], of=values["of"], cause=cause
        )
    strains = ", ".join(values["strains"])
    if code == "no_reserve":
        return ngettext(
            "No reserve of {strains}. Mark one vessel as reserve and keep it apart.",
            "No reserve of {strains}. Mark one vessel of each as reserve and keep it apart.",
            len(values["strains"]),
        ).format(strains=strains)
    return ngettext(
        "All {strains} stands on shelf {shelf}. Move one vessel to another shelf.",
        "All vessels of {strains} stand on shelf {shelf}. Move one of each to another shelf.",
        len(values["strains"]),
    ).format(strains=strains, shelf=values["shelf"])


def flag(code: str, values: Values, speech: Speech) -> str:
    """The sentence of a flag: what, and what to do."""
    return FLAG_WORDS[code](values, speech)
