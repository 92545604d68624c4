"""The bounded queue: what may be dropped is dropped, oldest first; what is to be acknowledged never."""

import asyncio

from hypothesis import given
from hypothesis import strategies as st

from sensors.queue import HeardQueue
from sensors.sample import Heard, RawSample


def sample(number: int, *, kept: bool = False, source: str = "line") -> RawSample:
    acknowledge = (lambda: None) if kept else None
    return RawSample(source, "", (("temperature_c", float(number)),), number, 0.0, acknowledge=acknowledge)


def numbers(items: list[Heard]) -> list[int]:
    return [item.heard_ms for item in items]


async def test_items_come_out_in_the_order_they_went_in() -> None:
    queue = HeardQueue()
    for n in range(6):
        queue.put(sample(n, kept=n % 2 == 0))
    assert len(queue) == 6
    assert numbers(await queue.take(4)) == [0, 1, 2, 3]
    assert numbers(await queue.take(4)) == [4, 5]


async def test_taking_waits_for_the_first_item() -> None:
    queue = HeardQueue()
    taking = asyncio.create_task(queue.take())
    await asyncio.sleep(0)
    assert not taking.done()
    queue.put(sample(1))
    assert numbers(await taking) == [1]
    assert await queue.take(10, 0.01) == []


@given(st.lists(st.booleans(), max_size=40), st.integers(1, 10))
def test_only_what_nobody_acknowledges_is_dropped(kept: list[bool], limit: int) -> None:
    async def play() -> None:
        queue = HeardQueue(limit)
        for n, keep in enumerate(kept):
            queue.put(sample(n, kept=keep))
            assert len(queue) <= max(limit, sum(kept[: n + 1]))
        out = numbers(await queue.take(len(kept) + 1, 0))
        assert out == sorted(out)
        assert {n for n, keep in enumerate(kept) if keep} <= set(out)
        assert len(out) + queue.dropped.total() == len(kept)
        droppable = [n for n, keep in enumerate(kept) if not keep]
        assert [n for n in out if not kept[n]] == droppable[queue.dropped.total() :]  # the newest stay

    asyncio.run(play())


async def test_what_was_dropped_is_counted_by_source() -> None:
    queue = HeardQueue(limit=2)
    for n, source in enumerate(["a", "b", "a", "a"]):
        queue.put(sample(n, source=source))
    assert dict(queue.dropped) == {"a": 2}
    assert numbers(await queue.take()) == [1, 3]


async def test_a_wire_that_floods_pays_for_it_itself() -> None:
    queue = HeardQueue(limit=50)
    for n in range(1000):
        queue.put(sample(n, source="flood"))
        if n % 100 == 0:
            queue.put(sample(n, source="quiet"))
    assert "quiet" not in queue.dropped
    taken = await queue.take()
    assert [item.heard_ms for item in taken if item.source == "quiet"] == list(range(0, 1000, 100))
    assert len(taken) == 50
