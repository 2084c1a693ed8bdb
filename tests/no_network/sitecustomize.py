"""Loaded by every Python that the tests start: a connection to anywhere ends in an error."""

import os
import sys

LOOPBACK = "RACKVIEW_TEST_LOOPBACK"
"""Set by the tests that start a broker of their own: 127.0.0.1 may then be spoken to, and nothing else."""

REACHING_OUT = frozenset(
    {"socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto", "socket.bind"}
)


class NetworkUsedError(Exception):
    """Something tried to reach a network."""


def _refuse(event: str, args: tuple) -> None:
    if event not in REACHING_OUT:
        return
    # a Unix socket's address is text or bytes: it stays on this machine
    local = event in {"socket.connect", "socket.bind"} and isinstance(args[1], str | bytes)
    if not local and os.environ.get(LOOPBACK):
        address = args[1] if event in {"socket.connect", "socket.bind", "socket.sendto"} else args
        local = address[0] in {"127.0.0.1", b"127.0.0.1", *([""] if event == "socket.bind" else [])}
    if not local:
        raise NetworkUsedError(f"{event} {args[1:]!r}: rackview uses no network")


sys.addaudithook(_refuse)
