"""The door's socket: an answer in two packets must not wait for the first to be acknowledged."""

from __future__ import annotations

import asyncio
import socket

from server.api import door


async def test_what_comes_through_the_door_leaves_at_once() -> None:
    accepted: list[int] = []

    class Protocol(asyncio.Protocol):
        def connection_made(self, transport: asyncio.BaseTransport) -> None:
            sock = transport.get_extra_info("socket")
            accepted.append(sock.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            transport.close()

    listener = door._listening(0)
    server = await asyncio.get_running_loop().create_server(Protocol, sock=listener)
    async with server:
        reader, writer = await asyncio.open_connection(*listener.getsockname())
        assert await reader.read() == b""
        writer.close()
    assert accepted == [1]
