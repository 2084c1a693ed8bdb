"""The page of rules and alarms, made from the catalogue and the shipped profiles; a test holds the file equal to it."""

from __future__ import annotations

from rackview.core.profile import StrainProfile, strains
from rackview.rules.catalogue.rule import Rule
from rackview.rules.catalogue.table import BY_CODE, RULES
from rackview.rules.constants import COUNTS_AFTER_MOVE, NEARLY_CERTAIN, STALE_DAYS
from rackview.rules.flags.trend import CIRCUMSPECT

ONE_COUNT = ", ".join(BY_CODE[code].short for code in sorted(CIRCUMSPECT))
SEVERITIES = {3: "act today", 2: "act this week", 1: "notice"}

HEAD = f"""# Rules and alarms

This page is made from the very rules that the program goes by, so the two say the same.

An alarm is a condition that wants a timely response by a person; everything else is shown as a state. Each has its
cause, consequence, response and time written down here before it exists (the practice of ISA-18.2 and IEC 62682).

* Three severities: act today, act this week, notice.
* Of two equally severe flags, what may end the culture comes before what else was found in it, and upkeep last; then
  what leaves less time, then the older.
* A flag is raised on a probability and cleared at a lower one; the gap is the deadband. Unless a rule says otherwise it
  takes two counts in a row, or one at {NEARLY_CERTAIN:g}. One count is enough for: {ONE_COUNT}.
* A missing count never clears a flag, and no rule fires on missing data.
* After a restart or split the slow flags wait, listed as suppressed, until {COUNTS_AFTER_MOVE} new counts are there.
* A flag that the keeper shelves with a reason is listed with its end; one day means today.
* A crash stays latched until the vessel is restarted, rested, or the flag is declined.
* A flag older than {STALE_DAYS:g} days without action is stale: listed apart, never made louder; what must be done
  today never goes stale.
* Signs of a fall to come (eggs, swimming, low counts, crowding, ciliates, ammonia) are weighed into one chance, and
  one flag is raised, named by the cause; `docs/alarms.md` says how, and how often it was right.
* What the keeper's way brings about on most mornings is said for the first looks, then learned as usual and not said
  again until it was gone for some time: pH, warm or cold water, salinity, some ciliates.
* If over a third of the rack raises new flags within two days, one common cause stands first.

Thresholds in `code` are fields of the strain profile; the keeper can change each for the whole rack,
for every vessel of a strain, or for one vessel.
"Suspect" means: served last with separate tools; it feeds larvae only where that saves a brood, and is no donor while a
clean vessel stands.
"""


def rules_page() -> str:
    """The whole page as Markdown."""
    parts = [HEAD]
    for severity in (3, 2, 1):
        parts.append(f"\n## {SEVERITIES[severity].capitalize()}\n")
        parts += [_entry(r) for r in RULES if r.severity is not None and int(r.severity) == severity]
    parts.append("\n## States that guide suggestions\n")
    parts += [_entry(r) for r in RULES if r.severity is None]
    parts.append(_values())
    return "".join(parts)


def _entry(rule: Rule) -> str:
    lines = [
        f"\n### {rule.short} (`{rule.code}`)\n",
        f"* looks at: {rule.looks_at}",
        f"* fires: {rule.fires}",
        f"* cause: {rule.cause}",
        f"* consequence: {rule.consequence}",
        f"* do: {rule.response}",
        f"* within: {_days(rule.within)}",
        f"* raised at {rule.raise_at:.2g}, cleared at {rule.clear_at:.2g}",
        f"* source: {rule.source}",
    ]
    if rule.thresholds:
        lines.insert(3, "* thresholds: " + ", ".join(f"`{t}`" for t in rule.thresholds))
    if rule.suspect:
        lines.append("* makes the vessel suspect")
    return "\n".join(lines) + "\n"


def _days(days: float) -> str:
    return "half a day" if days == 0.5 else f"{days:g} day" + ("" if days == 1 else "s")


def _values() -> str:
    """The thresholds of the shipped strains, with their sources."""
    shipped = strains()
    names = list(shipped)
    used = list(dict.fromkeys(t for r in RULES for t in r.thresholds))
    lines = [
        "\n## Thresholds as shipped\n",
        "| threshold | " + " | ".join(names) + " |",
        "|---" * (len(names) + 1) + "|",
    ]
    lines += [f"| `{t}` | " + " | ".join(f"{getattr(shipped[n], t):g}" for n in names) + " |" for t in used]
    lines.append("\n## Where the values come from\n")
    for threshold in used:
        said: dict[str, list[str]] = {}
        for name, profile in shipped.items():
            said.setdefault(_source(profile, threshold), []).append(name)
        told = "; ".join(source if len(said) == 1 else f"{', '.join(who)}: {source}" for source, who in said.items())
        lines.append(f"* `{threshold}`: {told}")
    return "\n".join(lines) + "\n"


def _source(profile: StrainProfile, threshold: str) -> str:
    return profile.sources[threshold]


if __name__ == "__main__":
    print(rules_page(), end="")  # noqa: T201
