"""The record's housekeeping: a copy every night, raw readings pruned, a full check every week; and how the record is.

One thing after the other, never two at once, when the shop's clock says so. A night that was slept through is made up
for at the next start. What fails is told in :class:`~server.reading.RecordState` and tried again in an hour.
"""

from __future__ import annotations

import asyncio
import logging
import os
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing, suppress
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Self, TypeVar
from zoneinfo import ZoneInfo

from sensors.threads import in_daemon_thread
from server.clock import Clock, SystemClock
from server.config import Config, StoreTable
from server.date_watch import DateWatch
from server.engine import Engine
from server.faults import Faults
from server.keeping import Keeper
from server.reading import RecordState
from server.stores.backup import BackupStopped, back_up, backup_name, backups, made_ms, thin_out
from server.stores.port import History, Reply, Store, StoreError
from server.stores.sqlite_file import BACKUPS, FILE_NAME, connect_reader, translated

log = logging.getLogger(__name__)

T = TypeVar("T")
LEAST_PAUSE_S = 10.0
LOOK_S = 60.0
LEAST_REAL_S = 600.0
"""Real seconds between two rounds of work, however fast the shop's clock runs."""
RETRY_MS = 3_600_000
DAY_MS = 86_400_000
CHECK_EVERY_MS = 7 * DAY_MS
PRUNE_ROWS = 5_000
GIVE_UP_S = 1.5
CHECKED = "checked_ms"
"""The setting that says when the whole file was last looked through."""


