"""How the fictional devices reach the broker: like a good device, they keep what they could not send and try again."""

from __future__ import annotations

import asyncio
from collections import deque

from sensors.driver import SensorError
from sensors.mqtt import Publisher

KEPT = 2000
RETRY_S = 0.5


class Uplink:
    """A publisher that outlives its broker. :meth:`run` keeps it connected; :meth:`publish` never fails."""

    def __init__(self, publisher: Publisher) -> None:
        self._publisher = publisher
        self._waiting: deque[tuple[str, bytes, int, bool]] = deque(maxlen=KEPT)
        self._wanted = asyncio.Event()
        self._wanted.set()

    def publish(self, topic: str, payload: bytes, qos: int = 1, retain: bool = False) -> None:
        """Send, or keep until there is a link again; past two thousand kept the oldest goes."""
        self._waiting.append((topic, payload, qos, retain))
        self._send_waiting()

    async def run(self) -> None:
        """Connect, and connect again whenever the link is found lost. For ever; real time, as a radio's is."""
        try:
            while True:
                await self._wanted.wait()
                try:
                    await self._publisher.start()
                except SensorError:
                    await asyncio.sleep(RETRY_S)
                    continue
                self._wanted.clear()
                self._send_waiting()
        finally:
            await self._publisher.stop()

    def _send_waiting(self) -> None:
        while self._waiting and not self._wanted.is_set():
            topic, payload, qos, retain = self._waiting[0]
            try:
                self._publisher.publish(topic, payload, qos, retain=retain)
            except SensorError:
                self._wanted.set()
                return
            self._waiting.popleft()
