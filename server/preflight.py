"""``stillstack preflight``: is everything here, and is the configuration right? Says each thing in a line."""

from __future__ import annotations

import os
import shutil
import socket
import sys
from collections.abc import Iterator
from pathlib import Path

from server.config import Config, ConfigError
from server.serve import config_path, read_config, read_whole
from server.stores.folder_lock import FolderLock
from server.stores.port import StoreError

OK, FAILED = 0, 1
Look = tuple[bool, str]
"""Whether it is fine, and what it is; or what it is and how to mend it."""


def preflight(state: Path, *, only_port: bool = False) -> int:
    """Print what is fine and what is not; 1 when something must be mended. ``only_port`` prints the door's port.

    ``state`` is the folder of the record. Made to be run before a start: a server at work holds its folder and port.
    """
    path = config_path()
    try:
        config = read_config(path) if only_port else read_whole(path, state)
    except ConfigError as e:
        sys.stderr.write(f"{e}\n")
        return FAILED
    if only_port:
        sys.stdout.write(f"{config.api.port}\n")
        return OK
    looks = list(_looked_at(config, path, state))
    sys.stdout.writelines(f"{'fine' if fine else 'MEND'}  {text}\n" for fine, text in looks)
    return OK if all(fine for fine, _ in looks) else FAILED


def _looked_at(config: Config, path: Path, state: Path) -> Iterator[Look]:
    yield True, f"{path}: {len(config.zones)} zones, {len(config.sources)} sources, {len(config.sensors)} sensors"
    if not config.sensors:
        yield True, "no sensor yet: the wall will say how to add the first one"
    yield _folder(state)
    yield _port("door", "api", config.api.port)
    if config.broker.enabled:
        found = shutil.which("mosquitto", path=f"{os.environ.get('PATH', '')}:/usr/sbin")
        yield found is not None, f"the private broker: {found or 'mosquitto is not there; apt-get install mosquitto'}"
        yield _port("private broker", "broker", config.broker.port)
    for source in config.sources:
        port = getattr(source, "port", None)
        if isinstance(port, str):
            yield _serial(port)


def _folder(state: Path) -> Look:
    try:
        FolderLock(state).release()
    except StoreError as e:
        return False, str(e)
    return True, f"the record's folder {state} is ours to write in"


def _port(whose: str, table: str, port: int) -> Look:
    """A port of ours on this machine; 0 is whichever is free."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return False, f"the {whose}'s port {port} is taken; stop that program, or name a free port in [{table}]"
    return True, f"the {whose}'s port {port} on 127.0.0.1 is free"


def _serial(port: str) -> Look:
    if not Path(port).exists():
        return False, f"serial port {port} is not there; plug it in, or name one of ls /dev/serial/by-id"
    if not os.access(port, os.R_OK | os.W_OK):
        return False, f"serial port {port} may not be opened; add this user to its group (ls -lL shows it)"
    return True, f"serial port {port} is there and may be opened"
