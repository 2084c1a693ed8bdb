"""Every sentence of the advice, in one place: plain trade words, short, with amounts as on the keeper's jug.

Rules hand over codes and values; nothing outside this module puts words to them, but `record_words` for the past and
`plan_words` for the days ahead.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rackview.advice.cautions import CAUTIONS
from rackview.advice.speech import (
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

__all__ = ["CAUTIONS", "Speech", "chance_text", "days_text", "figures", "million", "per_cent", "per_ml"]

# --- flags ---


def _tint(v: Values) -> str:
    if "ration" in v:
        return f"Fed {figures(v['ration'])} g dry per million: more than they eat in a day."
    return f"Water still at tint {v['tint']} before feeding, four times in a row: feed less."


def _age(v: Values) -> str:
    return f"Started {days_text(v['days'])} ago" if v["recorded"] else f"At least {days_text(v['days'])} old"


def _crash(v: Values) -> str:
    if v["per_ml"] is None or v["per_ml"] <= v["limit"]:
        return f"Crashed: under {per_ml(v['limit'])}. Restart it from a clean vessel."
    return f"Was under {per_ml(v['limit'])}, now near {per_ml(v['per_ml'])}. Restart it, or decline this flag."


FEW_MORNINGS = 5


def _followed(v: Values) -> str:
    """How often such mornings were followed by a fall, here and elsewhere; nothing where the sign alone speaks."""
    if "odds" not in v:
        return ""
    told = []
    if v["mornings"] >= FEW_MORNINGS:
        told.append(f"here after {v['falls']:.0f} of {v['mornings']:.0f} such mornings")
    chance, usual = chance_text(v["odds"]), chance_text(v.get("elsewhere", v["odds"]))
    if usual != chance:
        told.append(f"on other racks {usual}")
    beside = f" ({', '.join(told)})" if told else ""
    return f" Chance of a fall within three days: {chance}{beside}."


def _eggs_low(v: Values) -> str:
    if "share" not in v:
        return f"Few eggs.{_followed(v)} Serve it last, count again."
    usual = f" where {per_cent(v['usual'])} are usual" if v["usual"] > 1.2 * v["share"] else ""
    return f"Only {per_cent(v['share'])} carry eggs{usual}.{_followed(v)} Serve it last, count again."


def _eggs_held(v: Values) -> str:
    eggs = f"{v['per_female']:.2g} eggs per female" if "per_female" in v else f"{per_cent(v['share'])} carry eggs"
    return f"{eggs}, yet no growth. Count again, test the water."


def _dense(v: Values) -> str:
    full = (
        f"{per_ml(v['per_ml'])}, near the highest density it has held"
        if v["per_ml"]
        else "Near the highest density it has held"
    )
    return f"Crowded: {full}.{_followed(v)} Harvest more or split; crowding also makes few eggs."


def _ciliates(v: Values) -> str:
    if v.get("many"):
        return f"Many ciliates.{_followed(v)} Separate tools, serve it last; rinse the floss."
    return f"Some ciliates.{_followed(v)} Separate tools, serve it last; rinse the floss."


def _ammonia(v: Values) -> str:
    said = f"Un-ionised ammonia (NH3-N) near {figures(v['value'], 1)} mg/L." if "value" in v else "Ammonia."
    return f"{said}{_followed(v)} Feed half, rinse the floss, change water."


def _swimming(v: Values) -> str:
    said = f"Swims {v['score']} of 5." if "score" in v else "Swims slowly."
    return f"{said}{_followed(v)} Test the water, check the air."


def _floor(v: Values) -> str:
    if v["under"]:
        return f"Under {per_ml(v['limit'])}. Harvest nothing, count again."
    return f"Likely under {per_ml(v['limit'])} by tomorrow. Count again, leave it to grow."


FLAG_WORDS: dict[str, Callable[[Values, Speech], str]] = {
    "crash": lambda v, s: _crash(v),
    "failing": lambda v, s: f"Under {per_ml(v['limit'])} and still falling. Restart it from a clean vessel.",
    "floor": lambda v, s: _floor(v),
    "falling": lambda v, s: f"Counts lower than expected.{_followed(v)} Count again, test the water.",
    "early": lambda v, s: f"Few eggs and slow swimming.{_followed(v)} Count again, test the water, serve it last.",
    "misfit": lambda v, s: "Implausible count: it does not fit the counts before it. Count again.",
    "drop": lambda v, s: "Far fewer than expected. Believe it until counted again.",
    "eggs_low": lambda v, s: _eggs_low(v),
    "eggs_held": lambda v, s: _eggs_held(v),
    "stalled": lambda v, s: f"Under {per_ml(v['limit'])} and hardly growing. Restart it from a thriving vessel.",
    "dense": lambda v, s: _dense(v),
    "count_old": lambda v, s: f"Not counted for {days_text(v['days'])}.",
    "clumped": lambda v, s: f"Aliquots differ too much (±{per_cent(v['error'])}). Stir, take more, count again.",
    "ciliates": lambda v, s: _ciliates(v),
    "swimming": lambda v, s: _swimming(v),
    "mixed_strain": lambda v, s: f"Took culture of strain {v['other']}. Check the size of the animals.",
    "ammonia": lambda v, s: _ammonia(v),
    "oxygen": lambda v, s: f"Oxygen {figures(v['value'])} mg/L. Check air line and stone.",
    "ph": lambda v, s: f"pH {v['value']:.1f}, {'under' if v['low'] else 'over'} {v['limit']:.1f}. Test again.",
    "warm": lambda v, s: f"{s.temperature(v['value'])}: over {s.temperature(v['limit'])}. Cool the room.",
    "cold": lambda v, s: f"{s.temperature(v['value'])}: under {s.temperature(v['limit'])}. Warm it slowly.",
    "temperature_step": lambda v, s: f"Moved {s.temperature(abs(v['step']), step=True)} between readings.",
    "salinity": lambda v, s: (
        f"Salinity {v['value']:.0f}, {'under' if v['low'] else 'over'} {v['limit']:.0f}. Correct it in small steps."
    ),
    "salinity_step": lambda v, s: f"Salinity moved by {abs(v['step']):.0f} between readings. Match the refill water.",
    "evaporation": lambda v, s: f"Salinity {v['value']:.0f}, wanted {v['target']:.0f}. Top up with fresh water.",
    "overfed": lambda v, s: _tint(v),
    "underfed": lambda v, s: "Water clear before feeding, four times in a row: feed more.",
    "floss": lambda v, s: f"Floss not rinsed for {days_text(v['days'])}, due after {days_text(v['due'])}.",
    "age": lambda v, s: f"{_age(v)}. Restart it when the rack can spare it.",
    "crowded": lambda v, s: f"{figures(v['per_ml'])} adults per mL. Take adults out or split.",
    "ageing": lambda v, s: f"Only {per_cent(v['share'])} nauplii. Feed more, take fewer.",
    "contact": lambda v, s: f"Served after {s.place(v['other'])}. Look for ciliates at the next count.",
    "feed_expired": lambda v, s: f"{v['feed']} was {days_text(v['days'])} past its date when fed.",
}

COMMON_WORDS = {
    "temperature": "room temperature",
    "salt": "a batch of salt water",
    "bottle": "the new feed bottle",
    "tools": "shared tools",
    "unknown": "something they share: room temperature, salt batch, feed bottle, tools",
}


def rack_flag(code: str, values: Values) -> str:
    """The sentence of a condition of the whole rack."""
    if code == "common":
        cause = COMMON_WORDS[values["cause"]]
        return f"{values['count']} of {values['of']} vessels went wrong together. Look first at {cause}."
    if code == "no_reserve":
        return f"No reserve of {values['strain']}. Mark one vessel as reserve and keep it apart."
    return f"All {values['strain']} stands on shelf {values['shelf']}. Move one vessel to another shelf."


def flag(code: str, values: Values, speech: Speech) -> str:
    """The sentence of a flag: what, and what to do."""
    return FLAG_WORDS[code](values, speech)


# --- suggestions ---

CLEAN_WORDS = {"floss": "Rinse floss", "airline": "Clean air line", "vessel": "Wipe walls, siphon"}

TILE_ORDER = ("restart", "split", "harvest", "clean", "count", "test", "feed")
"""Which actions lead a tile's sentence when several are suggested; a hold joins the count."""


