"""A keeper's week in a real window, by real keys and a mouse: a rack from nothing, slips, a loss, a power cut."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

import pytest

from rackview.advice.api import assess
from rackview.advice.record.aftermath import newest_loss
from rackview.core.events import Count, Event, Feed, Harvest, Reading, Restart, Split
from rackview.core.rack import Rack
from rackview.store import Store
from tests.window.screen import Program, display, wanted

SIZES = ((1366, 768), (1920, 1080))
VESSELS = 12
MOST_TO_ADD, MOST_FOR_A_ROUND = 8, 300


class Week(NamedTuple):
    """The window and a look into its store."""

    program: Program
    rack: Callable[[], Rack]

    def events(self, kind: type[Event] = Event) -> list[Event]:
        return [e for e in self.rack().events() if isinstance(e, kind)]

    def grown(self, kind: type[Event], by: int, since: int, what: str) -> None:
        self.program.until(lambda: len(self.events(kind)) == since + by, what)

    def pass_days(self, days: float) -> None:
        part = self.program.folder / "days.part"
        part.write_text(str(days))
        part.rename(self.program.folder / "days")


def look(store: Path) -> Rack:
    """What the store holds, read beside the window."""
    with Store.open(store, "read") as opened:
        return opened.load()


@pytest.fixture(params=SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def week(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Week]:
    wanted()
    store = tmp_path / "rack.db"
    with display(*request.param) as name:
        program = Program(name, store, tmp_path)
        try:
            yield Week(program, lambda: look(store))
        finally:
            program.close()


@pytest.mark.window
@pytest.mark.timeout(1200)
def test_a_week(week: Week, capsys: pytest.CaptureFixture[str]) -> None:
    told = [f"add a vessel: {_a_rack_from_nothing(week)} keys at most"]
    _the_first_round(week)
    told.append(f"round of {VESSELS} with harvest and feed: {_a_second_round(week)} keys")
    _a_slip_of_the_finger(week)
    _a_split_into_a_full_vessel(week)
    _a_split_into_a_new_vessel(week)
    told.append(f"catch up {VESSELS} vessels of a day: {_catch_up(week)} keys")
    _a_loss_and_a_new_start(week)
    _another_name(week)
    _the_rack_is_arranged(week)
    _a_power_cut(week)
    with capsys.disabled():
        print("\n" + "\n".join(told))  # noqa: T201


def _a_rack_from_nothing(week: Week) -> int:
    """The first vessel says its volume; the others are set up like it, at the next free place."""
    program = week.program
    program.press("ctrl+n")
    program.at("Name")
    program.type("Sole\n")
    program.at("Strain")
    for _ in range(3):
        program.press("Return")
    program.at("Working volume")
    program.type("20")
    program.press("ctrl+Return")
    program.until(lambda: len(week.rack().vessels) == 1, "first vessel")
    most = 0
    for n in range(2, VESSELS + 1):
        before = program.keys
        program.press("ctrl+n")
        program.at("Name")
        program.type(f"V{n}".lower())
        program.press("ctrl+Return")
        program.until(lambda n=n: len(week.rack().vessels) == n, f"vessel {n}")
        most = max(most, program.keys - before)
    places = [v.place for v in week.rack().vessels.values()]
    assert sorted(places) == sorted(f"A{n}" for n in range(1, VESSELS + 1))
    assert most <= MOST_TO_ADD
    return most


def _round(week: Week, one: Callable[[], None], kind: type[Event], each: int = 1) -> int:
    program = week.program
    before, since = program.keys, len(week.events(kind))
    program.press("ctrl+1")
    program.until(lambda: "Vessels on the rack" in program.where()["places"], "the rack")
    program.press("ctrl+2")
    for n in range(1, VESSELS + 1):
        program.at("tally 1")
        one()
        week.grown(kind, n * each, since, f"record of vessel {n}")
    return program.keys - before


def _the_first_round(week: Week) -> None:
    """Counted for the first time: tallies, eggs of fifty females, temperature; harvest and feed typed by hand."""

    def one() -> None:
        week.program.type("31\n28\n30\n\n")
        week.program.at("with eggs")
        week.program.type("14\n")
        week.program.until(lambda: week.program.where()["focus"] != "with eggs", "the next field")
        if week.program.where()["focus"] == "females checked":  # asked at the first vessel, as last time after
            week.program.type("50\n")
        week.program.at("swimming")
        week.program.type("\n\n\n")
        week.program.at("water temperature")
        week.program.type("25")
        week.program.click("feed")
        week.program.at("feed")
        week.program.type("3+")

    _round(week, one, Count)
    assert len(week.events(Feed)) == VESSELS
    assert {e.amount for e in week.events(Feed) if isinstance(e, Feed)} == {3.0}
    assert not week.events(Harvest), "nothing that nobody did"


def _a_second_round(week: Week) -> int:
    """Three tallies of three digits, eggs, temperature, harvest and feed at each of the twelve."""
    week.pass_days(1)

    def one() -> None:
        week.program.type("134\n135\n137\n\n14")
        week.program.press("Down")
        week.program.at("water temperature")
        week.program.type("25")
        week.program.press("Down")
        week.program.at("harvest")
        week.program.type("5")
        week.program.press("Down")
        week.program.at("feed")
        week.program.type("4+")

    keys = _round(week, one, Count)
    harvests = [e for e in week.events(Harvest) if isinstance(e, Harvest)]
    assert [(e.volume_l, e.refill_l) for e in harvests] == [(5.0, 5.0)] * VESSELS
    assert len(week.events(Feed)) == 2 * VESSELS
    assert len(week.events(Reading)) == 2 * VESSELS
    assert keys <= MOST_FOR_A_ROUND
    return keys


def _a_slip_of_the_finger(week: Week) -> None:
    """What can't be stands beside its field and stores nothing; mended, it is recorded."""
    week.pass_days(2)
    program = week.program
    since = len(week.events(Count))
    program.press("ctrl+1", "ctrl+2")
    program.at("tally 1")
    program.type("3o+")
    time.sleep(1)
    program.at("tally 1")
    assert len(week.events(Count)) == since
    program.press("ctrl+a")
    program.type("38\n41+")
    week.grown(Count, 1, since, "the mended count")
    assert [e.tallies for e in week.events(Count) if isinstance(e, Count)][-1] == (38, 41)


