"""What the machine itself says of its wall clock, as far as it can: its time service, and a battery-backed clock.

A machine with neither must not be called unset for ever, so "nobody can say" is an answer of its own.
"""

from __future__ import annotations

import ctypes
import struct
from pathlib import Path
from uuid import uuid4

TIME_SERVICE = Path("/run/systemd/timesync")
SYNCHRONISED = TIME_SERVICE / "synchronized"
"""Written at the first synchronisation of a boot (systemd-timesyncd(8), "Files")."""
OTHER_SERVICES = tuple(Path("/run") / name for name in ("chrony", "chronyd.pid", "ntpd.pid", "openntpd.pid"))
BATTERY_CLOCK = Path("/sys/class/rtc/rtc0/since_epoch")
BATTERY_AGREES_MS = 60_000
"""A wall clock as near to the battery's as this was read from it. Common practice, no source."""
BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
"""Another one each time the kernel starts, and with it the monotonic clock (random(4))."""
STA_UNSYNC, TIME_ERROR = 0x0040, 5
"""adjtimex(2)."""


def synchronised(wall_ms: int) -> bool | None:
    """Whether the wall clock, at ``wall_ms`` now, can be relied on: True where a time service has set it, False where
    there is one that has not yet, None where nobody can say. A clock in step with a battery's is nobody's to say no to:
    an offline workshop with such a board is not without a time for ever."""
    if SYNCHRONISED.exists() or kernel_synchronised():
        return True
    waits = TIME_SERVICE.exists() or any(path.exists() for path in OTHER_SERVICES)
    return False if waits and not _as_the_battery(wall_ms) else None


def machine_boot() -> str:
    """The name of this run of the machine, and so of its monotonic clock; one of our own where it has none."""
    try:
        return BOOT_ID.read_text("ascii").strip() or uuid4().hex
    except OSError:
        return uuid4().hex


def kernel_synchronised() -> bool:
    """Whether the kernel's clock is being steered (adjtimex(2)); False also where it cannot be asked."""
    try:
        answer = ctypes.create_string_buffer(512)  # struct timex with room; modes 0 only reads
        state = ctypes.CDLL(None).adjtimex(answer)
    except (OSError, AttributeError):
        return False
    status = struct.unpack_from("@Illlli", answer.raw)[5]
    return 0 <= state != TIME_ERROR and not status & STA_UNSYNC


def _as_the_battery(wall_ms: int) -> bool:
    try:
        battery_ms = int(BATTERY_CLOCK.read_text("ascii")) * 1000
    except (OSError, ValueError):
        return False
    return abs(battery_ms - wall_ms) <= BATTERY_AGREES_MS
