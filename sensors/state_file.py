"""Small files of state: whole or not there, whatever happens to the power."""

from __future__ import annotations

import logging
import os
from pathlib import Path

logger = logging.getLogger(__name__)


def write_whole(path: Path, content: bytes) -> None:
    """Written beside, flushed, renamed, and the folder flushed: a reader finds the old content or the new, also after a
    power cut. Missing folders are made. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(".new")
    with beside.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def set_aside(path: Path, instead: str) -> None:
    """Keep an unreadable file under another name, for a person; ``instead`` says what is used now. Raises OSError."""
    aside = path.with_suffix(".unreadable")
    path.replace(aside)
    logger.warning("%s was unreadable and is kept as %s; %s", path, aside, instead)
