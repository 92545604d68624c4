"""The one thread that writes: a bounded queue of jobs with replies, grouped into transactions.

A reply comes only after the commit that holds the job. Jobs that wait together share a commit; gathering them never
waits for more, so a lone job is not held up: the group ends when the queue is empty or at 500 rows.
"""

from __future__ import annotations

import asyncio
import queue
import sqlite3
import threading
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from server.clock import SystemClock
from server.stores.port import StoreBusy, StoreDamaged, StoreError, StoreFull
from server.stores.sqlite_file import translated

QUEUE_LIMIT = 256
GROUP_ROWS = 500
CHECKPOINT_EVERY_S = 3600.0
LOG_LIMIT_BYTES = 32 << 20
"""Twice what SQLite keeps by itself: a log so long was held by a reader, and is emptied as soon as that has gone."""
_LOG_LOOK_S = 5.0
_CHECKPOINT_WAIT_MS = 250
_WRITE_WAIT_MS = 1000
"""For another program's lock. Whoever submits tries again; longer would hold up the turn, the wall and a stop."""
_OF_THE_FILE = (StoreFull, StoreBusy, StoreDamaged)
"""Errors that no job is to blame for."""


class Work(Protocol):
    """What happens in a transaction beside the jobs themselves."""

    def before_commit(self) -> None:
        """Last thing of a transaction: bring what is derived up to date."""

    def forget(self) -> None:
        """After a rollback: what was remembered of the file may be wrong."""


@dataclass(frozen=True, slots=True)
class Job:
    """``apply`` runs on the writer's thread inside a transaction. ``synced`` jobs are on the disk itself when they
    return, and never share a transaction with others."""

    apply: Callable[[], Any]
    rows: int = 0
    synced: bool = False
    reply: Future[Any] = field(default_factory=Future)


