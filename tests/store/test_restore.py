"""Whatever happens to the file, the entries come back."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

import pytest

from rackview.store import Store, StoreError, anew, salvage
from rackview.store.merge import merge
from rackview.store.restore import restore
from rackview.store.verify import check

PAGE = 4096


@pytest.fixture
def filled(store, tally):
    """A closed store with 200 entries, corrections among them, and a draft."""
    kept = store.append([tally(i, f"V{i % 3 + 1}", note="x" * (i % 50)) for i in range(180)])
    store.append([tally(200 + i, replaces=kept[i].id) for i in range(20)])
    store.save_draft("round", {"V1": "98 1"})
    store.close()
    return store


def everything(path):
    with Store.open(path) as reader:
        return {e.id: e for _, e in reader.numbered()}


def test_from_the_day_book_alone(filled, path, morning):
    before = everything(path)
    path.unlink()
    done = restore(path, None, morning)
    assert done.entries == len(before) == 203
    assert done.bad_lines == 0
    assert done.kept is None
    assert everything(path) == before
    assert check(path) == []


@pytest.mark.parametrize("there", [True, False])
def test_a_rebuild_says_how_far_it_is_and_the_day_book_is_over_half_of_it(filled, path, morning, monkeypatch, there):
    monkeypatch.setattr(anew, "PIECE", 20)
    monkeypatch.setattr(salvage, "PIECE", 20)
    told: list[tuple[str, float]] = []
    if not there:
        path.unlink()
    restore(path, None, morning, lambda what, share: told.append((what, share)))
    book = [share for what, share in told if what == "the day book"]
    assert [share for _, share in told] == sorted(share for _, share in told)
    assert (told[0][1], told[-1][1]) == (0.0, 1.0)
    assert len({round(share, 2) for share in book}) > 8
    assert max(book) == pytest.approx(0.6, abs=0.05)
    rest = {round(share, 2) for what, share in told if what not in {"", "the day book", "the new file"}}
    assert (len(rest) > 3) == there
    assert all(0.75 <= share <= 0.95 for share in rest)


def test_a_copy_is_completed_from_the_day_book(filled, path, morning, tally, tmp_path):
    with Store.open(path, "write") as store:
        copy = store.backup(tmp_path / "copy.db")
        store.append([tally(900)])
    before = everything(path)
    path.write_bytes(b"spilt" * 1000)
    done = restore(path, copy, morning)
    assert everything(path) == before
    assert done.kept.read_bytes() == b"spilt" * 1000
    with Store.open(path) as reader:
        assert reader.draft("round") == {"V1": "98 1"}
    assert check(path) == []


def test_what_only_the_damaged_file_holds_is_salvaged(filled, path, morning):
    """Both are damaged: the book has lost its middle, the file an index page."""
    before = everything(path)
    page = filled.book.files()[-1]
    lines = page.read_bytes().splitlines(keepends=True)
    page.write_bytes(b"".join(lines[:50] + lines[60:]))
    with sqlite3.connect(path) as editor:
        root = editor.execute("SELECT rootpage FROM sqlite_master WHERE name = 'events_at'").fetchone()[0]
    editor.close()
    overwrite(path, root - 1, bytes(range(256)) * 16)
    assert check(path)[0].damage
    restore(path, None, morning)
    assert everything(path) == before
    assert check(path) == []


def overwrite(path, page, noise):
    with path.open("rb+") as file:
        file.seek(page * PAGE)
        file.write(noise)


def test_any_page_may_turn_to_noise_or_zeros(filled, path, morning):
    """A sample of pages; the run over 200 is tests/benchmarks/store_pages.py."""
    before = everything(path)
    sound = path.read_bytes()
    chance = random.Random(20260301)  # noqa: S311 - the same pages at every run
    pages = len(sound) // PAGE
    for number in [0, *chance.sample(range(1, pages), 7)]:
        path.write_bytes(sound)
        overwrite(path, number, chance.randbytes(PAGE) if chance.random() < 0.5 else bytes(PAGE))
        said = check(path)
        assert said, f"page {number} of {pages}"
        assert said[0].damage
        assert "restore" in said[0].sentence
        restore(path, None, morning)
        assert everything(path) == before
        assert check(path) == []


def test_a_cut_file_is_noticed(filled, path, morning):
    before = everything(path)
    path.write_bytes(path.read_bytes()[: 5 * PAGE + 77])
    assert check(path)[0].damage
    restore(path, filled.book.folder, morning)
    assert everything(path) == before


def test_nothing_to_restore_from_changes_nothing(tmp_path, morning):
    with pytest.raises(StoreError, match="no day book") as caught:
        restore(tmp_path / "none.db", None, morning)
    assert caught.value.kind == "missing"
    assert list(tmp_path.iterdir()) == []


def test_a_copy_that_is_not_there_is_named_as_what_was_asked_for(filled, path, morning, tmp_path):
    before = path.read_bytes()
    with pytest.raises(StoreError, match="name a copy of the store"):
        restore(path, tmp_path / "none.db", morning)
    with pytest.raises(StoreError, match="name the other PC's"):
        merge(filled, tmp_path / "none.db")
    assert path.read_bytes() == before


def test_a_source_that_is_no_store_changes_nothing(filled, path, morning, tmp_path):
    before = path.read_bytes()
    (tmp_path / "photo.jpg").write_bytes(b"\xff\xd8" * 400)
    with pytest.raises(StoreError, match="not a rackview store"):
        restore(path, tmp_path / "photo.jpg", morning)
    assert path.read_bytes() == before
    assert check(path) == []


def test_not_while_a_window_has_it_open(filled, path, morning):
    with Store.open(path, "write"), pytest.raises(StoreError, match="close it there first"):
        restore(path, None, morning)
    assert check(path) == []


def test_where_a_file_can_have_no_second_name_what_was_replaced_is_kept_all_the_same(
    filled, path, morning, monkeypatch
):
    def refuse(source: object, target: object) -> None:
        raise PermissionError("no second names here")

    monkeypatch.setattr("rackview.store.restore.os.link", refuse)
    before = everything(path)
    done = restore(path, None, morning)
    assert done.kept is not None
    assert everything(done.kept) == everything(path) == before


def test_a_store_that_can_not_be_put_in_place_leaves_the_one_that_was_there(filled, path, morning, monkeypatch):
    real = Path.replace

    def refuse(self: Path, target: Path) -> Path:
        if Path(target) == path:
            raise PermissionError("the file is in use")
        return real(self, target)

    before = everything(path)
    for can_link in (True, False):
        with monkeypatch.context() as patch:
            patch.setattr(Path, "replace", refuse)
            if not can_link:
                patch.setattr("rackview.store.restore.os.link", refuse)
            with pytest.raises(StoreError):
                restore(path, None, morning)
        assert everything(path) == before
        assert not list(path.parent.glob("*.restoring*"))
