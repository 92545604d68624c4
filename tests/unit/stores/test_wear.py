"""What the record writes while nothing changes: nothing. A card dies of what is written for no reason."""

from __future__ import annotations

from pathlib import Path

from server.stores.sqlite_file import BUSY_TIMEOUT_S, FILE_NAME
from tests.unit.spine import HOUR, MINUTE, Bench, sample


def files(folder: Path) -> dict[str, tuple[int, int]]:
    """Size and time of change of every file of the record."""
    found = {}
    for path in sorted(folder.glob(f"{FILE_NAME}*")):
        if not path.name.endswith("-shm"):  # the index readers share, in memory
            stat = path.stat()
            found[path.name] = stat.st_size, stat.st_mtime_ns
    return found


async def test_an_hour_of_idle_turns_writes_not_one_byte(tmp_path: Path) -> None:
    """Field pitfall 10: cards that die within months."""
    bench = Bench(tmp_path / "state")
    await bench.hear([sample("bench-1", n * MINUTE) for n in range(5)])
    await bench.tick_until(10 * MINUTE)  # whatever silence has to say is said
    await bench.tick_until(30 * MINUTE)
    before = files(bench.folder)
    await bench.tick_until(30 * MINUTE + HOUR, every_s=1.0)
    assert files(bench.folder) == before
    await bench.close()


async def test_a_turn_of_many_samples_is_one_transaction(tmp_path: Path) -> None:
    """Field pitfall 10: one fsync per sample on slow media, and locks because several write."""
    bench = Bench(tmp_path / "state")
    await bench.hear([sample("bench-1", 0.0)])  # with the row about this boot
    statements: list[str] = []
    writer = bench.spine.store._writer  # type: ignore[attr-defined]
    writer._connection.set_trace_callback(statements.append)
    samples = [sample(f"{name}-1", 1 + n + 0.1 * i) for n in range(100) for i, name in enumerate(("bench", "loft"))]
    await bench.hear(samples, a_turn=len(samples))
    assert statements.count("COMMIT") == 1
    assert "BEGIN IMMEDIATE" in statements
    assert BUSY_TIMEOUT_S == 30.0
    await bench.close()