def _a_split_into_a_full_vessel(week: Week) -> None:
    """Refused with what to do instead; nothing is stored."""
    program = week.program
    since = len(week.events())
    program.at("tally 1")
    program.click("Split…")
    program.click("split off")
    program.at("split off")
    program.type("5\n1+")
    time.sleep(1)
    assert len(week.events()) == since
    program.at("split into")
    program.click("split off")
    program.press("ctrl+a", "BackSpace")


def _a_split_into_a_new_vessel(week: Week) -> None:
    """Made in the same step, like the giver, at the next free place; one key takes both back."""
    program = week.program
    since = len(week.events(Split))
    program.at("split off")
    program.type("5\n0+")
    program.until(lambda: len(week.rack().vessels) == VESSELS + 1, "the new vessel")
    made = week.rack().vessels[f"A{VESSELS + 1}"]
    assert [e.to_vessel for e in week.events(Split)[since:] if isinstance(e, Split)] == [made.vessel]
    program.at("tally 1")
    program.type("-")
    program.until(lambda: len(week.rack().vessels) == VESSELS, "the vessel gone again")
    program.click("split off")
    program.at("split off")
    program.press("ctrl+a", "BackSpace")


def _the_rack_is_arranged(week: Week) -> None:
    """A tile is dragged and carried by keys, a set-up is used again, a vessel goes for good; undo brings it back."""
    program = week.program

    def place(vessel: str) -> str:
        return week.rack().vessels[vessel].place

    program.press("ctrl+1")
    program.drag("tile A1", "tile A3")
    program.until(lambda: place("turbot") == "A3", "the dragged tile")
    program.press("ctrl+Left")
    program.until(lambda: place("turbot") == "A2", "the tile carried by a key")
    program.press("Return")
    program.click("Edit vessel…")
    program.at("Strain")
    program.click("Add another like this")
    program.at("Name")
    program.type("brill")
    program.press("ctrl+Return")
    program.until(lambda: "brill" in week.rack().vessels, "the vessel set up alike")
    assert week.rack().vessels["brill"].volume_l == week.rack().vessels["turbot"].volume_l
    program.click("Edit vessel…")
    program.at("Strain")
    program.click("Remove this vessel")
    program.until(lambda: "brill" not in week.rack().vessels, "the unused vessel removed")
    program.press("ctrl+1", "Return")
    gone = len(week.rack().vessels)
    program.click("Edit vessel…")
    program.at("Strain")
    program.click("Take out of use for good")
    program.until(lambda: len(week.rack().vessels) == gone - 1, "a vessel out of use")
    assert len(week.rack().retired) == 1
    program.press("ctrl+z")
    program.until(lambda: len(week.rack().vessels) == gone, "the vessel back")


