"""What was heard while the disk takes nothing: a bounded table in memory, written back in the order it came.

Field pitfall 9 asks that nothing be called kept that is not. So a batch whose sender waits for a word (QoS 1) is
*owed* and never dropped: its sender's own bound keeps those few. Of the rest the oldest goes when the ring is full.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from server.reading import Reading, Refused
from server.stores.rows import reading_rows, refused_rows, to_reading

RING_ROWS = 500_000
"""Some 50 MB: five series of one a minute for two months, or a burst of two thousand rows a second for four minutes."""

_TABLE = """
CREATE TABLE held (
    number INTEGER PRIMARY KEY, batch INTEGER, owed INTEGER, series INTEGER, t_ms INTEGER,
    value REAL, flags INTEGER, raw REAL, source TEXT, place TEXT, payload BLOB, reason TEXT
)
"""
_DROP_OLDEST = """
DELETE FROM held WHERE number IN (SELECT number FROM held WHERE NOT owed ORDER BY number LIMIT ?)
"""


@dataclass(frozen=True, slots=True)
class Held:
    """Whole batches, oldest first, the last of them numbered ``last``."""

    readings: list[Reading]
    refused: list[Refused]
    last: int


class Ring:
    """For one thread at a time. ``most_rows`` bounds what is not owed; ``rows`` and ``dropped`` count."""

    def __init__(self, most_rows: int = RING_ROWS) -> None:
        if most_rows < 1:
            raise ValueError(f"most_rows: found {most_rows}; would be right: 1 or more")
        self.rows = 0
        self.dropped = 0
        self._most = most_rows
        self._batch = 0
        self._names: list[str] = []
        self._numbers: dict[str, int] = {}
        # built beside the loop, used on it: never by two threads at once
        self._memory = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
        self._memory.execute("PRAGMA journal_mode = OFF")
        self._memory.execute(_TABLE)
        # what may be dropped is found without walking over what may not
        self._memory.execute("CREATE INDEX held_droppable ON held (number) WHERE NOT owed")

    def put(self, readings: Sequence[Reading], refused: Sequence[Refused], *, owed: bool) -> int:
        """Keep a batch; its number. Raises :class:`ValueError`, as the store does, for what could not be kept."""
        lines, odd = reading_rows(readings), refused_rows(refused)
        self._batch += 1
        head = (self._batch, int(owed))
        self._memory.executemany(
            "INSERT INTO held (batch, owed, series, t_ms, value, flags, raw) VALUES (?, ?, ?, ?, ?, ?, ?)",
            ((*head, self._number(name), *row) for name, rows in lines.items() for row in rows),
        )
        self._memory.executemany(
            "INSERT INTO held (batch, owed, source, t_ms, place, payload, reason) VALUES (?, ?, ?, ?, ?, ?, ?)",
            ((*head, *row) for row in odd),
        )
        self.rows += len(readings) + len(odd)
        if self.rows > self._most:
            gone = self._memory.execute(_DROP_OLDEST, (self.rows - self._most,)).rowcount
            self.rows -= gone
            self.dropped += gone
        return self._batch

    def oldest(self, most_rows: int) -> Held | None:
        """The oldest whole batches of about ``most_rows`` rows together, at least one; None where nothing is held."""
        if not self.rows:
            return None
        (last,) = self._memory.execute(
            "SELECT batch FROM (SELECT number, batch FROM held ORDER BY number LIMIT ?) ORDER BY number DESC LIMIT 1",
            (most_rows,),
        ).fetchone()
        held = Held([], [], last)
        found = self._memory.execute(
            "SELECT series, t_ms, value, flags, raw, source, place, payload, reason FROM held"
            " WHERE batch <= ? ORDER BY number",
            (last,),
        )
        for series, t_ms, value, flags, raw, source, place, payload, reason in found:
            if series is None:
                held.refused.append(Refused(source, t_ms, place, payload, reason))
            else:
                held.readings.append(to_reading(self._names[series], (t_ms, value, flags, raw)))
        return held

    def forget(self, last: int) -> None:
        """Batches up to this number are on the disk."""
        self.rows -= self._memory.execute("DELETE FROM held WHERE batch <= ?", (last,)).rowcount

    def close(self) -> None:
        """Let the memory go."""
        self._memory.close()

    def _number(self, name: str) -> int:
        if name not in self._numbers:
            self._numbers[name] = len(self._names)
            self._names.append(name)
        return self._numbers[name]
