"""The subcommand `listen`: probes that send to the keeper's own MQTT broker."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

from rackview import terminal as say
from rackview.core.errors import InputError
from rackview.language import _

if TYPE_CHECKING:
    from rackview.exchange.live import Place

PASSWORD = "RACKVIEW_MQTT_PASSWORD"  # noqa: S105 - the name of the variable, not what it holds


def add_listen(one: argparse.ArgumentParser) -> None:
    """The arguments of `listen`."""
    one.add_argument("--broker", required=True, metavar="HOST[:PORT]", help=_("the broker on your own network"))
    one.add_argument(
        "--take",
        required=True,
        action="append",
        metavar="TOPIC=VESSEL:COLUMN",
        help=_("where a topic's values belong; may be given more than once"),
    )
    one.add_argument(
        "--every", type=_minutes, default=360.0, metavar="MIN", help=_("minutes to a reading (usually 360)")
    )
    one.add_argument(
        "--user",
        default="",
        metavar="NAME",
        help=_("log in; the password is read from {password}").format(password=PASSWORD),
    )
    one.add_argument("--tls", action="store_true", help=_("speak to the broker encrypted (usually on port 8883)"))


def run_listen(words: argparse.Namespace) -> int:
    """Carry out `listen` until Ctrl+C."""
    import signal
    import threading

    from rackview.services.listening import Broker
    from rackview.services.listening import listen as take_in

    say.rack_of(words)  # says so if there is no store
    host, _unused, port = words.broker.partition(":")
    if not host or (port and not (port.isascii() and port.isdecimal() and 0 < int(port) < 65536)):
        raise InputError("broker", words.broker, _("a host, or host:port with a port from 1 to 65535"))
    usual = 8883 if words.tls else 1883
    broker = Broker(host, int(port or usual), words.tls, words.user, os.environ.get(PASSWORD, ""))
    ended = threading.Event()
    before = {s: signal.signal(s, lambda *_: ended.set()) for s in (signal.SIGINT, signal.SIGTERM)}
    try:
        number = take_in(
            say.store_of(words), say.now, broker, _places(words.take), 60 * words.every, say.print_sentence, ended
        )
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)
    say.print_lines(
        [_("{number} {word} recorded.").format(number=number, word=_("reading") if number == 1 else _("readings"))]
    )
    return say.DONE


def _places(taken: list[str]) -> dict[str, Place]:
    from rackview.exchange.live import Place

    found: dict[str, Place] = {}
    for text in taken:
        topic, sign, place = text.partition("=")
        if not sign or not topic or topic in found or set("+#\0") & set(topic):
            raise InputError("take", text, _("TOPIC=VESSEL:COLUMN, each topic once and whole, without + or #"))
        found[topic] = Place.named(place)
    return found


def _minutes(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if 0.01 <= value <= 1440:
        return value
    raise argparse.ArgumentTypeError(_("found “{text}”, but needs minutes from 0.01 to 1440").format(text=text))
