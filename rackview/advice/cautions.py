"""What can hurt the keeper, the animals or the world outside, by task: one table for suggestions and forms alike.

Each defers to labels, local rules and licensed practice. Sources: the usual safety data sheets of sodium hypochlorite,
iodine and formaldehyde, and IEC 61140 for residual-current devices; the rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

CAUTIONS: dict[str, str] = {
    "power": (
        "Switch heaters, lamps and pumps off at the wall before your hands go in, and on again after. Run the rack "
        "from a residual-current device; keep plugs above the water, with a drip loop."
    ),
    "gloves": "Cover cuts and wear gloves: marine bacteria enter through broken skin. Wash hands and forearms after.",
    "floor": "Wipe up what is spilled at once: a wet floor is slippery, and water and mains are near each other.",
    "valve": "Keep a non-return valve in every air line, or the pump above the water: a stopped pump siphons.",
    "glass": "Look at glass for cracks before you lift it; no hot or very cold water into it.",
    "lifting": "A litre weighs a kilogram: siphon a large vessel half empty before you lift it with both hands.",
    "bleach": (
        "Disinfect by the label of your product. Never mix bleach with acid or ammonia; add bleach to water, "
        "ventilate, wear gloves and eye protection. Neutralise and test for zero chlorine before use."
    ),
    "drain": (
        "Never release culture to the wild or to drains that reach open water, nor what you siphon, rinse or discard; "
        "kill it first, by local rules."
    ),
    "tap_water": (
        "Tap water holds chlorine or chloramine: neutralise it and test for zero. Standing leaves chloramine."
    ),
    "salt": "Dissolve salt whole before it meets animals; change salinity by at most 5 a step.",
    "rinse": "Rinse the harvest on the sieve with clean sea water before it goes to larvae.",
    "reagents": "Keep test reagents off skin and out of the vessel; follow their label, and collect what is left.",
    "fixative": (
        "Iodine stains and irritates; formaldehyde is poisonous and may cause cancer. Fresh air, gloves and eye "
        "protection, by the safety data sheet; collect it as waste, never into a vessel or a drain."
    ),
    "dust": "Fine dry feed irritates eyes and lungs: open it slowly, out of the draught, with a dust mask.",
    "own_tools": "Separate tools for this vessel; serve it last.",
    "refill": "Refill with new water of the same salinity and temperature; at most 5 in salinity a step.",
    "doubted": "From a doubted vessel: look at the animals, and rinse them twice on the sieve.",
    "guess": "Feed strength not in the stock table: taken as a usual concentrate. Check the label.",
    "expired": "This feed is past its date: smell and look at it first.",
    "return": "It is resting: take it back into use first.",
    "fill_up": "Fill {place} up with new water of the same salinity and temperature, then feed lightly.",
    "reserve_last": "This draws on the reserve; replace it as soon as another vessel is strong.",
}

GENERAL = ("gloves", "power", "floor", "valve")
"""What holds for every hand that goes near the rack: said once a round, not at every task."""

TASKS: dict[str, tuple[str, ...]] = {
    "harvest": ("refill",),
    "to larvae": ("rinse",),
    "discard": ("drain",),
    "split": ("refill", "lifting"),
    "restart": ("power", "bleach", "tap_water", "drain", "lifting", "glass"),
    "starter": ("power", "bleach", "tap_water", "glass"),
    "clean": ("power", "drain"),
    "count": (),
    "clean vessel": ("glass",),
    "clean airline": ("valve",),
    "top_up": ("tap_water",),
    "test": ("reagents",),
    "fixed": ("fixative",),
    "dry feed": ("dust",),
    "rest": ("drain", "lifting"),
    "new water": ("salt", "tap_water"),
}
"""Task to the cautions of its own. A task is an action, or what goes with one."""

TITLES = {
    "harvest": "harvesting", "to larvae": "larvae that are fed with it", "discard": "discarding culture",
    "split": "splitting", "restart": "restarting", "starter": "beginning with a starter", "clean": "cleaning",
    "clean vessel": "wiping a vessel", "clean airline": "cleaning an air line", "top_up": "topping up",
    "test": "testing water", "count": "counting", "fixed": "fixing a sample", "dry feed": "weighing dry feed",
    "rest": "taking a vessel out of use", "new water": "mixing new water",
}  # fmt: skip
"""What a task is called on the page."""

WET = frozenset({"harvest", "split", "restart", "starter", "clean", "top_up", "count", "rest"})
"""Tasks with hands in the water, at which gloves come first."""


def general() -> tuple[str, ...]:
    """What holds for every hand near the rack, said once a round."""
    return tuple(CAUTIONS[code] for code in GENERAL)


def cautions(tasks: Iterable[str], *, said: Collection[str] = ()) -> tuple[str, ...]:
    """The sentences for these tasks, each once and none that was `said`; gloves first where hands go into the water."""
    wanted = list(tasks)
    codes = [*(["gloves"] if WET.intersection(wanted) else []), *(c for task in wanted for c in TASKS.get(task, ()))]
    return tuple(text for text in dict.fromkeys(CAUTIONS[code] for code in codes) if text not in said)


def tasks_of_harvest(*, feeds_larvae: bool, discarded: bool) -> tuple[str, ...]:
    """The tasks that a harvest is, by where it goes."""
    return ("harvest", *(["to larvae"] if feeds_larvae else []), *(["discard"] if discarded else []))


def page() -> str:
    """All cautions as a Markdown page, each once, with the tasks at which it is said."""
    lines = ["# Safety", "", "Labels, local rules and licensed practice come first.", "", "## Every round", ""]
    lines += [f"* {text}" for text in general()]
    lines += ["", "## By task", ""]
    for code, text in CAUTIONS.items():
        at = [title for task, title in TITLES.items() if code in TASKS[task]]
        if at and code not in GENERAL:
            said = ", ".join(at)
            lines.append(f"* **{said[0].upper()}{said[1:]}.** {text}")
    return "\n".join(lines) + "\n"
