"""Lots that nobody has seen for long, through record and API: wider after the limit, as before once confirmed."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.lot_documents import LotDocument
from server.lot_outlook import LotOutlookDocument
from server.reading import Reading
from server.wood.air import saturation_pressure_pa
from server.wood.emc import emc_pct
from tests.unit.spine import DAY, HOUR, START_MS, Bench
from tests.unit.test_lots_api import LOT, get, tell

AIR = {"bench": (20.0, 0.25), "loft": (12.0, 0.65)}


async def weather(bench: Bench, from_day: float, to_day: float) -> None:
    """Both rooms' air as the engine stores it, and the lots up to there."""
    hours = range(START_MS + round(from_day * DAY * 1000), START_MS + round(to_day * DAY * 1000), HOUR * 500)
    for zone, (c, rh) in AIR.items():
        pa, emc = float(saturation_pressure_pa(c)) * rh, float(emc_pct(c, rh))
        values = {"temperature_c": c, "vapour_pressure_pa": pa, "humidity_pct": 100 * rh, "emc_pct": emc}
        rows = [Reading(f"zone:{zone}/{q}", t_ms, v) for t_ms in hours for q, v in values.items()]
        await bench.spine.store.append(rows)
    bench.until(to_day * DAY)
    await bench.spine.stockroom.catch_up()


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    await weather(made, 0, 0.1)
    lots: tuple[dict[str, Any], ...] = ({"lot": "wrapped", "lying": "wrapped"}, {"lot": "open"})
    for name, more in zip("ab", lots, strict=True):
        await tell(made, name, **{**LOT, "start": {"kind": "metered", "mc_pct": 8.0}, **more})
    yield made
    await made.close()


async def held(bench: Bench, lot: str) -> LotDocument:
    return LotDocument.model_validate(await get(bench, f"lots/{lot}"))


def ends(lot: LotDocument) -> tuple[float, float]:
    assert lot.moisture is not None
    return lot.moisture.mean.pct - lot.moisture.mean.low_pct, lot.moisture.mean.high_pct - lot.moisture.mean.pct


async def test_the_ends_part_after_the_limit_on_the_side_of_what_may_be(bench: Bench) -> None:
    await weather(bench, 0.1, 7.0)
    for lot in ("wrapped", "open"):
        before = ends(await held(bench, lot))
        assert before[0] == pytest.approx(before[1])
    await weather(bench, 7.0, 12.0)
    wrapped, opened = await held(bench, "wrapped"), await held(bench, "open")
    assert wrapped.confirmed_until_ms == START_MS + round(7.1 * DAY * 1000)
    assert ends(wrapped)[0] > ends(wrapped)[1] + 0.05  # this air dries it
    assert ends(opened)[1] > ends(opened)[0] + 0.05  # the loft's would have made it damper
    shown = LotOutlookDocument.model_validate(await get(bench, "lots/wrapped/outlook"))
    await bench.restart()
    await bench.spine.stockroom.opened()
    assert await held(bench, "wrapped") == wrapped
    assert await held(bench, "open") == opened
    await tell(bench, "c", kind="confirmed", lot="wrapped")
    await bench.spine.stockroom.catch_up()
    sure = await held(bench, "wrapped")
    assert (sure.confirmed_by, sure.lies_so_since_ms) == ("Ada", wrapped.lies_so_since_ms)
    assert ends(sure)[0] == pytest.approx(ends(sure)[1])
    assert ends(sure)[0] < ends(wrapped)[0]
    after = LotOutlookDocument.model_validate(await get(bench, "lots/wrapped/outlook"))
    assert shown.way_left_mm is not None
    assert after.way_left_mm is not None
    assert after.way_left_mm.high - after.way_left_mm.low < shown.way_left_mm.high - shown.way_left_mm.low
