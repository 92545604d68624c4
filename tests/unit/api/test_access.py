"""Who may come in: this machine's own clients, with JSON of a sane size. Everything else gets a problem document."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from server.api import problems
from server.api.access import BODY_LIMIT, DEPTH_LIMIT, Gate
from server.stores.port import StoreFull


@pytest.fixture
def door():
    app = FastAPI()
    problems.install(app)

    @app.post("/echo")
    async def echo(body: dict[str, Any]) -> dict[str, Any]:
        return body

    @app.get("/hello")
    async def hello(n: int = 0) -> int:
        return n

    app.add_middleware(Gate)
    return httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://127.0.0.1:8736")


async def problem(reply: httpx.Response) -> tuple[int, str]:
    assert reply.headers["content-type"] == "application/problem+json"
    body = reply.json()
    assert body["status"] == reply.status_code
    assert body["detail"] == f"{body['field']}: found {body['found']}; would be right: {body['would_be_right']}"
    return body["status"], body["field"]


@pytest.mark.parametrize("host", ["127.0.0.1:8736", "localhost:8736", "[::1]:8736", "localhost"])
async def test_this_machine_may_come_in(door, host):
    assert (await door.get("/hello", headers={"host": host})).status_code == 200


@pytest.mark.parametrize("host", ["shop.example:8736", "127.0.0.1.shop.example", "", "8736"])
async def test_a_name_that_is_not_ours_may_not(door, host):
    assert await problem(await door.get("/hello", headers={"host": host})) == (403, "host")


@pytest.mark.parametrize("origin", ["http://shop.example", "null", "http://127.0.0.1:9999", "https://localhost:8736"])
async def test_a_page_of_another_origin_may_not(door, origin):
    assert await problem(await door.post("/echo", json={}, headers={"origin": origin})) == (403, "origin")


async def test_a_page_of_ours_may(door):
    reply = await door.post("/echo", json={"a": 1}, headers={"origin": "http://127.0.0.1:8736"})
    assert reply.json() == {"a": 1}


async def test_a_form_is_not_json(door):
    assert await problem(await door.post("/echo", data={"a": "1"})) == (415, "content-type")


async def test_what_is_not_json_too_large_or_too_deep_is_refused(door):
    json_type = {"content-type": "application/json"}
    assert await problem(await door.post("/echo", content=b"{", headers=json_type)) == (400, "body")
    large = b'"' + b"x" * BODY_LIMIT + b'"'
    assert await problem(await door.post("/echo", content=large, headers=json_type)) == (413, "body")
    deep = b'{"a":' + b"[" * DEPTH_LIMIT + b"]" * DEPTH_LIMIT + b"}"
    assert await problem(await door.post("/echo", content=deep, headers=json_type)) == (400, "body")
    deepest = b"[" * 200_000
    assert await problem(await door.post("/echo", content=deepest, headers=json_type)) == (400, "body")
    allowed = b'{"a":' + b"[" * (DEPTH_LIMIT - 1) + b"]" * (DEPTH_LIMIT - 1) + b"}"
    assert (await door.post("/echo", content=allowed, headers=json_type)).status_code == 200


async def test_a_parameter_that_is_not_understood_and_a_path_that_is_not_there(door):
    assert await problem(await door.get("/hello", params={"n": "x"})) == (422, "n")
    assert await problem(await door.get("/nowhere")) == (404, "path")


async def test_a_bug_and_a_record_that_does_not_answer_are_problems_too():
    app = FastAPI()
    problems.install(app)

    @app.get("/bug")
    async def bug() -> None:
        raise ZeroDivisionError

    @app.get("/full")
    async def full() -> None:
        raise StoreFull("disk full")

    transport = httpx.ASGITransport(app, raise_app_exceptions=False)
    client = httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1")
    assert await problem(await client.get("/bug")) == (500, "server")
    assert await problem(await client.get("/full")) == (503, "store")
