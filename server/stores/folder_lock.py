"""One program at a time on a state folder."""

from __future__ import annotations

import errno
import fcntl
import os
from pathlib import Path

from server.stores.port import StoreBusy, StoreError, StoreFull

LOCK_NAME = "lock"
_NO_ROOM = {errno.EROFS, errno.ENOSPC, errno.EDQUOT}


class FolderLock:
    """Holds a state folder for this process. The kernel lets go of it when the process ends, however it ends."""

    def __init__(self, folder: Path) -> None:
        """Raises :class:`StoreBusy` naming folder and process, :class:`StoreFull` where nothing can be written."""
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._handle = os.open(folder / LOCK_NAME, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
        except OSError as error:
            kind = StoreFull if error.errno in _NO_ROOM else StoreError
            raise kind(f"state folder {folder}: {error.strerror}; would be right: a folder we may write in") from error
        try:
            self._take(folder)
        except BaseException:
            os.close(self._handle)
            raise

    def _take(self, folder: Path) -> None:
        try:
            fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            pid = os.read(self._handle, 20).decode("ascii", "replace").strip() or "unknown"
            raise StoreBusy(
                f"state folder {folder}: process {pid} holds it; would be right: stop that one, or use another folder"
            ) from error
        os.ftruncate(self._handle, 0)
        try:
            os.pwrite(self._handle, f"{os.getpid()}\n".encode(), 0)
        except OSError as error:
            # on a full disk the number is missing, the lock still holds
            if error.errno not in _NO_ROOM:
                raise

    def release(self) -> None:
        """Let the folder go. The file stays: removing it would race with the next owner."""
        os.close(self._handle)
