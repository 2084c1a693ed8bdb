"""docs/speed.md names the rows of the suite with their targets, and nothing else; its figures are a run's."""

from __future__ import annotations

from suite import page
from suite.row import Found, Row
from suite.rows import ROWS


def test_the_page_and_the_suite_name_the_same_rows_and_targets() -> None:
    lines = page.read()
    listed = [(row.name, row.what, row.reference, page.target(row)) for row in ROWS]
    assert [(c[0], c[1], c[3], c[6]) for c in (line.cells for line in lines.values())] == listed
    assert page.PAGE.read_text(encoding="utf-8") == page.text(lines)


def test_names_are_given_once() -> None:
    assert len({row.name for row in ROWS}) == len(ROWS)


def test_a_line_says_whether_its_target_was_met() -> None:
    row = Row("one", "what", "reference", 2.0, lambda size: Found(1.0, 1.0))
    assert page.line(row, Found(1.9, 1.0)).cells[7] == "yes"
    assert page.line(row, Found(2.1, 1.0)).cells[7] == "no"
    assert page.line(row, Found(2.1, 1.0)).ratio == 2.1
    assert page.line(row, None).ratio is None