def action_text(action: str, values: Values, speech: Speech) -> str:
    """The short sentence of one suggestion, for the rail."""
    if action == "harvest":
        return f"Harvest {speech.volume(values['litres'])}"
    if action == "feed":
        return f"Feed {values['amount']:g} {values['unit_words']}"
    if action == "clean":
        return CLEAN_WORDS[values["what"]]
    if action == "split":
        return f"Split {speech.volume(values['litres'])} into {speech.place(values['to'])}"
    if action == "restart":
        return f"Restart with {speech.volume(values['litres'])} from {speech.place(values['from'])}"
    if action == "count":
        return {"first_count": "Count", "recount": "Count again"}.get(values["code"], "Count")
    if action == "test":
        return "Test the water"
    return HOLD_TEXT.get(values["code"], "Do not harvest")


HOLD_TEXT = {"no_donor": "Crashed: leave out of use"}


def tile_sentence(suggestions: Sequence[Suggestion], assessment: Assessment | None = None) -> str:
    """One sentence for a tile from the suggestions of its vessel: "Harvest 6.5 L, feed 4 mL"."""
    by_action = {s.action: s for s in suggestions}
    hold = by_action.get("hold")
    parts = [by_action[a].text for a in TILE_ORDER if a in by_action]
    if hold is not None and "restart" not in by_action:
        if "count" in by_action:
            rest = "" if hold.code in HOLD_TEXT else ", do not harvest"
            return by_action["count"].text + rest
        return joined([hold.text, *parts[:1]])
    if parts and not {"harvest", "split", "restart", "clean", "count"} & set(by_action) and _growing(assessment):
        parts.insert(0, "Leave to grow")
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
        return "Nothing due"
    return {"resting": "Resting", "empty": "Ready to take a split", "unknown": "Count to begin"}.get(
        assessment.state, "Nothing due"
    )


