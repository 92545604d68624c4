"""The bounded queue between the wires and the engine."""

from __future__ import annotations

import asyncio
from collections import Counter, deque

from sensors.sample import Heard

Waiting = deque[tuple[int, Heard]]
"""Items with the number they came as, which keeps the order common to all."""


class HeardQueue:
    """Many wires put, one engine takes, all on the event loop's thread.

    When ``limit`` items wait, the oldest is dropped of the wire that has the most waiting, among those that nobody is
    to acknowledge (QoS 0, serial), and counted: a wire that floods pays for it itself. Items to acknowledge are never
    dropped; their wires bound them.
    """

    def __init__(self, limit: int = 20_000) -> None:
        if limit < 1:
            raise ValueError(f"limit: found {limit}; would be right: 1 or more")
        self.dropped: Counter[str] = Counter()
        """Items given up, by source."""
        self._limit = limit
        self._put = self._length = 0
        self._kept: Waiting = deque()
        self._droppable: dict[str, Waiting] = {}
        self._filled = asyncio.Event()

    def __len__(self) -> int:
        return self._length

    def put(self, item: Heard) -> None:
        """Add one item. Returns at once."""
        self._put += 1
        self._length += 1
        queue = self._kept if item.acknowledge is not None else self._droppable.setdefault(item.source, deque())
        queue.append((self._put, item))
        if self._length > self._limit:
            self._drop()
        self._filled.set()

    async def take(self, most: int = 1000, within_s: float | None = None) -> list[Heard]:
        """All that waits, oldest first, at most ``most``. Waits for one item, ``within_s`` seconds at most."""
        try:
            async with asyncio.timeout(within_s):
                await self._filled.wait()
        except TimeoutError:
            return []
        taken = [self._oldest().popleft()[1] for _ in range(min(most, self._length))]
        self._length -= len(taken)
        if not self._length:
            self._filled.clear()
        return taken

    def _drop(self) -> None:
        source, longest = max(self._droppable.items(), key=lambda wire: len(wire[1]), default=("", None))
        if longest:
            longest.popleft()
            self._length -= 1
            self.dropped[source] += 1

    def _oldest(self) -> Waiting:
        waiting = [queue for queue in (self._kept, *self._droppable.values()) if queue]
        return min(waiting, key=lambda queue: queue[0][0])
