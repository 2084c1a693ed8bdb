"""Every sentence of the advice, in one place: plain trade words, short, with amounts as on the keeper's jug.

Rules hand over codes and values; nothing outside this module puts words to them, but `flag_words` for flags,
`record_words` for the past and `plan_words` for the days ahead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rackview.advice.constants import FIGURES, TWICE_THE_NEED, UNDER_ONE_IN_100
from rackview.advice.words.cautions import CAUTIONS
from rackview.advice.words.flags import FLAG_WORDS, flag, rack_flag, says_chance
from rackview.advice.words.speech import (
    Speech,
    Values,
    chance_text,
    days_text,
    figures,
    million,
    per_cent,
    per_ml,
)
from rackview.core.assessment import Assessment, Flag, Suggestion
from rackview.language import _

__all__ = [
    "CAUTIONS",
    "FLAG_WORDS",
    "Speech",
    "chance_text",
    "days_text",
    "figures",
    "flag",
    "million",
    "per_cent",
    "per_ml",
    "rack_flag",
]

# --- suggestions ---

CLEAN_WORDS = {"floss": _("Rinse floss"), "airline": _("Clean air line"), "vessel": _("Wipe walls, siphon")}

TILE_ORDER = ("restart", "split", "harvest", "clean", "count", "test", "feed")
"""Which actions lead a tile's sentence when several are suggested; a hold joins the count."""


def action_text(action: str, values: Values, speech: Speech) -> str:
    """The short sentence of one suggestion, for the rail."""
    if action == "harvest":
        return _("Harvest {litres}").format(litres=speech.volume(values["litres"]))
    if action == "feed":
        return _("Feed {amount:g} {unit_words}").format(amount=values["amount"], unit_words=values["unit_words"])
    if action == "clean":
        return CLEAN_WORDS[values["what"]]
    if action == "split":
        return _("Split {litres} into {to}").format(
            litres=speech.volume(values["litres"]), to=speech.place(values["to"])
        )
    if action == "restart":
        return _("Restart with {litres} from {giver}").format(
            litres=speech.volume(values["litres"]), giver=speech.place(values["from"])
        )
    if action == "count":
        return _("Count again") if values["code"] == "recount" else _("Count")
    if action == "test":
        return _("Test the water")
    return HOLD_TEXT.get(values["code"], _("Do not harvest"))


HOLD_TEXT = {"no_donor": _("Crashed: leave out of use")}


def tile_sentence(suggestions: Sequence[Suggestion], assessment: Assessment | None = None) -> str:
    """One sentence for a tile from the suggestions of its vessel: "Harvest 6.5 L, feed 4 mL"."""
    by_action = {s.action: s for s in suggestions}
    hold = by_action.get("hold")
    parts = [by_action[a].text for a in TILE_ORDER if a in by_action]
    if hold is not None and "restart" not in by_action:
        if "count" in by_action:
            rest = "" if hold.code in HOLD_TEXT else _(", do not harvest")
            return by_action["count"].text + rest
        return joined([hold.text, *parts[:1]])
    if parts and not {"harvest", "split", "restart", "clean", "count"} & set(by_action) and _growing(assessment):
        parts.insert(0, _("Leave to grow"))
    if parts:
        return joined(parts[:2])
    return _idle(assessment)


def joined(parts: Sequence[str]) -> str:
    """Sentences in a row, the first letter of all but the first made small."""
    return ", ".join([parts[0], *(p[0].lower() + p[1:] for p in parts[1:])])


def _growing(assessment: Assessment | None) -> bool:
    return assessment is not None and not assessment.reserve and assessment.state in {"rising", "level"}


def _idle(assessment: Assessment | None) -> str:
    if assessment is None:
        return _("Nothing due")
    return {"resting": _("Resting"), "empty": _("Ready to take a split"), "unknown": _("Count to begin")}.get(
        assessment.state, _("Nothing due")
    )


