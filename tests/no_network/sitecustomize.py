"""Loaded by every Python that the tests start: a connection to anywhere ends in an error."""

import sys

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
    if not local:
        raise NetworkUsedError(f"{event} {args[1:]!r}: rackview uses no network")


sys.addaudithook(_refuse)
