"""Onto paper and into PDF files: one way for every page that can be printed, with a look at it beforehand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QMarginsF, QRectF, QSaveFile, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPaintEvent, QPdfWriter
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.ui import keys
from rackview.ui.paint.ink import write
from rackview.ui.paint.paper import PAPER, Page
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import tall

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

    from rackview.ui.preferences import WindowSettings

DOTS = 96.0
"""Units of a page per inch."""
MARGIN_MM = 10.0
FOOT = 20.0
"""Room at the bottom of every page for its number."""
PDF_DPI = 1200
SIZES = {"A5": QPageSize.PageSizeId.A5, "A4": QPageSize.PageSizeId.A4, "Letter": QPageSize.PageSizeId.Letter}


class Document(Protocol):
    """What can be printed: a title, a file name to offer, and its pages at a size in 1/96 inch."""

    @property
    def title(self) -> str: ...

    @property
    def file(self) -> str: ...

    def pages(self, width: float, height: float) -> tuple[Page, ...]:
        """All of it on pages of paper."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper by name (one of SIZES), upright or on its side."""

    size: str = "A5"
    wide: bool = False

    def layout(self) -> QPageLayout:
        """The page with its margins, as Qt wants it."""
        turned = QPageLayout.Orientation.Landscape if self.wide else QPageLayout.Orientation.Portrait
        margins = QMarginsF(MARGIN_MM, MARGIN_MM, MARGIN_MM, MARGIN_MM)
        return QPageLayout(QPageSize(SIZES[self.size]), turned, margins, QPageLayout.Unit.Millimeter)

    def word(self) -> str:
        """The paper in a word, as it is kept in the settings."""
        return _("{size} wide").format(size=self.size) if self.wide else self.size

    @classmethod
    def from_word(cls, word: str) -> Paper:
        """The paper of a word; A5 upright for one that is not known."""
        size, _, turned = word.partition(" ")
        return cls(size, turned == "wide") if size in SIZES else cls()


def room(layout: QPageLayout) -> tuple[float, float]:
    """Width and height between the margins in 1/96 inch, without the foot."""
    inches = layout.paintRect(QPageLayout.Unit.Inch)
    return inches.width() * DOTS, inches.height() * DOTS - FOOT


def pages_on(document: Document, layout: QPageLayout) -> tuple[Page, ...]:
    """The pages of a document on a paper; an empty document has one empty page."""
    return document.pages(*room(layout)) or (Page(()),)


def paint_page(painter: QPainter, document: Document, layout: QPageLayout, number: int) -> None:
    """Draw one page (counted from 0) and its foot, from the painter's origin at the margin."""
    width, height = room(layout)
    all_pages = pages_on(document, layout)
    all_pages[number].paint(painter, width, PAPER)
    foot = _("{title}, page {n} of {all}").format(title=document.title, n=number + 1, all=len(all_pages))
    write(painter, width, height + FOOT - 4, foot, 10, PAPER.soft, right=True, room=width)


def put_on(device: QPagedPaintDevice, document: Document, dpi: float) -> None:
    """Draw the whole document on a printer or PDF writer of so many dots an inch; raises OSError if it can't."""
    layout = device.pageLayout()
    painter = QPainter()
    if not painter.begin(device):
        raise OSError(_("The printer or file could not be opened."))
    try:
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        for number in range(len(pages_on(document, layout))):
            if number and not device.newPage():
                raise OSError(_("The next page could not be begun."))
            painter.save()
            painter.scale(dpi / DOTS, dpi / DOTS)
            paint_page(painter, document, layout, number)
            painter.restore()
    finally:
        painter.end()


def write_pdf(document: Document, path: Path, paper: Paper) -> None:
    """Write the document as a PDF file, whole or not at all; raises OSError with a sentence if it can't."""
    file = QSaveFile(str(path))
    if not file.open(QSaveFile.OpenModeFlag.WriteOnly):
        raise OSError(_unwritten(path, file))
    writer = QPdfWriter(file)
    writer.setResolution(PDF_DPI)
    writer.setPageLayout(paper.layout())
    writer.setTitle(document.title)
    writer.setCreator("rackview")
    try:
        put_on(writer, document, PDF_DPI)
    except OSError:
        file.cancelWriting()
        raise
    del writer
    if not file.commit():
        raise OSError(_unwritten(path, file))


def _unwritten(path: Path, file: QSaveFile) -> str:
    return _("{path} could not be written: {why}.").format(path=path, why=file.errorString())


