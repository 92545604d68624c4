"""What rules see of the lots, through the real stockroom: the same as their verdicts and documents say, worked out
where something is another, none or all of them, and never in the way of a turn."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from server import lot_seen
from server.config import Config
from server.lot_ahead import Now
from server.lot_documents import LotDocument
from server.rules.lot_view import LotView
from server.working_hours import spans_of
from tests.unit.spine import DAY, HOUR, START_MS, Bench, config
from tests.unit.test_lots_api import LOT, get, tell
from tests.unit.test_unseen import weather

DAY_MS = DAY * 1000
STARTS: tuple[dict[str, Any], ...] = (
    {"lot": "dry", "start": {"kind": "metered", "mc_pct": 5.0}},
    {"lot": "wrapped", "start": {"kind": "metered", "mc_pct": 9.0}, "lying": "wrapped", "zone": "loft"},
    {"lot": "face", "start": {"kind": "metered", "mc_pct": 13.0}, "lying": "one-face"},
    {"lot": "sheet", "species": None, "sheet": "particleboard"},
)


def _config() -> Config:
    known = config()
    hours = {"wed": "08:00-17:00", "thu": "08:00-17:00"}
    return replace(known, shop=known.shop.model_copy(update={"hours": hours}))


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state", _config())
    await made.spine.stockroom.opened()
    await weather(made, 0, 0.1)
    for name, more in zip("abcd", STARTS, strict=True):
        await tell(made, name, **{**LOT, **more})
    await weather(made, 0.1, 3.0)
    await made.spine.lot_verdicts.catch_up()
    yield made
    await made.close()


def seen(bench: Bench) -> dict[str, LotView]:
    lots = bench.spine.engine.seen.lots
    assert lots is not None
    return {one.id: one for one in lots}


async def test_figures_are_those_of_the_lots_documents_and_verdicts(bench: Bench) -> None:
    lots = seen(bench)
    assert sorted(lots) == ["dry", "face", "sheet", "wrapped"]
    for name, one in lots.items():
        document = LotDocument.model_validate(await get(bench, f"lots/{name}"))
        verdict = bench.spine.lot_verdicts.now.of[name].advice
        assert (one.verdict, one.lean, one.title) == (verdict.word, verdict.lean, verdict.title.key)
        assert (one.lying, one.zone, one.holds_ms) == (document.lying, document.zone, document.confirmed_until_ms)
        if document.moisture is None:
            assert (one.mean_pct, one.courses, one.good) == (None, (), None)
            continue
        held = document.moisture.mean
        assert one.mean_pct is not None
        assert (one.mean_pct.middle, one.mean_pct.low) == pytest.approx((held.pct, held.low_pct))
        now = one.course("as-it-lies")
        assert now is not None
        assert one.cup_mm is not None
        assert document.cup is not None
        assert (abs(document.cup.mm), one.hollow) == pytest.approx(
            (one.cup_mm.middle, "top" if document.cup.mm >= 0 else "bottom")
        )
        assert now.points[0].cup_mm.middle == pytest.approx(one.cup_mm.middle, abs=1e-6)
        assert one.danger is not None
        danger = now.points[0].danger
        assert danger is not None
        assert danger.middle == pytest.approx(max(one.danger.middle, 0.0), abs=1e-6)


async def test_a_lot_on_one_face_cups_as_stop_now_says_and_each_way_of_leaving_it_is_told(bench: Bench) -> None:
    one = seen(bench)["face"]
    line = next(l for l in (await get(bench, "lots/face/advice"))["lines"] if l["question"] == "stop-now")  # noqa: E741
    by_morning = {course.leaving: course.worst_cup(one.at_ms + 16 * HOUR * 1000) for course in one.courses}
    assert set(by_morning) == {"as-it-lies", "turned", "stickered", "wrapped"}
    ways = {"as-it-lies": abs(line["figures"]["cup_mm"])}
    ways |= {way["lying"]: abs(way["cup_mm"]) for way in line["figures"]["ways"] if way["lying"] in by_morning}
    for leaving in ("as-it-lies", "stickered", "wrapped"):
        assert by_morning[leaving].middle == pytest.approx(ways[leaving], abs=0.02), leaving
    assert one.hollow == "top"
    assert one.cup_mm is not None
    assert by_morning["turned"].middle <= by_morning["as-it-lies"].middle


async def test_a_wrap_is_told_by_its_shells_and_by_a_sensor_in_it(bench: Bench) -> None:
    wrap = seen(bench)["wrapped"].wrap
    assert wrap is not None
    assert not wrap.measured
    assert wrap.margin_k.low < wrap.margin_k.middle < wrap.margin_k.high
    assert wrap.film_c - wrap.dew_point_c == pytest.approx(wrap.margin_k.middle)
    assert seen(bench)["dry"].wrap is None
    damp = {"temperature_c": 12.0, "humidity_pct": 90.0}
    await tell(bench, "w", kind="wrap-read", lot="wrapped", **damp)
    await bench.spine.lot_verdicts.catch_up()
    told = seen(bench)["wrapped"].wrap
    assert told is not None
    assert told.measured
    assert told.margin_k.middle < wrap.margin_k.middle


async def test_it_is_another_only_where_something_is_and_hours_and_times_away_are_with_it(bench: Bench) -> None:
    engine, verdicts = bench.spine.engine, bench.spine.lot_verdicts
    before = engine.seen
    assert before.work, "wednesdays and thursdays"
    assert all(end - begin == 9 * HOUR * 1000 for begin, end in before.work)
    await verdicts.catch_up()
    assert engine.seen is before
    now_ms = engine.clock.now().wall_ms
    span = now_ms + DAY_MS, now_ms + 9 * DAY_MS
    await tell(bench, "away", kind="away", from_ms=span[0], to_ms=span[1])
    await verdicts.catch_up()
    assert engine.rule_view(engine.clock.now()).away == (span,)
    course = seen(bench)["dry"].course("wrapped")
    assert course is not None, "it is open, and a time away is near"
    assert course.points[-1].t_ms == span[1]
    view = engine.rule_view(engine.clock.now())
    assert view.lots is engine.seen.lots
    assert view.nobody_until_ms is None


async def test_before_the_record_is_open_there_are_no_lots_and_a_bug_leaves_one_without_figures(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    await bench.spine.lot_verdicts.catch_up()
    real = lot_seen.now_of

    def broken(view: Any, held: Any, across: Any) -> Now:
        if view.lot.id == "face":
            raise ArithmeticError("a bug of ours")
        return real(view, held, across)

    monkeypatch.setattr(lot_seen, "now_of", broken)
    await weather(bench, 3.0, 3.1)
    await bench.spine.lot_verdicts.catch_up()
    assert seen(bench)["face"].courses == ()
    assert seen(bench)["face"].cup_mm is None
    assert seen(bench)["dry"].courses != ()
    (fault,) = bench.spine.engine.faults.all()
    assert (fault.part, fault.about) == ("verdicts", "face")
    await bench.restart()
    await bench.spine.lot_verdicts.catch_up()
    assert bench.spine.engine.seen.lots is None, "the stockroom is not open yet"
    await bench.spine.stockroom.opened()
    await bench.spine.lot_verdicts.catch_up()
    assert set(seen(bench)) == {"dry", "face", "sheet", "wrapped"}


async def test_since_when_it_is_good_to_mill_outlives_a_restart(bench: Bench) -> None:
    """It comes in good, in a wrap that keeps it so."""
    start = {"kind": "metered", "mc_pct": 8.0}
    await tell(bench, "g", **{**LOT, "lot": "good", "start": start, "lying": "wrapped"})
    await bench.spine.lot_verdicts.catch_up()
    one = seen(bench)["good"]
    if one.good is None:
        await weather(bench, 3.0, 3.1)
        await bench.spine.lot_verdicts.catch_up()
        one = seen(bench)["good"]
    assert one.good
    assert one.good_since_ms is not None
    await weather(bench, 3.1, 5.1)
    await bench.spine.stockroom.catch_up()
    await bench.restart()
    await bench.spine.stockroom.opened()
    await bench.spine.lot_verdicts.catch_up()
    again = seen(bench)["good"]
    assert again.good
    assert again.good_since_ms is not None
    assert again.good_since_ms <= START_MS + round(3.1 * DAY_MS)


async def test_a_milled_lot_left_open_is_told_in_the_evening_and_over_once_it_is_wrapped(tmp_path: Path) -> None:
    """Through the real stockroom, engine and record, with a restart in between: the same alert stands."""
    bench = Bench(tmp_path / "state", _config())
    await bench.spine.stockroom.opened()
    evening = _evening_s(bench)
    await weather(bench, 0, (evening - 2 * HOUR) / DAY)
    start = {"kind": "metered", "mc_pct": 9.0}
    await tell(bench, "m1", **{**LOT, "lot": "tops", "name": "Tops", "width_mm": 280, "start": start})
    await tell(bench, "m2", kind="milled", lot="tops", take_top_mm=3, take_bottom_mm=2)
    await tell(bench, "m3", kind="one-face", lot="tops")
    await weather(bench, (evening - 2 * HOUR) / DAY, evening / DAY)
    await bench.spine.stockroom.catch_up()
    await bench.spine.lot_verdicts.catch_up()
    await bench.spine.engine.turn(())
    (alert,) = [a for a in bench.spine.engine.book.alerts if a.rule == "milled-open"]
    assert (alert.subject, alert.word) == ("tops", "act")
    assert bench.document.band.title.text.endswith("before you go")
    await bench.restart()
    (stands,) = [a for a in bench.spine.engine.book.alerts if a.rule == "milled-open"]
    assert stands.id == alert.id, "no lot has been worked out yet"
    await bench.spine.stockroom.opened()
    await tell(bench, "m4", kind="wrapped", lot="tops")
    await bench.spine.lot_verdicts.catch_up()
    await bench.spine.engine.turn(())
    (over,) = [a for a in bench.spine.engine.book.alerts if a.rule == "milled-open"]
    assert (over.id, over.state) == (alert.id, "returned")
    await bench.close()


def _evening_s(bench: Bench) -> float:
    """Twenty minutes before the end of the second day of work ahead."""
    work = spans_of(bench.config.shop.hours, "Europe/Oslo", START_MS)
    ends = [end_ms for _, end_ms in work if end_ms > START_MS + DAY_MS / 2]
    return (ends[0] - START_MS) / 1000 - 20 * 60
