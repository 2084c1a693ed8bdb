"""The pages of docs/, read offline: a list at the left, the page at the right."""

from __future__ import annotations

from importlib import resources

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QTextBlockFormat, QTextCursor, QTextDocument, QTextList, QTextListFormat
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QTextBrowser, QWidget

from rackview.ui.base import SubPage
from rackview.ui.commands import keys_page
from rackview.ui.theme import Theme, fonts

WIDEST = 980
"""A line of text much longer than this is hard to follow, px."""
PAGES = {
    "first-hour": "Your first hour",
    "guide": "User guide",
    "counting": "Counting well",
    "choosing": "Which animal",
    "splitting": "Splitting",
    "restarting": "Starting anew",
    "hatch": "Planning for a hatch",
    "crash": "When everything crashed",
    "reading": "Reading the estimate",
    "keys": "Keys",
    "safety": "Safety",
    "glossary": "Glossary",
    "rules": "Rules and flags",
    "estimate": "The estimate",
    "formulas": "Formulas",
    "command-line": "Command line",
    "tables": "Tables",
    "python": "Python",
    "data-format": "Data format",
}
"""Page names (files in docs/ without .md; keys and safety are made from their tables) and their titles."""


def page_text(name: str) -> str:
    """The Markdown of a page; raises FileNotFoundError if it does not exist."""
    if name == "keys":
        return keys_page()
    if name == "safety":
        from rackview.advice.cautions import page

        return page()
    return (resources.files("rackview.docs") / f"{name}.md").read_text(encoding="utf-8")


class HelpScreen(SubPage):
    """Every page of the guide, with links between them."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._page = "guide"
        row = QHBoxLayout(self)
        row.setContentsMargins(24, 8, 24, 24)
        row.setSpacing(24)
        self._list = QListWidget(self)
        self._list.setFixedWidth(200)
        self._list.setFont(fonts.font(15))
        self._list.setStyleSheet("QListWidget::item { padding: 8px 10px; }")
        self._list.setAccessibleName(self.tr("Pages"))
        for name, title in PAGES.items():
            item = QListWidgetItem(self.tr(title))
            item.setData(Qt.ItemDataRole.UserRole, name)
            self._list.addItem(item)
        self._list.currentItemChanged.connect(self._picked)
        row.addWidget(self._list)
        self._text = QTextBrowser(self)
        self._text.setOpenLinks(False)
        self._text.anchorClicked.connect(self._follow)
        self._text.setAccessibleName(self.tr("Page"))
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
        self._text.setSearchPaths([str(resources.files("rackview.docs"))])
        document.setIndentWidth(28)
        document.setMarkdown(page_text(self._page), QTextDocument.MarkdownFeature.MarkdownDialectGitHub)
        _air(document)
        self._text.moveCursor(self._text.textCursor().MoveOperation.Start)

    def _follow(self, link: QUrl) -> None:
        name = link.fileName().removesuffix(".md")
        if not link.scheme() and name in PAGES:
            self.open(name)
        elif not link.scheme() and link.hasFragment():
            self._text.scrollToAnchor(link.fragment())


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
