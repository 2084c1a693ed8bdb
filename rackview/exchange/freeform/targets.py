"""What a column of a keeper's table may be: the column of the event table that it goes to, and how it is converted."""

from __future__ import annotations

import re
from functools import cache

from rackview.core.dataclass import dataclass
from rackview.language import _

US_GALLON_L = 3.785411784
US_QUART_L = US_GALLON_L / 4
US_TEASPOON_ML = 1e3 * US_GALLON_L / 768
"""Exact, NIST Handbook 44, appendix C."""
OUT = "left out"
NOTE = "note"


@dataclass(frozen=True, slots=True)
class Target:
    """One meaning of a column.

    `kind` is the event that it is part of, blank for what all share; `column` its column in the event table; values
    become value * factor + offset; as written they lie from `low` to `high`.
    """

    name: str
    kind: str
    column: str
    label: str
    factor: float = 1.0
    offset: float = 0.0
    low: float = 0.0
    high: float = 1e9
    of_volume: bool = False
    """Whether it is a part of the vessel's volume, L, by which it is multiplied."""

    @property
    def numeric(self) -> bool:
        """Whether its cells are single numbers."""
        return self.high != 1e9

    def convert(self, value: float) -> float:
        """A value as written in the event table's unit, without the noise of the arithmetic."""
        if self.factor == 1.0 and not self.offset:
            return value
        return float(f"{value * self.factor + self.offset:.6g}")


def _volumes(name: str, kind: str, column: str, words: str) -> list[Target]:
    return [
        Target(f"{name} L", kind, column, f"{words}, L", 1.0, 0.0, 0.0, 1e5),
        Target(f"{name} mL", kind, column, _("{words}, mL").format(words=words), 1e-3, 0.0, 0.0, 1e8),
        Target(f"{name} gal", kind, column, _("{words}, US gal").format(words=words), US_GALLON_L, 0.0, 0.0, 26_000.0),
        Target(f"{name} qt", kind, column, _("{words}, US qt").format(words=words), US_QUART_L, 0.0, 0.0, 104_000.0),
    ]


def _shares(name: str, words: str) -> list[Target]:
    """A harvest written as a part of what the vessel holds."""
    share = _("{words}, % of the vessel’s volume").format(words=words)
    part = _("{words}, as a fraction of the vessel’s volume").format(words=words)
    return [
        Target(f"{name} %", "harvest", "volume_l", share, 0.01, 0.0, 0.0, 100.0, of_volume=True),
        Target(f"{name} fraction", "harvest", "volume_l", part, 1.0, 0.0, 0.0, 1.0, of_volume=True),
    ]


