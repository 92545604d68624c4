"""From the configuration's table to a running copy; the token; what the door tells and takes."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from uuid import uuid4

import httpx
import pytest

from server.api import problems
from server.api.remotes import router
from server.api.rooms import Rooms
from server.clock import ManualClock
from server.config import RemoteTable
from server.reading import Reading
from server.remotes import Remotes, make_remotes, token
from server.stores.forward import Pace
from server.stores.remote import RemoteRefuses
from server.stores.sqlite import SqliteStore
from tests.flow.conftest import until
from tests.remotes import Answer, FakeServer

T0 = 1_799_755_200_000
SECRET = "s3cret-token"


def table(url: str = "http://127.0.0.1:9", **more) -> RemoteTable:
    return RemoteTable(id="copy", url=url, bucket="air", **more)


def secret_file(folder: Path, text: str = SECRET + "\n", mode: int = 0o600) -> Path:
    file = folder / "token"
    file.write_text(text)
    file.chmod(mode)
    return file


def test_a_token_comes_from_its_file_or_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("COPY_TOKEN", SECRET)
    assert token(table(token_file=secret_file(tmp_path))) == SECRET
    assert token(table(token_env="COPY_TOKEN")) == SECRET
    assert token(table()) is None


@pytest.mark.parametrize(
    ("text", "mode", "said"),
    [
        (SECRET, 0o640, "found mode 640, others may read it; would be right: mode 600"),
        ("", 0o600, "found nothing; would be right: the remote's token"),
        ("zwei\nZeilen", 0o600, "found text that is no token"),
        ("schlüssel", 0o600, "found text that is no token"),
    ],
)
def test_a_token_that_cannot_be_used_is_for_a_person_and_never_repeated(
    tmp_path: Path, text: str, mode: int, said: str
):
    with pytest.raises(RemoteRefuses, match=r"token_file: .*token: ") as refused:
        token(table(token_file=secret_file(tmp_path, text, mode)))
    assert said in str(refused.value)
    assert not text or text not in str(refused.value)


def test_a_token_that_is_not_there_says_where_it_should_be(tmp_path: Path):
    with pytest.raises(RemoteRefuses, match=r"token_file: .*nowhere: found No such file or directory; would be right"):
        token(table(token_file=tmp_path / "nowhere"))
    with pytest.raises(RemoteRefuses, match="token_env: NO_SUCH_TOKEN: found nothing"):
        token(table(token_env="NO_SUCH_TOKEN"))


@pytest.fixture
def server() -> Iterator[FakeServer]:
    made = FakeServer()
    yield made
    made.close()


@contextlib.asynccontextmanager
async def copying(folder: Path, one: RemoteTable) -> AsyncIterator[tuple[SqliteStore, Remotes]]:
    clock = ManualClock(T0)
    store = SqliteStore(folder / "state", "Europe/Oslo", clock)
    pace = Pace(gather_s=0.0, look_s=0.05, pause=lambda failures, refused: 0.01)
    remotes = await make_remotes([one], "Test shop", store.outbox, clock, lambda _: pace)
    tasks = [asyncio.create_task(forwarder.run()) for forwarder in remotes.forwarders.values()]
    try:
        yield store, remotes
    finally:
        for task in tasks:
            task.cancel()
        await asyncio.wait(tasks)
        await store.close()


async def test_a_request_is_as_the_api_description_has_it(tmp_path: Path, server: FakeServer):
    """Source: InfluxDB OSS 2 API, POST /api/v2/write: query org, bucket, precision; header Authorization: Token."""
    one = table(server.url, token_file=secret_file(tmp_path), org="shop", source="bench shop")
    async with copying(tmp_path, one) as (store, remotes):
        await store.append([Reading("bench-1/emc_pct", T0, 8.5)])
        await until(lambda: remotes.states()[0].sent == 1, "it sent")
    (request,) = server.requests
    assert (request["path"], request["org"], request["bucket"]) == ("/api/v2/write", ["shop"], ["air"])
    assert request["precision"] == ["ms"]
    assert request["headers"]["Authorization"] == f"Token {SECRET}"
    assert server.rows == {("bench-1/emc_pct", T0): (8.5, 0.0, 8.5)}


async def test_a_token_put_right_is_read_without_a_restart_and_stands_in_no_log(
    tmp_path: Path, server: FakeServer, caplog: pytest.LogCaptureFixture
):
    caplog.set_level(logging.DEBUG)
    file = secret_file(tmp_path, "wrong-one")

    def judge(_: list[str]) -> Answer | None:
        said = server.requests[-1]["headers"]["Authorization"]
        return (
            None if said == f"Token {SECRET}" else (401, {}, '{"code":"unauthorized","message":"unauthorized access"}')
        )

    server.judge = judge
    async with copying(tmp_path, table(server.url, token_file=file)) as (store, remotes):
        await store.append([Reading("bench-1/emc_pct", T0, 8.5)])
        await until(lambda: remotes.states()[0].state == "refused", "the refusal shown")
        assert "401" in remotes.states()[0].error
        assert "unauthorized access" in remotes.states()[0].error
        secret_file(tmp_path)
        await until(lambda: remotes.states()[0].state == "idle", "it sends")
        assert SECRET not in repr(remotes.states())
    assert SECRET not in caplog.text
    assert "wrong-one" not in caplog.text


@pytest.fixture
async def door(tmp_path: Path, server: FakeServer) -> AsyncIterator[tuple[httpx.AsyncClient, SqliteStore, Remotes]]:
    from fastapi import FastAPI

    async with copying(tmp_path, table(server.url, quantities=("emc_pct",))) as (store, remotes):
        app = FastAPI()
        problems.install(app)
        app.include_router(router)
        app.state.rooms = Rooms(*[None] * 13, remotes=remotes)  # type: ignore[arg-type]
        client = httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://127.0.0.1")
        async with client:
            yield client, store, remotes


async def test_the_door_tells_how_a_copy_is_and_takes_the_order_to_send_again(door, server: FakeServer):
    client, store, remotes = door
    await store.append([Reading(f"bench-1/{q}", T0 + n, 8.5) for n in range(5) for q in ("emc_pct", "humidity_pct")])
    await until(lambda: len(server.rows) == 5 and remotes.states()[0].state == "idle", "the copy")
    (state,) = (await client.get("/api/remotes")).json()
    assert state["remote"] == "copy"
    assert state["where"] == f"air at {server.url}"
    assert (state["state"], state["sent"], state["behind_rows"], state["condemned"]) == ("idle", 5, 0, 0)
    server.rows.clear()
    order = {"command_id": str(uuid4()), "from_ms": T0 + 2}
    done = await client.post("/api/remotes/copy/rewind", json=order)
    assert done.json() == {"done": True, "repeated": False, "remote": "copy", "from_ms": T0 + 2}
    await until(lambda: len(server.rows) == 3, "the rows from there on")
    again = await client.post("/api/remotes/copy/rewind", json=order)
    assert again.json()["repeated"] is True


async def test_an_order_that_cannot_be_is_said(door):
    client, _, _ = door
    nobody = await client.post("/api/remotes/moon/rewind", json={"command_id": str(uuid4()), "from_ms": 0})
    assert (nobody.status_code, nobody.json()["found"], nobody.json()["would_be_right"]) == (
        404,
        "'moon'",
        "one of copy",
    )
    wrong = await client.post("/api/remotes/copy/rewind", json={"command_id": str(uuid4()), "from_ms": -1})
    assert (wrong.status_code, wrong.json()["field"]) == (422, "from_ms")