class Preview(QWidget):
    """One page as it will be on paper."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document: Document | None = None
        self._layout = Paper().layout()
        self._number = 0
        self.setMinimumSize(320, 420)

    def show_page(self, document: Document, layout: QPageLayout, number: int) -> None:
        """Show a page of a document."""
        self._document, self._layout, self._number = document, layout, number
        self.setAccessibleName(f"{document.title}, {number + 1}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(460, 600)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._document is None:
            return
        whole = self._layout.fullRect(QPageLayout.Unit.Inch)
        scale = min((self.width() - 2) / (whole.width() * DOTS), (self.height() - 2) / (whole.height() * DOTS))
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        wide, high = whole.width() * DOTS * scale, whole.height() * DOTS * scale
        painter.translate((self.width() - wide) / 2, (self.height() - high) / 2)
        painter.setPen(PAPER.edge)
        painter.setBrush(PAPER.field)
        painter.drawRect(QRectF(0, 0, wide, high))
        painter.scale(scale, scale)
        margin = self._layout.paintRect(QPageLayout.Unit.Inch).topLeft() * DOTS
        painter.translate(margin)
        paint_page(painter, self._document, self._layout, self._number)


class PrintDialog(QDialog):
    """A look at the pages, the choice of paper, and the two ways out: a printer or a PDF file.

    Signals
    -------
    said(str) : words of what was done
    """

    said = Signal(str)

    def __init__(self, document: Document, paper: Paper, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.paper = paper
        self._number = 0
        self.setWindowTitle(document.title)
        self.setModal(True)
        self.preview = Preview(self)
        self._papers = QButtonGroup(self)
        self._count = QLabel(self)
        self._count.setProperty("voice", "soft")
        self._wrong = QLabel(self)
        self._wrong.setProperty("voice", "error")
        self._wrong.setWordWrap(True)
        self._wrong.hide()
        self.resize(880, 680)
        self._lay_out()
        self._show()

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        side.setSpacing(8)
        title = QLabel(_("Paper"), self)
        title.setFont(fonts.font(17, fonts.SEMIBOLD))
        side.addWidget(title)
        for paper in (Paper(size, wide) for size in SIZES for wide in (False, True)):
            words = _("{size}, on its side") if paper.wide else _("{size}, upright")
            button = QPushButton(words.format(size=paper.size), self)
            button.setCheckable(True)
            button.setAutoDefault(False)
            button.setProperty("role", "choice")
            button.setChecked(paper == self.paper)
            button.clicked.connect(lambda _=False, p=paper: self.choose(p))
            tall(button, 40)
            self._papers.addButton(button)
            side.addWidget(button)
        turn = QHBoxLayout()
        self._turns = {}
        for by, words, name in ((-1, "‹", _("Page before")), (1, "›", _("Page after"))):
            button = QPushButton(words, self)
            button.setAutoDefault(False)
            button.setAccessibleName(name)
            button.clicked.connect(lambda _=False, n=by: self.turn(n))
            tall(button, 36, 10)
            self._turns[by] = button
        turn.addWidget(self._turns[-1])
        turn.addWidget(self._count, 1, Qt.AlignmentFlag.AlignCenter)
        turn.addWidget(self._turns[1])
        side.addSpacing(8)
        side.addLayout(turn)
        side.addStretch(1)
        side.addWidget(self._wrong)
        for words, call, role in (
            (_("&Print…"), self.print_out, "primary"),
            (_("&Save as PDF…"), self.save_pdf, ""),
            (_("&Close"), self.reject, "quiet"),
        ):
            button = QPushButton(words, self)
            button.setProperty("role", role)
            button.setAutoDefault(role == "primary")
            button.clicked.connect(call)
            tall(button, 44)
            side.addWidget(button)
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 20, 20, 20)
        row.setSpacing(20)
        row.addWidget(self.preview, 1)
        row.addLayout(side)

    def choose(self, paper: Paper) -> None:
        """Take another paper."""
        self.paper = paper
        self._number = 0
        self._show()

    def turn(self, by: int) -> None:
        """Show the page after or before."""
        self._number = max(0, min(self.page_count() - 1, self._number + by))
        self._show()

    def page_count(self) -> int:
        """How many pages the document has on this paper."""
        return len(pages_on(self.document, self.paper.layout()))

    def _show(self) -> None:
        count = self.page_count()
        self.preview.show_page(self.document, self.paper.layout(), self._number)
        self._count.setText(_("page {n} of {all}").format(n=self._number + 1, all=count))
        self._turns[-1].setEnabled(self._number > 0)
        self._turns[1].setEnabled(self._number + 1 < count)

    def save_pdf(self) -> None:
        """Ask for a file and write the document into it."""
        chosen, _unused = QFileDialog.getSaveFileName(self, _("Save as PDF"), self.document.file, "PDF (*.pdf)")
        if chosen:
            path = Path(chosen) if Path(chosen).suffix else Path(chosen).with_suffix(".pdf")
            self._try(lambda: write_pdf(self.document, path, self.paper), _("Saved {file}").format(file=path))

    def print_out(self) -> None:
        """Ask for a printer and print."""
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setPageLayout(self.paper.layout())
        printer.setDocName(self.document.title)
        if QPrintDialog(printer, self).exec() == QDialog.DialogCode.Accepted:
            self.print_on(printer)

    def print_on(self, printer: QPrinter) -> None:
        """Print on a printer as it is set up."""
        words = _("Printed: {title}").format(title=self.document.title)
        self._try(lambda: put_on(printer, self.document, printer.resolution()), words)

    def _try(self, call: Callable[[], None], words: str) -> None:
        try:
            call()
        except OSError as error:
            self._wrong.setText(str(error))
            self._wrong.show()
            return
        self.said.emit(words)
        self.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        command = keys.command("Print", event.key())
        if command:
            self.turn(1 if command == "after" else -1)
        else:
            super().keyPressEvent(event)


def show(document: Document, settings: WindowSettings, window: QWidget) -> PrintDialog:
    """Open the dialog over a window, with the paper that was used last."""
    dialog = PrintDialog(document, Paper.from_word(settings.paper), window)

    def keep() -> None:
        settings.paper = dialog.paper.word()

    dialog.finished.connect(keep)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()
    return dialog
