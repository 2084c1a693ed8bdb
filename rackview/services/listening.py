"""Probes that send to the keeper's own MQTT broker, taken into the store as readings.

MQTT 3.1.1 is OASIS's standard; paho-mqtt speaks it (`pip install rackview[mqtt]`). Off unless it is asked for, and it
only listens: nothing of the rack is sent to anyone.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.exchange.live import Gathered, Place
from rackview.language import _
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session

LARGEST = 1024
"""Bytes of a message; a larger one holds no value of a probe and is dropped unread."""


@dataclass(frozen=True, slots=True)
class Broker:
    """Where the broker is, and how one logs in there."""

    host: str
    port: int = 1883
    tls: bool = False
    user: str = ""
    password: str = ""


def listen(
    path: Path,
    clock: Callable[[], datetime],
    broker: Broker,
    places: Mapping[str, Place],
    every_s: float,
    told: Callable[[str], None],
    ended: threading.Event,
) -> int:
    """Record the mean of what comes in every `every_s` seconds, until `ended` is set; return how many readings.

    A lost connection is taken up again by itself. What was gathered when it ends is recorded too. Raises `InputError`
    for an unknown vessel, a broker that refuses or can't be reached at the start, or without paho-mqtt; `StoreError`
    for a store that can't be written.
    """
    session = open_session(path, clock)
    gathered, lock = Gathered(), threading.Lock()
    done = 0
    try:
        for place in places.values():
            session.rack.vessel(place.vessel)

        def received(topic: str, payload: bytes) -> None:
            with lock:
                gathered.take(topic, places[topic], payload, clock())

        client = _connected(broker, places, received)
        try:
            told(
                _("Listening to {places} {word} at {host}.").format(
                    places=len(places), word=_("topic") if len(places) == 1 else _("topics"), host=broker.host
                )
            )
            while not ended.wait(every_s):
                done += _recorded(session, gathered, lock, told)
        finally:
            client.loop_stop()
            client.disconnect()
        done += _recorded(session, gathered, lock, told)
    finally:
        session.close()
    return done


def _recorded(session: RackSession, gathered: Gathered, lock: threading.Lock, told: Callable[[str], None]) -> int:
    with lock:
        readings, refused = gathered.readings(), dict(gathered.refused)
        gathered.refused.clear()
    for topic, sentence in refused.items():
        told(f"{topic}: {sentence}")
    if readings:
        session.record(readings, "Listen")
    return len(readings)


def _client(broker: Broker) -> Any:
    """A client that is not connected yet; raises `InputError` without paho-mqtt."""
    try:
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion
    except ImportError:
        raise InputError("broker", broker.host, _("paho-mqtt, which pip install rackview[mqtt] brings")) from None
    client = Client(CallbackAPIVersion.VERSION2)
    client.reconnect_delay_set(1, 60)
    if broker.user:
        client.username_pw_set(broker.user, broker.password)
    if broker.tls:
        client.tls_set()
    return client


def _connected(broker: Broker, topics: Iterable[str], received: Callable[[str, bytes], None]) -> Any:
    """A client that is connected and listens in a thread of its own."""
    client = _client(broker)
    answered, problem = threading.Event(), []
    wanted = tuple(topics)
    granted: set[int] = set()

    def on_connect(_client: Any, _data: object, _flags: object, reason: Any, _properties: object) -> None:
        if reason.is_failure:
            problem.append(str(reason))
            answered.set()
        else:
            for topic in wanted:
                client.subscribe(topic)

    def on_subscribe(_client: Any, _data: object, mid: int, _reasons: object, _properties: object) -> None:
        granted.add(mid)
        if len(granted) >= len(wanted):  # what is sent before that would be missed
            answered.set()

    def on_message(_client: Any, _data: object, message: Any) -> None:
        if len(message.payload) <= LARGEST:
            received(message.topic, message.payload)

    client.on_connect, client.on_subscribe, client.on_message = on_connect, on_subscribe, on_message
    try:
        client.connect(broker.host, broker.port)
    except (OSError, ValueError) as error:
        raise InputError(
            "broker", f"{broker.host}:{broker.port}", _("a broker that answers ({error})").format(error=error)
        ) from None
    client.loop_start()
    if not answered.wait(20) or problem:
        client.loop_stop()
        why = problem[0] if problem else _("no answer in 20 s")
        raise InputError(
            "broker", f"{broker.host}:{broker.port}", _("a broker that lets this program in ({why})").format(why=why)
        )
    return client
