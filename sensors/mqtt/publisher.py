"""Speaking to a broker: for devices that exist only as a program."""

from __future__ import annotations

import asyncio
from types import TracebackType
from typing import Self

from sensors.driver import LinkLost
from sensors.mqtt.access import Access
from sensors.mqtt.link import Link
from sensors.mqtt.tls import Tls
from sensors.mqtt.versions import Version, Versions, Wanted, opened


class Publisher:
    """One connection for sending. ``async with Publisher(...)``, or :meth:`start` and :meth:`stop`.

    It does not reconnect: a lost link shows in :meth:`publish`, and a new start makes a new connection. Without
    ``client_id`` the broker gives one. ``protocol`` and ``tls`` are as for :class:`sensors.mqtt.MqttSubscription`.
    """

    def __init__(
        self,
        host: str,
        port: int,
        *,
        client_id: str = "",
        username: str | None = None,
        password: str | None = None,
        keepalive_s: int = 25,
        tls: Tls | None = None,
        protocol: Wanted = "auto",
    ) -> None:
        self._access = Access(host, port, client_id, username, password, keepalive_s, tls)
        self._versions = Versions(protocol)
        self._link: _Sending | None = None

    async def start(self) -> None:
        """Connect. Raises LinkLost and LinkRefused."""
        await self.stop()
        self._link = await opened(lambda version: _Sending(self._access, version), self._versions)

    async def stop(self) -> None:
        """Disconnect; what is not flushed may be lost."""
        if self._link is not None:
            self._link.close()
            self._link = None

    async def __aenter__(self) -> Self:
        await self.start()
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self.stop()

    def publish(self, topic: str, payload: bytes | str, qos: int = 1, *, retain: bool = False) -> None:
        """Hand one message over for sending. Raises LinkLost when the link is gone, ValueError for a topic with
        wildcards or a QoS other than 0 and 1."""
        if qos not in {0, 1}:
            raise ValueError(f"qos: found {qos}; would be right: 0 or 1")
        self._living().send(topic, payload, qos, retain=retain)

    async def flushed(self, within_s: float = 10.0) -> None:
        """Wait until the broker has acknowledged all of QoS 1 and all of QoS 0 has left. Raises LinkLost, also when
        that takes longer than ``within_s`` seconds."""
        await self._living().flushed(within_s)

    def _living(self) -> _Sending:
        if self._link is None:
            raise LinkLost(f"{self._access.where}: not started")
        if self._link.ended.done():
            raise self._link.ended.result()
        return self._link


class _Sending(Link):
    """A link that counts what is under way."""

    def __init__(self, access: Access, version: Version) -> None:
        super().__init__(access, version, keep_session=False)
        self._under_way = 0
        self._quiet: asyncio.Future[None] | None = None
        self.client.on_publish = lambda *_: self._sent()

    def send(self, topic: str, payload: bytes | str, qos: int, *, retain: bool) -> None:
        self._under_way += 1
        try:
            self.client.publish(topic, payload, qos, retain)
        except BaseException:
            self._under_way -= 1
            raise

    def _sent(self) -> None:
        self._under_way -= 1
        if self._under_way == 0 and self._quiet is not None and not self._quiet.done():
            self._quiet.set_result(None)

    async def flushed(self, within_s: float) -> None:
        if self._under_way:
            self._quiet = self.loop.create_future()
            await self.first(self._quiet, f"{self._under_way} messages", within_s)
