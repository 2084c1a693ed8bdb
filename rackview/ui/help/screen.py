"""The pages of docs/, read offline: a list at the left, the page at the right."""

from __future__ import annotations

from importlib import resources

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import (
    QImage,
    QResizeEvent,
    QTextBlockFormat,
    QTextCursor,
    QTextDocument,
    QTextList,
    QTextListFormat,
)
from PySide6.QtWidgets import QHBoxLayout, QListWidgetItem, QTextBrowser, QWidget

from rackview import translations
from rackview.language import _
from rackview.ui.base import SubPage
from rackview.ui.commands import keys_page
from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets.fields import page_list

WIDEST = 980
"""A line of text much longer than this is hard to follow, px."""
PAGES = {
    "first-hour": _("Your first hour"),
    "guide": _("User guide"),
    "counting": _("Counting well"),
    "choosing": _("Which animal"),
    "splitting": _("Splitting"),
    "restarting": _("Starting anew"),
    "hatch": _("Planning for a hatch"),
    "crash": _("When everything crashed"),
    "reading": _("Reading the estimate"),
    "keys": _("Keys"),
    "safety": _("Safety"),
    "glossary": _("Glossary"),
    "rules": _("Rules and flags"),
    "estimate": _("The estimate"),
    "formulas": _("Formulas"),
    "command-line": _("Command line"),
    "tables": _("Tables"),
    "python": _("Python"),
    "data-format": _("Data format"),
}
"""Page names (files in docs/ or in its folder of a language, without .md; keys and safety are made from their tables)
and their titles."""


def page_text(name: str) -> str:
    """The Markdown of a page, in English where the language in use has none; raises FileNotFoundError."""
    if name == "keys":
        return keys_page()
    if name == "safety":
        from rackview.advice.words.cautions import cautions_page

        return cautions_page()
    docs = resources.files("rackview.docs")
    spoken = docs / translations.current() / f"{name}.md"
    if spoken.is_file():
        return spoken.read_text(encoding="utf-8").replace("](../", "](")
    return (docs / f"{name}.md").read_text(encoding="utf-8")


class HelpScreen(SubPage):
    """Every page of the guide, with links between them."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._page = "guide"
        row = QHBoxLayout(self)
        row.setContentsMargins(24, 8, 24, 24)
        row.setSpacing(24)
        self._list = page_list(PAGES, _("Pages"), 236, self)
        self._list.currentItemChanged.connect(self._picked)
        row.addWidget(self._list)
        self._text = _Page(self)
        self._text.resized.connect(self._fit)
        self._text.setOpenLinks(False)
        self._text.anchorClicked.connect(self._follow)
        self._text.setAccessibleName(_("Page"))
        self._text.document().setDocumentMargin(24)
        self._text.setMaximumWidth(WIDEST)
        row.addWidget(self._text, 4)
        row.addStretch(1)
        self.set_theme(theme)

    def take_keyboard(self) -> None:
        self._list.setFocus(Qt.FocusReason.OtherFocusReason)

    def open(self, page: str | None = None) -> None:
        """Show a page by name; without one, the page that was open last."""
        self._page = page if page in PAGES else self._page
        row = list(PAGES).index(self._page)
        if self._list.currentRow() == row:
            self._show()
        else:
            self._list.setCurrentRow(row)

    def set_theme(self, theme: Theme) -> None:
        """Dress the page in a theme."""
        self._theme = theme
        self._show()

    def _picked(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self._page = str(item.data(Qt.ItemDataRole.UserRole))
            self._show()

    def _show(self) -> None:
        document = self._text.document()
        document.setDefaultFont(fonts.font(15))
        document.setIndentWidth(28)
        document.setMarkdown(page_text(self._page), QTextDocument.MarkdownFeature.MarkdownDialectGitHub)
        _air(document)
        self._text.moveCursor(self._text.textCursor().MoveOperation.Start)

    def _fit(self) -> None:
        """Lay a page with pictures out for another width, and stay where one reads."""
        bar = self._text.verticalScrollBar()
        if "](pictures/" in page_text(self._page):
            read = bar.value() / max(bar.maximum(), 1)
            self._show()
            bar.setValue(round(read * bar.maximum()))

    def _follow(self, link: QUrl) -> None:
        name = link.fileName().removesuffix(".md")
        if not link.scheme() and name in PAGES:
            self.open(name)
        elif not link.scheme() and link.hasFragment():
            self._text.scrollToAnchor(link.fragment())


class _Page(QTextBrowser):
    """A page whose pictures are no wider than it is.

    Signals
    -------
    resized() : the width has changed, so pictures no longer fit
    """

    resized = Signal()

    def loadResource(self, kind: int, name: QUrl | str) -> object:
        """A picture of the docs, made to fit."""
        path = name.toString() if isinstance(name, QUrl) else name
        if kind != QTextDocument.ResourceType.ImageResource.value or not path.startswith("pictures/"):
            return super().loadResource(kind, name)
        image = QImage.fromData((resources.files("rackview.docs") / path).read_bytes())
        beside = 2 * round(self.document().documentMargin()) + self.verticalScrollBar().sizeHint().width()
        most = self.contentsRect().width() - beside
        return (
            image.scaledToWidth(most, Qt.TransformationMode.SmoothTransformation) if 0 < most < image.width() else image
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Ask for the page again where its width changed."""
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self.resized.emit()


def _air(document: QTextDocument) -> None:
    """Room between paragraphs and above headings, which Markdown leaves to the reader."""
    block = document.begin()
    while block.isValid():
        cursor = QTextCursor(block)
        form = block.blockFormat()
        heading = form.headingLevel() > 0
        listed: QTextList | None = block.textList()
        if listed is not None and listed.format().style() == QTextListFormat.Style.ListCircle:
            style = listed.format()
            style.setStyle(QTextListFormat.Style.ListDisc)  # a star in Markdown is no other kind of list
            listed.setFormat(style)
        inside = listed is not None or cursor.currentTable() is not None
        form.setTopMargin(18.0 if heading else 0.0)
        form.setBottomMargin(2.0 if inside else 8.0)
        form.setLineHeight(125.0, QTextBlockFormat.LineHeightTypes.ProportionalHeight.value)
        cursor.setBlockFormat(form)
        block = block.next()
