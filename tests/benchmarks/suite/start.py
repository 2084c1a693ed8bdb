"""From the start of the process to the rack painted with every estimate."""

from __future__ import annotations

from pathlib import Path

from suite.row import Found, Row, Size, child, medians
from suite.stores import copied, made


def seconds(store: Path) -> float:
    """Processor time until every tile in view is painted with its estimate."""
    return float(child("window", store, "paint").said.split()[0])


def seconds_of_all(store: Path) -> float:
    """Processor time until every tile has its estimate, in view or not."""
    return float(child("window", store, "paint").said.split()[2])


def bare() -> float:
    return float(child("bare_window").said.split()[0])


def _start(size: Size) -> Found:
    store = made(size.folder, size.vessels, size.years)
    return Found(*medians(size.rounds, lambda: seconds(store), bare))


def _memory(size: Size) -> Found:
    store = made(size.folder, size.vessels, size.years)
    ours, reference = medians(
        1,
        lambda: float(child("window", store, "paint").said.split()[1]),
        lambda: float(child("bare_window").said.split()[1]),
    )
    return Found(ours, reference, "MB")


def _after_kill(size: Size) -> Found:
    usual = made(size.folder, size.vessels, size.years)
    killed = copied(usual, size.scratch())

    def after() -> float:
        child("window", killed, "kill")
        return seconds(killed)

    return Found(*medians(size.rounds, after, lambda: seconds(usual)))


def _large(size: Size) -> Found:
    usual = made(size.folder, size.vessels, size.years)
    large = made(size.folder, size.many_vessels, size.long_years)
    ours, reference = medians(min(size.rounds, 3), lambda: seconds(large), lambda: seconds(usual))
    return Found(ours, reference, "s", f"every estimate, in view or not, {seconds_of_all(large):.1f} s")


SHORT = (
    "made stores are settled, so that this is a usual start and not the first of a program on a record, which thinks "
    "it through anew. What is believed shows before anything is advised; the daily look through the file waits until "
    "then, and Python's own import is put back after PySide's, which asked at each import statement for Qt's "
    "functions by other names. Dataclasses compile a method when it is first called, and no garbage is searched for "
    "while the window is made (with a quicker reading of what is kept, 195 ms of 1,204 on a busy machine, standard "
    "error 26), nor is that made up for right behind; with import, fonts and numpy's docstrings another 29 ms of 704 "
    "(standard error 11). Before that, 640 ms as sampled were: 150 as the bare window; 75 for the enumerations of Qt "
    "that it does not name, 3,200 members made by Python's `enum`, a third of them of the one namespace that every "
    "module needs; 40 numpy; 15 QtNetwork, at whose door a second start knocks; 150 our own modules, 27 of them of "
    "estimate and rules; 60 to make the window; 35 to paint it, first the shelves and then what is believed; and 110 "
    "to read back what is kept of 48 vessels and look at it, a third of that the facts of care with their last forty "
    "feeds."
)
LARGE = (
    "vessels in view are looked at and painted first, then the others; of a vessel out of view a start reads only what "
    "its mornings taught of falls, a fifth of a millisecond each. All of them are read, carried to now and "
    "looked at by the rules right after that, some 3 ms for each: that moment stands beside the figure. Filling "
    "that store, once, took 22 minutes on a busy machine (5 of processor time, 2.2 GB with the day book). Its first "
    "use, by a window that shows the newest entries and works the rest in behind, took 15 minutes of processor time in "
    "22 stretches, 1.0 GB of memory in all of them and 1.8 at the end, where what is noted is read once more; thought "
    "through whole it was at 6 GB after two minutes, and was ended."
)
ROWS = (
    Row(
        "start",
        "Start to the rack painted with every estimate, 48 vessels x 3 years",
        "bare Qt window",
        4.0,
        _start,
        SHORT,
    ),
    Row("start-memory", "Peak memory of that start", "bare Qt window", 2.5, _memory),
    Row("start-after-kill", "That start after the program was killed", "after it was closed", 1.5, _after_kill),
    Row(
        "start-large",
        "That start with 1,000 vessels x 10 years, every tile in view painted with its estimate",
        "48 vessels x 3 years",
        1.5,
        _large,
        LARGE,
    ),
)
