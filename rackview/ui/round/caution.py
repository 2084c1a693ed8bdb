"""Which cautions stand beside an entry: of what is typed, taken or suggested to be done."""

from __future__ import annotations

from rackview.advice.words.cautions import cautions, general, tasks_of_harvest
from rackview.ui.round.entry.model import Entry


def cautions_of(entry: Entry, *, first: bool) -> tuple[str, ...]:
    """The general cautions at the first vessel of the round, those of the tasks at hand at every one."""
    asked = [c for s in entry.suggestions for c in s.cautions if c not in general()]
    tasks = [a for a in ("clean", "split") if entry.text(a) or entry.ghost(a)]
    if entry.text("harvest") and not any(s.action == "harvest" for s in entry.suggestions):
        tasks += tasks_of_harvest(feeds_larvae=True, discarded=True)  # where it goes is not said
    if (entry.number("fixative") or 1.0) > 1.0:
        tasks.append("fixed")
    if any(entry.text(k).strip() for k in ("tan", "ph")):
        tasks.append("test")
    if entry.feed_unit() == "g" and (entry.text("feed") or entry.ghost("feed")):
        tasks.append("dry feed")
    return tuple(dict.fromkeys((*(general() if first else ()), *asked, *cautions(tasks, said=general()))))
