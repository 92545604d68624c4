"""The record as one SQLite file: what the jobs of :mod:`server.stores.writer` write."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Sequence
from pathlib import Path
from typing import Any

from server.clock import Clock
from server.reading import ZONE_QUANTITIES, Alert, Checkpoint, JournalEntry, Made, Reading, Refused
from server.stores import rows, swap
from server.stores.folder_lock import FolderLock
from server.stores.port import Boot, Command, Note, Reply, StoreDamaged
from server.stores.rollups import Days
from server.stores.rows import Row
from server.stores.salvage import salvage
from server.stores.sqlite_checkpoints import AT_ONCE
from server.stores.sqlite_cursor import SqliteOutbox
from server.stores.sqlite_file import BACKUPS, FILE_NAME, open_writer, translated
from server.stores.sqlite_ledger import Ledger, adopt_zone
from server.stores.writer import Job, Writer


class SqliteStore:
    """Implements :class:`server.stores.port.Store`. Use from one event loop; the writing happens on one thread.

    ``folder`` is made if it is not there, and held until :meth:`close`. ``timezone`` (IANA) says where days begin.
    ``clock`` dates migrations, corrections and commands; ``backups`` is where those lie. A damaged file is replaced by
    what can be read of it (:mod:`server.stores.salvage`), which takes its time. Raises on opening:
    :class:`~server.stores.port.StoreBusy`, :class:`~server.stores.port.StoreFull`,
    :class:`~server.stores.port.StoreError` for a file of a newer Stillstack or of another program, :class:`ValueError`
    for an unknown zone.
    """

    def __init__(self, folder: Path, timezone: str, clock: Clock, backups: Path | None = None) -> None:
        days = Days(timezone)
        self.path = folder / FILE_NAME
        self._clock = clock
        self._lock: FolderLock | None = FolderLock(folder)
        try:
            connection = self._open(days, folder / BACKUPS if backups is None else backups)
        except BaseException:
            self._lock.release()
            raise
        self._ledger = Ledger(connection, days)
        self._writer = Writer(connection, self.path, self._ledger)
        self.outbox = SqliteOutbox(self.path, connection, self._synced, self._remembering)

    def _open(self, days: Days, backups: Path) -> sqlite3.Connection:
        now_ms = self._clock.now().wall_ms
        try:
            swap.finish(self.path.parent)
        except OSError as error:
            raise swap.told(str(self.path), error) from error
        try:
            connection = open_writer(self.path, now_ms)
        except StoreDamaged as damage:
            salvage(self.path, days, now_ms, str(damage).partition("; would be right")[0], backups)
            connection = open_writer(self.path, now_ms)
        try:
            adopt_zone(connection, days)
        except BaseException as error:
            connection.close()
            if isinstance(error, sqlite3.Error):
                raise translated(self.path, error) from error
            raise
        return connection

    async def append(
        self, readings: Sequence[Reading], refused: Sequence[Refused] = (), entries: Sequence[JournalEntry] = ()
    ) -> None:
        lines, odd = rows.reading_rows(readings), rows.refused_rows(refused)
        said = [rows.journal_row(entry) for entry in entries]
        replaced_ms = self._clock.now().wall_ms

        def apply() -> None:
            self._ledger.append(lines, odd, replaced_ms)
            self._ledger.add_journal(said)

        if lines or odd or said:
            job = Job(apply, rows=len(readings) + len(odd), synced=bool(said))
            with self.outbox.writing(len(readings)):
                await self._writer.submit(job)

    async def add_journal(
        self, entries: Sequence[JournalEntry], unsettles: tuple[Collection[str], int] | None = None
    ) -> int:
        lines = [rows.journal_row(entry) for entry in entries]
        return int(await self._synced(lambda: self._ledger.add_journal(lines, unsettles))) if lines else 0

    async def keep_checkpoints(self, checkpoints: Sequence[Checkpoint], mark: str | None) -> bool:
        lines = [rows.checkpoint_row(one) for one in checkpoints]
        job = Job(lambda: self._ledger.keep_checkpoints(lines, mark), rows=len(lines))
        return bool(await self._writer.submit(job))

    async def forget_stale(self) -> bool:
        return bool(await self._writer.submit(Job(self._ledger.forget_stale, rows=AT_ONCE)))

    async def put_alerts(
        self, alerts: Sequence[Alert], command: Command | None = None, entries: Sequence[JournalEntry] = ()
    ) -> Reply | None:
        lines, said = [rows.alert_row(alert) for alert in alerts], [rows.journal_row(entry) for entry in entries]
        if command is not None:
            command_id, reply = command
            kept = self._command_row(command_id, self._clock.now().wall_ms, reply)
        elif lines:
            kept = None
        else:
            return None
        earlier: Reply | None = await self._synced(lambda: self._ledger.put_alerts(lines, kept, said))
        return earlier

    async def remember_command(self, command_id: str, t_ms: int, reply: Reply) -> Reply | None:
        kept = self._command_row(command_id, t_ms, reply)
        earlier: Reply | None = await self._synced(lambda: self._ledger.put_alerts([], kept))
        return earlier

    def _remembering(self, command_id: str, reply: Reply) -> Callable[[], Reply | None]:
        kept = self._command_row(command_id, self._clock.now().wall_ms, reply)
        return lambda: self._ledger.put_alerts([], kept)

    async def change_made(
        self,
        command: Command,
        *,
        made: Sequence[Made] = (),
        gone: Sequence[tuple[str, str]] = (),
        entries: Sequence[JournalEntry] = (),
        remake: tuple[Note, int] | None = None,
    ) -> Reply | None:
        command_id, reply = command
        kept = self._command_row(command_id, self._clock.now().wall_ms, reply)
        new, lines = [rows.made_row(one) for one in made], [rows.journal_row(entry) for entry in entries]
        earlier: Reply | None = await self._synced(lambda: self._ledger.change_made(new, gone, lines, kept, remake))
        return earlier

    async def replace_air(
        self, zones: Collection[str], from_ms: int, to_ms: int, air: Sequence[Reading], note: Note
    ) -> None:
        lines = rows.reading_rows(air)
        names = sorted(f"zone:{zone}/{quantity}" for zone in zones for quantity in ZONE_QUANTITIES)

        job = Job(lambda: self._ledger.replace_air(names, from_ms, to_ms, lines, note), rows=len(air))
        with self.outbox.writing(len(air)):
            await self._writer.submit(job)

    async def begin_boot(self, token: str, wall_minus_mono_ms: int, first_ms: int, *, clock_set: bool) -> Boot:
        begun: Boot = await self._synced(
            lambda: self._ledger.begin_boot(token, wall_minus_mono_ms, first_ms, clock_set=clock_set)
        )
        return begun

    async def set_clock(self, boot: int, wall_minus_mono_ms: int, entry: JournalEntry) -> int:
        line = rows.journal_row(entry)
        return int(await self._synced(lambda: self._ledger.set_clock(boot, wall_minus_mono_ms, line)))

    async def prune(self, series: str, before_ms: int, most: int) -> int:
        def apply() -> int:
            self.outbox.claim(series)
            return self._ledger.prune(series, before_ms, most)

        return int(await self._writer.submit(Job(apply, rows=most)))

    async def keep_picture(self, picture: str, kind: str, data: bytes, entry: JournalEntry) -> bool | None:
        row, line = (picture, kind, data, entry.t_ms), rows.journal_row(entry)
        kept: bool | None = await self._synced(lambda: self._ledger.keep_picture(row, line))
        return kept

    async def keep_setting(self, name: str, value: str) -> None:
        await self._synced(lambda: self._ledger.set(name, value))

    async def close(self) -> None:
        await self._writer.stop()
        if self._lock is not None:
            self._lock.release()
            self._lock = None

    async def _synced(self, apply: Callable[[], Any]) -> Any:
        return await self._writer.submit(Job(apply, synced=True))

    @staticmethod
    def _command_row(command_id: str, t_ms: int, reply: Reply) -> Row:
        where = f"command {command_id!r}"
        rows.check_time(where, t_ms)
        return command_id, t_ms, rows.to_json(where, reply)
