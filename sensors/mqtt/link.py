"""One connection to an MQTT broker. The only importer of paho.

paho runs on the event loop, without a thread of its own: it tells us which socket to watch. Each connection has its own
client object, so nothing of a broken one is left over; only the broker's session goes on. Time limits here are seconds
of the event loop, not of the clock that is handed in: a broker's keepalive does not run faster in a demo.
"""

from __future__ import annotations

import asyncio
import ssl
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode
from paho.mqtt.subscribeoptions import SubscribeOptions

from sensors.driver import LinkLost
from sensors.mqtt.access import Access
from sensors.mqtt.reasons import NoAnswer, refusal, topic_refusal
from sensors.mqtt.sockets import ReadAhead, SocketWatch
from sensors.mqtt.tls import of_alert
from sensors.mqtt.versions import Version
from sensors.threads import in_daemon_thread

SESSION_EXPIRY_S = 86_400
RECEIVE_MAXIMUM = 100
PACKET_LIMIT = 256 * 1024
"""Bytes. What is longer a broker of MQTT 5 does not send us (5.0 section 3.1.2.11.4); a sensor's message is far below,
a camera's picture on the same topics is not."""
CONNECT_WITHIN_S = 3.0
IMPATIENT_S = 5.0
"""A broker of 3.1.1 alone may wait for ever for the rest of what it takes for a broken packet, so where that can be
tried next, no longer than this is waited for an answer to MQTT 5."""
ANSWER_WITHIN_S = 10.0
SILENT_KEEPALIVES = 3
BURST = 50
"""Packets read before the loop gets its turn."""
_VERSIONS = {"5": paho.MQTTv5, "3.1.1": paho.MQTTv311}
_STILL_HERE = "stillstack/still-here"
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


class _Client(paho.Client):
    """paho's client, reading ahead: it has no way of its own to be given a reader (2.2.0)."""

    def __init__(self, ahead: ReadAhead, **options: Any) -> None:
        super().__init__(CallbackAPIVersion.VERSION2, **options)
        self._ahead = ahead

    def _sock_recv(self, bufsize: int) -> bytes:
        return self._ahead.take(bufsize, super()._sock_recv)


