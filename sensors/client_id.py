"""The name under which a broker knows this machine. It must stay, or the broker's session with us is lost."""

from __future__ import annotations

import re
import uuid
from pathlib import Path

from sensors.state_file import set_aside, write_whole


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
    set_aside(path, "a new id is made")
    return _made(path)


def _made(path: Path) -> str:
    """A new id, on disk before it is used."""
    made = uuid.uuid4().hex[:12]
    write_whole(path, f"{made}\n".encode("ascii"))
    return made
