"""Devices that speak through an MQTT broker."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

from sensors.decoding import Unreadable
from sensors.driver import LinkLost, Listener, Now
from sensors.mqtt.access import Access
from sensors.mqtt.backlog import HELD_BACK, Backlog
from sensors.mqtt.link import Link, Message
from sensors.mqtt.tls import Tls
from sensors.mqtt.versions import Version, Versions, Wanted, opened
from sensors.payloads import PayloadFormat, check_pattern
from sensors.sample import Acknowledge, RawSample, RefusedPayload

RAPID_LOSS_S = 5.0
RAPID_LOSSES = 3


class MqttSubscription:
    """Driver for one subscription, see :class:`sensors.driver.Driver`.

    The broker keeps our session for a day, so what it hears while we are away comes later. A message of QoS 1 is
    acknowledged only when the sample's ``acknowledge`` is called; at ``unacknowledged_limit`` of them (2 or more) the
    socket is not read until half are acknowledged, and the broker holds the rest. QoS 0 passes straight through.
    ``protocol`` "auto" begins with MQTT 5 and falls back to 3.1.1 where the broker takes only that; ``tls`` None is
    for a wire that needs no protection. Raises ValueError for a topic that is no filter.
    """

    def __init__(
        self,
        source_id: str,
        host: str,
        port: int,
        *,
        topics: Sequence[str],
        decode: PayloadFormat,
        client_id: str,
        username: str | None = None,
        password: str | None = None,
        keepalive_s: int = 25,
        unacknowledged_limit: int = 2000,
        tls: Tls | None = None,
        protocol: Wanted = "auto",
        now: Now,
    ) -> None:
        for reason in filter(None, map(check_pattern, topics)):
            raise ValueError(f"topics: {reason}")
        if not topics:
            raise ValueError("topics: found none; would be right: at least one, such as shop/+/air")
        self.source_id = source_id
        self.client_id = client_id
        self.topics = tuple(topics)
        self.unacknowledged_limit = unacknowledged_limit
        self._decode = decode
        self._access = Access(host, port, client_id, username, password, keepalive_s, tls)
        self._versions = Versions(protocol)
        self._now = now
        self._rapid_losses = 0

    async def run(self, listener: Listener) -> None:
        """Listen until cancelled. Raises LinkLost (broker away, silent, or someone took our place) and LinkRefused."""
        link = await opened(lambda version: _Subscribed(self, self._access, version, listener), self._versions)
        try:
            link.subscribe(self.topics)
            await link.first(link.subscribed, "the subscription")
            listener.connected()
            up_s = link.loop.time()
            error = await asyncio.shield(link.ended)
            raise self._judged(error, link.loop.time() - up_s)
        finally:
            link.close()

    def _judged(self, error: Exception, lasted_s: float) -> Exception:
        """The same error; three quick losses in a row say more than one."""
        if not isinstance(error, LinkLost):
            return error
        self._rapid_losses = self._rapid_losses + 1 if lasted_s < RAPID_LOSS_S else 0
        if self._rapid_losses < RAPID_LOSSES:
            return error
        hint = f"another client may use the id {self.client_id}; would be right: an id of its own for each"
        return LinkLost(f"{error}; {self._rapid_losses} times right after connecting: {hint}")

    def read(
        self, message: Message, acknowledge: Acknowledge | None, *, backlog: bool = False
    ) -> RawSample | RefusedPayload:
        """One message as a sample, or as refused with the reason."""
        heard_ms, heard_mono_s = self._now()
        try:
            said = self._decode(message.topic, message.payload)
        except Unreadable as err:
            return RefusedPayload(self.source_id, message.topic, message.payload, str(err), heard_ms, acknowledge)
        return RawSample(
            self.source_id,
            said.device,
            said.values,
            heard_ms,
            heard_mono_s,
            said.own_ms,
            retained=message.retained,
            redelivered=message.redelivered,
            backlog=backlog,
            acknowledge=acknowledge,
            heating=said.heating,
        )


class _Subscribed(Link):
    """A link that hands on what it hears and stops reading while too much of it is unacknowledged."""

    def __init__(self, owner: MqttSubscription, access: Access, version: Version, listener: Listener) -> None:
        super().__init__(access, version, keep_session=True)
        self._owner = owner
        self._listener = listener
        self._unacknowledged = 0
        self._paused = False
        self._resumed_s = 0.0
        self._spoke_s = self.loop.time()
        self._backlog = Backlog(self.loop, lambda: self._paused or self._unacknowledged >= HELD_BACK)

    def resumed(self) -> None:
        self._backlog.begin()

    def close(self) -> None:
        self._backlog.end()
        super().close()

    def take_in(self, message: Message) -> None:
        self._unacknowledged += message.qos
        super().take_in(message)

    def has_room(self) -> bool:
        return self._unacknowledged < self._owner.unacknowledged_limit

    def deliver(self) -> None:
        if self.inbox:
            self._backlog.heard()
        while self.inbox:
            message = self.inbox.popleft()
            acknowledge = self._acknowledger(message.mid) if message.qos else None
            backlog = message.qos > 0 and self._backlog.is_coming
            self._listener.bytes_heard(message.payload)
            self._listener.heard(self._owner.read(message, acknowledge, backlog=backlog))
        if not self._paused and not self.has_room():
            self._paused = True
            self.pause_reading()

    def _acknowledger(self, mid: int) -> Acknowledge:
        def acknowledge() -> None:
            if self.ended.done():  # another connection by now: there the broker sends it again
                return
            self.client.ack(mid, 1)
            self._unacknowledged -= 1
            if self._paused and self._unacknowledged < self._owner.unacknowledged_limit / 2:
                self._paused = False
                self.heard_s = self._resumed_s = self.loop.time()
                self.resume_reading()

        return acknowledge

    def each_second(self) -> None:
        now_s = self.loop.time()
        if self._paused:
            self.heard_s = now_s
        elif now_s - self._resumed_s >= self.client.keepalive:
            super().each_second()
            return
        # The answer to a ping may lie behind what is not read yet, and paho would take that for a dead link. So while
        # not reading, and a keepalive longer, another packet tells the broker that we live.
        if now_s - self._spoke_s >= self.client.keepalive / 2:
            self._spoke_s = now_s
            self.say_still_here()
