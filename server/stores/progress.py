"""How one copy is doing, counted as it goes: what is left is never counted again while the count can be carried on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from server.clock import Clock
from server.reading import RemoteState
from server.stores.remote import Batch, Condemned

_COUNTS = 5
State = Literal["sending", "idle", "held", "refused"]
_SMOOTHED = 0.2
"""Share of the newest batch in the speed that the estimate rests on."""


class Progress:
    """Fed by the forwarder; :meth:`state` is what rules and the API see. Moments are kept on the monotonic clock."""

    def __init__(self, remote_id: str, where: str, clock: Clock) -> None:
        self.counted, self._counts = False, 0
        self._id, self._where, self._clock = remote_id, where, clock
        self._state: State = "sending"
        self._since_s = self._batch_s = clock.now().mono_s
        self._error = ""
        self._sent = self._behind = self._condemned = 0
        self._oldest_ms: int | None = None
        self._rows_per_s: float | None = None
        self._stored_since = self._stored_in_all = 0

    def unknown(self) -> None:
        """The number of rows left has to be counted anew."""
        self.counted, self._counts = False, 0

    def mark(self) -> int:
        """Before counting: what :meth:`count` wants, so that what is stored meanwhile is not lost sight of."""
        return self._stored_in_all

    def count(self, mark: int, behind: int, condemned: int, *, quiet: bool) -> None:
        """So many were left, and so many lie in the dead-letter table. Unless it was ``quiet`` some may be counted
        twice; then it is worth counting again, a few times."""
        self._behind = behind + self._stored_in_all - mark
        self._condemned = condemned
        self._counts += 1
        self.counted = (quiet and mark == self._stored_in_all) or self._counts >= _COUNTS

    def stored(self, readings: int) -> None:
        """So many more were stored."""
        self._behind += readings
        self._stored_since += readings
        self._stored_in_all += readings

    def next(self, batch: Batch) -> None:
        """This was read and goes next."""
        self._stored_since = 0
        self._batch_s = self._clock.now().mono_s
        if batch.ahead_ms is not None:
            self._oldest_ms = batch.ahead_ms
        elif batch.points and self._oldest_ms is None:  # late ones alone: they wait since now, whatever they tell of
            self._oldest_ms = self._clock.now().wall_ms

    def sent(self, batch: Batch, condemned: Sequence[Condemned]) -> None:
        """The remote has it."""
        rows = len(batch.points)
        self._sent += rows - len(condemned)
        self._condemned += len(condemned)
        self._behind = max(0, self._behind - rows)
        self._oldest_ms = batch.points[-1].t_ms if batch.newest_ms else self._oldest_ms
        took_s = self._clock.now().mono_s - self._batch_s
        if took_s > 0 and rows:
            last = self._rows_per_s if self._rows_per_s is not None else rows / took_s
            self._rows_per_s = last + _SMOOTHED * (rows / took_s - last)
        self._become("sending", "")

    def caught_up(self, *, held_back: bool) -> None:
        """Nothing more is to go now; rows that wait for the clock are no delay of the remote's."""
        self._oldest_ms = None
        if held_back:
            self.unknown()
        else:
            self._behind = self._stored_since
        self._become("idle", "")

    def failed(self, state: Literal["held", "refused"], error: str) -> bool:
        """It waits; whether that is news."""
        news = (self._state, self._error) != (state, error)
        self._become(state, error)
        return news

    def _become(self, state: State, error: str) -> None:
        if state != self._state:
            self._since_s = self._clock.now().mono_s
        self._state, self._error = state, error

    def state(self) -> RemoteState:
        """All of it at this moment."""
        now = self._clock.now()
        left_s = None
        if self._state == "sending" and self._rows_per_s:
            left_s = round(self._behind / self._rows_per_s, 1)
        return RemoteState(
            remote=self._id,
            where=self._where,
            state=self._state,
            since_ms=now.wall_ms - round((now.mono_s - self._since_s) * 1000),
            sent=self._sent,
            behind_rows=self._behind,
            behind_s=0.0 if self._oldest_ms is None else max(0.0, (now.wall_ms - self._oldest_ms) / 1000),
            condemned=self._condemned,
            error=self._error,
            left_s=left_s,
        )
