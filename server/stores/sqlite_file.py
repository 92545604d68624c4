"""The file: checked before use, its schema brought up to date, its errors told in our own words."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import quote

from server.stores.migrate import APPLICATION_ID, Migration, migrate, migrations
from server.stores.port import StoreBusy, StoreDamaged, StoreError, StoreFull
from server.stores.rows import readable

FILE_NAME = "record.sqlite"
BACKUPS = "backups"
"""The folder, in the state folder, where backups lie unless the configuration names another."""
BUSY_TIMEOUT_S = 30.0
"""How long a reader, and the opening of the file, wait for another program's lock."""
_WAL_LIMIT_BYTES = 16 << 20
_NO_ROOM = ("SQLITE_FULL", "SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_IOERR")
"""An error of the medium other than of reading: nothing can be written now, and it may pass."""
_DAMAGED = ("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_IOERR_SHORT_READ", "SQLITE_IOERR_READ", "SQLITE_IOERR_CORRUPTFS")
_OURS = {"series", "reading", "hour", "journal", "alert", "migration"}


def translated(path: Path, error: sqlite3.Error) -> StoreError:
    """The store's own error for one of SQLite's, naming the file and what was said."""
    name = getattr(error, "sqlite_errorname", "") or ""
    said = f"{path}: {error} ({name or type(error).__name__})"
    if name.startswith(_DAMAGED):
        return StoreDamaged(f"{said}; would be right: a whole file; put back the newest backup")
    if name.startswith(_NO_ROOM):
        return StoreFull(f"{said}; nothing was written; would be right: room on a disk that may be written")
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return StoreBusy(f"{said}; another program is writing in it; would be right: to end that one")
    return StoreError(said)


def connect_reader(path: Path) -> sqlite3.Connection:
    """A read-only connection for one short question. Raises :class:`sqlite3.Error`."""
    connection = sqlite3.connect(
        f"file:{quote(str(path))}?mode=ro", uri=True, timeout=BUSY_TIMEOUT_S, isolation_level=None
    )
    connection.text_factory = readable
    return connection


def open_writer(path: Path, applied_ms: int, steps: Sequence[Migration] | None = None) -> sqlite3.Connection:
    """The one writing connection: file checked, schema up to date, write-ahead log on, transactions by hand.

    Raises :class:`StoreDamaged`, :class:`StoreFull`, :class:`StoreError` for a file of another program or of a newer
    Stillstack.
    """
    _refuse_emptied(path)
    try:
        connection = sqlite3.connect(path, timeout=BUSY_TIMEOUT_S, isolation_level=None, check_same_thread=False)
        connection.text_factory = readable
        try:
            _check(connection, path)
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute(f"PRAGMA journal_size_limit = {_WAL_LIMIT_BYTES}")
            connection.execute("PRAGMA wal_autocheckpoint = 4000")  # pages; as much as the log may keep
            connection.execute("PRAGMA cache_size = -16000")
            migrate(connection, path, applied_ms, migrations() if steps is None else steps)
        except BaseException:
            connection.close()
            raise
    except sqlite3.Error as error:
        raise translated(path, error) from error
    return connection


def _refuse_emptied(path: Path) -> None:
    """A file of no bytes beside a log or copies is no new record but one that a power cut or a full disk emptied."""
    if not path.is_file() or path.stat().st_size > 0:
        return
    copies = path.parent / BACKUPS
    if path.with_name(path.name + "-wal").exists() or (copies.is_dir() and any(copies.iterdir())):
        raise StoreDamaged(f"{path}: found 0 bytes; would be right: a whole file; put back the newest backup")


def _check(connection: sqlite3.Connection, path: Path) -> None:
    found = [text for (text,) in connection.execute("PRAGMA quick_check(3)")]
    if found != ["ok"]:
        raise StoreDamaged(f"{path}: {'; '.join(found)}; would be right: a whole file; put back the newest backup")
    (owner,) = connection.execute("PRAGMA application_id").fetchone()
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
    if tables and owner != APPLICATION_ID:
        if tables >= _OURS:
            raise StoreDamaged(f"{path}: found {owner} in its header; would be right: {APPLICATION_ID}, as it was made")
        raise StoreError(
            f"{path}: found the database of another program; would be right: a Stillstack record, or no file"
        )
