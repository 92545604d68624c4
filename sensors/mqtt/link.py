"""One connection to an MQTT broker. The only importer of paho.

paho runs on the event loop, without a thread of its own: it tells us which socket to watch. Each connection has its own
client object, so nothing of a broken one is left over; only the broker's session goes on. Time limits here are seconds
of the event loop, not of the clock that is handed in: a broker's keepalive does not run faster in a demo.
"""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode
from paho.mqtt.subscribeoptions import SubscribeOptions

from sensors.driver import LinkLost, LinkRefused
from sensors.threads import in_daemon_thread

SESSION_EXPIRY_S = 86_400
RECEIVE_MAXIMUM = 100
CONNECT_WITHIN_S = 3.0
ANSWER_WITHIN_S = 10.0
SILENT_KEEPALIVES = 3
BURST = 50
"""Packets read before the loop gets its turn."""
_REFUSALS = {
    "Unsupported protocol version": "a broker that speaks MQTT 5",
    "Client identifier not valid": "a broker that takes client ids of up to 80 characters",
    "Bad user name or password": "the user name and password that this broker knows",
    "Not authorized": "the user name and password that this broker knows, and a right to read these topics",
    "Banned": "a client that this broker has not banned",
    "Bad authentication method": "a broker that takes a user name and password, or none",
}
"""What a person has to change, by the name of the reason code (MQTT 5.0, OASIS 2019, section 2.4)."""
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Message:
    """One message as it came. ``mid`` is the id to acknowledge it with (QoS 1)."""

    topic: str
    payload: bytes
    qos: int
    retained: bool
    redelivered: bool
    mid: int