class Writer:
    """Owns the connection from here on. ``submit`` belongs to one event loop."""

    def __init__(
        self, connection: sqlite3.Connection, path: Path, work: Work, checkpoint_every_s: float = CHECKPOINT_EVERY_S,
        log_limit_bytes: int = LOG_LIMIT_BYTES,
    ) -> None:  # fmt: skip
        self._connection = connection
        self._wait_for_locks(_WRITE_WAIT_MS)
        self._path = path
        self._work = work
        self._queue: queue.SimpleQueue[Job | None] = queue.SimpleQueue()
        self._room = asyncio.Semaphore(QUEUE_LIMIT)
        self._held: Job | None = None
        self._stopping = False
        self._synced: bool | None = None
        # the machine's seconds, not the shop's: a demo's hour may last a second
        self._machine = SystemClock()
        self._checkpoint_every_s = checkpoint_every_s
        self._checkpoint_due_s = self._machine.now().mono_s + checkpoint_every_s
        self._changes_kept = -1
        self._log = path.with_name(path.name + "-wal")
        self._log_limit_bytes = log_limit_bytes
        self._log_wants_look = False
        self._log_look_due_s = 0.0
        self._thread = threading.Thread(target=self._run, name="store writer", daemon=True)
        self._thread.start()

    async def submit(self, job: Job) -> Any:
        """Wait for room, queue the job, return what it returned once that is committed.

        Raises what the job raised, or a :class:`StoreError`. A caller that is cancelled leaves the job to be done.
        """
        await self._room.acquire()
        if self._stopping:
            self._room.release()
            raise StoreError(f"{self._path}: the store is closed; would be right: not to write after that")
        loop = asyncio.get_running_loop()
        job.reply.add_done_callback(lambda _: self._leave(loop))
        self._queue.put(job)
        return await asyncio.shield(asyncio.wrap_future(job.reply, loop=loop))

    def _leave(self, loop: asyncio.AbstractEventLoop) -> None:
        with suppress(RuntimeError):  # the loop has ended meanwhile: nobody waits for room any more
            loop.call_soon_threadsafe(self._room.release)

    async def stop(self) -> None:
        """Do what is queued, checkpoint, close the connection, end the thread. Twice is once. A lock of another program
        is waited for once, and not again by each job of the queue: those fail with :class:`StoreBusy`."""
        if not self._stopping:
            self._stopping = True
            self._queue.put(None)
        while self._thread.is_alive():
            await asyncio.to_thread(self._thread.join)

    def _run(self) -> None:
        while (job := self._next()) is not None:
            self._commit(self._gather(job))
            self._log_wants_look = True
            self._look_at_log()
        self._checkpoint()
        self._connection.close()

    def _next(self) -> Job | None:
        if (held := self._held) is not None:
            self._held = None
            return held
        while True:
            due_s = self._log_look_due_s if self._log_wants_look else self._checkpoint_due_s
            try:
                return self._queue.get(timeout=max(0.0, due_s - self._machine.now().mono_s))
            except queue.Empty:
                if self._log_wants_look:
                    self._look_at_log()
                else:
                    self._checkpoint()

    def _look_at_log(self) -> None:
        """A few seconds after writing: a log past its limit is emptied, tried again while a reader is in the way."""
        now_s = self._machine.now().mono_s
        if now_s < self._log_look_due_s:
            return
        self._log_look_due_s = now_s + _LOG_LOOK_S
        if self._log_size() > self._log_limit_bytes:
            self._checkpoint()
        self._log_wants_look = self._log_size() > self._log_limit_bytes

    def _log_size(self) -> int:
        try:
            return self._log.stat().st_size
        except OSError:
            return 0

    def _gather(self, first: Job) -> list[Job]:
        group, rows = [first], first.rows
        while not first.synced and rows < GROUP_ROWS:
            try:
                job = self._queue.get_nowait()
            except queue.Empty:
                break
            if job is None:
                self._queue.put(None)  # nothing comes after it
                break
            if job.synced:
                self._held = job
                break
            group.append(job)
            rows += job.rows
        return group

    def _commit(self, group: list[Job]) -> None:
        try:
            results = self._transaction(group)
        except Exception as error:  # noqa: BLE001  it is raised where the caller waits
            if len(group) > 1 and not isinstance(error, _OF_THE_FILE):
                # one job's own mistake must not cost the others their rows
                for job in group:
                    self._commit([job])
                return
            if self._stopping and isinstance(error, StoreBusy):
                self._wait_for_locks(0)
            for job in group:
                job.reply.set_exception(error)
        else:
            for job, result in zip(group, results, strict=True):
                job.reply.set_result(result)

    def _transaction(self, group: list[Job]) -> list[Any]:
        connection = self._connection
        try:
            self._set_synced(group[0].synced)
            connection.execute("BEGIN IMMEDIATE")
            results = [job.apply() for job in group]
            self._work.before_commit()
            connection.execute("COMMIT")
        except BaseException as error:
            if connection.in_transaction:
                with suppress(sqlite3.Error):  # the first error is the one to tell
                    connection.execute("ROLLBACK")
            self._work.forget()
            if isinstance(error, sqlite3.Error):
                raise translated(self._path, error) from error
            raise
        return results

    def _set_synced(self, synced: bool) -> None:
        # outside a transaction: inside one SQLite refuses the change
        if synced is not self._synced:
            self._connection.execute(f"PRAGMA synchronous = {'FULL' if synced else 'NORMAL'}")
            self._synced = synced

    def _checkpoint(self) -> None:
        """Empty the log and give its room back. A reader in the way only puts it off: writing does not wait for it."""
        self._checkpoint_due_s = self._machine.now().mono_s + self._checkpoint_every_s
        if self._connection.total_changes == self._changes_kept:
            return
        with suppress(sqlite3.Error):  # a full disk here loses nothing: the log still holds it all
            self._wait_for_locks(_CHECKPOINT_WAIT_MS)
            (busy, _, _) = self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            if not busy:
                self._changes_kept = self._connection.total_changes
        with suppress(sqlite3.Error):
            self._wait_for_locks(_WRITE_WAIT_MS)

    def _wait_for_locks(self, longest_ms: int) -> None:
        self._connection.execute(f"PRAGMA busy_timeout = {longest_ms}")
