"""Whatever bytes a file holds, the answer is sentences: no exception, nothing taken beside a refusal."""

from __future__ import annotations

import os
import random
from datetime import UTC, datetime
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange.intake import Intake
from rackview.exchange.writer import export
from tests.exchange.own_files import read_files

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
RACK = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0), Vessel("A2", "rotifer-L", "A", 2, 15.0)])
GOOD = (
    b"at,vessel,kind,tallies,aliquot_ml,text\n"
    b"2026-03-01T08:00,A1,count,98 104,1,\n"
    b'2026-03-01T09:00,A2,note,,,"a ""word"",\nor two"\n'
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("malformed")


@pytest.fixture(scope="module")
def workbook(folder: Path) -> bytes:
    book = openpyxl.Workbook()
    for row in (["at", "vessel", "kind", "tallies"], ["2026-03-01T08:00", "A1", "count", "98"]):
        book.active.append(row)
    book.save(folder / "good.xlsx")
    return (folder / "good.xlsx").read_bytes()


def answer(folder: Path, data: bytes) -> Intake:
    path = folder / "some.csv"
    path.write_bytes(data)
    intake = read_files([path], RACK, NOW)
    assert all(line.sentence.isprintable() and line.sentence.endswith((".", "?")) for line in intake.refused)
    return intake


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (GOOD.replace(b"word", b"w\x8frd"), "line 3: The byte 0x8F is no letter"),
        (GOOD.decode().encode("utf-16") + b"\xd8\x00\xd8", "It begins like UTF-16 text"),
        (GOOD.replace(b"98", b"9\x008"), "line 2: It holds a zero byte"),
        (GOOD[:-2], "line 3: A quotation mark is not closed"),
        (GOOD + b'2026-03-01T09:00,A2,note,,,"x"y\n', "line 5: A quotation mark is not closed, or stands where none"),
        (GOOD + b"2026-03-01T09:00,A2,note,,," + b"x" * 200_000, "line 5: A cell is longer than 131072 characters"),
        (GOOD + b"2026-03-01T09:00,A2,note,,," + b"x" * 110_000, "text: found 110000 characters, but needs at most"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600), "It is an old or password-protected workbook"),
        (b"PK\x03\x04" + bytes(50), "It is damaged or protected by a password"),
    ],
)
def test_each_kind_of_damage_has_its_sentence(folder: Path, data: bytes, says: str) -> None:
    (line,) = answer(folder, data).refused
    assert says in str(line)


def test_what_is_no_plain_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    paths = [tmp_path, tmp_path / "none.csv", tmp_path / "pipe", tmp_path / ("x" * 300), tmp_path / "a\0b"]
    said = [line.sentence for line in read_files(paths, RACK, NOW).refused]
    assert said[:3] == ["It is a folder; name the files in it.", "There is no such file.", "It is not a plain file."]
    assert len(said) == 5


@given(st.binary(max_size=300) | st.text(max_size=200).map(lambda t: t.encode("utf-8", "replace")))
def test_any_bytes_at_all(folder: Path, data: bytes) -> None:
    answer(folder, data)
    answer(folder, b"at,vessel,kind,note\n" + data)
    answer(folder, b"setting,value\n" + data)


@pytest.mark.parametrize(
    ("tries", "seed"), [(300, 3), pytest.param(100_000, 5, marks=pytest.mark.torture)], ids=["some", "very many"]
)
def test_a_table_with_bytes_changed_left_out_or_put_in(folder: Path, tries: int, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - the same damage each time
    for _ in range(tries):
        data = bytearray(GOOD)
        for _ in range(chance.randint(1, 4)):
            spot = chance.randrange(len(data))
            data[spot : spot + chance.randint(0, 2)] = chance.randbytes(chance.randint(0, 2))
        answer(folder, bytes(data))


def test_a_workbook_with_bytes_changed(folder: Path, workbook: bytes) -> None:
    chance = random.Random(4)  # noqa: S311
    for _ in range(150):
        data = bytearray(workbook)
        for _ in range(chance.randint(1, 3)):
            data[chance.randrange(4, len(data))] = chance.randrange(256)
        answer(folder, bytes(data))
    for length in range(10, len(workbook), 97):
        assert answer(folder, workbook[:length]).refused


def test_an_export_that_can_not_be_finished_leaves_the_old_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    export(RACK, tmp_path)
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        export(Rack.build([]), tmp_path)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before
