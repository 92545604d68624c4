"""Times away through the API: told, listed with what to wrap before, undone; what was meant otherwise is refused."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from server.api.away import AwayDocument
from tests.unit.spine import DAY, START_MS, Bench
from tests.unit.test_lots_api import LOT, get, tell
from tests.unit.test_unseen import weather

DAY_MS = DAY * 1000


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    """A wide milled lot on one face in dry air, and one that is wrapped."""
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    await weather(made, 0, 2.0)
    start = {"kind": "metered", "mc_pct": 9.0}
    await tell(made, "a", **{**LOT, "lot": "tops", "name": "Tops", "width_mm": 280, "start": start})
    await tell(made, "b", kind="milled", lot="tops", take_top_mm=3, take_bottom_mm=2)
    await tell(made, "c", kind="one-face", lot="tops")
    await tell(made, "d", **{**LOT, "lot": "kept", "start": start, "lying": "wrapped"})
    await weather(made, 2.0, 2.05)
    await made.spine.stockroom.catch_up()
    yield made
    await made.close()


async def times(bench: Bench) -> AwayDocument:
    await bench.spine.lot_verdicts.catch_up()
    return AwayDocument.model_validate(await get(bench, "away"))


async def test_a_time_away_is_told_listed_with_what_to_wrap_and_undone(bench: Bench) -> None:
    assert (await times(bench)).times == []
    now_ms = bench.spine.engine.clock.now().wall_ms
    await tell(bench, "away", kind="away", from_ms=now_ms + DAY_MS, to_ms=now_ms + 8 * DAY_MS)
    (one,) = (await times(bench)).times
    assert (one.entry, one.from_ms, one.to_ms) == ("wall-0000away", now_ms + DAY_MS, now_ms + 8 * DAY_MS)
    assert one.wrap is not None
    (tops,) = one.wrap
    assert (tops.lot, tops.tolerance_mm) == ("tops", 0.3)
    assert tops.cup_mm_low <= tops.cup_mm <= tops.cup_mm_high
    assert tops.cup_mm > tops.tolerance_mm
    assert tops.wrapped_cup_mm < tops.cup_mm
    assert tops.wrapped_mean_pct > tops.mean_pct, "the room is dry"
    await bench.spine.engine.turn(())
    (alert,) = [a for a in bench.spine.engine.book.alerts if a.rule == "away"]
    assert alert.values["names"] == "Tops"
    await tell(bench, "gone", kind="undone", entry="wall-0000away")
    assert (await times(bench)).times == []
    await bench.spine.engine.turn(())
    assert not [a for a in bench.spine.engine.book.alerts if a.rule == "away"]


async def test_nobody_is_there_while_it_lasts_and_a_time_far_ahead_says_not_what_to_wrap(bench: Bench) -> None:
    now_ms = bench.spine.engine.clock.now().wall_ms
    await tell(bench, "now", kind="away", from_ms=now_ms - 1000, to_ms=now_ms + DAY_MS)
    await tell(bench, "far", kind="away", from_ms=now_ms + 40 * DAY_MS, to_ms=now_ms + 50 * DAY_MS)
    found = await times(bench)
    assert found.nobody_until_ms == now_ms + DAY_MS
    assert [one.wrap is None for one in found.times] == [False, True]


@pytest.mark.parametrize(
    ("span", "field", "said"),
    [
        ((START_MS // 1000, START_MS // 1000 + 86_400), "to_ms", "Is it in seconds?"),
        ((START_MS, START_MS + 400 * DAY_MS), "to_ms", "within 366 days of it"),
        ((START_MS + DAY_MS, START_MS), "deed", "an end after its beginning"),
    ],
)
async def test_what_was_meant_otherwise_is_refused(
    bench: Bench, span: tuple[int, int], field: str, said: str
) -> None:  # fmt: skip
    deed: dict[str, Any] = {"kind": "away", "from_ms": span[0], "to_ms": span[1]}
    problem = await tell(bench, "x", status=409 if field == "to_ms" else 422, **deed)
    assert problem["field"].startswith(field) or field in problem["field"]
    assert said in problem["would_be_right"] + problem["found"]