class Link:
    """One paho client on the running loop for the life of one connection. ``ended`` holds why it is over.

    Subclasses say what to do with messages: :meth:`has_room` before each is read, :meth:`deliver` after some were.
    """

    def __init__(self, host: str, port: int, client_id: str, keepalive_s: int) -> None:
        self.where = f"{host}:{port}"
        self.loop = asyncio.get_running_loop()
        self.ended: asyncio.Future[Exception] = self.loop.create_future()
        self.answered: asyncio.Future[None] = self.loop.create_future()
        self.subscribed: asyncio.Future[None] = self.loop.create_future()
        self.inbox: deque[Message] = deque()
        self.client = paho.Client(
            CallbackAPIVersion.VERSION2, client_id=client_id, protocol=paho.MQTTv5, manual_ack=True
        )
        self.client.connect_timeout = CONNECT_WITHIN_S
        self.client.on_connect = self._on_connect
        self.client.on_disconnect = self._on_disconnect
        self.client.on_subscribe = self._on_subscribe
        self.client.on_message = self._on_message
        self.client.on_socket_open = lambda _client, _data, sock: self._on_loop(self._watch, sock)
        self.client.on_socket_close = lambda _client, _data, sock: self._forget(sock)
        self.client.on_socket_register_write = lambda _client, _data, sock: self._on_loop(self._watch_writing, sock)
        self.client.on_socket_unregister_write = lambda _client, _data, sock: self._unwatch_writing(sock)
        self._address = host, port
        self._topics: Sequence[str] = ()
        self._keepalive_s = keepalive_s
        self._thread = threading.get_ident()
        self.heard_s = self.loop.time()
        self._ticking: asyncio.TimerHandle | None = None

    async def open(self, username: str | None, password: str | None, *, keep_session: bool) -> None:
        """Connect and await the broker's yes. Raises LinkLost and LinkRefused."""
        if username is not None:
            self.client.username_pw_set(username, password)
        wanted = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
        wanted.ReceiveMaximum = RECEIVE_MAXIMUM
        wanted.SessionExpiryInterval = SESSION_EXPIRY_S if keep_session else 0
        connecting = in_daemon_thread(
            lambda: self.client.connect(
                *self._address, self._keepalive_s, clean_start=not keep_session, properties=wanted
            ),
            f"connect {self.where}",
        )
        try:
            await asyncio.shield(connecting)
        except asyncio.CancelledError:
            # The thread cannot be stopped (a name look-up may hang), but what it opens is closed again.
            connecting.add_done_callback(self._close_after)
            raise
        except (OSError, ValueError) as err:
            raise LinkLost(f"{self.where}: cannot connect: {err}") from err
        self.heard_s = self.loop.time()
        self._tick()
        await self.first(self.answered, "the connection")

    async def first(self, wanted: asyncio.Future[_T], what: str, within_s: float = ANSWER_WITHIN_S) -> _T:
        """The result of ``wanted``, unless the link ends before or is not answered in time: then raises why."""
        waiting: set[asyncio.Future[Any]] = {wanted, self.ended}
        await asyncio.wait(waiting, timeout=within_s, return_when=asyncio.FIRST_COMPLETED)
        if self.ended.done():
            raise self.ended.result()
        if not wanted.done():
            raise LinkLost(f"{self.where}: no answer to {what} within {within_s:.0f} s")
        return wanted.result()

    def subscribe(self, topics: Sequence[str], *, replay: bool = True) -> None:
        """Ask for ``topics`` at QoS 1; ``replay`` asks for the retained values. The answer is :attr:`subscribed`."""
        self._topics = topics
        replayed = SubscribeOptions.RETAIN_SEND_ON_SUBSCRIBE
        handling = replayed if replay else SubscribeOptions.RETAIN_DO_NOT_SEND
        options = SubscribeOptions(qos=1, retainHandling=handling)
        self.client.subscribe([(topic, options) for topic in topics])

    def close(self) -> None:
        """Say goodbye, if the socket takes it, and let the socket go either way."""
        if self._ticking is not None:
            self._ticking.cancel()
        self.end(LinkLost(f"{self.where}: closed"))
        self.client.disconnect()
        self.client.loop_write()
        sock = self.client.socket()
        if sock is not None:
            self._forget(sock)
            self.client.on_socket_close = None
            sock.close()

    def _close_after(self, connecting: asyncio.Future[Any]) -> None:
        if connecting.exception() is None:
            self.close()

    def end(self, error: Exception) -> None:
        """The connection is over. The first reason counts."""
        if not self.ended.done():
            self.ended.set_result(error)

    def _on_connect(
        self, _client: object, _data: object, flags: paho.ConnectFlags, reason: ReasonCode, _props: object
    ) -> None:
        if reason.is_failure:
            self.end(_refusal(f"{self.where}: the broker says: {reason}", str(reason)))
        elif not self.answered.done():
            if flags.session_present:
                self.resumed()
            self.answered.set_result(None)

    def _on_disconnect(
        self, _client: object, _data: object, flags: paho.DisconnectFlags, reason: ReasonCode, _props: object
    ) -> None:
        said = str(reason)
        if not flags.is_disconnect_packet_from_server:  # then paho has only a number of its own to name
            said = "no answer to a ping" if said == "Keep alive timeout" else "the broker closed it, or the wire broke"
        self.end(_refusal(f"{self.where}: connection lost: {said}", said))

    def _on_subscribe(self, _c: object, _data: object, _mid: int, reasons: list[ReasonCode], _props: object) -> None:
        for topic, reason in zip(self._topics, reasons, strict=False):
            if reason.is_failure:
                self.end(_refusal(f"{self.where}: the broker says to the topic {topic}: {reason}", str(reason)))
        if not self.subscribed.done():
            self.subscribed.set_result(None)

    def _on_message(self, _client: object, _data: object, message: paho.MQTTMessage) -> None:
        # Only put down here; it is worked on when paho has returned.
        try:
            topic = message.topic
        except UnicodeDecodeError as err:
            topic = err.object.decode("utf-8", "backslashreplace")
        self.take_in(Message(topic, bytes(message.payload), message.qos, message.retain, message.dup, message.mid))

    def _on_loop(self, call: Callable[..., None], sock: object) -> None:
        """paho connects in a worker thread, where the loop must not be touched."""
        if threading.get_ident() == self._thread:
            call(sock)
        else:
            with contextlib.suppress(RuntimeError):  # the loop is closed: the program ends
                self.loop.call_soon_threadsafe(call, sock)

    def _watch(self, sock: Any) -> None:
        if sock.fileno() >= 0:
            self.loop.add_reader(sock, self._guarded, self._read)

    def _watch_writing(self, sock: Any) -> None:
        if sock.fileno() >= 0:
            self.loop.add_writer(sock, self._guarded, self.client.loop_write)

    def _unwatch_writing(self, sock: Any) -> None:
        if sock.fileno() >= 0:
            self.loop.remove_writer(sock)

    def _forget(self, sock: Any) -> None:
        if sock.fileno() >= 0:
            self.loop.remove_reader(sock)
            self.loop.remove_writer(sock)

    def _guarded(self, call: Callable[[], object]) -> None:
        try:
            call()
        except Exception as err:  # noqa: BLE001 - a callback has nobody above it: whoever awaits ``ended`` raises it
            self.end(err)

    def pause_reading(self) -> None:
        """Leave what comes in the socket, and so with the broker."""
        sock = self.client.socket()
        if sock is not None:
            self.loop.remove_reader(sock)

    def resume_reading(self) -> None:
        """Read again."""
        sock = self.client.socket()
        if sock is not None:
            self._watch(sock)

    def _read(self) -> None:
        self.heard_s = self.loop.time()
        for _ in range(BURST):
            before = len(self.inbox)
            self.client.loop_read()
            if len(self.inbox) == before or not self.has_room():
                break
        self.deliver()

    def take_in(self, message: Message) -> None:
        """One message was read."""
        self.inbox.append(message)

    def resumed(self) -> None:
        """The broker knew us: what it kept for us comes first."""

    def has_room(self) -> bool:
        """Whether to go on reading."""
        return True

    def deliver(self) -> None:
        """Some packets were read; messages are in :attr:`inbox`."""

    def _tick(self) -> None:
        self._ticking = self.loop.call_later(1.0, self._tick)
        self._guarded(self.each_second)

    def each_second(self) -> None:
        """paho's own upkeep (it pings), and our limit on silence: a half-open link shows nothing else."""
        self.client.loop_misc()
        silent_s = self.loop.time() - self.heard_s
        if silent_s >= SILENT_KEEPALIVES * self._keepalive_s:
            self.end(LinkLost(f"{self.where}: nothing heard for {silent_s:.0f} s, not even an answer to a ping"))


def _refusal(text: str, reason: str) -> LinkLost | LinkRefused:
    right = _REFUSALS.get(reason)
    return LinkLost(text) if right is None else LinkRefused(f"{text}; would be right: {right}")
