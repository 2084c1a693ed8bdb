"""The window: models, painting, views."""

import builtins

if hasattr(builtins, "__orig_import__"):
    # PySide puts a function of its own in the place of Python's import, which at each import statement asks whether its
    # module wants Qt's functions by other names (`from __feature__ import snake_case`) and reads the source of what was
    # imported for it. None of ours does; reading takes a tenth of a start and 10 MB, asking a fiftieth.
    builtins.__import__ = builtins.__orig_import__
