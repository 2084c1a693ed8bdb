"""Every table that goes in and out, with the unit and meaning of each column, said once.

The reader knows a table by its header from here, the writer takes its columns from here, `dictionary.csv` and the
documentation show what stands here. A test holds the columns equal to those of the core.
"""

from __future__ import annotations

from rackview.core import events as ev
from rackview.core.dataclass import dataclass
from rackview.core.tables import SALINITY_UNITS, TEMPERATURE_UNITS, VOLUME_UNITS
from rackview.core.vessel import KIT_ORIGINS


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, its unit (blank for words and plain numbers), what it holds, the words it may hold."""

    name: str
    unit: str
    meaning: str
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TableSpec:
    """One table: `needs` are the columns by which its header is known."""

    name: str
    title: str
    needs: tuple[str, ...]
    columns: tuple[Column, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The columns in the order in which they are written."""
        return tuple(c.name for c in self.columns)


AT_EXACT = "at_exact"
"""Column of a workbook's events: the moment to the microsecond with its offset, which the cell of `at` can't hold."""
ENTERED = (
    Column("id", "", "the event's own id; leave it out for new rows"),
    Column("replaces", "", "the id of the event that this one corrects or takes back"),
    Column("entered_at", "ISO 8601", "when it was typed or imported"),
    Column("entered_by", "", "who entered it"),
    Column("entered_on", "", "the PC on which it was entered"),
)

EVENTS = TableSpec(
    "events",
    "What happened: one row per event, filling only the columns that its kind has",
    ("at", "vessel"),
    (
        Column("at", "ISO 8601", "when it happened; without an offset it is local time"),
        Column("vessel", "", "the vessel at which it happened"),
        Column("kind", "", "what happened", tuple(ev.KINDS)),
        Column("tallies", "animals", "whole numbers separated by spaces, one per aliquot"),
        Column("aliquot_ml", "mL", "volume of one aliquot; blank for 1"),
        Column("dilution", "ratio", "volume after dilution divided by volume before, 1 or more; blank for 1"),
        Column("fixative", "ratio", "volume after fixing divided by volume before, 1 or more; blank for 1"),
        Column("with_eggs", "animals", "females that carried eggs"),
        Column("females_checked", "animals", "females looked at for eggs"),
        Column("stage", "", "which stage was tallied; blank for all", ev.STAGES),
        Column("swimming", "1 to 5", "how well they swim: 1 on the bottom, 5 lively"),
        Column("ciliates", "", "ciliates seen in the sample", ev.CILIATES),
        Column("tint", "0 to 4", "colour left by the feed: 0 clear, 4 deep"),
        Column("eggs", "eggs", "eggs on the females looked at, all together"),
        Column("picture", "", "name of a picture of the sample, which lies in the folder of pictures beside the store"),
        Column("temperature_c", "degC", "water temperature"),
        Column("sg", "ratio", "specific gravity as read"),
        Column("sg_reference", "", "convention of the hydrometer: water at / against water at", ev.SG_REFERENCES),
        Column("salinity", "PSS-78", "practical salinity; for a top-up that of the water added, blank for fresh"),
        Column("conductivity_ms_cm", "mS/cm", "electrical conductivity"),
        Column("ph", "NBS scale", "pH"),
        Column("tan_mg_l", "mg/L as N", "total ammonia nitrogen"),
        Column("oxygen_mg_l", "mg/L", "dissolved oxygen"),
        Column("feed", "", "the feed given, as named in the stock table"),
        Column("amount", "unit column", "how much of the feed"),
        Column("unit", "", "unit of the amount; blank for mL", ev.FEED_UNITS),
        Column("volume_l", "L", "culture taken out or moved, or water added"),
        Column(
            "refill_l",
            "L",
            "water without animals put back; blank in a split or restart: the giver got what was taken",
        ),
        Column("fill_l", "L", "water without animals for the taker; blank: an empty or restarted one was filled up"),
        Column("mesh_um", "µm", "mesh of the sieve"),
        Column("to", "", "where a harvest went: a tank, a brood or discard"),
        Column("what", "", "what was cleaned", ev.CLEANED),
        Column("to_vessel", "", "the vessel that a split went into"),
        Column("from_vessel", "", "the vessel that a restart was started from"),
        Column("starter", "", "where a restart came from, if not from a vessel of this rack"),
        Column(
            "density_per_ml",
            "animals/mL",
            "density in the freshly started vessel, or of a count of which nothing more is known",
        ),
        Column("reason", "", "why it was restarted or declined"),
        Column("text", "", "the words of a note"),
        Column("action", "", "the suggested action that was declined", ev.DECLINABLE),
        Column("code", "", "the flag that was shelved"),
        Column("days", "d", "how long the decline or shelving holds; blank for 1"),
        Column("note", "", "anything more to say about the event"),
        *ENTERED,
    ),
)

