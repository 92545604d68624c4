"""A device that writes lines to a serial port. The only importer of pyserial.

One thread blocks on the port, owns it and closes it. It hands whole lines to the event loop through a bounded deque
with one hop at a time; there they are decoded. The port is never written to and never reopened to refresh it: opening
resets many boards.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import os
import termios
import threading
from collections import deque
from collections.abc import Callable
from typing import Any, TypeVar

import serial

from sensors.decoding import Unreadable
from sensors.driver import LinkLost, LinkRefused, Listener, Now
from sensors.line_formats import LINE_LIMIT, LineFormat
from sensors.line_splitter import Line, LineSplitter
from sensors.ports import holders
from sensors.sample import RawSample, RefusedPayload

_REFUSALS = {errno.ENOTTY, errno.EINVAL, errno.EISDIR}
"""What only a person can change; any other error number may pass by itself."""
READ_TIMEOUT_S = 0.25
"""How long a stop may have to wait: a blocked read cannot be ended safely from outside."""
WAITING_LINES = 1000
"""Lines held for a loop that lags; at one line a second more than a quarter of an hour."""
RAW_TAIL = 240
"""Bytes of what came last, for a person who looks at the wire."""

_T = TypeVar("_T")
Stamped = tuple[Line, int, float]
"""A line with the wall clock (ms) and the monotonic clock (s) when its last byte was read."""


class SerialLines:
    """Driver for one serial port, see :class:`sensors.driver.Driver`.

    ``settle_s`` is how long a board that resets on opening may send its boot text; what comes in that time is heard but
    not read. The first line after opening is dropped unless its beginning was seen.
    """

    def __init__(
        self,
        source_id: str,
        port: str,
        *,
        baud: int = 9600,
        line_format: LineFormat,
        settle_s: float = 2.0,
        now: Now,
    ) -> None:
        self.source_id = source_id
        self.port = port
        self._baud = baud
        self._line_format = line_format
        self._settle_s = settle_s
        self._now = now

    async def run(self, listener: Listener) -> None:
        """Listen until cancelled; the port is closed within 0.5 s of that. Raises LinkLost and LinkRefused."""
        loop = asyncio.get_running_loop()
        reader = _Reader(self.port, self._baud, self._now, loop, lambda: self._drain(reader, listener))
        threading.Thread(target=reader.run, name=f"serial {self.source_id}", daemon=True).start()
        settled = None
        try:
            first: set[asyncio.Future[Any]] = {reader.opened, reader.over}
            await asyncio.wait(first, return_when=asyncio.FIRST_COMPLETED)
            if reader.opened.done():
                settled = loop.call_later(self._settle_s, reader.settled.set)
                listener.connected()
            error = await asyncio.shield(reader.over)
            self._drain(reader, listener)
            raise error
        finally:
            if settled is not None:
                settled.cancel()
            reader.stop.set()
            await asyncio.shield(reader.ended)

    def _drain(self, reader: _Reader, listener: Listener) -> None:
        raw, lines, dropped = reader.take()
        if raw:
            listener.bytes_heard(raw)
        if dropped:
            listener.dropped(dropped)
        for stamped in lines:
            listener.heard(self._read(*stamped))

    def _read(self, line: Line, heard_ms: int, heard_mono_s: float) -> RawSample | RefusedPayload:
        try:
            if line.cut:
                hint = "on a serial port this is often a wrong baud rate"
                raise Unreadable(f"found no newline in {LINE_LIMIT} bytes; would be right: shorter lines; {hint}")
            said = self._line_format(line.content)
        except Unreadable as err:
            return RefusedPayload(self.source_id, self.port, line.content, str(err), heard_ms)
        return RawSample(
            self.source_id, said.device, said.values, heard_ms, heard_mono_s, said.own_ms, heating=said.heating
        )


class _Reader:
    """The thread's side. Of its futures, which belong to the loop, ``over`` holds why listening cannot go on, and
    ``ended`` says that the thread has let the port go."""

    def __init__(
        self, port: str, baud: int, now: Now, loop: asyncio.AbstractEventLoop, drain: Callable[[], None]
    ) -> None:
        self.port = port
        self.stop = threading.Event()
        self.settled = threading.Event()
        self.opened: asyncio.Future[None] = loop.create_future()
        self.over: asyncio.Future[Exception] = loop.create_future()
        self.ended: asyncio.Future[None] = loop.create_future()
        self._baud = baud
        self._now = now
        self._loop = loop
        self._drain = drain
        self._lock = threading.Lock()
        self._lines: deque[Stamped] = deque()
        self._dropped = 0
        self._raw = b""
        self._hop_pending = False

    def take(self) -> tuple[bytes, list[Stamped], int]:
        """What came since the last time: the newest raw bytes, the lines, and how many older lines were dropped."""
        with self._lock:
            taken = self._raw, list(self._lines), self._dropped
            self._raw, self._dropped, self._hop_pending = b"", 0, False
            self._lines.clear()
        return taken

    def run(self) -> None:
        """The thread: open, read until stopped or broken, close."""
        try:
            self._open_and_read()
        except Exception as err:  # noqa: BLE001 - a thread has nobody above it: the loop's side raises it
            self._on_loop(_resolve, self.over, err)
        finally:
            self._on_loop(_resolve, self.ended, None)

    def _on_loop(self, call: Callable[..., None], *args: object) -> None:
        with contextlib.suppress(RuntimeError):  # the loop may be closed already when the program ends
            self._loop.call_soon_threadsafe(call, *args)

    def _open_and_read(self) -> None:
        try:
            port = _opened(self.port, self._baud)
        except (OSError, ValueError) as err:
            raise explained(self.port, err) from err
        splitter = LineSplitter(LINE_LIMIT)
        with contextlib.closing(port):
            self._on_loop(_resolve, self.opened, None)
            while not self.stop.is_set():
                try:
                    chunk = port.read(max(1, port.in_waiting))
                except (OSError, TypeError) as err:  # pyserial has raised TypeError on a port that vanished
                    raise LinkLost(f"{self.port}: reading failed ({err}); is it unplugged?") from err
                if chunk:
                    lines = splitter.feed(chunk)
                    self._hand_on(chunk, lines if self.settled.is_set() else [])

    def _hand_on(self, chunk: bytes, lines: list[Line]) -> None:
        heard_ms, heard_mono_s = self._now()
        with self._lock:
            self._raw = (self._raw + chunk)[-RAW_TAIL:]
            self._lines.extend((line, heard_ms, heard_mono_s) for line in lines)
            while len(self._lines) > WAITING_LINES:
                self._lines.popleft()
                self._dropped += 1
            hop, self._hop_pending = not self._hop_pending, True
        if hop:
            self._on_loop(self._hop)

    def _hop(self) -> None:
        try:
            self._drain()
        except Exception as err:  # noqa: BLE001 - a callback has nobody above it: run() raises it
            _resolve(self.over, err)


def _resolve(future: asyncio.Future[_T], result: _T) -> None:
    if not future.done():
        future.set_result(result)


def _opened(name: str, baud: int) -> serial.Serial:
    """The port, locked for us. DTR is left as the kernel set it (``dsrdtr`` only keeps pyserial from touching it), and
    stays so on closing, so that a board resets at most once."""
    port = serial.Serial(None, baud, timeout=READ_TIMEOUT_S, exclusive=True, dsrdtr=True)
    port.port = name
    port.open()
    attributes = termios.tcgetattr(port.fileno())
    attributes[2] &= ~termios.HUPCL
    termios.tcsetattr(port.fileno(), termios.TCSANOW, attributes)
    return port


def explained(name: str, err: OSError | ValueError) -> LinkLost | LinkRefused:
    """Why the port ``name`` could not be opened, from what pyserial raised; who holds it, where somebody does."""
    number = getattr(err, "errno", None)
    if number is None and isinstance(err.__context__, termios.error):  # pyserial drops this one's number
        number = err.__context__.args[0]
    why = os.strerror(number) if number else str(err)
    if number in {errno.EAGAIN, errno.EBUSY}:
        return LinkRefused(f"{name}: held by {holders(name) or 'another program'}; would be right: one reader a port")
    if number in {errno.EACCES, errno.EPERM}:
        return LinkRefused(f"{name}: {why}; would be right: a user in the group that owns it (on Debian, dialout)")
    if isinstance(err, ValueError) or number in _REFUSALS:
        return LinkRefused(f"{name}: {why}; would be right: a serial port and a baud rate it knows")
    if number == errno.ENOENT:
        return LinkLost(f"{name}: {why}; is it plugged in?")
    return LinkLost(f"{name}: cannot be opened: {why}")
