"""Devices that speak through an MQTT broker."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

from sensors.decoding import Decoded, Unreadable
from sensors.driver import LinkLost, Listener, Now
from sensors.mqtt.access import Access
from sensors.mqtt.announced import Announced
from sensors.mqtt.kept_filters import KeptFilters
from sensors.mqtt.link import Link, Message
from sensors.mqtt.listening import ListeningLink
from sensors.mqtt.tls import Tls
from sensors.mqtt.versions import Versions, Wanted, opened
from sensors.payloads import PayloadFormat, check_pattern, plus_levels
from sensors.sample import Acknowledge, RawSample, RefusedPayload

RAPID_LOSS_S = 5.0
RAPID_LOSSES = 3


class MqttSubscription:
    """Driver for one subscription, see :class:`sensors.driver.Driver`.

    The broker keeps our session for a day, so what it hears while we are away comes later. A message of QoS 1 is
    acknowledged only when the sample's ``acknowledge`` is called; at ``unacknowledged_limit`` of them (2 or more) the
    socket is not read until half are acknowledged, and the broker holds the rest. QoS 0 passes straight through.
    ``protocol`` "auto" begins with MQTT 5 and falls back to 3.1.1 where the broker takes only that; ``tls`` None is
    for a wire that needs no protection. With ``announced`` devices that announce themselves are subscribed to as well.
    With ``kept`` what an earlier configuration asked for is given up.
    Raises ValueError for a topic that is no filter.
    """

    def __init__(
        self,
        source_id: str,
        host: str,
        port: int,
        *,
        topics: Sequence[str] = (),
        decode: PayloadFormat,
        client_id: str,
        username: str | None = None,
        password: str | None = None,
        keepalive_s: int = 25,
        unacknowledged_limit: int = 2000,
        tls: Tls | None = None,
        protocol: Wanted = "auto",
        announced: Announced | None = None,
        kept: KeptFilters | None = None,
        now: Now,
    ) -> None:
        for reason in filter(None, map(check_pattern, topics)):
            raise ValueError(f"topics: {reason}")
        if not topics and announced is None:
            raise ValueError("topics: found none; would be right: at least one, such as shop/+/air")
        self.source_id = source_id
        self.client_id = client_id
        self.topics = tuple(topics)
        self.unacknowledged_limit = unacknowledged_limit
        self.announced = announced
        self._kept = kept
        self._decode = decode
        self._access = Access(host, port, client_id, username, password, keepalive_s, tls)
        self._versions = Versions(protocol)
        self._now = now
        self._rapid_losses = 0
        self.saved_s = float("-inf")

    async def run(self, listener: Listener) -> None:
        """Listen until cancelled. Raises LinkLost (broker away, silent, or someone took our place) and LinkRefused."""
        wanted = [*self.topics, *(self.announced.filters if self.announced else ())]
        gone = [] if self._kept is None else await asyncio.to_thread(self._kept.begin, wanted)
        link = await opened(lambda version: ListeningLink(self, self._access, version, listener), self._versions)
        try:
            if gone:
                link.unsubscribe(gone)
            link.subscribe(wanted)
            await link.first(link.subscribed, "the subscription")
            if gone and self._kept is not None:  # the broker takes one packet after the other, so they are given up
                await asyncio.to_thread(self._kept.keep, wanted)
            link.follow_announced()
            listener.connected()
            up_s = link.loop.time()
            error = await asyncio.shield(link.ended)
            raise self._judged(error, link.loop.time() - up_s)
        finally:
            link.close()

    async def forget(self) -> None:
        """End the broker's session with us and drop what is kept of it: the source is taken away for good. Raises
        LinkLost and LinkRefused; then the session ends by itself a day later, and what is kept stays."""
        link = await opened(lambda version: Link(self._access, version, keep_session=False), self._versions)
        link.close()
        for kept in (self._kept, self.announced):
            if kept is not None:
                await asyncio.to_thread(kept.forget)

    def _judged(self, error: Exception, lasted_s: float) -> Exception:
        """The same error; three quick losses in a row say more than one."""
        if not isinstance(error, LinkLost):
            return error
        self._rapid_losses = self._rapid_losses + 1 if lasted_s < RAPID_LOSS_S else 0
        if self._rapid_losses < RAPID_LOSSES:
            return error
        hint = f"another client may use the id {self.client_id}; would be right: an id of its own for each"
        return LinkLost(f"{error}; {self._rapid_losses} times right after connecting: {hint}")

    def announced_topics(self) -> frozenset[str]:
        """Topics to subscribe to because devices announced them; what the configuration asks for anyway is not."""
        announced = self.announced.topics if self.announced else ()
        return frozenset(topic for topic in announced if not self.is_configured(topic))

    def is_configured(self, topic: str) -> bool:
        """Whether the configuration asks for ``topic`` itself. Then its format counts, whatever is announced."""
        return self.announced is None or plus_levels(self.topics, topic) is not None

    def asks_for(self, topic: str) -> bool:
        """Whether the configuration or an announcement asks for ``topic``."""
        announced = self.announced is not None and self.announced.brings(topic)
        return announced or plus_levels(self.topics, topic) is not None

    def read(
        self, message: Message, acknowledge: Acknowledge | None, *, backlog: bool = False
    ) -> list[RawSample | RefusedPayload]:
        """One message as a sample, or several where one topic carries several devices, or as refused with the
        reason. The message is acknowledged when all of them are."""
        heard_ms, heard_mono_s = self._now()
        try:
            said = self._said(message)
        except Unreadable as err:
            return [self.refused(message, str(err), acknowledge)]
        each = acknowledge if acknowledge is None or len(said) == 1 else _after(len(said), acknowledge)
        return [
            RawSample(
                self.source_id,
                one.device,
                one.values,
                heard_ms,
                heard_mono_s,
                one.own_ms,
                retained=message.retained,
                redelivered=message.redelivered,
                backlog=backlog,
                acknowledge=each,
                heating=one.heating,
            )
            for one in said
        ]

    def refused(self, message: Message, reason: str, acknowledge: Acknowledge | None) -> RefusedPayload:
        """The message as refused."""
        return RefusedPayload(self.source_id, message.topic, message.payload, reason, self._now()[0], acknowledge)

    def _said(self, message: Message) -> list[Decoded]:
        if self.announced is None or self.is_configured(message.topic):
            return [self._decode(message.topic, message.payload)]
        return self.announced.read(message.topic, message.payload)


def _after(count: int, acknowledge: Acknowledge) -> Acknowledge:
    """To be called so many times before it acknowledges."""

    def one() -> None:
        nonlocal count
        count -= 1
        if count == 0:
            acknowledge()

    return one