VESSELS = TableSpec(
    "vessels",
    "What stands where on the rack, and what it is made of",
    ("vessel", "strain"),
    (
        Column("vessel", "", "its name, each only once"),
        Column("strain", "", "the profile it follows, such as rotifer-L"),
        Column("shelf", "", "the shelf's name"),
        Column("position", "", "place on the shelf, counted from 1 at the left"),
        Column("volume_l", "L", "working volume"),
        Column("reserve", "", "kept apart as the last stock of its strain", ("yes", "no")),
        Column("vessel_type", "", "what kind of vessel"),
        Column("air_stone", "", "what the air comes through"),
        Column("floss", "", "what the detritus is caught in"),
        Column("lid", "", "what covers it"),
        Column("cost", "own currency", "what the kit cost"),
        Column("origin", "", "how the kit was come by", KIT_ORIGINS),
        Column("note", "", "anything more to say about the vessel"),
        Column("formerly", "", "names it had before, with semicolons between; events under them are its own"),
        Column("retired", "", "out of use for good: gone from the shelf, kept in the records", ("yes", "no")),
    ),
)

STOCK = TableSpec(
    "stock",
    "Feeds on the shelf; the first is the default",
    ("feed",),
    (
        Column("feed", "", "its name, each only once"),
        Column("kind", "", "what it is, such as microalgae concentrate"),
        Column("dry_g_per_ml", "g/mL", "dry matter per mL (per g if the unit is g)"),
        Column("amount", "unit column", "what was there on the day of opening"),
        Column("unit", "", "unit of the amount; blank for mL", ev.FEED_UNITS),
        Column("opened", "date", "day of opening"),
        Column("expires", "date", "last day of use"),
        Column("delivery_days", "d", "days from ordering to delivery"),
        Column("price", "own currency", "what that amount cost"),
    ),
)

BROODS = TableSpec(
    "broods",
    "Batches of larvae; blanks are filled from the larval group's profile",
    ("brood",),
    (
        Column("brood", "", "its name, each only once"),
        Column("group", "", "larval-group profile"),
        Column("strain", "", "strain that it eats"),
        Column("spawned", "date", "day of spawning; this or hatched is needed"),
        Column("hatched", "date", "day of hatching"),
        Column("tank_l", "L", "volume of the larval tank"),
        Column("larvae", "animals", "larvae at hatching"),
        Column("prey_per_ml", "animals/mL", "prey to be kept up in the tank"),
        Column("feeds_per_day", "1/d", "how often prey is brought"),
        Column("first_day", "d", "first day on this prey, counted from hatching"),
        Column("last_day", "d", "last day on this prey, counted from hatching"),
    ),
)

DEMAND = TableSpec(
    "demand",
    "A demand override: the animals of a strain on a day, in place of what the broods imply",
    ("date", "strain", "animals"),
    (
        Column("date", "date", "the day"),
        Column("strain", "", "the strain needed"),
        Column("animals", "animals", "how many are needed"),
    ),
)

STANDING = TableSpec(
    "standing",
    "Mouths that take what is spare and can do without: older fish, broodstock, a display tank",
    ("consumer", "strain"),
    (
        Column("consumer", "", "who eats it; once for each strain"),
        Column("strain", "", "the strain taken"),
        Column("animals_per_day", "animals", "the most taken in a day; blank for whatever is spare"),
        Column("worth", "own unit", "what a million is worth to the keeper; blank for that of the settings"),
    ),
)

