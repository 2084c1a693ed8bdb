"""One window for each store: a second start knocks at the door of the first."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QLockFile
from PySide6.QtNetwork import QLocalServer, QLocalSocket

from rackview.services import places


class Door:
    """One window per store: a lock file beside it, and a knock that raises the window which holds it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = QLockFile(str(path) + ".window-lock")
        self._lock.setStaleLockTime(0)
        self._name = knock_name(path)
        self._server: QLocalServer | None = None
        self._raise: Callable[[], object] | None = None
        places.make_usual_folder(path)
        # a folder that is away or can't be written to holds no lock, and the store itself says what is wrong
        self.first = self._lock.tryLock(100) or self._lock.error() != QLockFile.LockError.LockFailedError
        if not self.first and not self._knock():
            self.first = True  # the lock is another PC's or its window hangs: both may write, so go on without it
        if self.first:
            QLocalServer.removeServer(self._name)
            self._server = QLocalServer()
            self._server.setSocketOptions(QLocalServer.SocketOption.UserAccessOption)
            self._server.newConnection.connect(self._knocked)
            self._server.listen(self._name)

    def _knock(self) -> bool:
        socket = QLocalSocket()
        socket.connectToServer(self._name)
        answered = socket.waitForConnected(500)
        socket.disconnectFromServer()
        return answered

    def _knocked(self) -> None:
        if self._raise is not None:
            self._raise()

    def on_knock(self, raise_up: Callable[[], object]) -> None:
        """Call `raise_up`, and nothing else any more, when a second start knocks."""
        self._raise = raise_up

    def close(self) -> None:
        """Let go of the lock."""
        if self._server is not None:
            self._server.close()
        self._lock.unlock()


def knock_name(path: Path) -> str:
    """Where a second start knocks: a socket in the user's own runtime folder where there is one."""
    name = f"rackview-{abs(hash_of(path)):x}"
    folder = os.environ.get("XDG_RUNTIME_DIR", "")
    return str(Path(folder) / name) if folder and Path(folder).is_dir() else name


def hash_of(path: Path) -> int:
    """A number for a path that is the same in every process."""
    import zlib

    return zlib.crc32(str(path.resolve()).encode())
