"""The whole suite runs without a network, and so do the programs that it starts."""

import socket
import subprocess
import sys

import pytest


def test_a_connection_is_refused() -> None:
    with socket.socket() as plug, pytest.raises(Exception, match="uses no network"):
        plug.connect(("192.0.2.1", 80))  # TEST-NET-1, RFC 5737


def test_a_name_is_not_looked_up() -> None:
    with pytest.raises(Exception, match="uses no network"):
        socket.getaddrinfo("example.invalid", 80)  # RFC 2606


def test_a_started_program_is_refused_too() -> None:
    code = "import socket; socket.create_connection(('192.0.2.1', 80), timeout=1)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "uses no network" in done.stderr


def test_a_test_with_a_broker_of_its_own_reaches_nothing_else(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RACKVIEW_TEST_LOOPBACK", "1")
    with socket.socket() as plug:
        plug.bind(("127.0.0.1", 0))
        for far in ("192.0.2.1", "0.0.0.0"):  # noqa: S104 - it must be refused
            with pytest.raises(Exception, match="uses no network"):
                plug.connect((far, 80))
    with pytest.raises(Exception, match="uses no network"):
        socket.getaddrinfo("localhost.invalid", 80)