TARGETS: dict[str, Target] = {
    t.name: t
    for t in (
        Target("date", "", "at", _("day, or day and time")),
        Target("time", "", "time", _("time of day")),
        Target("vessel", "", "vessel", _("vessel")),
        Target("kind", "", "kind", _("what was done")),
        Target(NOTE, "", "note", _("keep as a note")),
        Target("density /mL", "count", "density_per_ml", _("density, animals per mL"), 1.0, 0.0, 0.0, 1e7),
        Target("density /L", "count", "density_per_ml", _("density, animals per L"), 1e-3, 0.0, 0.0, 1e10),
        Target("density /µL", "count", "density_per_ml", _("density, animals per µL"), 1e3, 0.0, 0.0, 1e4),
        Target(
            "density /gal",
            "count",
            "density_per_ml",
            _("density, animals per US gal"),
            1e-3 / US_GALLON_L,
            0.0,
            0.0,
            1e11,
        ),
        Target("density 1000/L", "count", "density_per_ml", _("density, thousand animals per L"), 1.0, 0.0, 0.0, 1e7),
        Target("density million/L", "count", "density_per_ml", _("density, million animals per L"), 1e3, 0.0, 0.0, 1e4),
        Target("tallies", "count", "tallies", _("animals counted, one number per aliquot")),
        Target("aliquot mL", "count", "aliquot_ml", _("volume of one aliquot, mL"), 1.0, 0.0, 1e-6, 1e4),
        Target("aliquot µL", "count", "aliquot_ml", _("volume of one aliquot, µL"), 1e-3, 0.0, 1e-3, 1e7),
        Target("dilution", "count", "dilution", _("dilution, after divided by before"), 1.0, 0.0, 1.0, 1e6),
        Target("with eggs", "count", "with_eggs", _("females with eggs"), 1.0, 0.0, 0.0, 1e6),
        Target("with eggs %", "count", "with_eggs", _("females with eggs, % of those looked at"), 1.0, 0.0, 0.0, 100.0),
        Target("females checked", "count", "females_checked", _("females looked at for eggs"), 1.0, 0.0, 0.0, 1e6),
        Target("swimming", "count", "swimming", _("swimming, 1 to 5"), 1.0, 0.0, 1.0, 5.0),
        Target("ciliates", "count", "ciliates", _("ciliates: none, some, many")),
        Target("tint", "count", "tint", _("colour of the water, 0 to 4"), 1.0, 0.0, 0.0, 4.0),
        Target("stage", "count", "stage", _("stage that was counted")),
        Target("temperature °C", "reading", "temperature_c", _("water temperature, °C"), 1.0, 0.0, -2.0, 45.0),
        Target("temperature °F", "reading", "temperature_c", _("water temperature, °F"), 5 / 9, -160 / 9, 28.4, 113.0),
        Target("sg", "reading", "sg", _("specific gravity"), 1.0, 0.0, 0.99, 1.1),
        Target("sg x 1000", "reading", "sg", _("specific gravity times 1000"), 1e-3, 0.0, 990.0, 1100.0),
        Target("salinity", "reading", "salinity", _("salinity, ppt"), 1.0, 0.0, 0.0, 120.0),
        Target("conductivity mS/cm", "reading", "conductivity_ms_cm", _("conductivity, mS/cm"), 1.0, 0.0, 0.0, 200.0),
        Target("conductivity µS/cm", "reading", "conductivity_ms_cm", _("conductivity, µS/cm"), 1e-3, 0.0, 0.0, 2e5),
        Target("ph", "reading", "ph", _("pH"), 1.0, 0.0, 4.0, 11.0),
        Target("ammonia N", "reading", "tan_mg_l", _("total ammonia as nitrogen, mg/L"), 1.0, 0.0, 0.0, 1e3),
        Target("ammonia NH3", "reading", "tan_mg_l", _("total ammonia as NH3, mg/L"), 14.007 / 17.031, 0.0, 0.0, 1e3),
        Target("ammonia NH4", "reading", "tan_mg_l", _("total ammonia as NH4, mg/L"), 14.007 / 18.039, 0.0, 0.0, 1e3),
        Target("oxygen", "reading", "oxygen_mg_l", _("dissolved oxygen, mg/L"), 1.0, 0.0, 0.0, 60.0),
        Target("feed", "feed", "feed", _("name of the feed")),
        Target("feed mL", "feed", "amount", _("feed given, mL"), 1.0, 0.0, 0.0, 1e6),
        Target("feed g", "feed", "amount", _("feed given, g"), 1.0, 0.0, 0.0, 1e6),
        Target("feed tsp", "feed", "amount", _("feed given, US teaspoons"), US_TEASPOON_ML, 0.0, 0.0, 1e6),
        Target(
            "feed mL/L", "feed", "amount", _("feed given, mL per L of the vessel"), 1.0, 0.0, 0.0, 1e3, of_volume=True
        ),
        Target("unit", "feed", "unit", _("unit of the feed, mL or g")),
        *_volumes("harvest", "harvest", "volume_l", _("harvested")),
        *_shares("harvest", _("harvested")),
        *_volumes("exchange", "harvest", "volume_l", _("thrown away and refilled with new water")),
        *_shares("exchange", _("thrown away and refilled with new water")),
        *_volumes("refill", "harvest", "refill_l", _("refilled after the harvest")),
        Target("mesh µm", "harvest", "mesh_um", _("mesh of the sieve, µm"), 1.0, 0.0, 1.0, 5e3),
        Target("to", "harvest", "to", _("where the harvest went")),
        *_volumes("top-up", "top_up", "volume_l", _("topped up")),
        *_volumes("split", "split", "volume_l", _("moved in a split")),
        Target("to vessel", "split", "to_vessel", _("vessel that took the split")),
        Target("from vessel", "restart", "from_vessel", _("vessel that a restart came from")),
        *_volumes("volume", "", "volume_l", _("volume of what was done")),
        Target("cleaned", "clean", "what", _("cleaning")),
        Target("strain", "vessel", "strain", _("strain of the vessel")),
        Target("shelf", "vessel", "shelf", _("shelf")),
        Target("position", "vessel", "position", _("place on the shelf"), 1.0, 0.0, 1.0, 999.0),
        *_volumes("working volume", "vessel", "volume_l", _("volume of the vessel")),
        Target(OUT, "", "", _("leave out")),
    )
}
"""Every meaning by the name that a mapping file uses."""

