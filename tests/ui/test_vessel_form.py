"""A vessel is added, set up like another, renamed, removed or taken out of use by its form."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from rackview.core.events import Count
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.services.faults import StoreError
from rackview.ui.forms.add_vessel import AddVesselScreen
from rackview.ui.forms.form import Form
from rackview.ui.forms.places import set_up
from rackview.ui.forms.vessel import NEW, VesselForm


@pytest.fixture
def adding(qtbot, session):
    screen = AddVesselScreen(session)
    qtbot.addWidget(screen)
    screen.open("C 4")
    return screen


def put(made: Form, **texts: str) -> None:
    for column, text in texts.items():
        made.input(column).setText(text)


def test_a_vessel_is_added_with_its_kit(qtbot, session, adding):
    made = adding.form.form
    assert (made.input("shelf").text(), made.input("position").text()) == ("C", "4")
    put(made, vessel="Tench", volume_l="12,5", air_stone="wooden", cost="9")
    with qtbot.waitSignal(adding.leave):
        made.submit()
    vessel = session.rack.vessels["Tench"]
    assert (vessel.place, vessel.volume_l, vessel.kit.air_stone, vessel.kit.cost) == ("C4", 12.5, "wooden", 9)
    assert session.undo_words == "Add Tench"


def test_escape_leaves_from_wherever_the_keyboard_is(qtbot, session, adding):
    put(adding.form.form, vessel="Tench")
    adding.show()
    adding.form.form.button.setFocus()
    with qtbot.waitSignal(adding.leave):
        qtbot.keyClick(adding.form.form.button, Qt.Key.Key_Escape)


@pytest.mark.parametrize(
    ("texts", "column", "wanted"),
    [
        ({"vessel": "Dab"}, "vessel", "a name that no vessel of this rack has yet"),
        ({"volume_l": "-3"}, "volume_l", "a volume in litres above 0"),
        ({"position": "2.5"}, "position", "a whole number from 1 to 999"),
        ({"cost": "cheap"}, "cost", "an amount of money of 0 or more"),
    ],
)
def test_a_wrong_vessel_is_not_added(qtbot, session, adding, texts, column, wanted):
    made = adding.form.form
    put(made, **({"vessel": "Tench", "volume_l": "10"} | texts))
    before = dict(session.rack.vessels)
    made.submit()
    assert wanted in made.error_of(column)
    assert session.rack.vessels == before
    assert made.input(column).text() == texts[column]


def test_a_place_that_is_taken_is_said(qtbot, session, adding):
    made = adding.form.form
    put(made, vessel="Tench", volume_l="10", shelf="A", position="1")
    made.submit()
    assert "Tench" not in session.rack.vessels
    assert any(made.error_of(c) for c in ("shelf", "position")) or made.foot.trouble.text()


def test_a_new_vessel_half_typed_is_kept(qtbot, session, adding):
    put(adding.form.form, vessel="Tench", volume_l="lots")
    adding.save()
    assert session.draft(NEW)["volume_l"] == "lots"
    again = AddVesselScreen(session)
    qtbot.addWidget(again)
    again.open(None)
    assert again.form.form.input("volume_l").text() == "lots"


def test_a_vessel_with_a_history_is_not_removed(qtbot, session):
    made = VesselForm(session)
    qtbot.addWidget(made)
    made.edit(session.rack.vessels["Dab"])
    assert made._remove.isHidden()
    made.form.input("volume_l").setText("25")
    made.form.submit()
    assert session.rack.vessels["Dab"].volume_l == 25
    assert any(isinstance(e, Count) and e.vessel == "Dab" for e in session.rack.events())


def test_an_unused_vessel_can_be_removed(qtbot, session):
    session.put_vessel(Vessel("Tench", "rotifer-L", "C", 1, 10))
    made = VesselForm(session)
    qtbot.addWidget(made)
    made.edit(session.rack.vessels["Tench"])
    made._remove.click()
    assert "Tench" not in session.rack.vessels


def test_a_store_that_is_full_is_said_in_the_form(qtbot, session, adding, monkeypatch):
    def full(*_: object) -> None:
        raise StoreError("full", "The disk is full.")

    monkeypatch.setattr(session, "put_vessel", full)
    made = adding.form.form
    put(made, vessel="Tench", volume_l="10")
    made.submit()
    assert made.foot.trouble.text() == "The disk is full."
    assert made.input("vessel").text() == "Tench"


def test_a_vessel_is_added_in_eight_keys_at_the_next_free_place(qtbot, session, awake):
    screen = AddVesselScreen(session)
    qtbot.addWidget(screen)
    screen.open()
    awake(screen)
    keys = ["Ctrl", "N", *"Sole"]  # Ctrl+N brought the form, a name is typed, Ctrl+Enter saves
    qtbot.keyClicks(QApplication.focusWidget(), "Sole")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    keys += ["Ctrl", "Enter"]
    screen.save()  # as the window does when the page is left
    assert session.draft(NEW) is None, "what was added is no draft of the next one"
    added = session.rack.vessels["Sole"]
    assert (added.place, added.strain, added.volume_l) == ("B4", "rotifer-L", 20.0)
    assert len(keys) <= 8
    screen.open()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert session.rack.vessels["B5"].place == "B5", "without a name it is called by its place"


def test_another_like_this_takes_the_set_up_and_not_the_name(qtbot, session):
    page = VesselForm(session)
    qtbot.addWidget(page)
    page.edit(session.rack.vessels["Goby"])
    page._another.click()
    row = page.form.row()
    assert (row["vessel"], row["strain"], row["volume_l"], row["shelf"]) == ("", "copepod-benthic", 30.0, "B")
    page.form.submit()
    assert session.rack.vessels["B4"].strain == "copepod-benthic"


def test_a_vessel_is_renamed_in_its_form_and_can_be_taken_out_of_use_for_good(qtbot, session):
    page = VesselForm(session)
    qtbot.addWidget(page)
    page.edit(session.rack.vessels["Dab"])
    put(page.form, vessel="Sole", volume_l="18")
    page.form.submit()
    assert (page.saved_name, session.rack.vessels["Sole"].volume_l) == ("Sole", 18.0)
    assert session.undo_words == "Rename Dab to Sole"
    assert session.rack.log("Sole").length > 3
    page.edit(session.rack.vessels["Sole"])
    with qtbot.waitSignal(page.done):
        page._retire.click()
    assert "Sole" not in session.rack.vessels
    assert "Sole" in session.rack.retired


def test_a_vessel_set_up_like_a_renamed_one_leaves_it_its_history():
    """What was recorded under a former name goes with whoever bears it: a copy must not."""
    turbot = Vessel("turbot", "rotifer-L", "A", 2, 20.0, note="by the door", formerly=("Sole",))
    brill = Vessel.from_row({**set_up(turbot), "vessel": "brill", "shelf": "A", "position": 13})
    assert (brill.volume_l, brill.formerly, brill.note, brill.retired) == (20.0, (), "", False)
    rack = Rack.build([turbot, brill]).record(
        {"at": "2026-03-01T08:00", "vessel": "Sole", "kind": "clean", "what": "floss"}
    )
    assert (rack.logs["turbot"].length, rack.logs["brill"].length) == (1, 0)
    gone = Vessel("ling", "rotifer-L", "A", 3, 20.0, retired=True)
    assert not Vessel.from_row({**set_up(gone), "vessel": "hake", "shelf": "A", "position": 4}).retired
