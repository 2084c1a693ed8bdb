"""From the start of the process to the rack painted with every estimate."""

from __future__ import annotations

from pathlib import Path

from suite.row import Found, Row, Size, child, medians
from suite.stores import copied, made


def seconds(store: Path) -> float:
    """Processor time until the paint with every estimate."""
    return float(child("window", store, "paint").said.split()[0])


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
    return Found(*medians(min(size.rounds, 3), lambda: seconds(large), lambda: seconds(usual)))


SHORT = (
    "made stores are settled, so that this is a usual start and not the first of a program on a record, which thinks "
    "it through anew. What is believed shows before anything is advised; the daily look through the file waits until "
    "then, and PySide is kept from reading the source of every module. Of what is left, importing Qt takes a seventh, "
    "our own modules for the shelves a quarter (a hundred dataclasses near half of that), application and window a "
    "fifth, numpy with the reckoning a sixth, reading back what is kept of 48 vessels and carrying it to now a fifth: "
    "a quarter of the reading goes into the events on which it rests, a quarter into JSON, the rest into the beliefs."
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
    Row("start-large", "That start with 1,000 vessels x 10 years", "48 vessels x 3 years", 1.5, _large),
)
