"""`python -m rackview`, the console script, and the window's shortcut."""

from __future__ import annotations

import sys


def main() -> int:
    """Run the command line; return the exit status."""
    from rackview.cli import main as run

    return run()


if __name__ == "__main__":
    sys.exit(main())