def harvest_why(v: Values, speech: Speech) -> str:
    """Why so much is harvested."""
    taken = _("{litres} ({share}) at {per_ml}").format(
        litres=speech.volume(v["litres"]), share=per_cent(v["share"]), per_ml=per_ml(v["per_ml"])
    )
    what = _("{taken} gives {animals}").format(taken=taken, animals=million(v["animals"]))
    return f"{what}{_harvest_for(v)}.{v['otherwise']}"


def _harvest_for(v: Values) -> str:
    """For whom, or for what."""
    if v["code"] == "demand":
        return (
            _("; {eater} need {need}").format(eater=v["for"], need=million(v["need"]))
            if v["animals"] > TWICE_THE_NEED * v["need"]
            else _(" for {eater}").format(eater=v["for"])
        )
    if v["code"] == "doubted":
        return _(" for {eater}, though it is doubted: {doubt}").format(eater=v["for"], doubt=v["doubt"].rstrip("."))
    if v["code"] == "short":
        return _(" for {eater}; stock is short, so they get {met} today").format(eater=v["for"], met=per_cent(v["met"]))
    if v["standing"] and v["code"] != "rinse":
        return _("; spare, so {standing} get it").format(standing=v["standing"])
    if v["to_larvae"]:
        return _("; more than {eater} need today, to last them over a feed that is late or missed").format(
            eater=v["for"]
        )
    if v["code"] == "rinse":
        return _("; its water needs changing, as ammonia is high")
    return _("; it is denser than the coming days need") if v["code"] == "dense" else _("; this much is not needed")


STARTER_TEXT = _("Buy a starter")


def starter_why(v: Values) -> str:
    """Why a starter is bought."""
    if not v["gone"]:
        return _(
            "The rack is too thin for what larvae will need. Order a starter; once it is here, start this one with it."
        )
    return _(
        "{strain} is nearly lost, and no vessel can seed another. Order a starter and start this one with it."
    ).format(strain=v["strain"])


def feed_why(v: Values, speech: Speech) -> str:
    """Why so much is fed: a sum that comes to the amount."""
    base = _("{ration} g dry per million for {animals} is {dry_g} g dry").format(
        ration=figures(v["ration"]), animals=million(v["animals"]), dry_g=figures(v["dry_g"])
    )
    if v["strength"] != 1.0:
        base += _(", {amount:g} {unit} at {strength} g/{unit}").format(
            amount=v["amount"], unit=v["unit"], strength=figures(v["strength"], FIGURES)
        )
    said = [FEED_REASONS[r] for r in v["reasons"] if r in FEED_REASONS]
    return f"{base}; {', '.join(said)}." if said else f"{base}."


FEED_REASONS = {
    "tint_high": _("water stays tinted, so less"),
    "tint_low": _("water clears early, so more"),
    "warm": _("warm, so more"),
    "cool": _("cool, so less"),
    "hot": _("too warm, so less"),
    "cut": _("cut while something is wrong"),
    "least": _("as much as keeps food within reach of so thin a culture"),
    "unseen": _("at most half as much again as last time until it is counted"),
    "reserve": _("kept small, as the reserve only needs to live"),
    "started": _("new water holds no food, so it is fed on the day it is started"),
}

COUNT_WHY = {
    "first_count": _("Never counted, so nothing is known of it."),
    "started_count": _("Not counted since it was started."),
    "count_interval": _("Last counted {days} ago."),
    "unfed": _("Last counted {days} ago, and no feeding is on record for longer than usual."),
    "recount": "{flag}",
    "few": _("The last count rests on few animals: take more aliquots."),
    "doubt": _("The estimate has grown too wide to harvest on."),
}

TEST_WHY = {
    "trouble": _("{short}: see whether it is the water."),
    "never_tested": _("Water never tested."),
    "test_interval": _("Water last tested {days} ago."),
}

