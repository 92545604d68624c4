"""Who may come in, even on loopback: a browser page of another origin may not, nor a body that is too large or deep.

A web page anywhere can make the shop's own browser call 127.0.0.1; checking Host (DNS rebinding) and Origin (cross-site
writes) and wanting JSON keeps it out.
"""

from __future__ import annotations

import json
from typing import Any

from fastapi import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from server.api.problems import Problem, problem_response
from server.pictures import KINDS

LOCAL_NAMES = {"127.0.0.1", "localhost", "[::1]"}
PICTURES = "/api/pictures/"
"""Below here pictures are put, which are no JSON. A page of another origin cannot: it may not PUT unasked."""
BODY_LIMIT = 1_000_000
DEPTH_LIMIT = 20


class Gate:
    """ASGI middleware in front of every route."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        try:
            _check_origin(Request(scope))
            replay = await _checked_body(Request(scope), receive)
        except Problem as problem:
            await problem_response(problem)(scope, receive, send)
            return
        await self.app(scope, replay, send)


def _check_origin(request: Request) -> None:
    host = request.headers.get("host", "")
    if _name(host) not in LOCAL_NAMES:
        raise Problem(403, "Wrong host", "host", host, "127.0.0.1 or localhost, with the server's port")
    origin = request.headers.get("origin")
    if origin is not None and origin.partition("://")[2] != host:
        raise Problem(403, "Wrong origin", "origin", origin, f"a page that this server sent (http://{host})")


def _name(host: str) -> str:
    name, _, port = host.rpartition(":")
    return name if port.isdigit() else host


async def _checked_body(request: Request, receive: Receive) -> Receive:
    if request.method not in ("POST", "PUT", "PATCH", "DELETE"):
        return receive  # no route takes a body with another
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    is_picture = request.method == "PUT" and request.url.path.startswith(PICTURES)
    taken = KINDS if is_picture else ("application/json",)
    if kind not in taken:
        raise Problem(415, "Another type", "content-type", kind or "nothing", " or ".join(taken))
    body = b""
    while True:
        message = await receive()
        body += message.get("body", b"")
        if len(body) > BODY_LIMIT:
            raise Problem(413, "Body too large", "body", f"more than {BODY_LIMIT} bytes", "a smaller document")
        if not message.get("more_body"):
            break
    if not is_picture:
        _check_depth(body)
    return _replay(body, receive)


def _check_depth(body: bytes) -> None:
    try:
        left: list[tuple[Any, int]] = [(json.loads(body.decode(), parse_constant=_no_number), 1)]
    except (ValueError, RecursionError) as e:
        raise Problem(400, "Not JSON", "body", "text that is not JSON", "one JSON document") from e
    while left:
        value, depth = left.pop()
        if depth > DEPTH_LIMIT:
            raise Problem(400, "Body too deep", "body", f"more than {DEPTH_LIMIT} levels", "a flatter document")
        inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        left.extend((v, depth + 1) for v in inner)


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no JSON")


def _replay(body: bytes, receive: Receive) -> Receive:
    sent = False

    async def again() -> Message:
        nonlocal sent
        if sent:
            return await receive()
        sent = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again
