"""Every sentence of the program is in the catalogue of each language that is offered, whole and with its fields."""

from __future__ import annotations

import io
import re
from pathlib import Path
from string import Formatter

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from rackview import __version__, translations
from rackview.core.months import month_number
from rackview.core.profile import groups, strains

ROOT = Path(__file__).parents[1]
KEYWORDS = {"_": None, "N_": None, "ngettext": (1, 2)}
OTHERS = [code for code in translations.NAMES if code != translations.ENGLISH]


@pytest.fixture(scope="module")
def said() -> set[str]:
    """All texts that stand in the code; the first form of those with a plural."""
    found = extract_from_dir(ROOT / "rackview", keywords=KEYWORDS, comment_tags=())
    return {m if isinstance(m, str) else m[0] for _file, _line, m, _comments, _context in found}


def catalogue(code: str) -> Catalog:
    with (translations.FOLDER / code / "LC_MESSAGES" / "rackview.po").open("rb") as file:
        return read_po(file, locale=code)


def one(message: Message) -> str:
    return message.id if isinstance(message.id, str) else message.id[0]


def fields(text: str) -> set[tuple[str, str]]:
    """The fields of a text with their formats; how a day is written is the language's own business."""
    found = ((name, form) for _before, name, form, _turned in Formatter().parse(text) if name is not None)
    return {(name, "day" if str(form).startswith("%d") else str(form)) for name, form in found}


def test_enough_is_said(said: set[str]) -> None:
    assert len(said) > 3000
    assert "Count again" in said


def test_the_titles_of_the_profiles_that_ship_are_said(said: set[str]) -> None:
    assert {p.title for p in (*strains().values(), *groups().values())} <= said


@pytest.mark.parametrize("code", OTHERS)
def test_every_text_is_translated(code: str, said: set[str]) -> None:
    messages = {one(m): m for m in catalogue(code) if m.id}
    assert sorted(said - set(messages)) == []
    assert sorted(set(messages) - said) == [], "what is no longer said is no longer translated"
    assert [key for key, m in messages.items() if m.fuzzy] == []
    assert [k for k, m in messages.items() if not (m.string if isinstance(m.string, str) else all(m.string))] == []


@pytest.mark.parametrize("code", OTHERS)
def test_fields_marks_and_plurals_are_those_of_the_original(code: str) -> None:
    whole = catalogue(code)
    for message in whole:
        if not message.id:
            continue
        texts = [message.string] if isinstance(message.string, str) else message.string
        assert len(texts) == (1 if isinstance(message.id, str) else whole.num_plurals), message.id
        for text in texts:
            asked = message.id if isinstance(message.id, str) else message.id[1]
            assert fields(text) == fields(asked), text
            assert (text[:1].isspace(), text[-1:].isspace()) == (asked[:1].isspace(), asked[-1:].isspace()), text
            assert len(re.findall(r"&\w", text)) == len(re.findall(r"&\w", asked)), text


@pytest.mark.parametrize("code", OTHERS)
def test_the_head_says_of_what_it_is(code: str) -> None:
    head = dict(catalogue(code).mime_headers)
    assert head["Project-Id-Version"] == f"rackview {__version__}"
    assert [v for v in head.values() if re.search("EMAIL|NAME|VERSION|li.org|PROJECT", v)] == []


@pytest.mark.parametrize("code", OTHERS)
def test_days_are_understood_as_they_are_shown(code: str) -> None:
    """Months stand in one table for tables and for what is typed; those that are shown must be among them."""
    found = catalogue(code)["jan feb mar apr may jun jul aug sep oct nov dec"]
    assert [month_number(name) for name in str(found.string).split()] == list(range(1, 13))
    ago = catalogue(code)["{n} day ago|{n} days ago"]
    assert all(way.count("{n}") == 1 for way in str(ago.string).split("|"))


@pytest.mark.parametrize("code", OTHERS)
def test_what_is_installed_is_what_was_written(code: str) -> None:
    made = io.BytesIO()
    write_mo(made, catalogue(code))
    assert (translations.FOLDER / code / "LC_MESSAGES" / "rackview.mo").read_bytes() == made.getvalue()
