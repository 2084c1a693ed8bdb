"""The language that the program speaks: every text shown to a person passes `_` on its way.

English is written in the code; another language is a catalogue (see DEVELOPERS.md). It is chosen once, before any other
module is loaded, as tables of words are made when theirs is.
"""

from __future__ import annotations

import gettext

_catalogue = gettext.NullTranslations()


def use(catalogue: gettext.NullTranslations) -> None:
    """From now on, say everything by this catalogue."""
    global _catalogue  # noqa: PLW0603 - the one language of the process
    _catalogue = catalogue


def _(text: str) -> str:
    """`text` in the language in use; English, as it is written, where there is no catalogue."""
    return _catalogue.gettext(text)


def N_(text: str) -> str:
    """`text` as it is, but in the catalogue: for what is a key in the code and a word on the screen."""
    return text


def ngettext(one: str, many: str, number: float) -> str:
    """The form of a text that goes with a number of things."""
    return _catalogue.ngettext(one, many, 1 if number == 1 else 2)
