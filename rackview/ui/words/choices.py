"""The words of lists to choose from, where what is chosen is a key: of mapping files, or of a formula's argument.

Keys stay in English; only what is shown passes the catalogue. What is not listed here (names of vessels and strains,
species, authors, units, scales) is shown as it stands.
"""

from __future__ import annotations

from rackview.core.profile import strains
from rackview.language import N_, _

COLUMNS = frozenset({
    N_("date"), N_("time"), N_("vessel"), N_("kind"), N_("note"), N_("density million/L"), N_("tallies"),
    N_("dilution"), N_("with eggs"), N_("with eggs %"), N_("females checked"), N_("swimming"), N_("ciliates"),
    N_("tint"), N_("stage"), N_("sg"), N_("sg x 1000"), N_("salinity"), N_("ph"), N_("ammonia N"), N_("ammonia NH3"),
    N_("ammonia NH4"), N_("oxygen"), N_("feed"), N_("feed tsp"), N_("unit"), N_("harvest fraction"),
    N_("exchange fraction"), N_("to"), N_("to vessel"), N_("from vessel"), N_("cleaned"), N_("strain"), N_("shelf"),
    N_("position"), N_("left out"),
})  # fmt: skip
"""What a column of a keeper's table may be."""
MEASURED = frozenset({
    N_("density"), N_("aliquot"), N_("temperature"), N_("conductivity"), N_("feed"), N_("harvest"), N_("exchange"),
    N_("refill"), N_("mesh"), N_("top-up"), N_("split"), N_("volume"), N_("working volume"),
})  # fmt: skip
"""What a column may be in one unit or another, which stands behind a space."""
ANSWERS = frozenset({
    N_("the mean of each day, with low and high"), N_("every value"), N_("“,” is the decimal sign"),
    N_("“.” is the decimal sign"), N_("day first"), N_("month first"), N_("new vessels"), N_("a count of 0"),
    N_("floss"), N_("airline"), N_("count"), N_("reading"), N_("harvest"), N_("exchange"), N_("clean"), N_("top_up"),
    N_("split"), N_("restart"), N_("none of these"), N_("vessels of this rack by other names"),
})  # fmt: skip
"""What else may be answered about a table."""
ARGUMENTS = frozenset({
    N_("rule of thumb"), N_("planktonic rotifers"), N_("embryo days"), N_("first eggs days"), N_("egg interval hours"),
    N_("life days"), N_("eggs per life"), N_("table"), N_("text"), N_("cohort"), N_("Brachionus plicatilis, growing"),
    N_("Brachionus plicatilis, stationary"), N_("nauplii"), N_("copepodites"), N_("compensated"), N_("hydrometer"),
    N_("total"), N_("seawater"), N_("free"), N_("Brachionus calyciflorus (fresh water)"),
    N_("Menidia beryllina (fish)"), N_("Mysidopsis bahia (mysid)"), N_("most estuarine fish"), N_("copepod adults"),
    N_("ciliate rinse"), N_("dry filter"), N_("submerged filter"), N_("large rotifers"),
    N_("large rotifers, below 3 degC"), N_("S rotifers, fed"), N_("SS rotifers, fed"), N_("seawater for cultures"),
    N_("clean water, short"), N_("clean water, long"), N_("clean hard equipment"),
    N_("culture water before a drain, emergency rule"), N_("culture water before a drain, lighter rule"),
    N_("handbook"), N_("to tetrathionate"), N_("to sulphate and sulphur"), N_("to sulphate"),
    N_("available chlorine, w/v"), N_("available chlorine, by weight"), N_("sodium hypochlorite, w/v"),
    N_("sodium hypochlorite, by weight"), N_("available chlorine"), N_("calcium hypochlorite"), N_("shrimp larvae"),
    N_("fish"), N_("rotifers"), N_("Artemia nauplii"), N_("measured"), N_("upper figure"), N_("anemonefish"),
    N_("red drum"), N_("striped mullet"), N_("seven-band grouper"),
})  # fmt: skip
"""What an argument of a formula on the bench may be."""


def argument_word(choice: str) -> str:
    """A choice of a sum on the bench as it is shown."""
    return _(choice) if choice in ARGUMENTS else choice


def answer_word(question: str, option: str) -> str:
    """An answer to a question about a table as it is shown; `question` is its key."""
    if question == "vessel" or question.startswith("vessel "):  # a vessel may be called as anything else is
        return _(option) if option in {"left out", "none of these"} else option
    if option in COLUMNS or option in ANSWERS:
        return _(option)
    measured, _unused, unit = option.rpartition(" ")
    if measured in MEASURED:
        return f"{_(measured)} {unit}"
    if option.startswith("new "):
        strain = option.removeprefix("new ")
        return _("new {strain}").format(strain=strains()[strain].title if strain in strains() else strain)
    return option


def reference_word(reference: str) -> str:
    """What a hydrometer is read against, as it is shown."""
    return _("not known") if reference == "unknown" else reference