def harvest_why(v: Values, speech: Speech) -> str:
    """Why so much is harvested."""
    taken = f"{speech.volume(v['litres'])} ({per_cent(v['share'])}) at {per_ml(v['per_ml'])}"
    what = f"{taken} gives {million(v['animals'])}"
    return f"{what}{_harvest_for(v)}.{v['otherwise']}"


def _harvest_for(v: Values) -> str:
    """For whom, or for what."""
    if v["code"] == "demand":
        return f"; {v['for']} need {million(v['need'])}" if v["animals"] > 1.5 * v["need"] else f" for {v['for']}"
    if v["code"] == "doubted":
        return f" for {v['for']}, though it is doubted: {v['doubt'].rstrip('.')}"
    if v["code"] == "short":
        return f" for {v['for']}; stock is short, so they get {per_cent(v['met'])} today"
    if v["standing"] and v["code"] != "rinse":
        return f"; spare, so {v['standing']} get it"
    if v["to_larvae"]:
        return f"; more than {v['for']} need today, to last them over a feed that is late or missed"
    if v["code"] == "rinse":
        return "; its water needs changing, as ammonia is high"
    return "; it is denser than the coming days need" if v["code"] == "dense" else "; this much is not needed"


STARTER_TEXT = "Buy a starter"


def starter_why(v: Values) -> str:
    """Why a starter is bought."""
    return f"{v['strain']} is nearly lost, and no vessel can seed another. Order a starter and start this one with it."


def feed_why(v: Values, speech: Speech) -> str:
    """Why so much is fed: a sum that comes to the amount."""
    base = f"{figures(v['ration'])} g dry per million for {million(v['animals'])} is {figures(v['dry_g'])} g dry"
    if v["strength"] != 1.0:
        base += f", {v['amount']:g} {v['unit']} at {figures(v['strength'], 3)} g/{v['unit']}"
    said = [FEED_REASONS[r] for r in v["reasons"] if r in FEED_REASONS]
    return f"{base}; {', '.join(said)}." if said else f"{base}."


FEED_REASONS = {
    "tint_high": "water stays tinted, so less",
    "tint_low": "water clears early, so more",
    "warm": "warm, so more",
    "cool": "cool, so less",
    "hot": "too warm, so less",
    "cut": "cut while something is wrong",
    "least": "as much as keeps food within reach of so thin a culture",
    "unseen": "at most half as much again as last time until it is counted",
    "reserve": "kept small, as the reserve only needs to live",
    "started": "new water holds no food, so it is fed on the day it is started",
}

