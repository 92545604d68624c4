"""Brings the record over to one remote, for ever: batch by batch from the cursor, which moves only after a yes.

Nothing waits in memory but the batch under way. The writing blocks, so it happens on a thread, one batch at a time;
a stop waits for none of it.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import random
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from sensors.threads import in_daemon_thread
from server.clock import Clock
from server.reading import RemoteState
from server.stores.delivery import Delivery, Stopped
from server.stores.port import Reply, StoreError
from server.stores.progress import Progress
from server.stores.remote import Batch, Condemned, Outbox, Remote, RemoteAway, RemoteError, RemoteRefuses

log = logging.getLogger(__name__)
_T = TypeVar("_T")

GATHER_S = 10.0
"""How long new readings wait for others: every batch costs a synced write of the cursor, and cards wear."""
LOOK_S = 30.0
LONGEST_PAUSE_S = 60.0
RETRY_AFTER_MOST_S = 300.0
Pause = Callable[[int, bool], float]
"""Seconds to wait before a try: (how many failed in a row, whether the last was a refusal)."""


def pause_s(failures: int, refused: bool) -> float:
    """Drawn at random below a cap that doubles to a minute; what only a person can mend is tried less often."""
    if refused:
        return random.uniform(15.0, 30.0)
    return random.uniform(0.5, min(LONGEST_PAUSE_S, 2.0 ** min(failures, 6)))


@dataclass(frozen=True, slots=True)
class Pace:
    """Sizes and waits of a forwarder."""

    most: int = 5_000
    gather_s: float = GATHER_S
    look_s: float = LOOK_S
    pause: Pause = field(default=pause_s)


class Forwarder:
    """One remote's copy. :meth:`run` never ends by itself; everything else belongs to the same event loop.

    ``connect`` makes the remote, on the thread; it is asked again after every refusal, so that a token that was put
    right is read. It raises RemoteError. ``where`` is for people and holds no secret.
    """

    def __init__(  # noqa: PLR0917 - what it is called, where from, where to
        self,
        remote_id: str,
        where: str,
        outbox: Outbox,
        connect: Callable[[], Remote],
        clock: Clock,
        pace: Pace = Pace(),
    ) -> None:
        self._id, self._outbox, self._connect, self._clock, self._pace = remote_id, outbox, connect, clock, pace
        self._progress = Progress(remote_id, where, clock)
        self._woken, self._hurried = asyncio.Event(), asyncio.Event()
        self._cursor, self._rewound = asyncio.Lock(), 0
        self._remote: Remote | None = None
        self._stopped = False
        self._busy = threading.Lock()
        self._delivery = Delivery(lambda: self._stopped)
        outbox.listen(self._stored)

    def state(self) -> RemoteState:
        """How the copy is doing now."""
        return self._progress.state()

    def _stored(self, readings: int) -> None:
        self._progress.stored(readings)
        self._woken.set()

    async def rewind(self, from_ms: int, command_id: str) -> Reply:
        """Send everything from ``from_ms`` on again; the same command twice is once. Raises StoreFull."""
        reply: Reply = {"done": True, "repeated": False, "remote": self._id, "from_ms": from_ms}
        async with self._cursor:
            earlier = await self._outbox.rewind(self._id, from_ms, (command_id, reply))
            self._rewound += 1  # a yes to what was begun before that no longer counts
        self._progress.unknown()
        self._woken.set()
        self._hurried.set()
        return reply if earlier is None else {**earlier, "repeated": True}

    async def run(self) -> None:
        """Until cancelled. What is being written then is left behind: it goes again after the next start."""
        failures = 0
        try:
            while True:
                try:
                    more = await self._one_batch()
                except Exception as error:  # noqa: BLE001 - whatever it is, this copy waits, and nothing else does
                    failures += 1
                    await self._rest(self._failed(error, failures))
                else:
                    failures = 0
                    if not more:
                        await self._next()
        finally:
            self._stopped = True
            if self._busy.acquire(blocking=False):
                self._busy.release()
                self._let_go()

    async def _next(self) -> None:
        """Wait for readings, and a little more for others to go with them."""
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(self._pace.look_s):
                await self._woken.wait()
            await self._rest(self._pace.gather_s)
        self._woken.clear()

    async def _rest(self, seconds: float) -> None:
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(seconds):
                await self._hurried.wait()
        self._hurried.clear()

    async def _one_batch(self) -> bool:
        """Bring over what is next; whether there may be more."""
        rewound = self._rewound
        if not self._progress.counted:
            await self._count()
        batch, condemned = await self._beside(self._carry)
        async with self._cursor:
            if rewound != self._rewound:
                return True
            if batch.points or batch.late_number is not None:
                await self._outbox.moved(self._id, batch, condemned, self._clock.now().wall_ms)
                self._progress.sent(batch, condemned)
        if not batch.full:
            self._progress.caught_up(held_back=batch.held_back)
        return batch.full

    async def _count(self) -> None:
        mark, quiet = self._progress.mark(), not self._outbox.busy()
        behind, condemned = await self._beside(
            lambda: (self._outbox.pending(self._id), self._outbox.condemned(self._id))
        )
        self._progress.count(mark, behind, condemned, quiet=quiet and not self._outbox.busy())

    def _carry(self) -> tuple[Batch, list[Condemned]]:
        batch = self._outbox.batch(self._id, min(self._pace.most, self._delivery.most or self._pace.most))
        self._progress.next(batch)
        if not batch.points:
            return batch, []
        if self._remote is None:
            self._remote = self._connect()
        return batch, self._delivery.deliver(self._remote, batch.points)

    def _beside(self, call: Callable[[], _T]) -> asyncio.Future[_T]:
        """Run it on a thread. Whoever is last there after a stop, the thread or :meth:`run`, lets the remote go."""

        def guarded() -> _T:
            try:
                with self._busy:
                    if self._stopped:
                        raise Stopped
                    return call()
            finally:
                if self._stopped:
                    self._let_go()

        return in_daemon_thread(guarded, f"remote {self._id}")

    def _let_go(self) -> None:
        remote, self._remote = self._remote, None
        if remote is not None:
            remote.close()

    def _failed(self, error: Exception, failures: int) -> float:
        """Tell what it is; how long to leave the remote alone."""
        refused = isinstance(error, RemoteRefuses)
        text = str(error) if isinstance(error, RemoteError | StoreError) else f"{type(error).__name__}: {error}"
        news = self._progress.failed("refused" if refused else "held", text)
        if not isinstance(error, RemoteError | StoreError):
            log.error("Remote %s: a bug in its copy", self._id, exc_info=error)
        else:
            log.log(logging.WARNING if news else logging.DEBUG, "The copy to %s waits: %s", self._id, text)
        if refused:
            self._let_go()
        wanted_s = error.retry_after_s if isinstance(error, RemoteAway) else None
        pause = self._pace.pause(failures, refused)
        return pause if wanted_s is None else max(pause, min(wanted_s, RETRY_AFTER_MOST_S))
