"""Paper: the sheet of the round in the safe order, page breaks, PDF files of the right size, errors in a sentence."""

from __future__ import annotations

import contextlib
import re
from datetime import UTC, datetime

import numpy as np
import pytest
import zxingcpp
from PySide6.QtCore import QRectF, QSettings
from PySide6.QtGui import QColor, QImage, QPageLayout, QPainter
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QFileDialog

from rackview.advice.api import round_order
from rackview.services.sessions import open_session
from rackview.ui import labels, printing
from rackview.ui.commands import keys_page
from rackview.ui.labels import label_sheet
from rackview.ui.paint.ink import width_of
from rackview.ui.paint.paper import PAPER, Text, pages
from rackview.ui.printing import DOTS, Paper, PrintDialog, pages_on, paint_page, put_on, room, write_pdf
from rackview.ui.round.sheet import Apart, SheetColumns, SheetRow, round_sheet
from rackview.ui.window import MainWindow
from tests.ui.contrast import contrast

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)
PAPERS = tuple(Paper(size, wide) for size in ("A5", "A4", "Letter") for wide in (False, True))
# ISO 216: A4 is 210 mm by 297 mm, A5 148 mm by 210 mm; ANSI/ASME Y14.1: A (Letter) is 8.5 inches by 11
MILLIMETRES = {"A5": (148, 210), "A4": (210, 297), "Letter": (215.9, 279.4)}


@pytest.fixture(scope="module")
def session(demo_at):
    made = demo_at(lambda: NOW)
    yield made
    made.close()


@pytest.fixture(scope="module")
def sheet(qapp, session):
    return round_sheet(session)


def rows(sheet):
    return [r.line for r in sheet.rows if isinstance(r, SheetRow)]


def test_how_a_sample_is_taken_is_read_whole_beside_the_narrowest_boxes(sheet):
    """A dilution that is cut off is a count that is wrong by it."""
    said = {word for line in rows(sheet) for word in line.sampled}
    assert {"1 mL", "5-fold"} <= said
    width = min(room(paper.layout())[0] for paper in PAPERS)
    place = SheetColumns.at(width).places["name"][1]
    letters = next(r for r in sheet.rows if isinstance(r, SheetRow))._sizes(width)[1] - 2
    assert max(width_of(word, letters) for word in said) <= place


def test_every_vessel_in_use_is_on_the_sheet_in_the_safe_order(session, sheet):
    names = [line.name for line in rows(sheet)]
    assert sorted(names) == sorted(round_order(session.rack, NOW))
    suspect = {s.vessel for s in session.suggestions() if s.own_tools}
    assert names == [n for n in round_order(session.rack, NOW) if n not in suspect] + [
        n for n in round_order(session.rack, NOW) if n in suspect
    ]
    apart = [n for n, r in enumerate(sheet.rows) if isinstance(r, Apart)]
    assert len(apart) == bool(suspect)
    if suspect:
        assert apart[0] == len(names) - len(suspect)


def test_every_suggestion_is_on_the_sheet_with_its_cautions_below(session, sheet):
    for one in session.suggestions():
        line = next(r for r in rows(sheet) if r.name == one.vessel)
        mine = [d for d in line.actions if d.startswith(one.text)]
        assert mine, one.text
        below = [b.text for b in sheet.end if isinstance(b, Text)]
        for caution in one.cautions:
            letter = next(t.split()[0] for t in below if t.endswith(f"  {caution}"))
            assert any(re.search(rf"\(.*\b{letter}\b.*\)$", d) for d in mine)


def test_vessels_at_rest_are_named_apart(session, sheet):
    resting = [n for n, a in session.assessments().items() if a.state == "resting"]
    told = " ".join(b.text for b in sheet.end if isinstance(b, Text))
    assert resting
    assert all(n in told for n in resting)


def test_stages_have_their_own_boxes(session, sheet):
    staged = {line.name for line in rows(sheet) if line.stages}
    assert staged
    assert all(session.rack.profile(n).animal == "copepod" for n in staged)


