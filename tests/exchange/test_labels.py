"""Labels: the code of each vessel, drawn and read back by an independent reader of codes, is its name."""

from __future__ import annotations

import re

import numpy as np
import pytest
import segno
import zxingcpp

from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange.labels import code, labels, write_labels

NAMES = ("A1", "Blue & <green>", "Öhr 7", "x" * 60)


@pytest.fixture
def rack() -> Rack:
    return Rack.build([Vessel(name, "rotifer-L", "A", place, 20.0) for place, name in enumerate(NAMES, 1)])


def dark(svg: str, modules: int) -> np.ndarray:
    """The picture of a code drawn as runs of a path: 8 dots a module, black on white."""
    picture = np.full((modules, modules), 255, np.uint8)
    (path,) = re.findall(r' d="([^"]+)"', svg)
    x = y = 0.0
    for letter, numbers in re.findall(r"([Mmh])([-\d. ]+)", path):
        values = [float(n) for n in re.findall(r"-?\d*\.?\d+", numbers)]
        if letter == "h":
            picture[int(y), int(x) : int(x + values[0])] = 0
            x += values[0]
        else:
            x, y = (values[0], values[1]) if letter == "M" else (x + values[0], y + values[1])
    return np.kron(picture, np.ones((8, 8), np.uint8))


@pytest.mark.parametrize("name", NAMES)
def test_the_code_of_a_label_is_the_name_of_its_vessel(name: str) -> None:
    modules = segno.make(name, error="q", micro=False).symbol_size(border=2)[0]
    (found,) = zxingcpp.read_barcodes(dark(code(name), modules))
    assert found.text == name


def test_every_vessel_has_its_label_in_the_order_of_the_shelf(rack: Rack, tmp_path) -> None:
    page = write_labels(rack, tmp_path).read_text(encoding="utf-8")
    assert page == labels(rack)
    assert re.findall(r"<span>(A\d+),", page) == ["A1", "A2", "A3", "A4"]
    assert "<b>Blue &amp; &lt;green&gt;</b>" in page
    assert page.count("<svg") == len(NAMES)
