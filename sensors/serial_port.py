"""Opening a serial port for one reader alone. The only importer of pyserial."""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import termios
from collections.abc import Iterator

import serial

from sensors.driver import LinkLost, LinkRefused
from sensors.ports import holders

READ_TIMEOUT_S = 0.25
"""How long a stop may have to wait: a blocked read cannot be ended safely from outside."""

_REFUSALS = {errno.ENOTTY, errno.EINVAL, errno.EISDIR}
"""What only a person can change; any other error number may pass by itself."""
_HELD = {errno.EAGAIN, errno.EBUSY}


class _Port(serial.Serial):
    def _reset_input_buffer(self) -> None:
        """Thrown away on opening would be what a device sends at that moment: a piece out of the middle, so that the
        line that is dropped as the first were the second, and a whole one lost."""


@contextlib.contextmanager
def opened(name: str, baud: int) -> Iterator[serial.Serial]:
    """The port, for us alone; closed at the end. Raises LinkLost and LinkRefused.

    DTR is left as the kernel set it (``dsrdtr`` only keeps pyserial from touching it), and stays so on closing, so that
    a board resets at most once.
    """
    try:
        port = _Port(None, baud, timeout=READ_TIMEOUT_S, exclusive=True, dsrdtr=True)
        port.port = name
        port.open()
    except (OSError, ValueError) as err:
        raise explained(name, err) from err
    with contextlib.closing(port):
        try:
            _configure(port)
            _refuse_others(name)
            yield port
        except termios.error as err:
            raise explained(name, err) from err
        finally:
            # Our mark stays over our closing where another has the port open, or the far end of a pseudo-terminal.
            with contextlib.suppress(OSError):
                fcntl.ioctl(port.fileno(), termios.TIOCNXCL)


def _configure(port: serial.Serial) -> None:
    """pyserial's lock keeps out only those who ask for it too; the kernel's mark keeps out whoever comes later and is
    not root."""
    with contextlib.suppress(OSError):  # gone again already: the first read says so
        fcntl.ioctl(port.fileno(), termios.TIOCEXCL)
    attributes = termios.tcgetattr(port.fileno())
    attributes[2] &= ~termios.HUPCL
    termios.tcsetattr(port.fileno(), termios.TCSANOW, attributes)


def _refuse_others(name: str) -> None:
    """Who had the port before us and locked nothing would get half of what is sent, and we the other half."""
    others = holders(name, besides=os.getpid())
    if others:
        raise LinkRefused(f"{name}: also read by {others}; would be right: one reader a port")


def explained(name: str, err: Exception) -> LinkLost | LinkRefused:
    """Why the port ``name`` could not be opened, from what pyserial raised; who holds it, where somebody does."""
    number = getattr(err, "errno", None)
    cause = err if isinstance(err, termios.error) else err.__context__
    if number is None and isinstance(cause, termios.error):  # pyserial drops this one's number
        number = cause.args[0]
    why = os.strerror(number) if number else str(err)
    if number in _HELD:
        return LinkRefused(f"{name}: held by {holders(name) or 'another program'}; would be right: one reader a port")
    if number in {errno.EACCES, errno.EPERM}:
        return LinkRefused(f"{name}: {why}; would be right: a user in the group that owns it (on Debian, dialout)")
    if isinstance(err, ValueError) or number in _REFUSALS:
        return LinkRefused(f"{name}: {why}; would be right: a serial port and a baud rate it knows")
    if number == errno.ENOENT:
        return LinkLost(f"{name}: {why}; is it plugged in?")
    return LinkLost(f"{name}: cannot be opened: {why}")
