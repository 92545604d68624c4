"""Watching the socket of a client on the event loop: paho says which, and reads and writes when it is called."""

from __future__ import annotations

import asyncio
import contextlib
import ssl
import threading
from collections.abc import Callable
from typing import Any

AHEAD_BYTES = 16 * 1024


class ReadAhead:
    """Bytes of a socket, read in one go and handed out as they are asked for: a client that asks for a byte, a byte and
    the rest of each message would ask the kernel three times. What is held here counts as read, not as acknowledged."""

    def __init__(self) -> None:
        self._held, self._at = b"", 0

    def __len__(self) -> int:
        return len(self._held) - self._at

    def take(self, most: int, read: Callable[[int], bytes]) -> bytes:
        """Up to ``most`` bytes; by ``read`` only where none are held, and what that raises is raised."""
        if self._at == len(self._held):
            self._held, self._at = read(AHEAD_BYTES), 0
        part = self._held[self._at : self._at + most]
        self._at += len(part)
        return part


class SocketWatch:
    """Calls ``read`` and ``write`` on the loop when the socket is ready; what they raise goes to ``failed``. ``ahead``
    is what was read of it already.

    The calls of paho may come from the thread in which it connects; everything else is the loop's thread.
    """

    def __init__(
        self,
        read: Callable[[], object],
        write: Callable[[], object],
        failed: Callable[[Exception], None],
        ahead: ReadAhead,
    ) -> None:
        self._loop = asyncio.get_running_loop()
        self._thread = threading.get_ident()
        self._read, self._write, self._failed, self._ahead = read, write, failed, ahead
        self._sock: Any = None
        self._paused = False

    def opened(self, _client: object, _data: object, sock: Any) -> None:
        """There is a socket."""
        self._on_loop(self._watch, sock)

    def closing(self, _client: object, _data: object, sock: Any) -> None:
        """The socket is about to be closed."""
        self.forget(sock)

    def wants_to_write(self, _client: object, _data: object, sock: Any) -> None:
        """Something waits to be sent."""
        self._on_loop(self._watch_writing, sock)

    def has_written(self, _client: object, _data: object, sock: Any) -> None:
        """Nothing waits any more."""
        if sock.fileno() >= 0:
            self._loop.remove_writer(sock)

    def forget(self, sock: Any) -> None:
        """Watch it no more."""
        self._sock = None
        if sock.fileno() >= 0:
            self._loop.remove_reader(sock)
            self._loop.remove_writer(sock)

    def pause(self) -> None:
        """Leave what comes in the socket."""
        self._paused = True
        if self._sock is not None:
            self._loop.remove_reader(self._sock)

    def resume(self) -> None:
        """Read again."""
        self._paused = False
        if self._sock is not None:
            self._watch(self._sock)
            self.read_on()

    def read_on(self) -> None:
        """To be called when reading stopped before the end: what was read ahead, or TLS has decrypted already, lies in
        no socket, so the loop would not call for it."""
        if self._has_pending():
            self._loop.call_soon(self._read_pending)

    def guarded(self, call: Callable[[], object]) -> None:
        """Call it; nobody is above a callback to see what it raises."""
        try:
            call()
        except Exception as err:  # noqa: BLE001 - whoever awaits the end of the link raises it
            self._failed(err)

    def _has_pending(self) -> bool:
        sock = self._sock
        if self._paused or sock is None or sock.fileno() < 0:
            return False
        return len(self._ahead) > 0 or (isinstance(sock, ssl.SSLSocket) and sock.pending() > 0)

    def _read_pending(self) -> None:
        if self._has_pending():
            self.guarded(self._read)

    def _on_loop(self, call: Callable[..., None], sock: object) -> None:
        if threading.get_ident() == self._thread:
            call(sock)
        else:
            with contextlib.suppress(RuntimeError):  # the loop is closed: the program ends
                self._loop.call_soon_threadsafe(call, sock)

    def _watch(self, sock: Any) -> None:
        if sock.fileno() >= 0:
            self._sock = sock
            self._loop.add_reader(sock, self.guarded, self._read)

    def _watch_writing(self, sock: Any) -> None:
        if sock.fileno() >= 0:
            self._loop.add_writer(sock, self.guarded, self._write)