UNITS = {
    "density": {unit: f"density {unit}" for unit in ("/mL", "/L", "/µL", "/gal")},
    "temperature": {"°C": "temperature °C", "°F": "temperature °F"},
    "salinity": {"ppt": "salinity", "SG": "sg"},
    "conductivity": {"mS/cm": "conductivity mS/cm", "µS/cm": "conductivity µS/cm"},
    "fed": {"mL": "feed mL", "g": "feed g", "tsp": "feed tsp", "mL/L": "feed mL/L"},
    "aliquot": {"mL": "aliquot mL", "µL": "aliquot µL"},
    **{
        name: {unit: f"{name} {unit}" for unit in ("L", "mL", "gal", "qt")}
        for name in ("refill", "top-up", "split", "volume", "working volume")
    },
    **{
        name: {unit: f"{name} {unit}" for unit in ("L", "mL", "gal", "qt", "%", "fraction")}
        for name in ("harvest", "exchange")
    },
}
"""Meanings that depend on the unit: which one each unit gives."""

_WORDS = (
    (r"date\s*(?:/|and|&)\s*time|timestamp|datum\s*/?\s*(?:und)?\s*uhrzeit|fecha y hora|date et heure|data [eo] ora", "date"),
    (r"date|day|datum|tag|fecha|d[ií]a|jour|data|giorno|dag|when|logged", "date"),
    (r"time|uhrzeit|zeit|hora|heure|ora|orario|tijd|clock", "time"),
    (r"to (?:vessel|tank|culture)|into|split (?:to|into)", "to vessel"),
    (r"from (?:vessel|tank|culture)", "from vessel"),
    (r"(?:sample|aliquot|subsample|probe)(?: ?vol(?:ume|\\.)?| size| ml)?|volume counted|probenvolumen|chamber(?: vol(?:ume)?)?", "aliquot"),
    (r"mesh|sieve|maschenweite", "mesh µm"),
    (r"(?:x )?dil(?:ution)?(?: factor)?|diluted|verd[uü]nnung|diluci[oó]n|diluizione|dilui[cç][aã]o|verdunning", "dilution"),
    (r"females?|(?:n|no|number|females) (?:checked|examined|looked at)|weibchen|checked|hembras", "females checked"),
    (r"eggs?|ovigerous|gravid|egg.?bearing|(?:%|percent|pct) (?:ovigerous|with eggs|eggs|gravid)|berried|with eggs|mit eiern|eier|huevos|uova|ovos|œufs|oeufs|eieren|eggs? ratio", "with eggs"),
    (r"top(?:ped)?.?up|evaporation|nachgef[uü]llt", "top-up"),
    (r"re.?fill(?:ed)?|added|new water|nachf[uü]llung|fresh saltwater", "refill"),
    (r"water.?change[ds]?|wc|wasserwechsel|exchange[ds]?|cambio de agua|cambio d['’]acqua|ricambio|troca de [aá]gua|changement d['’]eau|waterwissel|verversing", "exchange"),
    (r"(?:vol(?:ume|\.)? )?(?:harvest(?:ed)?|taken(?: out)?|removed|ernte|geerntet|cosecha(?:do)?|r[eé]colt[ée]+|raccolt[ao]|prelievo|colheita|colhido|oogst|geoogst|harv|yield|cropped|out)(?: vol(?:ume|\.)?)?", "harvest"),
    (r"split|geteilt", "split"),
    (r"(?:(?:where|went|fed) )?to|destination|target tank|ziel|for", "to"),
    (r"clean(?:ed|ing)?|floss|gereinigt|reinigung|wiped|limpi\w+|limpeza|pulit[ao]|pulizia|nettoy\w+|schoongemaakt|(?:floss|sponge|filter|air ?lines?|airstone|bottom|walls?|vessel|tank) (?:changed?|clean(?:ed|ing)?|siphoned|rinsed?|wiped|swapped|replaced)", "cleaned"),
    (r"temp(?:[eé]rature?|eratur|eratuur|eratura|\.)?|t|water temp\w*|°\s*[cf]", "temperature"),
    (r"sg|s\.g\.|specific gravity|dichte \(wasser\)", "sg"),
    (r"salinity|salz\w*|salinit\w*|salinidad|salinidade|zoutgehalte|ppt|psu|sal", "salinity"),
    (r"cond(?:uctivity)?|leitf[aä]higkeit|ec", "conductivity"),
    (r"ph(?:-?wert)?", "ph"),
    (r"tan|nh3.?n|nh4.?n|ammonia.?n(?:itrogen)?|ammonium.?n", "ammonia N"),
    (r"nh3|ammonia|ammoniak|amoniaco", "ammonia NH3"),
    (r"nh4\+?|ammonium", "ammonia NH4"),
    (r"do|o2|oxygen|dissolved oxygen|sauerstoff|ox[ií]geno", "oxygen"),
    (r"(?:tallies|tally|strichliste|raw counts?|counts? per (?:drop|chamber|sample)|count ?\d|tally ?\d|rep(?:licate)? ?\d|aliquot ?\d|sample ?\d|drop ?\d|sq(?:uare)? ?\d|grid ?\d|field ?\d|z[aä]hlung ?\d)", "tallies"),
    (r"density|dens\.?|conc(?:entration)?|dichte|bestand|densidade?|densit[eéà]|dichtheid|(?:rotifers?|rots|animals?|individuals?|ind|tiere|copepods?|pods)\s*(?:/|per|pro)\s*m?l|per ml|pop(?:ulation)?", "density"),
    (r"(?:(?:live|total|avg|average|mean|rotifer|animal) )?counts?|counted|rotifers?|rots|animals?|number|n|z[aä]hlung|anzahl|tiere|recuento|conteo|contagem|conteggio|conta|comptage|telling|aantal|copepods?|pods|how many(?: in 1 ml| per ml)?|(?:counts?|rotifers|animals|number|copepods) (?:in|per) \d+(?: \d+)? ?[mµu]l|(?:cells|animals|rotifers) counted", "count"),
    (r"feed (?:type|name|used|kind)|food|futter(?:art)?|algae type|alimento|mangime|voer|nourriture|what fed", "feed"),
    (r"fed|feed(?:ing)?(?: amount| given| dose)?|gef[uü]ttert|f[uü]tterung|ration|comida|ra[cç][aã]o|gevoerd|nourri|dato da mangiare", "fed"),
    (r"(?:algae|paste|concentrate|yeast|phyto\w*|alge\w*|nanno\w*|tetra\w*|iso\w*|chlorella)(?: paste| fed| added)?", "fed"),
    (r"amount|quantity|qty|menge|dose|how much|cantidad|quantit[àé]|quantidade|hoeveelheid", "amount"),
    (r"working volume|capacity|size|vessel volume|inhalt|f[uü]llmenge", "working volume"),
    (r"vol(?:ume|umen|\.)?|liters?|litres?|gal(?:lons?)?", "volume"),
    (r"swim(?:ming)?|activity|motility|schwimm\w*|movement", "swimming"),
    (r"ciliates?|contaminants?|ciliaten", "ciliates"),
    (r"tint|colou?r|water colou?r|farbe|green(?:ness)?", "tint"),
    (r"stage|lifestage|stadium", "stage"),
    (r"strain|species|organism|art|stamm|culture type|especie", "strain"),
    (r"shelf|rack|regal|estante", "shelf"),
    (r"position|place|slot|spot|platz", "position"),
    (r"vessel|tank|culture|bucket|jar|bottle|carboy|cone|container|becken|beh[aä]lter|kultur|eimer|tonne|cultivo|recipiente|cubo|vasca|vaschetta|secchi[oa]|coltura|tanque|balde|cultura|bac|seau|cuve|emmer|bak|kweek|(?:which )?(?:tank|culture|vessel|bucket)|name|id|which|wo", "vessel"),
    (r"action|task|event|kind|type|activity|what(?: i did| was done)?|aktion|t[aä]tigkeit|acci[oó]n|did|was", "kind"),
    (r"notes?|remarks?|comments?|observations?|memo|bemerkung\w*|notiz\w*|kommentar\w*|notas?|observaciones|observa[cç][oõ]es|remarques?|opmerking\w*|osservazioni", NOTE),
)  # fmt: skip
WORDS = tuple(
    (re.compile(rf"(?:the\s+)?(?:avg\.?\s+)?(?:{pattern})\Z", re.IGNORECASE), role) for pattern, role in _WORDS
)

