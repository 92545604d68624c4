"""Names of serial ports: which ones last, and who holds one."""

from __future__ import annotations

import os
import re
from pathlib import Path

SERIAL_FOLDER = Path("/dev/serial")
_NUMBERED = re.compile(r"(?:/dev/)?tty(?:USB|ACM)\d+|(?:\\\\\.\\)?COM\d+", re.IGNORECASE)


def check_port_name(port: str, folder: Path = SERIAL_FOLDER) -> str | None:
    """Why ``port`` should not be configured, with what would be right; None if it may be.

    Numbers such as ttyUSB0 are given in the order of plugging in: after a power cut two sensors may have changed
    places. ``folder`` is where udev keeps the lasting names.
    """
    if not port.strip():
        return f"found an empty name; would be right: {_lasting(folder)}"
    if not port.isprintable():
        return f"found {port!r}; would be right: {_lasting(folder)}"
    if _NUMBERED.fullmatch(port.strip()):
        return f"found {port}; would be right: {_lasting(folder)}"
    return None


def _lasting(folder: Path) -> str:
    names = [str(link) for kind in ("by-id", "by-path") for link in sorted(folder.glob(f"{kind}/*"))]
    wanted = f"a name below {folder}/by-id, or below {folder}/by-path where two adapters share an id"
    why = "numbers change with the order of plugging in, these do not"
    return f"{wanted} ({why}); there now: {', '.join(names) or 'none, nothing is plugged in'}"


def lasting_names(folder: Path = SERIAL_FOLDER) -> list[str]:
    """The lasting name of every serial port that is plugged in: that by id where it has one, else that by path."""
    names: dict[str, str] = {}
    for kind in ("by-id", "by-path"):
        for link in sorted(folder.glob(f"{kind}/*")):
            names.setdefault(os.path.realpath(link), str(link))
    return sorted(names.values())


def holders(port: str, besides: int | None = None) -> str:
    """Which programs have ``port`` open, as ``name (pid 1234)``, as far as this user may see; "" if none is seen.
    ``besides`` is a process that is left out."""
    target = os.path.realpath(port)
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        if process.name == str(besides):
            continue
        try:
            if any(os.path.realpath(fd) == target for fd in (process / "fd").iterdir()):
                found.append(f"{(process / 'comm').read_text().strip()} (pid {process.name})")
        except OSError:  # ended meanwhile, or another user's
            continue
    return ", ".join(found)