TANKS = TableSpec(
    "tanks",
    "What was found and given at larval tanks besides prey: one row per day, tank and feed",
    ("date", "tank", "left_per_ml"),
    (
        Column("date", "date", "the day"),
        Column("tank", "", "the brood in it, or any name"),
        Column("left_per_ml", "animals/mL", "prey left when the tank was looked at, before it was fed again"),
        Column("feed", "", "the algae dosed for green water, as named in the stock table"),
        Column("amount", "unit column", "how much of it"),
        Column("unit", "", "unit of the amount; blank for mL", ev.FEED_UNITS),
    ),
)

SETTINGS = TableSpec(
    "settings",
    "The rack's own settings: one row per setting, or per changed threshold as threshold:SCOPE:NAME",
    ("setting", "value"),
    (
        Column("setting", "", "name of the setting; a threshold without a vessel holds for the whole rack"),
        Column("value", "", "its value"),
    ),
)

PROFILES = TableSpec(
    "profiles",
    "Strain and larval-group profiles that the keeper added: one row per value",
    ("profile", "about", "field"),
    (
        Column("profile", "", "name of the profile"),
        Column("about", "", "whether it is of a prey strain or of a group of larvae", ("strain", "larvae")),
        Column("field", "", "name of the value"),
        Column("value", "as its name says", "the value"),
        Column("source", "", "where the value is from"),
    ),
)

DICTIONARY = TableSpec(
    "dictionary",
    "This list: unit and meaning of every column of every table",
    ("table", "column", "meaning"),
    (
        Column("table", "", "the table"),
        Column("column", "", "the column"),
        Column("unit", "", "its unit"),
        Column("words", "", "the words it may hold"),
        Column("meaning", "", "what it holds"),
    ),
)

TABLES = (VESSELS, EVENTS, STOCK, BROODS, DEMAND, STANDING, TANKS, SETTINGS, PROFILES, DICTIONARY)
"""In the order in which they are written."""

_BY_HEADER = (DICTIONARY, PROFILES, SETTINGS, DEMAND, STANDING, TANKS, BROODS, EVENTS, VESSELS, STOCK)

SETTING_WORDS = {
    "name": "the rack's name",
    "invented": "yes if the rack is an invented example",
    "keeper": "who enters, unless said otherwise",
    "volume_unit": "unit of volumes on screen: " + ", ".join(VOLUME_UNITS),
    "temperature_unit": "unit of temperatures on screen: " + ", ".join(TEMPERATURE_UNITS),
    "salinity_unit": "how salt is shown: " + ", ".join(SALINITY_UNITS),
    "sg_reference": "the hydrometer's convention: " + ", ".join(ev.SG_REFERENCES),
    "count_precision": "wanted half-width of a count's interval, as a share of the density",
    "demand_margin": "share kept ready beyond the demand",
    "keep_reserve": "whether a reserve of each strain is kept untouched: yes or no",
    "starter_days": "days from ordering a starter to its arrival",
    "worth:brood": "worth of a brood raised; the worths are in any one unit, and a blank one is as usual",
    "worth:vessel": "worth of a culture that has to be built up anew",
    "worth:strain": "worth of the last of a strain",
    "worth:starter": "worth of a bought starter",
    "worth:feed_g": "worth of a gram of dry feed",
    "worth:minute": "worth of a minute's work",
    "worth:spare_m": "worth of a million animals that are thrown away",
    "worth:mouth_m": "worth of a million animals given to standing needs",
}
"""What each setting means."""


def table_by_header(header: tuple[str, ...]) -> TableSpec | None:
    """The table whose header this is, or None; later columns and their order do not matter."""
    names = set(header)
    return next((t for t in _BY_HEADER if names.issuperset(t.needs)), None)


def dictionary_rows() -> list[dict[str, object]]:
    """The rows of `dictionary.csv`."""
    rows: list[dict[str, object]] = [
        {"table": t.name, "column": c.name, "unit": c.unit, "words": ", ".join(c.words), "meaning": c.meaning}
        for t in TABLES
        for c in t.columns
    ]
    rows += [
        {"table": "settings", "column": f"setting {name}", "unit": "", "words": "", "meaning": meaning}
        for name, meaning in SETTING_WORDS.items()
    ]
    return rows
