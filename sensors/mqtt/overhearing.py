"""Listening to a broker for a while, leaving no trace there."""

from __future__ import annotations

import asyncio
import uuid
from collections.abc import Callable

from sensors.discovery import filters
from sensors.driver import Listener
from sensors.mqtt.access import Access
from sensors.mqtt.link import Link
from sensors.mqtt.source import MqttSource
from sensors.mqtt.versions import Version, Versions, opened

Hear = Callable[[str, bytes], None]
"""Is given the topic and the payload of every message."""


class Overhearing:
    """Driver that hands every message of a source's topics to ``hear``, see :class:`sensors.driver.Driver`.

    QoS 0 and no session, so that the broker keeps nothing for us; a client id of its own each time, so that nobody is
    thrown off. Raises ValueError where the source's secret cannot be had any more.
    """

    def __init__(self, source: MqttSource, hear: Hear) -> None:
        announcements = filters(source.discovery) if source.discovery else ()
        self._topics, self._hear = (*source.topics, *announcements), hear
        self._versions = Versions(source.protocol)
        self._access = Access(
            source.host,
            source.broker_port,
            f"stillstack-listens-{uuid.uuid4().hex[:12]}",
            source.username,
            source.password(),
            source.keepalive_s,
            source.tls_files(),
        )

    async def run(self, listener: Listener) -> None:
        """Listen until cancelled. Raises LinkLost and LinkRefused."""
        link = await opened(lambda version: _Passing(self._access, version, listener, self._hear), self._versions)
        try:
            link.subscribe(self._topics, qos=0)
            await link.first(link.subscribed, "the subscription")
            listener.connected()
            raise await asyncio.shield(link.ended)
        finally:
            link.close()


class _Passing(Link):
    def __init__(self, access: Access, version: Version, listener: Listener, hear: Hear) -> None:
        super().__init__(access, version, keep_session=False)
        self._listener, self._hear = listener, hear

    def deliver(self) -> None:
        while self.inbox:
            message = self.inbox.popleft()
            self._listener.bytes_heard(message.payload)
            self._hear(message.topic, message.payload)