KINDS = (
    (r"count\w*|sampl\w*|density|z[aä]hl\w*|gez[aä]hlt|recuento|cont\w+", "count"),
    (r"harvest\w*|crop\w*|ernte\w*|geerntet|cosech\w*|taken", "harvest"),
    (r"fed|feed\w*|food|futter|gef[uü]ttert|f[uü]tter\w*|aliment\w*", "feed"),
    (r"clean\w*|floss|rinse\w*|wip\w+|gereinigt|reinig\w*|limpi\w*", "clean"),
    (r"top\w*[ -]?up|topped|evap\w*|nachgef\w*", "top_up"),
    (r"split\w*|geteilt|teil\w*|divid\w*", "split"),
    (r"restart\w*|re-?start\w*|reset|new culture|neu(?:start| angesetzt)|reinoculat\w*|inoculat\w*", "restart"),
    (r"measur\w*|test\w*|reading\w*|param\w*|water test|gemessen|mess\w*", "reading"),
    (r"note\w*|comment|remark|notiz|observ\w*", "note"),
    (r"water change\w*|wc|wasserwechsel|exchange", "exchange"),
)
KIND_WORDS = tuple((re.compile(rf"(?:{pattern})\Z", re.IGNORECASE), kind) for pattern, kind in KINDS)


