"""What rules see of the panels, through the real stockroom: a glue-up that a cold night is coming for, its rest, how it
grows where it was fitted, and that a bug stops no other panel."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

import pytest

from server import panel_seen
from server.lot_documents import LotDocument
from server.reading import Reading
from server.rules.catalog import make_rules
from server.rules.lot_view import Band
from server.rules.panel_rule import PanelRule
from server.rules.panel_view import Cure, PanelView
from server.wood.air import saturation_pressure_pa
from server.wood.emc import emc_pct
from server.wood.movement import across_width, change
from server.wood.species import find
from tests.unit.spine import DAY, HOUR, START_MS, Bench
from tests.unit.test_lots_api import LOT, get, tell
from tests.unit.test_panels_api import TOP

HOUR_MS = 3_600_000
Air = Callable[[float], tuple[float, float]]


def even(c: float = 20.0, humidity: float = 0.45) -> Air:
    return lambda _: (c, humidity)


def cold_nights(day: float) -> tuple[float, float]:
    """20 °C from eight to twenty, 3 °C from then on; time begins at noon."""
    return (20.0, 0.45) if (day + 0.5) % 1.0 > 1 / 3 and (day + 0.5) % 1.0 < 5 / 6 else (3.0, 0.6)


async def weather(bench: Bench, from_day: float, to_day: float, air: Air = even()) -> None:  # noqa: B008 - a constant
    """The bench room's air as the engine stores it, the lots and what is seen of them up to there."""
    rows = []
    for t_ms in range(START_MS + round(from_day * DAY * 1000), START_MS + round(to_day * DAY * 1000), HOUR * 500):
        c, rh = air((t_ms - START_MS) / (1000 * DAY))
        values = {"temperature_c": c, "vapour_pressure_pa": float(saturation_pressure_pa(c)) * rh}
        values |= {"humidity_pct": 100 * rh, "emc_pct": float(emc_pct(c, rh))}
        rows += [Reading(f"zone:bench/{q}", t_ms, v) for q, v in values.items()]
    await bench.spine.store.append(rows)
    bench.until(to_day * DAY)
    await bench.spine.stockroom.catch_up()
    await bench.spine.lot_verdicts.catch_up()


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "state")
    await made.spine.stockroom.opened()
    await weather(made, 0, 0.1)
    await tell(made, "a", **{**LOT, "start": {"kind": "metered", "mc_pct": 8.0}})
    await tell(made, "b", **{**LOT, "lot": "ash-2", "start": {"kind": "metered", "mc_pct": 8.0}})
    yield made
    await made.close()


def seen(bench: Bench, name: str = "top") -> PanelView:
    (found,) = (one for one in bench.spine.engine.seen.panels if one.id == name)
    return found


def raised(bench: Bench) -> set[tuple[str, str]]:
    """Rule and subject of what is found wrong, or good, with panels now."""
    view = bench.spine.engine.rule_view(bench.clock.now())
    rules = (rule for rule in make_rules() if isinstance(rule, PanelRule))
    return {(f.rule, f.subject) for rule in rules for f in rule.findings(view) if f.raise_holds}


async def glued(bench: Bench, entry: str = "glue", **more: Any) -> Cure:
    await tell(bench, entry, **{**TOP, **more})
    await bench.spine.lot_verdicts.catch_up()
    cure = seen(bench).cure
    assert cure is not None
    return cure


async def document(bench: Bench) -> LotDocument:
    return LotDocument.model_validate(await get(bench, "lots/top"))


async def test_a_cold_night_is_seen_from_the_afternoon_before_and_comes_as_it_was_seen(bench: Bench) -> None:
    await weather(bench, 0.1, 3.0, cold_nights)
    assert bench.spine.engine.seen.panels == ()
    await glued(bench)
    engine = bench.spine.engine
    for day in (3.04, 3.1):
        await weather(bench, day - 0.04, day, cold_nights)
        within = seen(bench).cure
        assert within is not None
        assert within.hard == (day < 3.05), "after an hour and more at 20 °C nothing is left to be saved"
        await engine.turn(())
    (alert,) = (one for one in engine.book.alerts if one.rule == "panel-cures")
    assert (alert.subject, alert.word, alert.values["deed"], alert.values["when"]) == (
        "top-cold", "look", "warm", "coming",
    )  # fmt: skip
    cure = seen(bench).cure
    assert cure is not None
    assert cure.wood_c == pytest.approx(20.0, abs=0.2)
    assert (cure.lowest_c, cure.keep_c) == (7.0, 13.0)
    assert cure.off_ms == START_MS + 3 * DAY * 1000 + 2 * HOUR_MS
    assert cure.coldest_c is not None
    assert cure.coldest_c == pytest.approx(3.0, abs=0.3)
    at_day = (cure.coldest_ms - START_MS) / (1000 * DAY)
    assert 3.5 < at_day < 3.9, "before eight in the morning"
    await weather(bench, 3.1, at_day, cold_nights)
    night = seen(bench).cure
    assert night is not None
    assert night.wood_c == pytest.approx(cure.coldest_c, abs=0.1)
    assert not night.cured


