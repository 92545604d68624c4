"""Answers that the real servers at hand do not give, by a small fake of the write endpoint.

Source: InfluxDB OSS 2 API description, POST /api/v2/write: 400, 401, 404, 413, 422, 429 and 503 with Retry-After, 500.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from server.reading import Reading
from server.stores.influx import Address, InfluxRemote
from server.stores.remote import RemoteAway, RemoteRefuses, RowsRefused, TooMuch
from tests.faults.copying import T0, Copying, local, readings
from tests.flow.conftest import until
from tests.remotes import Answer, FakeServer
from tests.unit.stores.test_delivery import points


@pytest.fixture
def server() -> Iterator[FakeServer]:
    made = FakeServer()
    yield made
    made.close()


def said(code: str, message: str) -> str:
    return json.dumps({"code": code, "message": message})


HOLDING = [
    (401, {}, said("unauthorized", "unauthorized access"), "refused"),
    (403, {}, said("forbidden", "insufficient permissions for write"), "refused"),
    (404, {}, said("not found", 'bucket "shop" not found'), "refused"),
    (302, {"Location": "http://127.0.0.1:9/elsewhere"}, "", "refused"),
    (408, {}, "", "held"),
    (429, {"Retry-After": "0"}, said("too many requests", "limit"), "held"),
    (500, {}, said("internal error", "engine: closed"), "held"),
    (502, {}, "<html>\n<body>Bad\nGateway</body></html>", "held"),
    (503, {"Retry-After": "0"}, said("unavailable", "write queue full"), "held"),
]


@pytest.mark.parametrize(("status", "headers", "body", "state"), HOLDING, ids=[str(one[0]) for one in HOLDING])
async def test_the_cursor_waits_it_shows_and_is_tried_again(  # noqa: PLR0917 - one answer a case
    tmp_path: Path, server: FakeServer, status: int, headers: dict[str, str], body: str, state: str
):
    """Field pitfall 2: no status but 400 and 422 costs a row."""
    server.judge = lambda _: (status, headers, body)
    copying = Copying(tmp_path, server)
    async with copying.running():
        await copying.store.append(readings(0, 100))
        await until(lambda: len(server.requests) >= 4, "some tries")
        assert copying.state.state == state
        assert copying.state.error.startswith(f"{status} ")
        assert "\n" not in copying.state.error
        assert (copying.state.sent, copying.state.behind_rows, copying.state.condemned) == (0, 900, 0)
        server.judge = lambda _: None
        await copying.equal()
        assert copying.state.error == ""


async def test_too_large_is_halved_until_it_passes(tmp_path: Path, server: FakeServer):
    server.judge = lambda lines: (413, {}, said("request too large", "")) if len(lines) > 120 else None
    copying = Copying(tmp_path, server)
    async with copying.running():
        await copying.store.append(readings(0, 100))
        await copying.equal()
        refused = sum(one["n"] > 120 for one in server.requests)
        await copying.store.append(readings(100, 100))
        await copying.equal()
        assert sum(one["n"] > 120 for one in server.requests) == refused  # it is remembered


@pytest.mark.parametrize("partial", [False, True], ids=["nothing kept", "partly kept"])
@pytest.mark.parametrize("status", [400, 422])
async def test_one_row_in_five_thousand_is_condemned_and_everything_else_arrives(
    tmp_path: Path, server: FakeServer, status: int, partial: bool
):
    bad = Reading("t1/temperature_c", T0 + 60_000 * 300 + 7, 6.66)

    def judge(lines: list[str]) -> Answer | None:
        if any("value=6.66," in line for line in lines):
            return status, {}, said("invalid", "partial write: field type conflict dropped=1")
        return None

    server.judge, server.partial = judge, partial
    copying = Copying(tmp_path, server, batch_rows=5000)
    async with copying.running():
        await copying.store.append([*readings(0, 556)[:4999], bad])
        await copying.sent(4999)
        await copying.becomes("idle")
        wanted = local(tmp_path)
        del wanted[bad.series, bad.t_ms]
        assert len(wanted) == 4999
        assert server.rows == wanted
        assert copying.state.condemned == 1
        assert len(server.requests) < 40
    async with copying.running():  # and it is known after a restart, and not tried again
        await copying.becomes("idle")
        assert copying.state.condemned == 1


async def test_a_remote_that_suddenly_refuses_every_row_condemns_none(tmp_path: Path, server: FakeServer):
    copying = Copying(tmp_path, server)
    async with copying.running():
        await copying.store.append(readings(0, 10))
        await copying.equal()
        server.judge = lambda _: (400, {}, "<html>The plain HTTP request was sent to HTTPS port</html>")
        await copying.store.append(readings(10, 100))
        await copying.becomes("refused")
        assert "every row is refused: 400" in copying.state.error
        server.judge = lambda _: None
        await copying.equal()
        assert copying.state.condemned == 0


ANSWERS = [
    (400, {}, RowsRefused, None),
    (422, {}, RowsRefused, None),
    (413, {}, TooMuch, None),
    (401, {}, RemoteRefuses, None),
    (429, {"Retry-After": "17"}, RemoteAway, 17.0),
    (503, {"Retry-After": "Fri, 31 Dec 2027 23:59:59 GMT", "Date": "Fri, 31 Dec 2027 23:59:29 GMT"}, RemoteAway, 30.0),
    (503, {"Retry-After": "soon"}, RemoteAway, None),
    (503, {}, RemoteAway, None),
]


@pytest.mark.parametrize(("status", "headers", "error", "wait_s"), ANSWERS)
def test_what_an_answer_means(
    server: FakeServer, status: int, headers: dict[str, str], error: type, wait_s: float | None
):
    server.judge = lambda _: (status, headers, "no")
    client = InfluxRemote(Address(server.url, "shop", "shop", 20.0), "token", "shop")
    try:
        with pytest.raises(error, match=f"^{status} ") as caught:
            client.write(points(3))
        if wait_s is not None or error is RemoteAway:
            assert caught.value.retry_after_s == wait_s
    finally:
        client.close()
