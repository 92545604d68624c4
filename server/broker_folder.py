"""The broker's folder: its configuration, written whole or not at all, and a store of its that it cannot read."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

HOST = "127.0.0.1"
STORE = "mosquitto.db"
CONFIGURATION = "mosquitto.conf"
AUTOSAVE_S = 3
"""The broker counts whole seconds and saves when more than so many have gone by, so its store is at most 5 s old."""


def configuration_text(folder: Path, port: int) -> str:
    """mosquitto's configuration: loopback, queues bounded by bytes and not by count, kept on disk every few seconds."""
    lines = [
        f"listener {port} {HOST}",
        "allow_anonymous true",
        "max_queued_messages 0",
        f"max_queued_bytes {256 * 1024 * 1024}",
        "persistence true",
        f"persistence_location {folder.resolve()}/",
        f"autosave_interval {AUTOSAVE_S}",
        "log_dest stderr",
        "log_type error",
        "log_type warning",
        "log_timestamp false",
    ]
    if os.geteuid() == 0:
        # Else it gives up root for a user that cannot write into our folder.
        lines.append("user root")
    return "\n".join(lines) + "\n"


def keep_configuration(folder: Path, port: int) -> None:
    """Make the folder and put the configuration there, on the disk under its name only when it is whole.

    One that says the same already is left alone, so that a full disk does not matter then. Raises OSError.
    """
    text, path = configuration_text(folder, port).encode(), folder / CONFIGURATION
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if path.is_file() and path.read_bytes() == text:
        return
    fresh = path.with_suffix(".new")
    with fresh.open("wb") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)
    entries = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(entries)
    finally:
        os.close(entries)


def moved_aside(folder: Path, wall_ms: int) -> Path | None:
    """Give the broker's store a name with the date (UTC), beside the old one; where it is now, None if there was none.

    Raises OSError.
    """
    store = folder / STORE
    if not store.exists():
        return None
    stamp = datetime.fromtimestamp(wall_ms / 1000.0, UTC).strftime("%Y%m%dT%H%M%SZ")
    names = (folder / f"{STORE}.unreadable-{stamp}{f'-{n}' if n else ''}" for n in count())
    aside = next(name for name in names if not name.exists())
    store.rename(aside)
    return aside
