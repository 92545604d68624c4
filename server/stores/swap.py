"""Putting another file in the record's place, so that a kill at any moment leaves the old one or the new one whole.

The new file is made under a name of its own, synced, and then called *ready*; from that moment on it is the record, and
what is left to do (the old file aside, the new one in its place) is done again from the start by whoever opens the
folder next. The old file is never deleted. Field pitfall 33: made beside, synced, renamed, the folder synced.
"""

from __future__ import annotations

import errno
import os
from datetime import UTC, datetime
from pathlib import Path

from server.stores.port import StoreError, StoreFull
from server.stores.sqlite_file import FILE_NAME

PART = f"{FILE_NAME}.part"
"""A file that is being made; what a kill left of it is removed by the next one."""
_READY = f"{FILE_NAME}.ready-"
_BESIDE = ("-wal", "-shm", "-journal")
_NO_ROOM = {errno.EROFS, errno.ENOSPC, errno.EDQUOT}


def stamp(t_ms: int) -> str:
    """A time as it stands in a file's name."""
    return datetime.fromtimestamp(t_ms / 1000, UTC).strftime("%Y%m%dT%H%M%SZ")


def unused(folder: Path, why: str) -> str:
    """The same word, with a number behind it where an old file has that name already."""
    numbered = why
    for number in range(1, 1000):
        if not (folder / f"{FILE_NAME}.{numbered}").exists():
            break
        numbered = f"{why}-{number}"
    return numbered


def told(what: str, error: OSError) -> StoreError:
    """The store's own error for one of the file system's."""
    kind = StoreFull if error.errno in _NO_ROOM else StoreError
    return kind(f"{what}: {error.strerror}; would be right: a folder with room that we may write in")


def synced(path: Path) -> None:
    """What is in a file or a folder's list is on the disk itself. Raises OSError."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def cleared(part: Path) -> Path:
    """The same path, with nothing there nor beside it."""
    for name in ("", *_BESIDE):
        part.with_name(part.name + name).unlink(missing_ok=True)
    return part


def swap_in(folder: Path, why: str) -> Path:
    """Make the finished :data:`PART` the record. Returns where the old one lies: ``record.sqlite.<why>``.

    Raises :class:`StoreError`, :class:`StoreFull`.
    """
    try:
        synced(folder / PART)
        (folder / PART).rename(folder / (_READY + why))
        synced(folder)
        return finish(folder) or folder / f"{FILE_NAME}.{why}"
    except OSError as error:
        raise told(str(folder / PART), error) from error


def finish(folder: Path) -> Path | None:
    """Do what is left of a change of files that was begun; where the old file went, None if there was nothing to do.

    Call with the folder held. Raises OSError.
    """
    ready = sorted(folder.glob(_READY + "*"))
    if not ready:
        return None
    new = ready[-1]
    aside = folder / f"{FILE_NAME}.{new.name.removeprefix(_READY)}"
    # the log first: beside the new file it would be taken for its own
    for name in ("-wal", ""):
        old = folder / (FILE_NAME + name)
        if old.exists():
            old.rename(aside.with_name(aside.name + name))
    (folder / f"{FILE_NAME}-shm").unlink(missing_ok=True)  # made again from the log, wherever that lies
    synced(folder)
    new.rename(folder / FILE_NAME)
    synced(folder)
    return aside
