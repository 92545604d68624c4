"""A part of the server that ends by itself takes the server with it, so that the launcher starts it again."""

from __future__ import annotations

import asyncio

import pytest

from server.app import Settings, serving
from server.clock import SystemClock
from tests.flow.conftest import Door, Shop, until


async def test_a_part_that_fails_ends_the_server_with_its_own_error(shop: Shop) -> None:
    """Field pitfall 32: a background job just vanishes, and its error never shows."""
    broken = asyncio.Event()

    async def companion() -> None:
        await broken.wait()
        raise LookupError("the part that broke")

    settings = Settings(shop.config(), shop.state, SystemClock(), companions=[companion])

    async def served() -> None:
        async with serving(settings) as port, Door(port) as door:
            await until(door.snapshot, "the door")
            broken.set()
            async with asyncio.timeout(20):
                await asyncio.Event().wait()

    with pytest.raises(ExceptionGroup) as ended:
        await served()
    assert ended.group_contains(LookupError, match="the part that broke")
