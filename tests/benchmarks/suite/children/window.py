"""The program's own window on a store, from nothing until every estimate is painted.

window.py STORE paint        print processor time when every tile in view has its estimate, and peak memory and
                             processor time when every tile has; then leave as the window is closed
window.py STORE kill         record a count then, and end without closing anything
window.py STORE settle       go on until nothing is left to be worked out behind the window, then leave as it is closed
window.py STORE idle S       idle for so many seconds; print processor time used and the shortest timer, ms
"""

import os
import sys
import time
from pathlib import Path

from rackview.__main__ import spare_docs
from rackview.core.garbage import kept_out

spare_docs()  # as the program does
with kept_out():
    from rackview import app as rackview

STORE, MODE = Path(sys.argv[1]), sys.argv[2]
if STORE.with_name("end").exists():
    from datetime import datetime

    END = datetime.fromisoformat(STORE.with_name("end").read_text())
    rackview.now = lambda: END

from rackview.ui.rack import view as rack_view


def peak() -> float:
    with Path("/proc/self/status").open(encoding="ascii") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) / 1024


def painted() -> None:
    rack_view.RackView.show_shelves = show
    program._window.repaint()
    app.processEvents()
    print(in_view[0], peak(), time.process_time(), flush=True)
    if MODE == "kill":
        vessel = next(iter(program._session.rack.vessels))
        program._session.record({"at": rackview.now(), "vessel": vessel, "kind": "count", "tallies": "210 205 190"})
        os.kill(os.getpid(), 9)
    app.quit()


in_view: list[float] = []


def shown(view: rack_view.RackView, shelves: tuple) -> None:
    show(view, shelves)
    tiles = {p.vessel: p for shelf in shelves for p in shelf.places if hasattr(p, "density")}
    if MODE not in {"paint", "kill"} or not tiles:
        return
    near = view.in_view()
    if not in_view and near and all(tiles[name].tooltip for name in near):
        view.repaint()
        in_view.append(time.process_time())
    if in_view and all(tile.tooltip for tile in tiles.values()):
        painted()


show = rack_view.RackView.show_shelves
rack_view.RackView.show_shelves = shown
app = rackview.application()
program = rackview.Program(app)
program.open(STORE)
if MODE == "settle":
    from PySide6.QtCore import QTimer

    def settled() -> None:
        session = program._session
        if not (session.recounting or session.waits_for_advice or session.behind_the_rack):
            app.quit()

    looks = QTimer()
    looks.timeout.connect(settled)
    QTimer.singleShot(2000, lambda: looks.start(500))
if MODE == "idle":
    import gc

    from PySide6.QtCore import QTimer

    seconds, marks = float(sys.argv[3]), []

    def done() -> None:
        used = time.process_time() - marks[0]
        gc.unfreeze()  # what was there when the first answers came is not listed else
        running = [t for t in gc.get_objects() if isinstance(t, QTimer) and t.isActive() and not t.isSingleShot()]
        print(used, min((t.interval() for t in running), default=60_000), flush=True)
        app.quit()

    QTimer.singleShot(8000, lambda: marks.append(time.process_time()))
    QTimer.singleShot(8000 + round(1000 * seconds), done)
program.run()
