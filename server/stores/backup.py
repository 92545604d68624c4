"""Copies of the record, made while it is written, and putting one back.

Only SQLite's backup interface reads the live file (Field pitfall 9: copies taken beside it were malformed). A copy is
made under another name, checked, synced and then renamed: what a kill or a full disk leaves never looks whole.
"""

from __future__ import annotations

import fcntl
import os
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from server.stores import swap
from server.stores.folder_lock import FolderLock
from server.stores.migrate import APPLICATION_ID, migrations
from server.stores.port import StoreBusy, StoreDamaged, StoreError
from server.stores.sqlite_file import FILE_NAME, connect_reader, open_writer, translated

_PAGES_A_STEP = 2_000
_OURS = re.compile(r"record-\d{8}T\d{6}Z\.sqlite")
PART = ".part"


class BackupStopped(Exception):
    """The program ends; nothing was left behind."""


def backup_name(now_ms: int) -> str:
    """What the copy of this moment is called; names sort by time."""
    return f"record-{swap.stamp(now_ms)}.sqlite"


def backups(folder: Path) -> list[Path]:
    """The finished copies in a folder, oldest first; none where there is no folder. Raises :class:`StoreError`."""
    try:
        return sorted(p for p in folder.iterdir() if _OURS.fullmatch(p.name)) if folder.exists() else []
    except OSError as error:
        raise swap.told(f"backup folder {folder}", error) from error


def back_up(record: Path, to: Path, should_stop: Callable[[], bool] = lambda: False) -> int:
    """Copy the record as it is at this moment to the file ``to`` while others write in it; the bytes of the copy.

    An older file of that name is replaced, by a whole one or not at all. Blocks; a reader holds the record's log from
    shrinking meanwhile. Raises :class:`StoreError` (also for a copy over the record itself) and below (StoreFull,
    StoreDamaged when the copy fails its check), :class:`BackupStopped`.
    """
    part = to.with_name(to.name + PART)
    _not_itself(record, to)
    try:
        to.parent.mkdir(parents=True, exist_ok=True)
        _clear_killed(to.parent)
        with _held(part):
            try:
                _copy(record, part, should_stop)
                check_copy(part)
                swap.synced(part)
                part.rename(to)
                swap.synced(to.parent)
            except BaseException:
                with suppress(OSError):
                    swap.cleared(part)
                raise
        return to.stat().st_size
    except sqlite3.Error as error:
        raise translated(to, error) from error
    except OSError as error:
        raise swap.told(f"backup {to}", error) from error


def _not_itself(record: Path, to: Path) -> None:
    """A copy over the record would take it away from under the server that writes in it."""
    own = {record.resolve().with_name(record.name + end) for end in ("", "-wal", "-shm")}
    if to.resolve() in own or (to.exists() and record.exists() and to.samefile(record)):
        raise StoreError(f"{to}: found the record itself; would be right: another name, best on another disk")


def made_ms(backup: Path) -> int:
    """When a finished copy was made, by its name, ms UTC; 0 where that is no date."""
    try:
        made = datetime.strptime(backup.name, "record-%Y%m%dT%H%M%SZ.sqlite").replace(tzinfo=UTC)
    except ValueError:
        return 0
    return round(made.timestamp() * 1000)


def thin_out(folder: Path, keep: int, until_ms: int | None = None) -> list[Path]:
    """Remove all but the newest ``keep`` copies; those removed. Copies from after ``until_ms`` are passed over. Raises
    :class:`StoreError`."""
    there = [path for path in backups(folder) if until_ms is None or made_ms(path) <= until_ms]
    gone = there[:-keep] if keep > 0 else []
    for path in gone:
        try:
            path.unlink()
        except OSError as error:
            raise swap.told(f"backup {path}", error) from error
    return gone


def restore(folder: Path, backup: Path, now_ms: int) -> Path | None:
    """Make a copy the record of a state folder, all or nothing; where the present one went, None if there was none.

    The copy is checked first, and stays where it is. Raises :class:`StoreBusy` while a server holds the folder,
    :class:`StoreDamaged` for a copy that fails its check, :class:`StoreFull`, :class:`StoreError`.
    """
    if not backup.is_file():
        raise StoreError(f"{backup}: found no file; would be right: a copy that stillstack store backup made")
    lock = FolderLock(folder)
    try:
        swap.finish(folder)
        check_copy(backup)
        part = swap.cleared(folder / swap.PART)
        _copy(backup, part, lambda: False)
        with closing(open_writer(part, now_ms)) as record:  # to this Stillstack's schema, before it is the record
            record.execute("PRAGMA journal_mode = DELETE")
        there = (folder / FILE_NAME).exists()
        aside = swap.swap_in(folder, swap.unused(folder, f"replaced-{swap.stamp(now_ms)}"))
        return aside if there else None
    except sqlite3.Error as error:
        raise translated(folder / swap.PART, error) from error
    except OSError as error:
        raise swap.told(f"state folder {folder}", error) from error
    finally:
        lock.release()


@contextmanager
def _held(part: Path) -> Iterator[None]:
    """The file is being made by this process; the kernel lets go of it when that ends, however it ends."""
    handle = os.open(part, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise StoreBusy(f"{part}: another copy is being made there; would be right: to wait for it") from error
        os.ftruncate(handle, 0)
        yield
    finally:
        os.close(handle)


def _clear_killed(folder: Path) -> None:
    """Remove what killed copies have left, but none that is being made."""
    for part in folder.glob(f"record-*.sqlite{PART}"):
        with suppress(StoreBusy), _held(part):
            swap.cleared(part)


def _copy(source: Path, part: Path, should_stop: Callable[[], bool]) -> None:
    def progress(_status: int, _left: int, _pages: int) -> None:
        if should_stop():
            raise BackupStopped

    if not source.exists():
        raise StoreError(f"{source}: found no file; would be right: a record, which a server makes")
    with closing(connect_reader(source)) as reader, closing(sqlite3.connect(part, isolation_level=None)) as copy:
        # One moment for the whole copy: without it, every write of the server would begin it anew.
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        copy.execute("PRAGMA synchronous = OFF")  # it is synced whole, before it gets its name
        reader.backup(copy, pages=_PAGES_A_STEP, progress=progress)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, to be carried anywhere


def check_copy(path: Path) -> None:
    """Raises :class:`StoreDamaged` where a copy is not whole, :class:`StoreError` where it is none of ours."""
    with closing(connect_reader(path)) as copy:
        try:
            found = [text for (text,) in copy.execute("PRAGMA integrity_check(3)")]
            (owner,) = copy.execute("PRAGMA application_id").fetchone()
            number = copy.execute("SELECT max(number) FROM migration").fetchone()[0] if owner == APPLICATION_ID else 0
        except sqlite3.DatabaseError as error:
            raise translated(path, error) from error
    if owner != APPLICATION_ID:
        raise StoreError(f"{path}: found no record of Stillstack; would be right: a copy that it made")
    if found != ["ok"]:
        raise StoreDamaged(f"{path}: {'; '.join(found)}; would be right: a whole copy; try an older one")
    if number > (known := migrations()[-1].number):
        raise StoreError(f"{path}: found schema {number}; would be right: at most {known}, or a newer Stillstack")