@pytest.mark.parametrize("paper", PAPERS, ids=Paper.word)
def test_nothing_leaves_the_page(qapp, session, sheet, paper):
    layout = paper.layout()
    width, height = room(layout)
    made = pages_on(sheet, layout)
    printed = [block for page in made for _, block in page.blocks]
    assert [b for b in printed if isinstance(b, SheetRow)] == [b for b in sheet.rows if isinstance(b, SheetRow)]
    for page in made:
        assert max(top + block.height(width) for top, block in page.blocks) <= height
        tops = [top for top, _ in page.blocks]
        assert tops == sorted(tops)
    for page in made[1:]:
        if isinstance(page.blocks[1][1], SheetRow):
            assert page.blocks[0][1] is sheet.head, "a page of rows without the names of its columns"


@pytest.mark.parametrize("paper", PAPERS, ids=Paper.word)
def test_nothing_is_drawn_outside_the_margins(qapp, sheet, paper):
    layout = paper.layout()
    whole, inner = layout.fullRect(QPageLayout.Unit.Inch), layout.paintRect(QPageLayout.Unit.Inch)
    for number in range(len(pages_on(sheet, layout))):
        image = QImage(round(whole.width() * DOTS), round(whole.height() * DOTS), QImage.Format.Format_RGB32)
        image.fill(QColor("white"))
        painter = QPainter(image)
        painter.translate(inner.topLeft() * DOTS)
        paint_page(painter, sheet, layout, number)
        painter.end()
        kept = QRectF(inner.topLeft() * DOTS, inner.size() * DOTS).adjusted(-2, -2, 2, 2)
        dark = [
            (x, y)
            for x in range(0, image.width(), 2)
            for y in range(0, image.height(), 2)
            if image.pixel(x, y) & 0xFF < 200
        ]
        assert dark
        assert all(kept.contains(x, y) for x, y in dark)


def test_paper_is_black_on_white():
    for ink in (PAPER.ink, PAPER.middle, PAPER.soft, PAPER.today, PAPER.week, PAPER.notice):
        assert contrast(ink, PAPER.field) >= 7  # WCAG 2.2, 1.4.6
        assert ink.saturation() == 0
    assert contrast(PAPER.rim, PAPER.field) >= 3


@pytest.mark.parametrize("paper", PAPERS, ids=Paper.word)
def test_a_pdf_has_the_paper_and_pages_it_should(qapp, sheet, tmp_path, paper):
    file = tmp_path / "round.pdf"
    write_pdf(sheet, file, paper)
    data = file.read_bytes()
    assert data.startswith(b"%PDF-")
    boxes = re.findall(rb"/MediaBox \[([\d. ]+)\]", data)
    assert len(boxes) == len(pages_on(sheet, paper.layout()))
    left, bottom, right, top = map(float, boxes[0].split())
    points = sorted((right - left, top - bottom), reverse=paper.wide)
    wanted = sorted((mm / 25.4 * 72 for mm in MILLIMETRES[paper.size]), reverse=paper.wide)
    assert points == pytest.approx(wanted, abs=1.0)


def test_a_file_that_cannot_be_written_is_said_and_leaves_nothing(qapp, sheet, tmp_path):
    with pytest.raises(OSError, match=r"round\.pdf could not be written"):
        write_pdf(sheet, tmp_path / "nowhere" / "round.pdf", Paper())
    assert list(tmp_path.iterdir()) == []


def test_a_printer_gets_the_same_pages(qapp, sheet, tmp_path):
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "out.pdf"))
    printer.setPageLayout(Paper("A4").layout())
    put_on(printer, sheet, printer.resolution())
    found = (tmp_path / "out.pdf").read_bytes().count(b"/MediaBox")
    assert found == len(pages_on(sheet, Paper("A4").layout()))


def test_a_heading_stays_with_what_it_heads(qapp):
    blocks = [Text("filler " * 30), Text("a heading", 16, keep=True), Text("what it heads"), Text("more")]
    width = 300.0
    tall = blocks[0].height(width) + blocks[1].height(width) + 1
    first, second = pages(blocks, width, tall)
    assert [b for _, b in first.blocks] == blocks[:1]
    assert [b for _, b in second.blocks] == blocks[1:]


def test_papers_are_remembered_by_a_word():
    assert [Paper.from_word(p.word()) for p in PAPERS] == list(PAPERS)
    assert Paper.from_word("foolscap") == Paper()