async def test_the_clamps_and_the_air_are_told_by_the_woods_own_warmth(bench: Bench) -> None:
    """PVA: an hour at 21.1 °C, twice that for each 8.33 K below (its table's source)."""
    await weather(bench, 0.1, 7.0, even(12.77, 0.15))
    await glued(bench, clamp_h=1)
    await weather(bench, 7.0, 7.0 + 1 / 48, even(12.77, 0.15))
    cure = seen(bench).cure
    assert cure is not None
    assert cure.ready_ms is not None
    begun_ms = START_MS + 7 * DAY * 1000
    assert [(ms - begun_ms) / HOUR_MS for ms in cure.ready_ms] == pytest.approx([2.0, 2.0], abs=0.05)
    assert cure.drier_pct.low < cure.drier_pct.middle < cure.drier_pct.high
    mean = (await document(bench)).moisture
    assert mean is not None
    draws = float(emc_pct(12.77, 0.15))
    assert cure.drier_pct.middle == pytest.approx(mean.mean.pct - draws, abs=0.3)
    assert cure.air_c == pytest.approx(12.77)


async def test_its_rest_ends_when_its_glue_has_dried_and_is_remembered_by_the_record(bench: Bench) -> None:
    await weather(bench, 0.1, 1.0)
    await glued(bench)
    await weather(bench, 1.0, 4.0)
    assert (seen(bench).flat, seen(bench).flat_since_ms) == (False, None)
    await weather(bench, 4.0, 8.5)
    line = next(one for one in (await get(bench, "lots/top/advice"))["lines"] if one["question"] == "flatten")
    rested_ms = START_MS + 1000 * DAY + round((24 * line["figures"]["rest_days_high"] + 2) * HOUR_MS)
    assert START_MS + 4 * DAY * 1000 < rested_ms <= START_MS + 8 * DAY * 1000 + 2 * HOUR_MS, (
        "the published week at most"
    )
    assert seen(bench).flat
    since_ms = seen(bench).flat_since_ms
    assert since_ms is not None
    assert since_ms >= rested_ms - 1
    await bench.restart()
    await bench.spine.stockroom.opened()
    await bench.spine.lot_verdicts.catch_up()
    assert seen(bench).flat_since_ms == pytest.approx(rested_ms, abs=2)
    assert raised(bench) == {("panel-flat", "top")}
    await tell(bench, "mill", kind="milled", lot="top", take_top_mm=1, take_bottom_mm=1)
    await bench.spine.lot_verdicts.catch_up()
    assert (seen(bench).flat, seen(bench).cure) == (False, None)
    assert raised(bench) == set()


async def test_what_it_grows_since_it_was_fitted_is_what_its_moisture_makes_of_its_width(bench: Bench) -> None:
    """Against the change of width between its two documents' means; and what was foreseen comes."""
    await weather(bench, 0.1, 1.0)
    await glued(bench)
    await weather(bench, 1.0, 2.0)
    before = await document(bench)
    await tell(bench, "fit", kind="fitted", lot="top", held="free", fit="drawer", clearance_mm=1.5)
    await weather(bench, 2.0, 9.0, even(20.0, 0.70))
    fit = seen(bench).fit
    assert (seen(bench).fitted, seen(bench).crated) == (True, False)
    assert fit is not None
    assert (fit.kind, fit.room_mm, fit.travel_mm, fit.width_mm) == ("drawer", 1.5, None, 580.0)
    now = await document(bench)
    assert before.moisture is not None
    assert now.moisture is not None
    assert now.moisture.mean.pct > before.moisture.mean.pct + 0.5
    flat = across_width(find("ash_white"), 0.0)
    expected = float(change(flat, 580.0, before.moisture.mean.pct, now.moisture.mean.pct))
    assert fit.grown[0].mm.middle == pytest.approx(expected, abs=0.02)
    line = next(one for one in (await get(bench, "lots/top/advice"))["lines"] if one["question"] == "fitted")
    told = Band(*(line["figures"][f"used_mm{end}"] for end in ("", "_low", "_high")))
    assert (told.middle, told.low, told.high) == pytest.approx(
        (fit.grown[0].mm.middle, fit.grown[0].mm.low, fit.grown[0].mm.high), abs=0.01
    )
    assert all(one.mm.low < one.mm.middle < one.mm.high for one in fit.grown)
    week = next(one for one in fit.grown if one.t_ms == fit.grown[0].t_ms + 7 * DAY * 1000)
    await weather(bench, 9.0, 16.0, even(20.0, 0.70))
    later = seen(bench).fit
    assert later is not None
    assert later.grown[0].mm.middle == pytest.approx(week.mm.middle, abs=0.1)
    assert raised(bench) == {("clearance-used", "top-wide")}
    await tell(bench, "out", kind="delivered", lot="top", to="the mill house")
    await bench.spine.lot_verdicts.catch_up()
    assert bench.spine.engine.seen.panels == ()


async def test_a_bug_leaves_one_panel_without_figures_and_is_noted(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    await weather(bench, 0.1, 1.0)
    boards = [{"lot": "ash-1", "pieces": 2}, {"lot": "ash-2", "pieces": 2}]
    await glued(bench, "g1", boards=boards, width_mm=400)
    await tell(bench, "g2", **{**TOP, "lot": "lid", "name": "Lid", "boards": boards, "width_mm": 400})
    real = panel_seen.glue_of

    def broken(view: Any) -> Any:
        if view.lot.id == "lid":
            raise ArithmeticError("a bug of ours")
        return real(view)

    monkeypatch.setattr(panel_seen, "glue_of", broken)
    await weather(bench, 1.0, 1.1)
    assert (seen(bench, "lid").worked_out, seen(bench, "lid").cure) == (False, None)
    assert seen(bench).cure is not None
    (fault,) = bench.spine.engine.faults.all()
    assert (fault.part, fault.about) == ("verdicts", "lid")
    assert bench.spine.engine.rule_view(bench.clock.now()).panels is bench.spine.engine.seen.panels
