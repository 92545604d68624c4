"""Brings one batch to a remote: in halves where it is too much, down to the row that is refused."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from server.stores.remote import Condemned, Point, Remote, RemoteRefuses, RowsRefused, TooMuch

_WITNESSES = 5


class Stopped(Exception):
    """The program ends: what was not delivered goes after the next start."""


class Delivery:
    """For one remote. ``most`` is what it was last seen to take at once, None while it took everything.

    A remote that refuses everything condemns nothing: before a row is condemned, another one must have been accepted
    since. ``stopped`` is asked between writes.
    """

    def __init__(self, stopped: Callable[[], bool] = lambda: False) -> None:
        self.most: int | None = None
        self._stopped = stopped
        self._proof: Point | None = None
        self._accepted = False
        self._refused: list[Condemned] = []

    def deliver(self, remote: Remote, points: Sequence[Point]) -> list[Condemned]:
        """Write all of them; those that were refused for what they are. Raises RemoteAway, RemoteRefuses, Stopped: then
        any of them may have arrived, and all may be sent again."""
        self._accepted, self._refused = False, []
        self._bring(remote, points, points)
        return self._refused

    def _bring(self, remote: Remote, points: Sequence[Point], whole: Sequence[Point]) -> None:
        if self._stopped():
            raise Stopped
        try:
            remote.write(points)
        except RowsRefused as refused:
            if len(points) == 1:
                self._condemn(remote, points[0], refused, whole)
                return
        except TooMuch as much:
            if len(points) == 1:
                raise RemoteRefuses(f"{much} (for a single row)") from much
            self.most = len(points) // 2
        else:
            self._accepted, self._proof = True, points[-1]
            return
        half = len(points) // 2
        self._bring(remote, points[:half], whole)
        self._bring(remote, points[half:], whole)

    def _condemn(self, remote: Remote, point: Point, refused: RowsRefused, whole: Sequence[Point]) -> None:
        if not self._accepted and not self._takes_another(remote, point, whole):
            raise RemoteRefuses(f"every row is refused: {refused}") from refused
        self._accepted = True
        self._refused.append(Condemned(point, refused.status, str(refused)))

    def _takes_another(self, remote: Remote, point: Point, whole: Sequence[Point]) -> bool:
        """Whether the remote takes a row it took before, or another of this batch. Sending one again harms nothing."""
        others = [p for p in random.sample(whole, min(_WITNESSES, len(whole))) if p is not point]
        for witness in others if self._proof is None else [self._proof, *others]:
            if self._stopped():
                raise Stopped
            try:
                remote.write([witness])
            except RowsRefused:
                continue
            self._proof = witness
            return True
        return False
