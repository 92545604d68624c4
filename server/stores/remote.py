"""The seams of the copy: :class:`Remote`, which takes points, and :class:`Outbox`, which knows what is still to go."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from server.stores.port import Command, Reply


class Point(NamedTuple):
    """A stored reading as it goes out. ``raw`` is None where the device said just ``value``."""

    series: str
    t_ms: int
    value: float
    flags: int
    raw: float | None


class Condemned(NamedTuple):
    """A point that a remote refused for what it is; ``status`` is its HTTP status, 0 where none was asked."""

    point: Point
    status: int
    reason: str


class RemoteError(Exception):
    """Root of what goes wrong with a remote. The text holds no secret.

    RemoteError
    ├── RemoteAway      nobody is to blame: gone, slow, busy (408, 425, 429, 5xx); asked again by itself
    ├── RemoteRefuses   only a person can mend it: 401, 403, 404, a wrong certificate, a token that cannot be read
    ├── RowsRefused     400, 422: at least one of the points is not to its liking
    └── TooMuch         413: the same points in smaller parts may pass
    """


class RemoteAway(RemoteError):
    """``retry_after_s`` is what the remote asked for, None if it did not."""

    def __init__(self, text: str, retry_after_s: float | None = None) -> None:
        super().__init__(text)
        self.retry_after_s = retry_after_s


class RemoteRefuses(RemoteError):
    """Asked again too, less often: what a person mends shows by itself."""


class RowsRefused(RemoteError):
    """Any of the points may have been written all the same, or none."""

    def __init__(self, text: str, status: int) -> None:
        super().__init__(text)
        self.status = status


class TooMuch(RemoteError):
    """Nothing was written."""


class Remote(Protocol):
    """Where copies go. Called from one thread at a time; writing the same point twice is writing it once."""

    def write(self, points: Sequence[Point]) -> None:
        """Returns when the remote has said yes to all of them. Raises :class:`RemoteError`."""

    def close(self) -> None:
        """Let its connections go. Twice is once."""


@dataclass(frozen=True, slots=True)
class Batch:
    """What goes next. ``ahead_ms`` is the time of its oldest point beyond the cursor, None if there is none; ``full``
    says that more may follow; ``held_back`` that rows wait until the clock is set."""

    points: Sequence[Point]
    newest_ms: Mapping[int, int]
    late_number: int | None
    ahead_ms: int | None
    full: bool
    held_back: bool
    series: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a remote's copy lies (``name``: another one begins anew), and which series go there."""

    name: str
    wanted: Callable[[str], bool]


class Outbox(Protocol):
    """What is stored here and not yet there. Only the record knows: nothing of it is kept in memory."""

    async def know(self, places: Mapping[str, Place]) -> None:
        """The configured remotes, by id. One with another place, or new, begins from the first reading; one that is
        not named any more is forgotten."""

    def batch(self, remote: str, most: int) -> Batch:
        """At most ``most`` points, from any thread: half of them late ones where there are so many, then the oldest of
        all series. Raises :class:`~server.stores.port.StoreError`."""

    def pending(self, remote: str) -> int:
        """About how many readings are still to go; exact up to 100,000 a series. From any thread."""

    def busy(self) -> bool:
        """Whether readings are being written just now, so that a count may or may not hold them. On the loop."""

    def condemned(self, remote: str) -> int:
        """How many lie in the dead-letter table."""

    async def moved(self, remote: str, batch: Batch, condemned: Sequence[Condemned], now_ms: int) -> None:
        """The remote has all of the batch but those: the cursor moves past it, synced."""

    async def rewind(self, remote: str, from_ms: int, command: Command) -> Reply | None:
        """Everything from ``from_ms`` on goes again, the condemned too. The earlier reply if the command was done."""

    def listen(self, heard: Callable[[int], None]) -> None:
        """Call ``heard`` on the loop with the number of readings after every commit of some."""
