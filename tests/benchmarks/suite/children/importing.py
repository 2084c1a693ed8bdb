"""An import as the command line makes it: prints processor time until every line is in the store, and to the end, s.

importing.py STORE FILE...
"""

import sys
import time
from pathlib import Path

from rackview import terminal
from rackview.services.files import import_files

marks: list[float] = []
found = import_files(
    sys.argv[2:],
    Path(sys.argv[1]),
    terminal.now,
    taken=lambda _: marks.append(time.process_time()),
    tell=lambda _: None,
)
assert marks, [str(line) for line in found.intake.refused[:3]]
print(marks[0], time.process_time())
