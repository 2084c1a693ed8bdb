"""What can hurt the keeper, the animals or the world outside, by task: one table for suggestions and forms alike.

Each defers to labels, local rules and licensed practice. Sources: the usual safety data sheets of sodium hypochlorite,
iodine and formaldehyde, and IEC 61140 for residual-current devices; the rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from rackview.language import _

CAUTIONS: dict[str, str] = {
    "power": _(
        "Switch heaters, lamps and pumps off at the wall before your hands go in, and on again after. Run the rack "
        "from a residual-current device; keep plugs above the water, with a drip loop."
    ),
    "gloves": _(
        "Cover cuts and wear gloves: marine bacteria enter through broken skin. Wash hands and forearms after."
    ),
    "floor": _("Wipe up what is spilled at once: a wet floor is slippery, and water and mains are near each other."),
    "valve": _("Keep a non-return valve in every air line, or the pump above the water: a stopped pump siphons."),
    "glass": _("Look at glass for cracks before you lift it; no hot or very cold water into it."),
    "lifting": _("A litre weighs a kilogram: siphon a large vessel half empty before you lift it with both hands."),
    "bleach": _(
        "Disinfect by the label of your product. Never mix bleach with acid or ammonia; add bleach to water, "
        "ventilate, wear gloves and eye protection. Neutralise and test for zero chlorine before use."
    ),
    "drain": _(
        "Never release culture to the wild or to drains that reach open water, nor what you siphon, rinse or discard; "
        "kill it first, by local rules."
    ),
    "tap_water": _(
        "Tap water holds chlorine or chloramine: neutralise it and test for zero. Standing leaves chloramine."
    ),
    "salt": _("Dissolve salt whole before it meets animals; change salinity by at most 5 a step."),
    "rinse": _("Rinse the harvest on the sieve with clean sea water before it goes to larvae."),
    "reagents": _("Keep test reagents off skin and out of the vessel; follow their label, and collect what is left."),
    "fixative": _(
        "Iodine stains and irritates; formaldehyde is poisonous and may cause cancer. Fresh air, gloves and eye "
        "protection, by the safety data sheet; collect it as waste, never into a vessel or a drain."
    ),
    "dust": _("Fine dry feed irritates eyes and lungs: open it slowly, out of the draught, with a dust mask."),
    "own_tools": _("Separate tools for this vessel; serve it last."),
    "refill": _("Refill with new water of the same salinity and temperature; at most 5 in salinity a step."),
    "doubted": _("From a doubted vessel: look at the animals, and rinse them twice on the sieve."),
    "guess": _("Feed strength not in the stock table: taken as a usual concentrate. Check the label."),
    "expired": _("This feed is past its date: smell and look at it first."),
    "return": _("It is resting: take it back into use first."),
    "fill_up": _("Fill {place} up with new water of the same salinity and temperature, then feed lightly."),
    "reserve_last": _("This draws on the reserve; replace it as soon as another vessel is strong."),
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
    "harvest": _("harvesting"), "to larvae": _("larvae that are fed with it"), "discard": _("discarding culture"),
    "split": _("splitting"), "restart": _("restarting"), "starter": _("beginning with a starter"),
    "clean": _("cleaning"), "clean vessel": _("wiping a vessel"), "clean airline": _("cleaning an air line"),
    "top_up": _("topping up"), "test": _("testing water"), "count": _("counting"), "fixed": _("fixing a sample"),
    "dry feed": _("weighing dry feed"), "rest": _("taking a vessel out of use"), "new water": _("mixing new water"),
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


def cautions_page() -> str:
    """All cautions as a Markdown page, each once, with the tasks at which it is said."""
    title, first = _("Safety"), _("Labels, local rules and licensed practice come first.")
    lines = [f"# {title}", "", first, "", _("## Every round"), ""]
    lines += [f"* {text}" for text in general()]
    lines += ["", _("## By task"), ""]
    for code, text in CAUTIONS.items():
        at = [title for task, title in TITLES.items() if code in TASKS[task]]
        if at and code not in GENERAL:
            said = ", ".join(at)
            lines.append(f"* **{said[0].upper()}{said[1:]}.** {text}")
    return "\n".join(lines) + "\n"
