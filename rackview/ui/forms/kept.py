"""What every form does with the store: keep what is typed as a draft, and settle it, or say why that can't be."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QVBoxLayout

from rackview.core.errors import InputError
from rackview.services.faults import StoreError
from rackview.ui.forms.form import Form

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession


def keep_draft(form: Form, session: RackSession, draft: str) -> None:
    """Keep what is typed in a form as the draft of that name; nothing if nothing is typed."""
    if not form.touched:
        return
    try:
        session.save_draft(draft, dict(form.draft()))
    except StoreError as error:
        form.show_trouble(str(error))


def settle(form: Form, session: RackSession, draft: str, do: Callable[[], object]) -> bool:
    """Do what the form was filled in for and drop its draft; False, and a sentence in the form, if it was refused."""
    form.clear_errors()
    try:
        do()
        form.settled()
        session.drop_draft(draft)
    except InputError as error:
        form.show_error(error)
    except StoreError as error:
        form.show_trouble(str(error))
    else:
        return True
    return False


def take_away(form: Form, column: QVBoxLayout) -> None:
    """Take a form out of its column for good, and its foot from wherever that was kept in sight."""
    column.removeWidget(form)
    for one in (form.draft_line, form.foot, form):
        one.hide()
        one.deleteLater()