class Link:
    """One paho client on the running loop for the life of one connection. ``ended`` holds why it is over.

    Subclasses say what to do with messages: :meth:`has_room` before each is read, :meth:`deliver` after some were.
    """

    def __init__(self, access: Access, version: Version, *, keep_session: bool) -> None:
        self.where = access.where
        self.loop = asyncio.get_running_loop()
        self.ended: asyncio.Future[Exception] = self.loop.create_future()
        self.answered: asyncio.Future[None] = self.loop.create_future()
        self.subscribed: asyncio.Future[None] = self.loop.create_future()
        self.inbox: deque[Message] = deque()
        ahead = ReadAhead()
        self.client = _Client(
            ahead,
            client_id=access.client_id,
            clean_session=None if version == "5" else not keep_session,
            protocol=_VERSIONS[version],
            manual_ack=True,
            reconnect_on_failure=False,  # else a refused 3.1.1 is tried again in the middle of a callback
        )
        self.client.connect_timeout = CONNECT_WITHIN_S
        self.client.on_connect = self._on_connect
        self.client.on_disconnect = self._on_disconnect
        self.client.on_subscribe = self._on_subscribe
        self.client.on_message = self._on_message
        self.client.on_log = self._on_log
        self._watch = SocketWatch(self._read, self.client.loop_write, self.end, ahead)
        self.client.on_socket_open = self._watch.opened
        self.client.on_socket_close = self._watch.closing
        self.client.on_socket_register_write = self._watch.wants_to_write
        self.client.on_socket_unregister_write = self._watch.has_written
        self._access, self._version, self._keep_session = access, version, keep_session
        self._asked: dict[int | None, tuple[Sequence[str], bool]] = {}
        self._said = ""
        self.heard_s = self.loop.time()
        self._ticking: asyncio.TimerHandle | None = None

    async def open(self, *, patient: bool = True) -> None:
        """Connect and await the broker's yes. Raises LinkLost and LinkRefused: of them NoAnswer and VersionRefused
        where another version of the protocol may help, the former sooner when not ``patient``."""
        connecting = in_daemon_thread(self._connect, f"connect {self.where}")
        try:
            await asyncio.shield(connecting)
        except asyncio.CancelledError:
            # The thread cannot be stopped (a name look-up may hang), but what it opens is closed again.
            connecting.add_done_callback(self._close_after)
            raise
        except (OSError, ValueError) as err:
            if self._access.tls and isinstance(err, ssl.SSLError | ConnectionResetError):
                raise self._access.tls.failure(self.where, self._access.host, err) from err
            raise LinkLost(f"{self.where}: cannot connect: {err}") from err
        self.heard_s = self.loop.time()
        self._tick()
        within_s = ANSWER_WITHIN_S if patient else IMPATIENT_S
        await self.first(self.answered, "the connection", within_s, NoAnswer)

    def _connect(self) -> None:
        access = self._access
        if access.username is not None:
            self.client.username_pw_set(access.username, access.password)
        if access.tls is not None:
            self.client.tls_set_context(access.tls.context())
        if self._version != "5":
            self.client.connect(access.host, access.port, access.keepalive_s)
            return
        wanted = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
        wanted.ReceiveMaximum = RECEIVE_MAXIMUM
        wanted.MaximumPacketSize = PACKET_LIMIT
        wanted.SessionExpiryInterval = SESSION_EXPIRY_S if self._keep_session else 0
        self.client.connect(
            access.host, access.port, access.keepalive_s, clean_start=not self._keep_session, properties=wanted
        )

    async def first(
        self,
        wanted: asyncio.Future[_T],
        what: str,
        within_s: float = ANSWER_WITHIN_S,
        silence: type[LinkLost] = LinkLost,
    ) -> _T:
        """The result of ``wanted``, unless the link ends before or is not answered in time: then raises why."""
        waiting: set[asyncio.Future[Any]] = {wanted, self.ended}
        await asyncio.wait(waiting, timeout=within_s, return_when=asyncio.FIRST_COMPLETED)
        if self.ended.done():
            raise self.ended.result()
        if not wanted.done():
            raise silence(f"{self.where}: no answer to {what} within {within_s:.0f} s")
        return wanted.result()

    def subscribe(self, topics: Sequence[str], *, needed: bool = True, qos: int = 1) -> None:
        """Ask for ``topics`` at ``qos``, retained values included. The answer is :attr:`subscribed`; a no ends the link
        where they are ``needed``, else :meth:`not_granted` is told."""
        wanted: list[tuple[str, Any]] = [(topic, qos) for topic in topics]
        if self._version == "5":
            options = SubscribeOptions(qos=qos, retainHandling=SubscribeOptions.RETAIN_SEND_ON_SUBSCRIBE)
            wanted = [(topic, options) for topic in topics]
        _, mid = self.client.subscribe(wanted)
        self._asked[mid] = topics, needed

    def unsubscribe(self, topics: Sequence[str]) -> None:
        """Have no more of ``topics``."""
        self.client.unsubscribe(list(topics))

    def say_still_here(self) -> None:
        """A packet that changes nothing and whose answer limits nothing: giving up a topic that nobody asked for is
        answered like any other (MQTT 5.0 section 3.11, MQTT 3.1.1 section 3.10.4)."""
        self.unsubscribe([_STILL_HERE])

    def close(self) -> None:
        """Say goodbye, if the socket takes it, and let the socket go either way."""
        if self._ticking is not None:
            self._ticking.cancel()
        self.end(LinkLost(f"{self.where}: closed"))
        self.client.disconnect()
        self.client.loop_write()
        sock = self.client.socket()
        if sock is not None:
            self._watch.forget(sock)
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
        self.client.on_log = None  # from here on each message would be put into words for nobody
        if reason.is_failure:
            self.end(refusal(f"{self.where}: the broker says: {reason}", str(reason)))
        elif not self.answered.done():
            if flags.session_present:
                self.resumed()
            self.answered.set_result(None)

    def _on_disconnect(
        self, _client: object, _data: object, flags: paho.DisconnectFlags, reason: ReasonCode, _props: object
    ) -> None:
        said = str(reason)
        if not self.answered.done() and not self.ended.done():
            hint = "" if self._access.tls else "; would be right: tls = true, if this is its TLS port"
            text = f"{self.where}: the broker ended the connection without an answer{hint}"
            self.end(of_alert(self.where, self._said) or NoAnswer(text))
        if not flags.is_disconnect_packet_from_server:  # then paho has only a number of its own to name
            said = "no answer to a ping" if said == "Keep alive timeout" else "the broker closed it, or the wire broke"
        self.end(refusal(f"{self.where}: connection lost: {said}", said))

    def _on_log(self, _client: object, _data: object, level: int, text: str) -> None:
        if level == paho.MQTT_LOG_ERR:  # paho tells the reason nowhere else
            self._said = text

    def _on_subscribe(self, _c: object, _data: object, mid: int, reasons: list[ReasonCode], _props: object) -> None:
        topics, needed = self._asked.pop(mid, ((), True))
        for topic, reason in zip(topics, reasons, strict=False):
            if reason.is_failure:
                error = topic_refusal(self.where, topic, str(reason))
                self.end(error) if needed else self.not_granted(topic, str(error))
        if not self.subscribed.done():
            self.subscribed.set_result(None)

    def _on_message(self, _client: object, _data: object, message: paho.MQTTMessage) -> None:
        # Only put down here; it is worked on when paho has returned.
        try:
            topic = message.topic
        except UnicodeDecodeError as err:
            topic = err.object.decode("utf-8", "backslashreplace")
        self.take_in(Message(topic, bytes(message.payload), message.qos, message.retain, message.dup, message.mid))

    def pause_reading(self) -> None:
        """Leave what comes in the socket, and so with the broker."""
        self._watch.pause()

    def resume_reading(self) -> None:
        """Read again."""
        self._watch.resume()

    def _read(self) -> None:
        self.heard_s = self.loop.time()
        for _ in range(BURST):
            before = len(self.inbox)
            self.client.loop_read()
            if len(self.inbox) == before or not self.has_room():
                break
        self.deliver()
        self._watch.read_on()

    def take_in(self, message: Message) -> None:
        """One message was read."""
        self.inbox.append(message)

    def not_granted(self, topic: str, reason: str) -> None:
        """The broker does not let us read a topic that we can do without."""

    def resumed(self) -> None:
        """The broker knew us: what it kept for us comes first."""

    def has_room(self) -> bool:
        """Whether to go on reading."""
        return True

    def deliver(self) -> None:
        """Some packets were read; messages are in :attr:`inbox`."""

    def _tick(self) -> None:
        self._ticking = self.loop.call_later(1.0, self._tick)
        self._watch.guarded(self.each_second)

    def each_second(self) -> None:
        """paho's own upkeep (it pings), and our limit on silence: a half-open link shows nothing else."""
        self.client.loop_misc()
        silent_s = self.loop.time() - self.heard_s
        if silent_s >= SILENT_KEEPALIVES * self.client.keepalive:  # it may be the broker's wish
            self.end(LinkLost(f"{self.where}: nothing heard for {silent_s:.0f} s, not even an answer to a ping"))
