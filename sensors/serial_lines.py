"""A device that writes lines to a serial port.

One thread blocks on the port, owns it and closes it. It hands whole lines to the event loop through a bounded deque
with one hop at a time; there they are decoded. The port is never written to and never reopened to refresh it: opening
resets many boards.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import threading
from collections import deque
from collections.abc import Callable
from typing import Any, TypeVar

from sensors.decoding import Unreadable
from sensors.driver import LinkLost, Listener, Now
from sensors.line_formats import LINE_LIMIT, LineFormat
from sensors.line_splitter import Line, LineSplitter
from sensors.sample import RawSample, RefusedPayload
from sensors.serial_port import opened

logger = logging.getLogger(__name__)

WAITING_LINES = 1000
"""Lines held for a loop that lags; at one line a second more than a quarter of an hour."""
LINES_A_TURN = 200
TURN_S = 0.1
"""So many lines are decoded at once, and then others have their turn for so long: a port that floods, which no sensor
does, takes 2,000 lines a second of the loop and no more. A line that comes alone is decoded at once."""
FULL_CHUNK = 2048
BREATH_S = 0.002
"""After so many bytes at once the thread rests so long: 1 MB/s or more gets through, which is more than any port of a
sensor carries, and the other threads get the processor."""
RAW_KEPT = 65_536
"""Bytes held for a loop that lags, the newest: a recording wants them all, a person looks at the last few."""
LET_GO_S = 3.0
"""How long a stop waits for the thread. Reading ends in 0.25 s; a broken kernel driver may hold it for ever."""

_T = TypeVar("_T")
Stamped = tuple[Line, int, float]
"""A line with the wall clock (ms) and the monotonic clock (s) when its last byte was read."""


def _nothing_to_check() -> None:
    """Any device will do."""


class SerialLines:
    """Driver for one serial port, see :class:`sensors.driver.Driver`.

    ``settle_s`` is how long a board that resets on opening may send its boot text; what comes in that time is heard but
    not read. The first line after opening is dropped unless its beginning was seen. ``check`` is called on the thread
    before the port is opened, and raises LinkLost or LinkRefused where it should not be.
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
        check: Callable[[], None] = _nothing_to_check,
    ) -> None:
        self.source_id = source_id
        self.port = port
        self._baud = baud
        self._line_format = line_format
        self._settle_s = settle_s
        self._now = now
        self._check = check

    async def run(self, listener: Listener) -> None:
        """Listen until cancelled; the port is closed within 0.5 s of that. Raises LinkLost and LinkRefused."""
        loop = asyncio.get_running_loop()
        settling: list[asyncio.TimerHandle] = []

        def up() -> None:
            settling.append(loop.call_later(self._settle_s, reader.settled.set))
            listener.connected()

        reader = _Reader(self.port, self._baud, self._now, loop, up, lambda: self._drain(reader, listener))
        if not self._settle_s:  # what waits already when the port has opened is read too
            reader.settled.set()
        args = (self._check,)
        threading.Thread(target=reader.run, args=args, name=f"serial {self.source_id}", daemon=True).start()
        try:
            raise await asyncio.shield(reader.over)
        finally:
            reader.stop.set()
            await self._let_go(reader, listener)
            for timer in settling:
                timer.cancel()

    async def _let_go(self, reader: _Reader, listener: Listener) -> None:
        """Wait for the thread; what it has read is still heard."""
        await asyncio.wait({reader.ended}, timeout=LET_GO_S)
        if not reader.ended.done():
            logger.warning("Source %s: %s does not let go of its reader; left behind", self.source_id, self.port)
        try:
            while self._drain(reader, listener):
                pass
        except Exception:  # told, but a stop must end as a stop
            logger.exception("Source %s: a bug in what listens", self.source_id)

    def _drain(self, reader: _Reader, listener: Listener) -> bool:
        """Decode what waits, up to a turn's worth; whether more waits."""
        raw, lines, dropped, more = reader.take()
        if raw:
            listener.bytes_heard(raw)
        if dropped:
            listener.dropped(dropped)
        for stamped in lines:
            listener.heard(self._read(*stamped))
        return more

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

    def __init__(  # noqa: PLR0917 - where, what with, and the two calls on the loop
        self,
        port: str,
        baud: int,
        now: Now,
        loop: asyncio.AbstractEventLoop,
        up: Callable[[], None],
        drain: Callable[[], bool],
    ) -> None:
        self.port = port
        self.stop = threading.Event()
        self.settled = threading.Event()
        self.over: asyncio.Future[Exception] = loop.create_future()
        self.ended: asyncio.Future[None] = loop.create_future()
        self._baud = baud
        self._now = now
        self._loop = loop
        self._up = up
        self._drain = drain
        self._lock = threading.Lock()
        self._lines: deque[Stamped] = deque()
        self._dropped = 0
        self._raw = b""
        self._hop_pending = False

    def take(self) -> tuple[bytes, list[Stamped], int, bool]:
        """What came since the last time: the newest raw bytes, the oldest lines that wait, how many older ones were
        dropped, and whether more wait."""
        with self._lock:
            lines = [self._lines.popleft() for _ in range(min(LINES_A_TURN, len(self._lines)))]
            taken = self._raw, lines, self._dropped, bool(self._lines)
            self._raw, self._dropped = b"", 0
        return taken

    def run(self, check: Callable[[], None]) -> None:
        """The thread: check, open, read until stopped or broken, close."""
        try:
            check()
            with opened(self.port, self._baud) as port:
                self._on_loop(self._opened)
                self._read(port)
        except Exception as err:  # noqa: BLE001 - a thread has nobody above it: the loop's side raises it
            self._on_loop(_resolve, self.over, err)
        finally:
            self._on_loop(_resolve, self.ended, None)

    def _on_loop(self, call: Callable[..., None], *args: object) -> None:
        with contextlib.suppress(RuntimeError):  # the loop may be closed already when the program ends
            self._loop.call_soon_threadsafe(call, *args)

    def _read(self, port: Any) -> None:
        splitter = LineSplitter(LINE_LIMIT)
        listened = False
        while not self.stop.is_set():
            try:
                chunk = port.read(max(1, port.in_waiting))
            except (OSError, TypeError) as err:  # pyserial has raised TypeError on a port that vanished
                raise LinkLost(f"{self.port}: reading failed ({err}); is it unplugged?") from err
            if not listened and self.settled.is_set():
                listened = True
                splitter.tell_again()
            if chunk:
                lines = splitter.feed(chunk)
                self._hand_on(chunk, lines if listened else [])
            if len(chunk) >= FULL_CHUNK:
                self.stop.wait(BREATH_S)

    def _hand_on(self, chunk: bytes, lines: list[Line]) -> None:
        heard_ms, heard_mono_s = self._now()
        with self._lock:
            self._raw = (self._raw + chunk)[-RAW_KEPT:]
            self._lines.extend((line, heard_ms, heard_mono_s) for line in lines)
            while len(self._lines) > WAITING_LINES:
                self._lines.popleft()
                self._dropped += 1
            hop, self._hop_pending = not self._hop_pending, True
        if hop:
            self._on_loop(self._hop)

    def _opened(self) -> None:
        if not self.stop.is_set():
            self._guarded(self._up)

    def _guarded(self, call: Callable[[], object]) -> bool:
        """On the loop, where a callback has nobody above it: run() raises what ``call`` raises. Whether it did not."""
        try:
            call()
        except Exception as err:  # noqa: BLE001 - see above
            _resolve(self.over, err)
            return False
        return True

    def _hop(self) -> None:
        """On the loop: decode a turn's worth. While more waits or comes, the next turn is :data:`TURN_S` later."""
        if self._guarded(self._drain):
            self._loop.call_later(TURN_S, self._next_turn)

    def _next_turn(self) -> None:
        with self._lock:
            idle = not self._lines and not self._raw
            self._hop_pending = not idle
        if not idle and not self.stop.is_set():
            self._hop()


def _resolve(future: asyncio.Future[_T], result: _T) -> None:
    if not future.done():
        future.set_result(result)