class Upkeep:
    """Made by the app; :meth:`run` is one of its parts. ``state`` is the state folder."""

    def __init__(
        self,
        table: StoreTable,
        timezone: str,
        state: Path,
        *,
        store: Store,
        history: History,
        keeper: Keeper,
        clock: Clock,
        machine: Clock | None = None,
        faults: Faults | None = None,
    ) -> None:
        self._table, self._zone, self._path = table, ZoneInfo(timezone), state / FILE_NAME
        self.folder = state / (table.backup_folder or BACKUPS)
        self._store, self._history, self._keeper, self._clock = store, history, keeper, clock
        self._machine = machine or SystemClock()
        self._not_before_s, self._not_before_ms, self._damaged_ms = 0.0, 0, 0
        self._pruned_ms: int | None = None
        self._date = DateWatch()
        self._backup_ms: int | None = None
        self._backup_error = self._check_error = ""
        self._told_ahead: list[str] = []
        self._salvaged_ms: int | None = None
        self._stop, self._one_at_a_time = threading.Event(), asyncio.Lock()
        self._faults = faults or Faults()

    @classmethod
    def of(cls, config: Config, state: Path, engine: Engine) -> Self:
        """For the record that an engine writes."""
        return cls(
            config.store,
            config.shop.timezone,
            state,
            store=engine.store,
            history=engine.history,
            keeper=engine.keeper,
            clock=engine.clock,
            faults=engine.faults,
        )

    @classmethod
    async def begun(cls, config: Config, state: Path, engine: Engine) -> Self:
        """The same, and it knows of earlier days: the first turn asks already."""
        upkeep = cls.of(config, state, engine)
        await asyncio.to_thread(upkeep.begin)
        return upkeep

    async def run(self) -> None:
        """For ever: looks once a minute of the shop's clock what is due."""
        while True:
            await asyncio.sleep(LEAST_PAUSE_S)
            await self._clock.sleep(LOOK_S)
            with self._faults.noted("upkeep", self._clock):
                await self.look()

    def begin(self) -> None:
        """What the files and the record say of earlier days. Blocks."""
        with suppress(StoreError):
            self._salvaged_ms = max((e.t_ms for e in self._history.journal("salvaged")), default=None)
        self._note_newest(self._clock.now().wall_ms)

    async def look(self) -> None:
        """Do what is due; nothing while the clock is not set or the record takes no rows."""
        now, machine_s = self._clock.now(), self._machine.now().mono_s
        if not now.wall_is_set or self._keeper.error:
            return
        is_believed = self._date.believed(now)
        if self._not_before_ms - RETRY_MS <= now.wall_ms < self._not_before_ms:
            return
        if machine_s < self._not_before_s:
            return
        due_ms = self._night_before(now.wall_ms)
        async with self._one_at_a_time:
            worked = await self._copy(due_ms, now.wall_ms)
            if is_believed:  # what is deleted does not come back
                worked |= await self._prune(due_ms, now.wall_ms)
            worked |= await self._check(due_ms, now.wall_ms)
        if worked:
            self._not_before_s = machine_s + LEAST_REAL_S

    async def copy_now(self, command_id: str) -> Reply:
        """A copy at once, because a person asked: its ``file`` and ``bytes``. The same command again is the same copy.

        Raises :class:`StoreError` when it cannot be made, or not be noted.
        """
        async with self._one_at_a_time:
            earlier = await asyncio.to_thread(self._history.command, command_id)
            if earlier is not None:
                return {**earlier, "repeated": True}
            now_ms = self._clock.now().wall_ms
            file = self.folder / backup_name(now_ms)
            size = await self._beside(lambda: back_up(self._path, file, self._stop.is_set), "backup")
            self._backup_error = ""
            await asyncio.to_thread(self._note_newest, now_ms)
            reply: Reply = {"done": True, "repeated": False, "file": str(file), "bytes": size}
            await self._store.remember_command(command_id, now_ms, reply)
            return reply

    def record_state(self) -> RecordState:
        """How the record is at this moment, for the rules and the wall."""
        ring = self._keeper.ring
        return RecordState(
            writable=not self._keeper.error,
            since_ms=self._keeper.since_ms,
            error=self._keeper.error or self._check_error,
            ring_rows=ring.rows,
            ring_dropped=self._keeper.given_up,
            free_bytes=free_bytes(self._path.parent),
            log_bytes=log_bytes(self._path),
            salvaged_ms=self._salvaged_ms,
            backup_ms=self._backup_ms,
            backup_error=self._backup_error,
        )

    async def _copy(self, due_ms: int, now_ms: int) -> bool:
        if not self._table.daily_backup:
            return False
        if self._backup_ms is not None and self._backup_ms > now_ms + RETRY_MS:
            await asyncio.to_thread(self._note_newest, now_ms)  # the clock went back
        if self._backup_ms is not None and self._backup_ms >= due_ms:
            return False
        try:
            self._backup_error = await self._beside(lambda: self._back_up(now_ms), "backup")
        except StoreError as error:
            log.error("The nightly copy failed: %s", error)
            self._backup_error = str(error)
            self._not_before_ms = now_ms + RETRY_MS
        return True

    def _back_up(self, now_ms: int) -> str:
        """Make the night's copy; what is wrong with the folder all the same, or nothing. Copies from a date to come are
        not ours to delete, and do not count among those kept: else they would push out each new one."""
        try:
            back_up(self._path, self.folder / backup_name(now_ms), self._stop.is_set)
            ahead = [path.name for path in backups(self.folder) if made_ms(path) > now_ms + RETRY_MS]
            thin_out(self.folder, self._table.backup_keep, now_ms + RETRY_MS)
        finally:
            self._note_newest(now_ms)
        if not ahead or self._told_ahead == ahead:
            return ""
        self._told_ahead = ahead
        return (
            f"{self.folder}: found {', '.join(ahead)}, from a time to come; would be right: names of the past. They are"
            " left alone and not counted; remove them"
        )

    def _note_newest(self, now_ms: int) -> None:
        """A copy from a date to come says nothing of last night."""
        with suppress(StoreError):
            made = (at_ms for path in backups(self.folder) if (at_ms := made_ms(path)) <= now_ms + RETRY_MS)
            self._backup_ms = max(made, default=None)

    async def _prune(self, due_ms: int, now_ms: int) -> bool:
        """In small transactions, each behind whatever waits to be written."""
        if self._pruned_ms is not None and due_ms <= self._pruned_ms <= now_ms + RETRY_MS:
            return False
        self._pruned_ms = now_ms
        if self._table.keep_raw_days is None and not self._table.keep_raw_days_of:
            return False
        try:
            for series in await asyncio.to_thread(self._history.series_names):
                if (days := self._table.raw_days(series)) is not None:
                    await self._prune_one(series, days * DAY_MS, now_ms)
        except StoreError as error:
            log.error("Old readings could not be pruned: %s", error)
            self._pruned_ms = None
            self._not_before_ms = now_ms + RETRY_MS
        return True

    async def _prune_one(self, series: str, keep_ms: int, now_ms: int) -> None:
        """Counted from its newest reading, to the hour: no date alone deletes all of one that ended long ago."""
        newest = await asyncio.to_thread(self._history.latest, series)
        before_ms = 0 if newest is None else min(now_ms, newest.t_ms + DAY_MS // 24) - keep_ms
        while await self._store.prune(series, before_ms, PRUNE_ROWS):
            pass

    async def _check(self, due_ms: int, now_ms: int) -> bool:
        try:
            checked = await asyncio.to_thread(self._history.setting, CHECKED)
            done_ms = [t_ms for t_ms in (int(checked or 0), self._damaged_ms) if t_ms <= now_ms + RETRY_MS]
            if due_ms - max(done_ms, default=0) < CHECK_EVERY_MS - DAY_MS // 2:
                return False
            found = await self._beside(lambda: whole(self._path, self._stop.is_set), "full check")
            self._check_error = found
            if found:
                # not noted in the file, so that a start looks again; till then it is known, and looking wears the disk
                self._damaged_ms = now_ms
                log.error("The weekly check of the record: %s", found)
            else:
                await self._store.keep_setting(CHECKED, str(now_ms))
        except StoreError as error:
            self._check_error = str(error)
            self._not_before_ms = now_ms + RETRY_MS
        return True

    async def _beside(self, work: Callable[[], T], name: str) -> T:
        """Work beside the loop. A stop tells it to end and waits a little; it leaves nothing half done either way."""
        doing = in_daemon_thread(work, name)
        try:
            return await asyncio.shield(doing)
        except asyncio.CancelledError:
            self._stop.set()
            await asyncio.wait({doing}, timeout=GIVE_UP_S)
            if doing.done():
                doing.exception()  # looked at: BackupStopped is what was asked for
            raise

    def _night_before(self, now_ms: int) -> int:
        """When the work was last due: the shop's last time of day for it, ms UTC."""
        local = datetime.fromtimestamp(now_ms / 1000, self._zone)
        at = time(self._table.backup_hour)
        day = local.date() if local.time() >= at else local.date() - timedelta(days=1)
        return round(datetime.combine(day, at, self._zone).timestamp() * 1000)


def whole(path: Path, should_stop: Callable[[], bool] = lambda: False) -> str:
    """What a full check of the file says against it; empty where it is whole. Blocks, beside any writer.

    Raises :class:`StoreError` when it cannot be looked at, :class:`BackupStopped` when told to stop.
    """
    try:
        with closing(connect_reader(path)) as reader:
            reader.set_progress_handler(lambda: int(should_stop()), 100_000)
            found = [text for (text,) in reader.execute("PRAGMA integrity_check(3)")]
    except sqlite3.Error as error:
        if should_stop():
            raise BackupStopped from error
        raise translated(path, error) from error
    right = "would be right: a whole file; start the server again to salvage it, and change the disk"
    return "" if found == ["ok"] else f"{path}: {'; '.join(found)}; {right}"


def free_bytes(folder: Path) -> int | None:
    """Room for us on the medium of a folder; None where it does not say."""
    try:
        said = os.statvfs(folder)
    except OSError:
        return None
    return said.f_bavail * said.f_frsize


def log_bytes(path: Path) -> int:
    """Size of the record's write-ahead log (Field pitfall 29: one that cannot shrink fills a disk)."""
    try:
        return path.with_name(path.name + "-wal").stat().st_size
    except OSError:
        return 0
