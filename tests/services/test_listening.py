"""Probes through a real broker: what they send becomes readings; floods are thinned, garbage is refused."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rackview.core.errors import InputError
from rackview.core.events import Reading
from rackview.core.vessel import Vessel
from rackview.exchange.live import Gathered, Place
from rackview.services.listening import Broker, listen
from rackview.services.sessions import open_session
from rackview.store import Store

MOSQUITTO = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin:/usr/local/sbin")
NOW = datetime(2026, 3, 1, 8, 30, tzinfo=UTC)
TANK = {"shed/a1/temp": Place("A1", "temperature_c"), "shed/a1/ph": Place("A1", "ph")}


# --- gathering, without a broker ------------------------------------------------------------------------------------


def test_a_flood_becomes_one_reading_with_its_mean_low_and_high() -> None:
    gathered = Gathered()
    for n in range(10_000):
        gathered.take("t", TANK["shed/a1/temp"], b"%.1f" % (24 + n % 3), NOW)
    gathered.take("p", TANK["shed/a1/ph"], b" 7.9\n", NOW)
    (row,) = gathered.readings()
    assert row["temperature_c"] == pytest.approx(25.0, abs=0.001)
    assert row["ph"] == 7.9
    assert row["note"] == "low to high: temperature 24 to 26, pH 7.9 to 7.9; 10001 values, 08:30 to 08:30"
    assert gathered.readings() == []


@pytest.mark.parametrize(
    "payload", [b"", b"warm", b"nan", b"inf", b"900", b"-900", b"\xff\xfe\x00", b'{"t": 24}', b"24," * 500, b"0x18"]
)
def test_garbage_is_refused_in_a_sentence_said_once(payload: bytes) -> None:
    gathered = Gathered()
    for _ in range(1000):
        gathered.take("t", TANK["shed/a1/temp"], payload, NOW)
    assert gathered.readings() == []
    (sentence,) = gathered.refused.values()
    assert "temperature_c" in sentence
    assert len(sentence) < 200


@pytest.mark.parametrize("text", ["A1", "A1:colour", ":ph", "A1:", ""])
def test_a_place_that_can_not_be(text: str) -> None:
    with pytest.raises(InputError, match="VESSEL:COLUMN"):
        Place.named(text)


def test_a_vessel_may_have_a_colon_in_its_name() -> None:
    assert Place.named("rack 2:A1:salinity") == Place("rack 2:A1", "salinity")


# --- a real broker ----------------------------------------------------------------------------------------------------


@contextmanager
def broker(folder: Path, port: int, *lines: str) -> Iterator[None]:
    """A mosquitto of our own on the loopback address."""
    assert MOSQUITTO is not None
    config = folder / "mosquitto.conf"
    config.write_text("\n".join((f"listener {port} 127.0.0.1", "persistence false", *lines)) + "\n", encoding="utf-8")
    started = subprocess.Popen([MOSQUITTO, "-c", str(config)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        for _ in range(200):
            with socket.socket() as tried:
                if tried.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.05)
        yield
    finally:
        started.terminate()
        started.wait(20)


@pytest.fixture
def port(monkeypatch: pytest.MonkeyPatch) -> int:
    """A free port of the loopback address, which may then be spoken to."""
    monkeypatch.setenv("RACKVIEW_TEST_LOOPBACK", "1")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "rack.db"
    session = open_session(path, lambda: NOW)
    session.take(vessels=[Vessel("A1", "rotifer-L", "A", 1, 20.0)], events=(), words="Set up")
    session.close()
    return path


needs_broker = pytest.mark.skipif(MOSQUITTO is None, reason="mosquitto is not installed")


def send(port: int, messages: list[tuple[str, bytes]]) -> None:
    publish = pytest.importorskip("paho.mqtt.publish")
    publish.multiple([{"topic": t, "payload": p, "qos": 1} for t, p in messages], hostname="127.0.0.1", port=port)


@needs_broker
def test_what_probes_send_becomes_readings(store: Path, tmp_path: Path, port: int) -> None:
    told: list[str] = []
    ended, listening = threading.Event(), threading.Event()

    def say(sentence: str) -> None:
        told.append(sentence)
        listening.set()

    with broker(tmp_path, port, "allow_anonymous true"):
        counted: list[int] = []
        thread = threading.Thread(
            target=lambda: counted.append(listen(store, lambda: NOW, Broker("127.0.0.1", port), TANK, 0.2, say, ended))
        )
        thread.start()
        assert listening.wait(30)
        flood = [("shed/a1/temp", b"24.5")] * 500 + [("shed/a1/temp", b"hot"), ("shed/a1/ph", b"8.1")]
        flood += [("shed/other", b"99"), ("shed/a1/ph", b"8" * 5000)]
        send(port, flood)
        for _ in range(200):
            if len(told) > 1:
                break
            time.sleep(0.05)
        ended.set()
        thread.join(30)
    assert not thread.is_alive()
    with Store.open(store) as opened:
        readings = [e for e in opened.load().events() if isinstance(e, Reading)]
    assert 1 <= len(readings) <= 10, "a flood is thinned"
    assert counted == [len(readings)]
    assert {r.temperature_c for r in readings} <= {24.5, None}
    assert 8.1 in {r.ph for r in readings}
    assert sum(int(r.note.rsplit("; ", 1)[1].split()[0]) for r in readings) == 501
    assert told[1:] == ["shed/a1/temp: temperature_c: found “hot”, but needs a plain number such as 24.6."]


@needs_broker
def test_a_broker_that_asks_for_a_password(store: Path, tmp_path: Path, port: int) -> None:
    with broker(tmp_path, port, "allow_anonymous false"), pytest.raises(InputError, match="lets this program in"):
        listen(store, lambda: NOW, Broker("127.0.0.1", port), TANK, 1, lambda _: None, threading.Event())


def test_no_broker_and_no_such_vessel_are_sentences(store: Path, port: int) -> None:
    pytest.importorskip("paho.mqtt.client")
    with pytest.raises(InputError, match="a broker that answers"):
        listen(store, lambda: NOW, Broker("127.0.0.1", port), TANK, 1, lambda _: None, threading.Event())
    other = {"t": Place("A9", "ph")}
    with pytest.raises(InputError, match="vessel"):
        listen(store, lambda: NOW, Broker("127.0.0.1", port), other, 1, lambda _: None, threading.Event())


@needs_broker
def test_the_command_ends_with_what_it_heard(store: Path, tmp_path: Path, port: int) -> None:
    with broker(tmp_path, port, "allow_anonymous true"):
        words = ["--store", str(store), "listen", "--broker", f"127.0.0.1:{port}", "--take", "shed/t=A1:temperature_c"]
        program = subprocess.Popen(
            [sys.executable, "-m", "rackview", *words],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=os.environ,
        )  # fmt: skip
        assert program.stderr is not None
        assert "Listening to 1 topic" in program.stderr.readline()
        send(port, [("shed/t", b"25.5")])
        time.sleep(2.0)  # the broker has it; the program is given time to take it
        program.send_signal(signal.SIGTERM)
        out, _ = program.communicate(timeout=60)
    assert program.returncode == 0
    assert out == "1 reading recorded.\n"
