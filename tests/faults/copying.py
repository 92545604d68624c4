"""A real record that is copied to a real server by the real client."""

from __future__ import annotations

import asyncio
import contextlib
import sqlite3
from collections.abc import AsyncIterator
from contextlib import closing
from pathlib import Path
from typing import Any

from server.clock import ManualClock
from server.config import RemoteTable
from server.reading import Reading, RemoteState
from server.remotes import Remotes, make_remotes
from server.stores.forward import Pace
from server.stores.sqlite import SqliteStore
from tests.flow.conftest import until
from tests.remotes import BUCKET, Kept

T0 = 1_700_000_000_000
"""In the past: VictoriaMetrics drops what lies more than two days ahead of the machine's clock, and says yes."""
SERIES = [f"t{n}/{q}" for n in range(4) for q in ("temperature_c", "humidity_pct")] + ["zone:bench/emc_pct"]


def readings(first: int, count: int) -> list[Reading]:
    """``count`` moments of nine series, a minute apart, from the ``first`` on."""
    return [
        Reading(series, T0 + 60_000 * n, round(5 + (n * 7 + k) % 900 / 16, 4))
        for n in range(first, first + count)
        for k, series in enumerate(SERIES)
    ]


def local(folder: Path) -> Kept:
    """What the record in a folder holds, as a remote should."""
    with closing(sqlite3.connect(folder / "record.sqlite")) as connection:
        rows = connection.execute(
            "SELECT name, t_ms, value, flags, coalesce(raw, value) FROM reading JOIN series ON id = series"
        )
        return {(name, t_ms): (value, float(flags), raw) for name, t_ms, value, flags, raw in rows}


class Copying:
    """A record in ``folder`` and the running copy of it; waits are cut short so that tests need none."""

    def __init__(self, folder: Path, server: Any, pause_s: float = 0.05, **more: Any) -> None:
        self.folder, self.server, self.pause_s = folder, server, pause_s
        self.clock = ManualClock(T0)
        table: dict[str, Any] = {"id": "there", "url": server.url, "bucket": BUCKET, "batch_rows": 500, "timeout_s": 20}
        self.table = RemoteTable(**{**table, **more})
        self.store: SqliteStore
        self.remotes: Remotes

    @contextlib.asynccontextmanager
    async def running(self) -> AsyncIterator[Copying]:
        self.store = SqliteStore(self.folder, "Europe/Oslo", self.clock)
        pace = Pace(self.table.batch_rows, gather_s=0.0, look_s=0.1, pause=lambda failures, refused: self.pause_s)
        self.remotes = await make_remotes([self.table], "Test shop", self.store.outbox, self.clock, lambda _: pace)
        task = asyncio.create_task(self.remotes.forwarders["there"].run())
        try:
            yield self
        finally:
            task.cancel()
            await asyncio.wait({task})
            await self.store.close()

    @property
    def state(self) -> RemoteState:
        return self.remotes.states()[0]

    async def becomes(self, *states: str) -> None:
        await until(lambda: self.state.state in states, f"the copy {states}", 60.0)

    async def sent(self, rows: int) -> None:
        await until(lambda: self.state.sent >= rows, f"{rows} rows sent", 60.0)

    async def equal(self) -> None:
        """Caught up, and what the server says it holds is what the record holds."""
        wanted = local(self.folder)

        async def same() -> bool:
            at_rest = (self.state.state, self.state.behind_rows, self.state.behind_s) == ("idle", 0, 0.0)
            return at_rest and await asyncio.to_thread(self.server.kept) == wanted

        await until(same, f"the remote equal to the record's {len(wanted)} rows", 60.0)
