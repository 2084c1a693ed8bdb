"""The demo rack's day in words: a list that can be taken in, every reason a sentence, no caution printed twice."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from types import SimpleNamespace

import pytest

from rackview.advice.feeding.costs import costs
from rackview.advice.feeding.stock import lasting
from rackview.services import printout
from rackview.ui.rack.day_list import day_list
from rackview.ui.rack.presenter import ranked

DAYS = (date(2026, 5, 14), date(2026, 8, 3))


@pytest.fixture(scope="module", params=DAYS, ids=str)
def demo(request, demo_at):
    now = datetime(request.param.year, request.param.month, request.param.day, 7, 30, tzinfo=UTC)
    made = demo_at(lambda: now)
    yield made
    made.close()


@pytest.fixture(scope="module")
def shown(demo):
    at = demo.now().astimezone()
    ranks = ranked(demo.assessments().values())
    return day_list(demo.rack, demo.suggestions(), demo.plan(7), at, flags=demo.rack_flags(), ranks=ranks)


def test_the_days_list_has_at_most_twenty_lines(shown):
    assert 0 < len(shown.items) <= 20


def test_no_caution_stands_there_twice_whichever_line_is_opened(shown):
    assert len(set(shown.cautions)) == len(shown.cautions)
    for item in shown.items:
        assert len(set(item.cautions)) == len(item.cautions)
        assert not set(item.cautions) & set(shown.cautions)


def test_the_command_line_writes_each_caution_out_once(demo):
    said = " ".join(" ".join(printout.advice_lines(demo.suggestions(), demo.rack, demo.now().astimezone())).split())
    cautions = {c for s in demo.suggestions() for c in s.cautions}
    assert cautions
    for text in cautions:
        assert said.count(text) == 1


def test_every_reason_reads_as_sentences(demo):
    for one in demo.suggestions():
        for text in (one.why, *one.cautions):
            assert re.match(r"[A-Z0-9]", text), text
            assert text.endswith("."), text
            assert "  " not in text
            assert "None" not in text
            assert "nan" not in text.split()
            assert ".." not in text
        assert not one.text.endswith(".")


@pytest.mark.parametrize("columns", [80, 100, 132, 400])
def test_no_line_is_longer_than_the_terminal_and_none_loses_a_word(demo, monkeypatch, columns):
    at, rack = demo.now().astimezone(), demo.rack
    feeds, months = lasting(rack, at), costs(rack, at)

    def said() -> list[list[str]]:
        return [
            printout.status_lines(demo.assessments().values(), rack, at),
            printout.plan_lines(demo.plan(7), rack, at),
            printout.stock_lines(feeds, months, rack, at),
            printout.advice_lines(demo.suggestions(), rack, at),
        ]

    monkeypatch.setenv("COLUMNS", str(columns))
    piped = said()
    monkeypatch.setattr(printout.sys, "stdout", SimpleNamespace(isatty=lambda: True))
    for whole, shown in zip(piped, said(), strict=True):
        assert max(map(len, shown)) <= columns
        words = [set(re.findall(r"[^\W_]+", " ".join(lines))) for lines in (whole, shown)]
        assert words[0] - words[1] <= {printout.NO_FLAGS}
        assert columns < 400 or shown == whole
    assert len(piped[0]) == 3 + len(rack.vessels), "piped on, a vessel is a line"
