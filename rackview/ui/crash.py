"""When our own code fails: keep what was typed, say so in a sentence, offer the details, close in order.

Faults of the surroundings (a full disk, a lost folder) never come here; they have sentences of their own.
"""

from __future__ import annotations

import logging
import platform
import sys
import threading
import traceback
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QMessageLogContext, QtMsgType, qInstallMessageHandler, qVersion
from PySide6.QtWidgets import QApplication, QMessageBox

from rackview import __version__
from rackview.language import _
from rackview.services import logbook
from rackview.services.faults import StoreError

log = logging.getLogger("rackview.crash")
LEVELS = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.INFO,
    QtMsgType.QtWarningMsg: logging.WARNING,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


class _Report:
    """Where the log lies, what to do before anything else, and whether a report is already on screen."""

    folder: Path | None = None
    rescue: Callable[[], None] | None = None
    mend: Callable[[StoreError], None] | None = None
    showing = False


def install_crash_hooks(folder: Path) -> None:
    """Route every uncaught exception and Qt message to the log in `folder`, and exceptions to a report."""
    _Report.folder = folder
    sys.excepthook = uncaught
    threading.excepthook = lambda a: uncaught(a.exc_type, a.exc_value or a.exc_type(), a.exc_traceback)
    qInstallMessageHandler(_qt_message)


def uninstall() -> None:
    """Give exceptions and Qt messages back to Python and Qt."""
    sys.excepthook = sys.__excepthook__
    threading.excepthook = threading.__excepthook__
    qInstallMessageHandler(None)
    _Report.folder = _Report.rescue = _Report.mend = None


def rescue(keep: Callable[[], None] | None) -> None:
    """Call `keep` (which saves the open drafts) before a report is shown."""
    _Report.rescue = keep


def mend(suffer: Callable[[StoreError], None] | None) -> None:
    """Hand a fault of the store that nobody met on its way to `suffer`: it is no fault of ours, and ends nothing."""
    _Report.mend = suffer


def uncaught(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    """Log, save drafts, show the report once, and close the program in order."""
    if issubclass(kind, KeyboardInterrupt):
        QApplication.quit()
        return
    if isinstance(error, StoreError) and _Report.mend is not None:
        log.error("the store", exc_info=(kind, error, trace))
        _Report.mend(error)
        return
    log.critical("uncaught", exc_info=(kind, error, trace))
    if _Report.showing:
        return
    _Report.showing = True
    kept = _keep()
    app = QApplication.instance()
    if app is None or threading.current_thread() is not threading.main_thread():
        _Report.showing = False
        return
    box = QMessageBox(QMessageBox.Icon.Critical, "rackview", crash_sentence(kind, error))
    box.setInformativeText(kept)
    box.setDetailedText(report(kind, error, trace))
    box.exec()
    QApplication.quit()


def crash_sentence(kind: type[BaseException], error: BaseException) -> str:
    """What happened, for a person."""
    return _("rackview has a fault of its own and must close: {name}: {error}").format(name=kind.__name__, error=error)


def report(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> str:
    """What a report needs: versions, the traceback and the last lines of the log."""
    lines = [
        _("rackview {version}, Python {python_version}, Qt {qversion}, {platform}").format(
            version=__version__,
            python_version=platform.python_version(),
            qversion=qVersion(),
            platform=platform.platform(),
        ),
        "".join(traceback.format_exception(kind, error, trace)),
    ]
    if _Report.folder is not None:
        file = _Report.folder / logbook.NAME
        if file.is_file():
            lines += [
                _("Last lines of the log:"),
                *file.read_text(encoding="utf-8", errors="replace").splitlines()[-50:],
            ]
    return "\n".join(lines)


def _keep() -> str:
    saved = _("Every recorded entry is in the store.")
    if _Report.rescue is None:
        return saved
    try:
        _Report.rescue()
    except Exception:
        log.exception("drafts could not be saved")
        return saved + _(" What was being typed may be lost.")
    return saved + _(" What was being typed is kept as a draft.")


def _qt_message(level: QtMsgType, context: QMessageLogContext, text: str) -> None:
    log.log(LEVELS.get(level, logging.WARNING), "Qt: %s", text)
