"""The seam every wire stands behind.

A driver is given a :class:`Listener` and runs until it is cancelled (returns by raising ``CancelledError``) or its link
breaks (:class:`LinkLost`). It never retries by itself: :mod:`sensors.supervise` does, and keeps the state that a person
sees. A driver calls its listener on the event loop's thread only.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Protocol, runtime_checkable

from sensors.sample import Heard


class SensorError(Exception):
    """Root of what goes wrong on a wire.

    SensorError
    ├── LinkLost      the wire broke or is not there yet; worth trying again
    └── LinkRefused   the wire will not work until a person changes something; tried again slowly, said plainly
    """


class LinkLost(SensorError):
    """The port, bus or broker went away or could not be reached. The text says what was tried and what answered."""


class LinkRefused(SensorError):
    """The far side or this machine says no: wrong password, port held by another program, missing permission."""


class Listener(Protocol):
    """What a driver reports to. All calls are made on the event loop's thread and return at once."""

    def connected(self) -> None:
        """The link is up."""

    def bytes_heard(self, payload: bytes, topic: str = "") -> None:
        """Any bytes at all came, readable or not; ``topic`` where the wire has topics and they are news."""

    def heard(self, item: Heard) -> None:
        """One sample, or one refused payload."""

    def dropped(self, count: int) -> None:
        """This many samples were given up because a bounded queue was full (oldest first, never QoS 1)."""


class Driver(Protocol):
    """One configured wire."""

    async def run(self, listener: Listener) -> None:
        """Listen until cancelled. Raises :class:`LinkLost` or :class:`LinkRefused`; releases the wire either way."""


Now = Callable[[], tuple[int, float]]
"""The clock a driver is given: (wall ms since 1970 UTC, monotonic s). Nothing here reads the machine's clock."""
Sleep = Callable[[float], Awaitable[None]]


def sleep_of(now: Now) -> Sleep:
    """How to wait on the clock behind ``now``, in its own seconds: a clock that runs fast brings its own ``sleep``."""
    sleep: Sleep = getattr(now, "sleep", asyncio.sleep)
    return sleep


@runtime_checkable
class Forgets(Protocol):
    """A driver of a wire on which something goes on without us, until it is told that we shall not come back."""

    async def forget(self) -> None:
        """End that, and drop what is kept of it on disk. Raises LinkLost, LinkRefused and OSError."""
        ...
