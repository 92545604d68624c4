"""Opens the door: the FastAPI application behind its gate, served by uvicorn on loopback, stopped by the app alone."""

from __future__ import annotations

import asyncio
import contextlib
import socket
from collections.abc import AsyncIterator, Iterator

import uvicorn
from fastapi import FastAPI

from server.api import (
    advice,
    alerts,
    arranging,
    away,
    closing_round,
    commands,
    glueup,
    listening,
    lots,
    offers,
    panels,
    pictures,
    places,
    problems,
    questions,
    remotes,
    routes,
    salt_checks,
    tonight,
    upkeep,
)
from server.api.access import Gate
from server.api.rooms import Rooms


def application(rooms: Rooms) -> FastAPI:
    """The API without a socket: what the tests call and what :func:`opened` serves."""
    app = FastAPI(title="Stillstack", version="0.1.0", docs_url=None, redoc_url=None, openapi_url="/openapi.json")
    app.state.rooms = rooms
    problems.install(app)
    parts = (
        routes,
        commands,
        lots,
        advice,
        away,
        closing_round,
        glueup,
        offers,
        panels,
        questions,
        remotes,
        salt_checks,
        alerts,
        listening,
        arranging,
        places,
        pictures,
        tonight,
        upkeep,
    )
    for part in (one.router for one in parts):
        app.include_router(part)
    app.add_middleware(Gate)
    return app


class _Server(uvicorn.Server):
    """uvicorn takes the signals for itself and raises them again at its end; here they belong to the app."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


class PortTaken(Exception):
    """Another program holds the port."""


def _listening(port: int) -> socket.socket:
    # Named as TCP: of a socket that does not say so asyncio leaves Nagle's algorithm on, which holds each answer's
    # second packet back until the first is acknowledged, 40 ms on Linux.
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
    except OSError as e:
        listener.close()
        raise PortTaken(
            f"api.port: found {port}, which another program holds; would be right: stop that program, or name a free "
            "port in [api]"
        ) from e
    return listener


@contextlib.asynccontextmanager
async def opened(rooms: Rooms, port: int, group: asyncio.TaskGroup) -> AsyncIterator[int]:
    """Serve until the block ends; yields the port (a free one for 0). Waiting clients are answered before it closes.

    Raises :class:`PortTaken` naming the port and what would be right.
    """
    listener = _listening(port)
    config = uvicorn.Config(
        application(rooms), log_level="warning", access_log=False, lifespan="off", timeout_graceful_shutdown=1
    )
    server = _Server(config)
    task = group.create_task(server.serve(sockets=[listener]), name="door")
    try:
        yield int(listener.getsockname()[1])
    finally:
        await rooms.board.close()
        server.should_exit = True
        await asyncio.wait({task})
        if task.cancelled():  # the program ends because another part failed; uvicorn then leaves its sockets open
            await server.shutdown([listener])
        listener.close()
