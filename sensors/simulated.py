"""A serial line without a device: a pseudo-terminal whose far end looks like a plugged-in adapter."""

from __future__ import annotations

import contextlib
import fcntl
import os
import select
import sys
import termios
import tty
from pathlib import Path

_FLUSHED = 1
"""TIOCPKT_FLUSHREAD."""


class PtyPair:
    """A raw pseudo-terminal with a link such as ``by-id/usb-fictional-1``. We write, a reader opens :attr:`port`.

    ``folder`` is made if it is missing; the link appears on construction and vanishes on :meth:`close`, as that of a
    real adapter does. Raises OSError if the folder cannot be written.
    """

    def __init__(self, folder: Path, name: str) -> None:
        self.dropped = 0
        self._unsent = b""
        self._master, slave = os.openpty()
        # Our own end of the slave is closed: only so can the master tell that nobody reads.
        tty.setraw(slave)
        target = os.ttyname(slave)
        os.close(slave)
        os.set_blocking(self._master, False)
        self.link = folder / name
        folder.mkdir(parents=True, exist_ok=True)
        self.link.unlink(missing_ok=True)
        self.link.symlink_to(target)

    @property
    def port(self) -> str:
        """The name to configure: the link, not the numbered device behind it."""
        return str(self.link)

    @property
    def is_read(self) -> bool:
        """Whether a reader has the port open."""
        poll = select.poll()
        poll.register(self._master, select.POLLIN)
        return not any(event & select.POLLHUP for _, event in poll.poll(0))

    def watch(self, *, on: bool) -> None:
        """While on, :meth:`was_emptied` can tell; :meth:`read` must not be used meanwhile, for each of its answers
        begins with a byte of the kernel's own (packet mode, TIOCPKT)."""
        fcntl.ioctl(self._master, termios.TIOCPKT, int(on).to_bytes(4, sys.byteorder))

    def was_emptied(self) -> bool:
        """Whether a reader has thrown away what waited for it, as libraries do when they open a port: what was written
        before is lost. True once for each time."""
        told = self.read()
        return bool(told and told[0] & _FLUSHED)

    def fileno(self) -> int:
        """Our end's descriptor, to wait on."""
        return self._master

    def read(self) -> bytes | None:
        """What the far side has written, "" for nothing yet; None while nobody has the port open. Never blocks."""
        try:
            return os.read(self._master, 4096)
        except BlockingIOError:
            return b""
        except OSError:
            return None

    def write(self, content: bytes) -> None:
        """Send bytes as they stand; what does not fit into the kernel's buffer is lost, as on a wire nobody reads."""
        self._write(content)

    def write_line(self, line: bytes) -> bool:
        """Send ``line`` as it stands (with its newline). Never blocks: where nobody reads, or the reader lags by a full
        kernel buffer, it is dropped whole and counted. Returns whether it was taken."""
        if not self.is_read:
            self._unsent = b""
        elif self._push(self._unsent):
            # The kernel may take a part only; its rest goes first next time, so that a line is never torn.
            taken = self._write(line)
            if taken:
                self._unsent = line[taken:]
                return True
        self.dropped += 1
        return False

    def _push(self, rest: bytes) -> bool:
        self._unsent = rest[self._write(rest) :]
        return not self._unsent

    def _write(self, content: bytes) -> int:
        with contextlib.suppress(OSError):
            return os.write(self._master, content)
        return 0

    def flush(self) -> bool:
        """Send on what the kernel took only a part of; whether the reader has all that was taken by :meth:`write_line`.
        Unplugging before loses what it has not."""
        if not self._push(self._unsent):
            return False
        try:
            slave = os.open(self.link.readlink(), os.O_RDONLY | os.O_NOCTTY | os.O_NONBLOCK)
        except OSError:
            return True
        try:
            return int.from_bytes(fcntl.ioctl(slave, termios.FIONREAD, bytes(4)), sys.byteorder) == 0
        finally:
            os.close(slave)

    def close(self) -> None:
        """Unplug: the link goes, and a reader's next read fails. Twice is once."""
        if self._master >= 0:
            self.link.unlink(missing_ok=True)
            os.close(self._master)
            self._master = -1
