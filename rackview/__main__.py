"""`python -m rackview`, the console script, and the window's shortcut."""

from __future__ import annotations

import sys
from types import ModuleType

NUMPYS_DOCS = ("numpy._core._add_newdocs", "numpy._core._add_newdocs_scalars")
"""The modules in which numpy makes its docstrings."""


def main() -> int:
    """Choose the language, then run the command line; return the exit status."""
    spare_docs()
    from rackview import translations

    translations.install_language(sys.argv[1:])
    from rackview.cli import main as run

    status = run()
    if (threading := sys.modules.get("threading")) and any(one.daemon for one in threading.enumerate()):
        _end(status)
    if "PySide6" not in sys.modules:  # a window's parts are taken down in Qt's order
        from rackview.core.garbage import pass_over

        pass_over()
    return status


def spare_docs() -> None:
    """Let numpy do without its docstrings, as under `python -OO`: a sixth of its loading, and nobody reads them.

    In the program alone: who imports rackview into a notebook has them.
    """
    for name in NUMPYS_DOCS:
        sys.modules.setdefault(name, ModuleType(name))


def _end(status: int) -> None:
    """End while a thread still works something out behind, which keeps nothing and is begun anew at the next start.

    All is closed by now. Python would end such a thread wherever it stands, and within Qt's code that is a crash.
    """
    import os

    for stream in (sys.stdout, sys.stderr):
        if stream is not None:  # a window without a terminal has none
            stream.flush()
    os._exit(status)


if __name__ == "__main__":
    sys.exit(main())
