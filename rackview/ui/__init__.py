"""The window: models, painting, views."""

import sys

_feature = sys.modules.get("shibokensupport.feature")
if hasattr(_feature, "_mod_uses_pyside"):
    # PySide reads the source of every module that is imported after it, to see whether it may ask for Qt's functions by
    # other names (`from __feature__ import snake_case`). None here does; reading takes a tenth of a start and 10 MB.
    setattr(_feature, "_mod_uses_pyside", lambda module: True)  # noqa: B010 - it is PySide's own, and may go
