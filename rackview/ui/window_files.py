"""What the window does with files and paper: tables in and out, copies, prints, pictures, its place in the menu."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6 import QtWidgets
from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QDropEvent

from rackview.core.errors import InputError
from rackview.language import _
from rackview.services import desktop
from rackview.services.faults import StoreError
from rackview.ui import base

if TYPE_CHECKING:
    from rackview.ui.preferences import WindowSettings
    from rackview.ui.window import MainWindow


class WindowFiles(QObject):
    """The commands of one window."""

    def __init__(self, window: MainWindow, settings: WindowSettings) -> None:
        super().__init__(window)
        self._window = window
        self._settings = settings
        window.setAcceptDrops(True)
        window.installEventFilter(self)

    def ask_tables(self) -> None:
        """Show the page on which tables are taken in."""
        self._window.go("take_in")

    def take_in(self, paths: list[Path]) -> None:
        """Show there what these tables would add."""
        self.ask_tables()
        base.call(self._window.screen_widget(), "read", paths)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take files that are dropped anywhere on the window."""
        if isinstance(event, QDropEvent) and event.type() in {QEvent.Type.DragEnter, QEvent.Type.Drop}:
            paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
            if paths and self._window.session.read_only is None:
                event.acceptProposedAction()
                if event.type() == QEvent.Type.Drop:
                    self.take_in(paths)
                return True
        return super().eventFilter(watched, event)

    def give_out(self) -> None:
        """Write all tables into a folder."""
        from rackview.services import files

        chosen = QtWidgets.QFileDialog.getExistingDirectory(self._window, _("Export all tables into a folder"))
        if chosen:
            self._try_file(
                lambda: files.give_out(self._window.session.whole(), chosen),
                _("All tables are in {place}.").format(place=chosen),
            )

    def give_workbook(self) -> None:
        """Write all tables into a workbook."""
        from rackview.services import files

        chosen = QtWidgets.QFileDialog.getExistingDirectory(self._window, _("Export a workbook into a folder"))
        if chosen:
            self._try_file(
                lambda: files.give_workbook(self._window.session.whole(), chosen), _("All tables are in {place}.")
            )

    def back_up(self) -> None:
        """Make a copy of the store."""
        self._try_file(self._window.session.backup, _("A verified copy lies at {place}."))

    def print(self) -> None:
        """Print what is shown if it is a page for paper, else the sheet of the round."""
        from rackview.ui import printing
        from rackview.ui.round import sheet as round_sheet

        shown = getattr(self._window.screen_widget(), "document", None)
        document = (shown() if shown is not None else None) or round_sheet.round_sheet(self._window.session)
        printing.show(document, self._settings, self._window).said.connect(self._window.navigation.say)

    def labels(self) -> None:
        """Print labels for the vessels."""
        from rackview.ui import labels, printing

        rack = self._window.session.rack
        if not rack.vessels:
            self._window.navigation.say(_("No vessel is on the rack yet, so there is no label to print."))
            return
        printing.show(labels.label_sheet(rack), self._settings, self._window).said.connect(self._window.navigation.say)

    def picture(self) -> None:
        """Save the screen that is shown as a picture."""
        chosen, _unused = QtWidgets.QFileDialog.getSaveFileName(
            self._window, _("Save this screen as a picture"), "rack.png", "PNG (*.png)"
        )
        if chosen:
            saved = self._window.screen_widget().grab().save(chosen)
            self._window.navigation.say(
                _("Saved {file}").format(file=chosen)
                if saved
                else _("{chosen} could not be written.").format(chosen=chosen)
            )

    def plot_picture(self) -> None:
        """Save what the screen plots as a picture by itself, fine enough for paper."""
        from rackview.ui import copying

        screen = self._window.screen_widget()
        plot = copying.plot_on(screen)
        if plot is None:
            self._window.navigation.say(_("Nothing is plotted on this page."))
            return
        chosen, _unused = QtWidgets.QFileDialog.getSaveFileName(
            self._window, _("Save the plot as a picture"), "plot.png", "PNG (*.png)"
        )
        if chosen:
            saved = copying.picture_of(plot, screen.accessibleName(), self._window.theme).save(chosen)
            self._window.navigation.say(
                _("Saved {file}").format(file=chosen)
                if saved
                else _("{chosen} could not be written.").format(chosen=chosen)
            )

    def _try_file(self, call: Callable[[], object], said: str) -> None:
        try:
            self._window.navigation.say(said.format(place=call()))
        except (InputError, StoreError, OSError) as error:
            self.tell(str(error))

    def tell(self, sentence: str, details: str = "") -> None:
        """Say something that needs more room than the line of what was done."""
        box = QtWidgets.QMessageBox(self._window)
        box.setIcon(box.Icon.Information)
        box.setWindowTitle("rackview")
        box.setText(sentence)
        box.setStandardButtons(box.StandardButton.Ok)
        box.setDetailedText(details)
        box.open()

    def show_in_menu(self) -> None:
        """Put the program into the desktop's menu, or take it out again."""
        try:
            if self._window.commands["desktop"].isChecked():
                desktop.install_menu_entry()
                self._window.navigation.say(_("rackview is in the applications menu now."))
            else:
                desktop.remove()
                self._window.navigation.say(_("rackview is out of the applications menu."))
        except (InputError, OSError) as error:
            self._window.navigation.say(str(error))
        self._window.look.mark()
