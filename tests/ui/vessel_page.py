"""What the tests of a vessel's page share: the entries of a vessel, and typing into the panel."""

from __future__ import annotations


def of(session, kind, vessel="Dab"):
    return [e for e in session.rack.events() if isinstance(e, kind) and e.vessel == vessel]


def put(screen, **texts):
    for column, text in texts.items():
        screen.panel.form.input(column).setText(text)
