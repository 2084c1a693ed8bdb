"""A picture of the sample beside a count: kept with the store, in its copies, found from a copy, merged, recorded."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rackview.core.errors import InputError
from rackview.core.events import Count
from rackview.core.parse import event_from_row, identified, row_of
from rackview.core.vessel import Vessel
from rackview.services import maintenance, pictures
from rackview.services.folders import SECOND
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session
from rackview.store import Store
from rackview.store import pictures as store_pictures

AT = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
# the smallest PNG file: one black dot (PNG specification, third edition, W3C 2025: signature, IHDR, IDAT, IEND)
DOT = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010100000000376ef9240000000a"
    "49444154789c636000000002000148afa4710000000049454e44ae426082"
)


def rack(place: Path) -> RackSession:
    session = open_session(place, lambda: AT)
    session.take(vessels=[Vessel("Brill", "rotifer-L", "A", 1, 20)])
    return session


@pytest.fixture
def photo(tmp_path: Path) -> str:
    (tmp_path / "card").mkdir()
    place = tmp_path / "card" / "IMG 1.PNG"
    place.write_bytes(DOT)
    return str(place)


def test_a_picture_is_kept_once_beside_the_store_and_survives_its_card(tmp_path: Path, photo: str) -> None:
    session = rack(tmp_path / "rack.db")
    name = pictures.keep_picture(session, photo)
    assert pictures.keep_picture(session, photo) == name
    Path(photo).unlink()
    place = pictures.picture_path(session, name)
    assert place is not None
    assert place.read_bytes() == DOT
    assert place.parent.parent == tmp_path
    assert [p.name for p in place.parent.iterdir()] == [name]
    session.record(Count(at=AT, vessel="Brill", tallies=(30, 31), picture=name))
    session.close()
    again = open_session(tmp_path / "rack.db", lambda: AT)
    assert [e.picture for e in again.rack.events() if isinstance(e, Count)] == [name]
    again.close()


@pytest.mark.parametrize("data", [b"", b"not a picture", None])
def test_what_is_no_picture_is_refused_in_a_sentence(tmp_path: Path, data: bytes | None) -> None:
    session, place = rack(tmp_path / "rack.db"), tmp_path / "x.jpg"
    if data is not None:
        place.write_bytes(data)
    with pytest.raises(InputError, match="a picture file"):
        pictures.keep_picture(session, str(place))
    session.close()


def test_pictures_go_with_every_copy_and_are_found_in_the_second_folder(tmp_path: Path, photo: str) -> None:
    session, stick = rack(tmp_path / "rack.db"), tmp_path / "stick"
    stick.mkdir()
    name = pictures.keep_picture(session, photo)
    made = session.backup(tmp_path / "elsewhere" / "copy.db")
    assert (store_pictures.pictures_folder(made, session.store_id()) / name).read_bytes() == DOT
    session.folders.put(SECOND, stick)
    maintenance.upkeep(tmp_path / "rack.db", lambda: AT, stick)
    (found,) = stick.rglob(name)
    beside = pictures.picture_path(session, name)
    assert beside is not None
    beside.unlink()
    assert pictures.picture_path(session, name) == found
    found.unlink()
    assert pictures.picture_path(session, name) is None
    session.close()


@pytest.mark.parametrize("copied_to", ["elsewhere", "stick"])
def test_a_restore_brings_the_pictures_that_lie_beside_the_copy(tmp_path: Path, photo: str, copied_to: str) -> None:
    place, stick = tmp_path / "pc" / "rack.db", tmp_path / "stick"
    for folder in (place.parent, stick):
        folder.mkdir()
    session = rack(place)
    name = pictures.keep_picture(session, photo)
    session.record(Count(at=AT, vessel="Brill", tallies=(30,), picture=name))
    if copied_to == "stick":
        session.folders.put(SECOND, stick)
        maintenance.upkeep(place, lambda: AT, stick)
        (copy,) = stick.rglob("*.db")
    else:
        copy = session.backup(tmp_path / "elsewhere" / "copy.db")
    store_id = session.store_id()
    session.close()
    shutil.rmtree(place.parent)
    place.parent.mkdir()
    maintenance.put_back(place, copy, AT)
    assert (store_pictures.pictures_folder(place, store_id) / name).read_bytes() == DOT
    again = open_session(place, lambda: AT)
    assert [e.picture for e in again.rack.events() if isinstance(e, Count)] == [name]
    again.close()


def test_a_merge_brings_the_pictures_of_the_other_pc(tmp_path: Path, photo: str) -> None:
    ours, theirs = tmp_path / "ours" / "rack.db", tmp_path / "theirs" / "rack.db"
    for place in (ours, theirs):
        place.parent.mkdir()
    session = rack(theirs)
    name = pictures.keep_picture(session, photo)
    session.record(Count(at=AT, vessel="Brill", tallies=(30,), picture=name))
    session.close()
    rack(ours).close()
    maintenance.merge_in(ours, theirs)
    with Store.open(ours, "read") as store:
        assert (store_pictures.pictures_folder(ours, store.meta("id")) / name).exists()
        assert [e.picture for e in store.load().events() if isinstance(e, Count)] == [name]


def test_only_names_of_kept_pictures_are_taken_in_and_a_count_without_one_stays_the_same() -> None:
    row = {"at": "2026-05-14T07:30", "vessel": "Brill", "kind": "count", "tallies": "30 31"}
    with pytest.raises(InputError, match="picture"):
        event_from_row({**row, "picture": "../../etc/passwd"})
    plain, named = event_from_row(row), event_from_row({**row, "picture": f"{'a' * 40}.jpg"})
    assert "picture" not in row_of(plain)
    assert event_from_row(row_of(named)) == named
    assert identified(plain).id == identified(event_from_row({**row, "picture": ""})).id
    assert identified(plain).id != identified(named).id
