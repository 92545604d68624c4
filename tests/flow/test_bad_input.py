"""Whatever a client sends, it is answered as the OpenAPI document says: never a 500. And two clients at once."""

from __future__ import annotations

import asyncio
import contextlib
import os
import re
import subprocess
import sys
from collections import Counter
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.flow.conftest import until
from tests.flow.small_shop import SOLID, served

pytestmark = [pytest.mark.whole, pytest.mark.timeout(240)]
FUZZED = Path(__file__).with_name("fuzzed")
EXAMPLES_EACH = "6"
"""Drawn for each operation, and as many again that must be refused, beside those that go through each limit in turn."""


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[tuple[str, Path]]:
    with served(tmp_path) as (address, said):
        yield address, said


@contextlib.asynccontextmanager
async def door_of(address: str) -> AsyncIterator[httpx.AsyncClient]:
    async with httpx.AsyncClient(base_url=address, timeout=30) as door:

        async def answers() -> bool:
            try:
                return (await door.get("/api/lots")).json() != []
            except httpx.TransportError:
                return False

        await until(answers, "the small shop's door")
        yield door


async def test_every_operation_is_as_the_openapi_document_says(shop: tuple[str, Path], tmp_path: Path) -> None:
    """Schemathesis over every operation: no 5xx, documented statuses, content types, schemas and ``Allow``; what breaks
    the schema is refused; what was made in one answer is used in the next call. The entries that the document gives
    for an example come first and in their order: they are the way past "no such lot"."""
    address, said = shop
    async with door_of(address) as door:
        document = (await door.get("/openapi.json")).json()
        for example in document["components"]["schemas"]["Telling"]["examples"]:
            told = await door.post("/api/journal", json=example)
            assert told.status_code == 200, (example, told.text)
        command = [
            sys.executable, "-m", "schemathesis.cli", "--config-file", str(FUZZED / "schemathesis.toml"), "--no-color",
            "run", f"{address}/openapi.json", "--max-examples", EXAMPLES_EACH,
        ]  # fmt: skip
        env = {**os.environ, "PYTHONPATH": str(FUZZED.parents[2])}
        run = await asyncio.to_thread(
            subprocess.run, command, cwd=tmp_path, env=env, capture_output=True, text=True, timeout=200
        )
        assert run.returncode == 0, run.stdout[-12_000:] + run.stderr[-4_000:]
        assert re.search(r"Operations: +(\d+) selected / \1 total", run.stdout), run.stdout
        kinds = Counter(one["deed"]["kind"] for one in (await door.get("/api/journal?limit=1000")).json())
        assert sum(kinds.values()) > 2 * len(document["components"]["schemas"]["Telling"]["examples"]), kinds
    assert "Traceback" not in said.read_text()


async def test_of_twenty_clients_at_once_nine_split_a_lot_of_ten(shop: tuple[str, Path]) -> None:
    """Each with a connection of its own takes one piece. The tenth piece stays; who comes too late is told what there
    is now, and the journal holds the winners alone."""
    address, _ = shop
    async with door_of(address) as door:
        ten = {**SOLID, "lot": "ten", "pieces": 10}
        assert (await door.post("/api/journal", json={"id": "ten-is-received", "deed": ten})).status_code == 200

        async def split(n: int) -> httpx.Response:
            deed = {"kind": "split", "lot": "ten", "pieces": 1, "into": f"one-{n}", "name": f"Piece {n}"}
            async with httpx.AsyncClient(base_url=address, timeout=30) as client:
                return await client.post("/api/journal", json={"id": f"split-by-{n:02}", "who": f"W{n}", "deed": deed})

        replies = await asyncio.gather(*map(split, range(20)))
        won = {f"split-by-{n:02}" for n, reply in enumerate(replies) if reply.status_code == 200}
        late = [reply.json() for reply in replies if reply.status_code == 409]
        assert (len(won), len(late)) == (9, 11)
        assert {(one["field"], one["found"], one["would_be_right"]) for one in late} == {
            ("pieces", "1", "a lot of two pieces or more")
        }
        journal = (await door.get("/api/journal", params={"lot": "ten"})).json()
        assert {one["id"] for one in journal} == won | {"ten-is-received"}
        lots = {lot["id"]: lot for lot in (await door.get("/api/lots")).json()}
        assert lots["ten"]["pieces"] == 1
        assert sum(lot["parent"] == "ten" for lot in lots.values()) == 9
        assert sum(lot["cost"] for lot in lots.values() if "ten" in (lot["id"], lot["parent"])) == pytest.approx(96)


async def test_one_id_from_two_clients_at_once_is_one_entry(shop: tuple[str, Path]) -> None:
    """Ten send the same: each is answered as if it had been the one, once as new. With other content one is it, and the
    others are told that the id is taken."""
    address, _ = shop

    async def post(body: dict[str, Any]) -> httpx.Response:
        async with httpx.AsyncClient(base_url=address, timeout=30) as client:
            return await client.post("/api/journal", json=body)

    async with door_of(address) as door:
        mill = {"kind": "milled", "lot": "ash-1", "take_top_mm": 1, "take_bottom_mm": 1}
        same = await asyncio.gather(*(post({"id": "milled-once", "deed": mill}) for _ in range(10)))
        assert [reply.status_code for reply in same] == [200] * 10
        assert sorted(reply.json()["repeated"] for reply in same) == [False] + [True] * 9
        assert (await door.get("/api/lots/ash-1")).json()["thickness_mm"] == pytest.approx(23.4)
        wide = [{"kind": "ripped", "lot": "ash-1", "width_mm": 50 + n, "pieces": 12} for n in range(10)]
        other = await asyncio.gather(*(post({"id": "ripped-once", "deed": deed}) for deed in wide))
        assert Counter(reply.status_code for reply in other) == {200: 1, 409: 9}
        assert {reply.json()["field"] for reply in other if reply.status_code == 409} == {"id"}
        ids = [one["id"] for one in (await door.get("/api/journal", params={"lot": "ash-1"})).json()]
        assert (ids.count("milled-once"), ids.count("ripped-once")) == (1, 1)
