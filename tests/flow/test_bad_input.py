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

import httpx
import pytest

from tests.flow.conftest import until
from tests.flow.small_shop import served

pytestmark = pytest.mark.whole
FUZZED = Path(__file__).with_name("fuzzed")
EXAMPLES_EACH = "8"
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
            subprocess.run, command, cwd=tmp_path, env=env, capture_output=True, text=True, timeout=100
        )
        assert run.returncode == 0, run.stdout[-12_000:] + run.stderr[-4_000:]
        assert re.search(r"Operations: +(\d+) selected / \1 total", run.stdout), run.stdout
        kinds = Counter(one["deed"]["kind"] for one in (await door.get("/api/journal?limit=1000")).json())
        assert sum(kinds.values()) > len(document["components"]["schemas"]["Telling"]["examples"]) + 7, kinds
    assert "Traceback" not in said.read_text()
