"""What can go wrong with what a person typed or imported."""

from __future__ import annotations

from rackview.language import _

MOST_SHOWN = 120
"""Letters of what was found that its sentence repeats: enough to know it again, not the whole of a spoilt cell."""


class InputError(ValueError):
    """A value that can't be taken, said in one sentence: the field, what was found, what would be right.

    Parameters
    ----------
    field : the name of the field as the keeper sees it, e.g. ``"tallies"``
    found : what was typed or read, shown as it is
    wanted : what would be right, e.g. ``"whole numbers of 0 or more, one per aliquot"``
    """

    def __init__(self, field: str, found: object, wanted: str) -> None:
        self.field = field
        self.found = found
        self.wanted = wanted
        text = "" if found is None else str(found)
        shown = f"“{text if len(text) <= MOST_SHOWN else text[: MOST_SHOWN - 1] + '…'}”" if text else "nothing"
        super().__init__(
            _("{field}: found {shown}, but needs {wanted}.").format(field=field, shown=shown, wanted=wanted)
        )

    def __reduce__(self) -> tuple[type[InputError], tuple[str, object, str]]:
        return type(self), (self.field, self.found, self.wanted)