COUNT_WHY = {
    "first_count": "Never counted, so nothing is known of it.",
    "started_count": "Not counted since it was started.",
    "count_interval": "Last counted {days} ago.",
    "unfed": "Last counted {days} ago, and no feeding is on record for longer than usual.",
    "recount": "{flag}",
    "few": "The last count rests on few animals: take more aliquots.",
    "doubt": "The estimate has grown too wide to harvest on.",
}

TEST_WHY = {
    "trouble": "{short}: see whether it is the water.",
    "never_tested": "Water never tested.",
    "test_interval": "Water last tested {days} ago.",
}

CLEAN_WHY = {
    "floss_heavy": "Heavy feeding, floss last clean {days} ago.",
    "floss_days": "Floss last clean {days} ago.",
    "airline": "Air line last cleaned {days} ago.",
    "vessel": "Walls and bottom last cleaned {days} ago.",
    "dirty": "{short}: clean it now, as waste makes it worse.",
}


def due_why(table: Mapping[str, str], code: str, days: float | None, flag_text: str, short: str) -> str:
    """Why something is due; `flag_text` and `short` are those of the flag that asks for it."""
    return table[code].format(days=days_text(days), flag=flag_text, short=short[:1].upper() + short[1:])


def split_why(v: Values, speech: Speech) -> str:
    """Why a vessel is split."""
    reason = {
        "dense": f"{per_ml(v['per_ml'])}, over its band",
        "room": f"{speech.place(v['to'])} stands empty and {per_ml(v['per_ml'])} can spare it",
    }[v["code"]]
    return (
        f"{reason[0].upper()}{reason[1:]}. {_poured(v, speech)} start {speech.place(v['to'])} at {per_ml(v['start'])} "
        f"when filled up, ready in about {days_text(max(v['ready'], 1))}; {per_ml(v['left'])} remain."
    )


def _poured(v: Values, speech: Speech) -> str:
    return f"{speech.volume(v['litres'])} at {per_ml(v['moved'])}"


def restart_why(v: Values, speech: Speech) -> str:
    """Why a vessel is started anew, and from which."""
    reason = {
        "crash": "Crashed",
        "failing": "Under its floor and still falling",
        "ciliates": "Ciliates that do not go away",
        "stalled": "Thin and hardly growing for days, while another thrives",
        "thin": "Thin, and a start from another grows faster",
        "age": f"{days_text(v.get('days'))} old",
    }[v["code"]]
    donor = speech.place(v["from"])
    last = (
        ", the reserve, as no other clean vessel can spare it"
        if v.get("reserve")
        else ", the cleanest that can spare it"
    )
    return f"{reason}. {donor}{last}; {_poured(v, speech)} start it at {per_ml(v['start'])} when filled up."


def hold_why(code: str, flag_text: str) -> str:
    """Why a vessel is left alone."""
    return {
        "no_donor": "Crashed, and no clean vessel of its strain can spare a start.",
    }.get(code, flag_text)


SETTLED = {
    "restart_too": "It also gives a start to {place}.",
    "split_too": "It also gives a split to {place}.",
}
"""How a contradiction between suggestions was settled, said in the one that is left."""


def likelihood_of(flag: Flag) -> str:
    """How likely it is that a flag is right; nothing for what is simply due, or where its sentence says a chance."""
    if flag.probability > 1.0 - LEAST_RISK or "Chance of" in flag.text:
        return ""
    return f"Chance that this is so: {chance_text(flag.probability)}."


def risk_of(one: Suggestion) -> str:
    """The chance that a suggestion rests on, for whoever weighs it; nothing for routine work, which is simply due."""
    if one.action in {"harvest", "split"} and one.sureness < 1.0 - LEAST_RISK:
        return f"Chance that too few remain: {chance_text(1.0 - one.sureness)}."
    if one.action == "restart" and one.code in {"crash", "failing"} and one.sureness < 1.0 - LEAST_RISK:
        return f"Chance that it has failed: {chance_text(one.sureness)}."
    return ""


LEAST_RISK = 0.0096
"""A smaller chance is not worth a word."""