def _catch_up(week: Week) -> int:
    """The day that was missed, from the notebook, by keys."""
    week.pass_days(4)
    program = week.program
    program.press("ctrl+1", "ctrl+2")
    program.at("tally 1")
    before, since = program.keys, len(week.events(Count))
    program.press("F7")
    for n in range(1, VESSELS + 1):
        program.at("tally 1")
        program.type("42\n44+")
        week.grown(Count, n, since, f"count {n} of the day before")
    newest = sorted((e for e in week.events(Count)), key=lambda e: e.entered_at or e.at)[-VESSELS:]
    yesterday = (datetime.now(UTC) + timedelta(days=3)).astimezone().date()
    assert {e.at.astimezone().date() for e in newest} == {yesterday}
    keys = program.keys - before
    program.press("F8")
    program.until(lambda: "Round for: today" in program.where()["places"], "the round of today")
    return keys


def _open_first_vessel(week: Week) -> None:
    program = week.program
    program.press("ctrl+1")
    program.at("Vessels on the rack")
    program.press("Return")
    program.until(lambda: "Harvest…" in program.where()["places"], "the page of a vessel")


def _a_loss_and_a_new_start(week: Week) -> None:
    """A vessel is found empty, then started anew from another the same day: the loss stays on record."""
    program = week.program
    since = len(week.events(Count))
    for n, days in enumerate((4.2, 4.5, 4.9), 1):
        week.pass_days(days)
        _open_first_vessel(week)
        program.click("Count…")
        program.at("Tallies")
        program.type("0 0 0")
        program.press("ctrl+Return")
        week.grown(Count, n, since, "the empty count")
    lost = _newest(week).vessel
    since = len(week.events(Restart))
    _open_first_vessel(week)
    program.click("Restart…")
    program.until(lambda: "From vessel" in program.where()["places"], "the form of a restart")
    program.click("From vessel")
    program.press("Down", "Return")
    program.click("Amount, L")
    program.press("ctrl+a")
    program.type("4")
    program.press("ctrl+Return")
    week.grown(Restart, 1, since, "the restart")
    week.pass_days(5)
    at = datetime.now(UTC) + timedelta(days=5)
    assert newest_loss(week.rack(), at) == lost
    assert assess(week.rack(), lost, at).state != "crashed"


def _newest(week: Week) -> Event:
    return max(week.events(Count), key=lambda e: e.entered_at or e.at)


def _another_name(week: Week) -> None:
    """A vessel gets another name, and keeps what is recorded of it."""
    program = week.program
    _open_first_vessel(week)
    before = week.rack()
    old = next(n for n, v in before.vessels.items() if v.place == "A1")
    program.click("Edit vessel…")
    program.at("Strain")
    program.click("Name")
    program.press("ctrl+a")
    program.type("turbot")
    program.press("ctrl+Return")
    program.until(lambda: "turbot" in week.rack().vessels, "the new name")
    assert [e.id for e in week.rack().log("turbot").events()] == [e.id for e in before.log(old).events()]


def _a_power_cut(week: Week) -> None:
    """Killed in the middle of a vessel: what was typed is there again, and nothing was recorded of it."""
    program = week.program
    program.press("ctrl+1", "ctrl+2")
    program.at("tally 1")
    since = len(week.events())
    program.type("39\n41\n")
    program.at("tally 3")
    time.sleep(1)
    program.kill()
    assert len(week.events()) == since
    program.start_again()
    program.press("ctrl+1", "ctrl+2")
    program.at("tally 3")
    assert any(name.startswith("Draft of") for name in program.where()["places"])
    program.type("40+")
    week.grown(Event, 1, since, "the count that was begun before the power cut")
