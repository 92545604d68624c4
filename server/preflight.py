"""``stillstack preflight``: is everything here, and is the configuration right? Says each thing in a line."""

from __future__ import annotations

import os
import shutil
import socket
import sys
from collections.abc import Iterator

from server.config import Config, ConfigError
from server.serve import config_path, read_config

OK, FAILED = 0, 1


def preflight(*, only_port: bool = False) -> int:
    """Print what is fine and what is not; 1 when something must be mended. ``only_port`` prints the door's port."""
    path = config_path()
    try:
        config = read_config(path)
    except ConfigError as e:
        sys.stderr.write(f"{e}\n")
        return FAILED
    if only_port:
        sys.stdout.write(f"{config.api.port}\n")
        return OK
    good = True
    for fine, text in _looked_at(config):
        sys.stdout.write(f"{'fine' if fine else 'MEND'}  {text}\n")
        good &= fine
    return OK if good else FAILED


def _looked_at(config: Config) -> Iterator[tuple[bool, str]]:
    yield (
        True,
        f"{config_path()}: {len(config.zones)} zones, {len(config.sources)} sources, {len(config.sensors)} sensors",
    )
    if not config.sensors:
        yield True, "no sensor yet: the wall will say how to add the first one"
    if config.broker.enabled:
        found = shutil.which("mosquitto", path=f"{os.environ.get('PATH', '')}:/usr/sbin")
        yield (
            found is not None,
            f"the private broker: {found or 'mosquitto is not installed; apt-get install mosquitto'}",
        )
    yield _port_is_free(config.api.port), f"the door's port {config.api.port} on 127.0.0.1 is free"
    for source in config.sources:
        port = getattr(source, "port", None)
        if isinstance(port, str):
            yield os.access(port, os.R_OK), f"serial port {port} is there and may be read"


def _port_is_free(port: int) -> bool:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True
