"""Air that was read before is the record's air, whatever has become another since."""

from __future__ import annotations

import asyncio
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from server.bins import BIN_MS
from server.clock import ManualClock
from server.model.air_kept import KEPT_MS, KeptAir
from server.model.recorded import last_week, recorded_air
from server.reading import Reading
from server.stores.catalog import open_store
from server.stores.port import History, Store

T0 = 1_799_712_000_000
ZONES = ("bench", "loft")
SPAN = 60
"""Half hours that are asked about."""
Air = list[tuple[int, float]]
AIR = st.lists(st.tuples(st.integers(-20, 2 * SPAN), st.floats(5, 30)), min_size=1, max_size=12)
ASKED = st.tuples(st.integers(0, SPAN - 1), st.integers(1, SPAN)).map(lambda p: (p[0], min(sum(p), SPAN)))
STEPS = st.lists(st.one_of(ASKED, st.tuples(st.sampled_from(ZONES), AIR, st.booleans())), min_size=3, max_size=9)


@settings(max_examples=40, deadline=None)
@given(STEPS, st.sampled_from([KEPT_MS, 15 * BIN_MS]))
def test_it_is_what_the_record_says(steps: list[tuple[int, int] | tuple[str, Air, bool]], kept_ms: int) -> None:
    with TemporaryDirectory() as folder:
        asyncio.run(_through(Path(folder), steps, kept_ms))


def _the_week_is_too(kept: KeptAir, history: History, until_ms: int) -> None:
    for zone in ZONES:
        found, right = kept.week(history, zone, until_ms), last_week(history, zone, until_ms)
        assert found.temperature_c.tolist() == right.temperature_c.tolist()
        assert found.known.tolist() == right.known.tolist()
        assert kept.week(history, zone, until_ms) is found, "it is read once a half hour"


async def _through(folder: Path, steps: list[tuple[int, int] | tuple[str, Air, bool]], kept_ms: int) -> None:
    store, history = open_store(folder, "Europe/Oslo", ManualClock(T0 + SPAN * BIN_MS))
    kept = KeptAir(kept_ms)
    try:
        for step in steps:
            if len(step) == 2:
                from_ms, to_ms = (T0 + n * BIN_MS for n in step)
                found, right = (
                    kept.between(history, ZONES, from_ms, to_ms),
                    recorded_air(history, ZONES, from_ms, to_ms),
                )
                assert found.known.tolist() == right.known.tolist()
                assert found.temperature_c.tolist() == right.temperature_c.tolist()
                assert found.pressure_pa.tolist() == right.pressure_pa.tolist()
                _the_week_is_too(kept, history, to_ms)
            else:
                zone, air, from_there = step
                times = await _store(store, zone, air)
                edges = [t_ms // BIN_MS * BIN_MS for t_ms in times]
                for edge_ms in [min(edges)] if from_there else edges:
                    kept.forget(zone, edge_ms, 1 << 60 if from_there else edge_ms + 2 * BIN_MS)
    finally:
        await store.close()


async def _store(store: Store, zone: str, air: Air) -> list[int]:
    """Readings in quarter hours from ``T0``; when they are."""
    rows = {T0 + quarter * BIN_MS // 2 + 60_000: c for quarter, c in air}
    names = (("temperature_c", 1.0), ("vapour_pressure_pa", 40.0))
    await store.append([Reading(f"zone:{zone}/{name}", t, by * c) for t, c in rows.items() for name, by in names])
    return list(rows)