CLEAN_WHY = {
    "floss_heavy": _("Heavy feeding, floss last clean {days} ago."),
    "floss_days": _("Floss last clean {days} ago."),
    "airline": _("Air line last cleaned {days} ago."),
    "vessel": _("Walls and bottom last cleaned {days} ago."),
    "dirty": _("{short}: clean it now, as waste makes it worse."),
}


def due_why(table: Mapping[str, str], code: str, days: float | None, flag_text: str, short: str) -> str:
    """Why something is due; `flag_text` and `short` are those of the flag that asks for it."""
    return table[code].format(days=days_text(days), flag=flag_text, short=short[:1].upper() + short[1:])


def split_why(v: Values, speech: Speech) -> str:
    """Why a vessel is split."""
    reason = {
        "dense": _("{per_ml}, over its band").format(per_ml=per_ml(v["per_ml"])),
        "room": _("{to} stands empty and {per_ml} can spare it").format(
            to=speech.place(v["to"]), per_ml=per_ml(v["per_ml"])
        ),
    }[v["code"]]
    return _(
        "{reason}{reason_2}. {poured} start {to} at {start} when filled up, ready in about {ready}; {left} remain."
    ).format(
        reason=reason[0].upper(),
        reason_2=reason[1:],
        poured=_poured(v, speech),
        to=speech.place(v["to"]),
        start=per_ml(v["start"]),
        ready=days_text(max(v["ready"], 1)),
        left=per_ml(v["left"]),
    )


def _poured(v: Values, speech: Speech) -> str:
    return _("{litres} at {moved}").format(litres=speech.volume(v["litres"]), moved=per_ml(v["moved"]))


def restart_why(v: Values, speech: Speech) -> str:
    """Why a vessel is started anew, and from which."""
    reason = {
        "crash": _("Crashed"),
        "failing": _("Under its floor and still falling"),
        "ciliates": _("Ciliates that do not go away"),
        "stalled": _("Thin and hardly growing for days, while another thrives"),
        "thin": _("Thin, and a start from another grows faster"),
        "age": _("{get} old").format(get=days_text(v.get("days"))),
    }[v["code"]]
    donor = speech.place(v["from"])
    last = (
        _(", the reserve, as no other clean vessel can spare it")
        if v.get("reserve")
        else _(", the cleanest that can spare it")
    )
    return _("{reason}. {donor}{last}; {poured} start it at {start} when filled up.").format(
        reason=reason, donor=donor, last=last, poured=_poured(v, speech), start=per_ml(v["start"])
    )


def hold_why(code: str, flag_text: str) -> str:
    """Why a vessel is left alone."""
    return {
        "no_donor": _("Crashed, and no clean vessel of its strain can spare a start."),
    }.get(code, flag_text)


SETTLED = {
    "restart_too": _("It also gives a start to {place}."),
    "split_too": _("It also gives a split to {place}."),
}
"""How a contradiction between suggestions was settled, said in the one that is left."""


def likelihood_of(flag: Flag) -> str:
    """How likely it is that a flag is right; nothing for what is simply due, or where its sentence says a chance."""
    if flag.probability > 1.0 - UNDER_ONE_IN_100 or says_chance(flag.text):
        return ""
    return _("Chance that this is so: {probability}.").format(probability=chance_text(flag.probability))


def risk_of(one: Suggestion) -> str:
    """The chance that a suggestion rests on, for whoever weighs it; nothing for routine work, which is simply due."""
    if one.action in {"harvest", "split"} and one.sureness < 1.0 - UNDER_ONE_IN_100:
        return _("Chance that too few remain: {sureness}.").format(sureness=chance_text(1.0 - one.sureness))
    if one.action == "restart" and one.code in {"crash", "failing"} and one.sureness < 1.0 - UNDER_ONE_IN_100:
        return _("Chance that it has failed: {sureness}.").format(sureness=chance_text(one.sureness))
    return ""