EXACT = {
    "at": "date", "text": NOTE, "what": "cleaned", "unit": "unit", "einheit": "unit", "aliquot_ml": "aliquot", "with_eggs": "with eggs",
    "females_checked": "females checked", "refill_l": "refill", "mesh_um": "mesh µm", "oxygen_mg_l": "oxygen", "tan_mg_l": "ammonia N",
    "conductivity_ms_cm": "conductivity", "why_not_taken": OUT,
}  # fmt: skip
"""Names of the event table that people use too."""


@cache
def role_of(header: str) -> str:
    """The meaning that a header names without its unit, or blank."""
    if header.strip().lower() in EXACT:
        return EXACT[header.strip().lower()]
    header = header.replace("?", " ")
    plain = re.sub(r"[\[(][^\])]*[\])]", " ", header)
    plain = re.sub(r"^\s*(?:gallons?|gal|liters?|litres?|ml)\s+(?:of\s+)?(?=\w)", "", plain, flags=re.IGNORECASE)
    for text in (
        plain,
        plain.partition(",")[0],
        re.sub(r"(?:[\s_]+|(?<=\w)/)(?:(?:in|per)[\s_]+)?[°µ]?[a-zA-Z%]+(?:/[a-zA-Z]+)?\s*$", "", plain.strip()),
        header,
        re.sub(r"^\s*(?:%|per ?cent|pct\.?)\s*(?:of\s+)?", "", plain),
    ):
        text = re.sub(r"[\s_\-:#.]+", " ", text).strip()
        for pattern, role in WORDS:
            if text and pattern.match(text):
                return role
    return ""


_MOVED = re.compile(
    r"(?P<split>split|divided?|geteilt|dividid[oa])\s+(?:in)?to\s+(?P<into>.+)|"
    r"(?P<restart>re-?start(?:ed)?|inoculated)\s+from\s+(?P<out_of>.+)",
    re.IGNORECASE,
)


def split_or_restart(cell: str) -> tuple[str, str, str]:
    """The kind, the column and the vessel of “split to A2” or “restarted from A1”; blanks for anything else."""
    found = _MOVED.fullmatch(cell.strip())
    if found is None:
        return "", "", ""
    if found["split"]:
        return "split", "to_vessel", found["into"]
    return "restart", "from_vessel", found["out_of"]


def kind_of(cell: str) -> str:
    """The kind of event that a word names, “exchange” for a change of water, or blank."""
    text = re.sub(r"[\s_]+", " ", cell).strip()
    return next((kind for pattern, kind in KIND_WORDS if pattern.match(text)), "")
