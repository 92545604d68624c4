"""The name under which a broker knows this machine. It must stay, or the broker's session with us is lost."""

from __future__ import annotations

import logging
import os
import re
import uuid
from pathlib import Path

logger = logging.getLogger(__name__)


def client_id(source_id: str, state_dir: Path) -> str:
    """``stillstack-``, the source's id and this installation's own id, which is made once and kept in ``state_dir``.

    Two clients with one id throw each other off the broker, so it may not be the same on two machines. Raises OSError
    if the folder cannot be written.
    """
    return f"stillstack-{source_id}-{_own_id(state_dir / 'machine-id')}"


def _own_id(path: Path) -> str:
    try:
        kept = path.read_bytes()
    except FileNotFoundError:
        return _made(path)
    if re.fullmatch(rb"[0-9a-f]{12}\n", kept):
        return kept.decode("ascii").strip()
    aside = path.with_suffix(".unreadable")
    path.replace(aside)
    logger.warning("%s was unreadable and is kept as %s; a new id is made", path, aside)
    return _made(path)


def _made(path: Path) -> str:
    """A new id, on disk before it is used: written aside, flushed, renamed, and the folder flushed."""
    made = uuid.uuid4().hex[:12]
    path.parent.mkdir(parents=True, exist_ok=True)
    aside = path.with_suffix(".new")
    with aside.open("w", encoding="ascii") as file:
        file.write(f"{made}\n")
        file.flush()
        os.fsync(file.fileno())
    aside.replace(path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
    return made