def test_the_dialog_shows_pages_saves_and_says_so(qtbot, sheet, tmp_path, monkeypatch):
    dialog = PrintDialog(sheet, Paper())
    qtbot.addWidget(dialog)
    count = dialog.page_count()
    assert count > 1
    dialog.turn(1)
    assert f"2 of {count}" in dialog._count.text()
    dialog.choose(Paper("A4"))
    assert dialog._count.text().startswith("page 1 of")
    assert not dialog.preview.grab().isNull()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "x.pdf"), ""))
    dialog.save_pdf()
    assert "could not be written" in dialog._wrong.text()
    assert not dialog.result()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "sheet"), ""))
    with qtbot.waitSignal(dialog.said) as told:
        dialog.save_pdf()
    assert "sheet.pdf" in told.args[0]
    assert (tmp_path / "sheet.pdf").stat().st_size > 1000


def test_the_command_prints_the_round_or_the_page_shown(qtbot, session, tmp_path, monkeypatch):
    settings = QSettings(str(tmp_path / "window.ini"), QSettings.Format.IniFormat)
    window = MainWindow(session, settings, look="light")
    qtbot.addWidget(window)
    window.show()  # only a window that was shown stops its timers when it closes
    opened = []
    real = printing.PrintDialog.open
    monkeypatch.setattr(printing.PrintDialog, "open", lambda self: (opened.append(self), real(self))[0])
    window.commands["print"].trigger()
    assert opened[0].document.title.startswith("Round, ")
    opened[0].choose(Paper("A4", wide=True))
    opened[0].reject()
    assert settings.value("paper") == "A4 wide"
    window.go("loss", "Limpet")
    window.commands["print"].trigger()
    assert "Limpet" in opened[1].document.title
    assert opened[1].paper == Paper("A4", wide=True)
    opened[1].reject()
    assert "Ctrl+P" in keys_page()


def test_an_empty_rack_prints_an_empty_sheet(qapp, tmp_path):
    session = open_session(tmp_path / "empty.db", lambda: NOW)
    made = round_sheet(session)
    assert "no vessels" in " ".join(b.text for b in made.end if isinstance(b, Text))
    write_pdf(made, tmp_path / "empty.pdf", Paper())
    session.close()


@pytest.mark.parametrize("paper", PAPERS, ids=lambda p: p.word())
def test_labels_are_whole_on_every_paper_and_their_codes_read_back(session, paper):
    sheet, layout = label_sheet(session.rack), paper.layout()
    width, height = room(layout)
    found = [label for page in pages_on(sheet, layout) for _, row in page.blocks for label in row.labels]
    assert [label.place for label in found] == sorted(v.place for v in session.rack.vessels.values())
    beside = max(len(row.labels) for page in pages_on(sheet, layout) for _, row in page.blocks)
    assert beside * labels.WIDE <= width
    assert all(top + labels.HIGH <= height for page in pages_on(sheet, layout) for top, _ in page.blocks)
    image = QImage(int(width * 2), int(height * 2), QImage.Format.Format_Grayscale8)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.scale(2, 2)
    paint_page(painter, sheet, layout, 0)
    painter.end()
    shape = (image.height(), image.bytesPerLine())
    picture = np.frombuffer(image.constBits(), np.uint8).reshape(shape)[:, : image.width()].copy()
    read = {code.text for code in zxingcpp.read_barcodes(picture)}
    first = {label.name for _, row in pages_on(sheet, layout)[0].blocks for label in row.labels}
    assert read == first, "an independent reader of codes finds every name of the page"


def test_the_window_prints_labels_of_a_rack_and_says_so_where_there_is_none(qtbot, session, tmp_path):
    window = MainWindow(session, None, look="light")
    qtbot.addWidget(window)
    window.commands["labels"].trigger()
    dialog = window.findChild(PrintDialog)
    assert dialog.document.title == "Labels for the vessels"
    dialog.reject()
    with contextlib.closing(open_session(tmp_path / "new.db", lambda: NOW)) as empty:
        bare = MainWindow(empty, None, look="light")
        qtbot.addWidget(bare)
        bare.commands["labels"].trigger()
        assert bare.findChild(PrintDialog) is None
