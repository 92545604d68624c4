"""The bounded queue between the wires and the engine."""

from __future__ import annotations

import asyncio
from collections import Counter, deque

from sensors.sample import Heard


class HeardQueue:
    """Many wires put, one engine takes, all on the event loop's thread.

    When ``limit`` items wait, the oldest that nobody is to acknowledge (QoS 0, serial) is dropped and counted. Items to
    acknowledge are never dropped; their wires bound them.
    """

    def __init__(self, limit: int = 20_000) -> None:
        if limit < 1:
            raise ValueError(f"limit: found {limit}; would be right: 1 or more")
        self.dropped: Counter[str] = Counter()
        """Items given up, by source."""
        self._limit = limit
        self._put = 0
        # Two queues, told apart by what may be dropped, so that dropping is quick; the number keeps the common order.
        self._kept: deque[tuple[int, Heard]] = deque()
        self._droppable: deque[tuple[int, Heard]] = deque()
        self._filled = asyncio.Event()

    def __len__(self) -> int:
        return len(self._kept) + len(self._droppable)

    def put(self, item: Heard) -> None:
        """Add one item. Returns at once."""
        self._put += 1
        (self._droppable if item.acknowledge is None else self._kept).append((self._put, item))
        if len(self) > self._limit and self._droppable:
            self.dropped[self._droppable.popleft()[1].source] += 1
        self._filled.set()

    async def take(self, most: int = 1000, within_s: float | None = None) -> list[Heard]:
        """All that waits, oldest first, at most ``most``. Waits for one item, ``within_s`` seconds at most."""
        try:
            async with asyncio.timeout(within_s):
                await self._filled.wait()
        except TimeoutError:
            return []
        taken = [self._oldest().popleft()[1] for _ in range(min(most, len(self)))]
        if not len(self):
            self._filled.clear()
        return taken

    def _oldest(self) -> deque[tuple[int, Heard]]:
        if not self._kept:
            return self._droppable
        if not self._droppable:
            return self._kept
        return min(self._kept, self._droppable, key=lambda waiting: waiting[0][0])
