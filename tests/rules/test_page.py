"""The page of rules is the catalogue, and the catalogue is the rules."""

from __future__ import annotations

from importlib import resources

from rackview.core.profile import THRESHOLDS
from rackview.rules.catalogue.table import RULES
from rackview.rules.page import rules_page


def test_the_page_is_made_from_the_catalogue():
    written = (resources.files("rackview.docs") / "rules.md").read_text(encoding="utf-8")
    assert written == rules_page(), "make it anew: python -m rackview.rules.page > docs/rules.md"


def test_thresholds_are_fields_that_a_keeper_can_change():
    for rule in RULES:
        assert set(rule.thresholds) <= set(THRESHOLDS), rule.code


def test_sources_name_no_memory_as_a_citation_without_saying_so():
    for rule in RULES:
        assert "http" not in rule.source


def test_no_two_rules_are_called_the_same_on_a_tile() -> None:
    """A keeper who sees the word must find the one rule it stands for."""
    shorts = [rule.short for rule in RULES]
    assert len(set(shorts)) == len(shorts)
