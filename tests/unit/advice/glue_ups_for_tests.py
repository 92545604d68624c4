"""Glue-ups as their questions see them: lots made the real way (``lots_for_tests``), in rooms whose air is made up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from server.advice.base import LotView
from server.advice.glue_up.asking import GlueAdvice, advise
from server.advice.glue_up.base import Board, GlueUp, GlueView, RoomAir
from server.advice.glue_up.view import family_of, strips_of
from server.bins import BIN_MS
from server.lot_outlook import expected_air
from server.model.air import ShopAir
from server.reading import Aim, OutlookPoint
from server.wood.air import saturation_pressure_pa
from tests.unit.advice.lots_for_tests import AIM, DAY_MS, START_MS, AirOf, laid, seen

ASKED: dict[str, Any] = {
    "adhesive": "pva", "clamp_h": 4, "aim": {"dry_limit_pct": 6, "damp_limit_pct": 10}, "zone": "bench",
}  # fmt: skip
FRESH = (0.95, {"kind": "milled", "lot": "b-1", "take_top_mm": 1.5, "take_bottom_mm": 1.5})
WARM = (21.0, 40.0)


def board(
    *deeds: tuple[float, dict[str, Any]], pct: float = 8.0, days: float = 1.0, name: str = "b-1", aim: Aim = AIM,
    air: tuple[float, float] = WARM, fresh: bool = True, **received: Any,
) -> LotView:  # fmt: skip
    """A lot metered at ``pct`` when it came, seen after ``days`` in that air; its faces milled on the first of them
    unless they are not ``fresh``."""
    start = {"start": {"kind": "metered", "mc_pct": pct}}
    told = [FRESH, *deeds] if fresh else list(deeds)
    view = seen(*told, days=days, air=lambda _: air, aim=aim, received={**start, **received})
    return replace(view, lot=replace(view.lot, id=name, name=name.capitalize()))


def room(zone: str, air: AirOf, at_ms: int, *, heard: bool = True, outlook: tuple[float, ...] = ()) -> RoomAir:
    """A zone whose last week was ``air`` (day -> °C, % RH), with an outlook of EMCs hour by hour, if any."""
    ends = range(at_ms - 7 * DAY_MS, at_ms + 1, BIN_MS)
    rows = np.array([air((end - START_MS) / DAY_MS) for end in ends], np.float64)
    c, pa = rows[:, :1], (saturation_pressure_pa(rows[:, 0]) * rows[:, 1] / 100.0)[:, None]
    recent = ShopAir(at_ms - 7 * DAY_MS, (zone,), c, pa, np.full(c.shape, heard))
    points = [OutlookPoint(at_ms + h * 3_600_000, emc, emc - 0.5, emc + 0.5) for h, emc in enumerate(outlook)]
    return RoomAir(zone, recent, expected_air(recent, zone, points))


def glue_up(
    *boards: LotView, pieces: int = 4, bench: AirOf | tuple[float, float] = WARM, heard: bool = True,
    outlook: tuple[float, ...] = (), loft: tuple[float, float] | None = None, **more: Any,
) -> GlueView:  # fmt: skip
    """A glue-up of so many pieces of each of those lots, in the bench room's air; ``more`` is asked with it."""
    made = boards or (board(),)
    taken = [{"lot": view.lot.id, "pieces": pieces} for view in made]
    asked = GlueUp.model_validate({**ASKED, **more, "boards": taken})
    at_ms, limits = made[0].at_ms, asked.aim
    aim = Aim(limits.dry_limit_pct or 0.0, limits.damp_limit_pct or 0.0, "two numbers", "typed in by the shop")
    airs = {"bench": bench if callable(bench) else lambda _: bench}
    if loft is not None:
        airs["loft"] = lambda _: loft
    rooms = {zone: room(zone, air, at_ms, heard=heard, outlook=outlook) for zone, air in airs.items()}
    return GlueView(
        asked, tuple(Board.of(view, pieces) for view in made), aim, at_ms, replace(made[0].telling, now_ms=at_ms),
        family_of(asked), rooms["bench"], rooms[asked.shelf or "bench"],
        strips_of([(view.lot.width_mm, pieces) for view in made], asked), made[0].lot.thickness_mm, tuple(rooms),
        rooms.__getitem__,
    )  # fmt: skip


def nights(coldest_c: float, rh: float = 40.0) -> AirOf:
    """21 °C at noon and so much twelve hours later, day by day."""
    half = 0.5 * (21.0 - coldest_c)
    return lambda day: (21.0 - half + half * float(np.cos(2 * np.pi * day)), rh)


@cache
def advised() -> tuple[tuple[GlueView, GlueAdvice], ...]:
    """A glue-up for every sentence that one can say, and what is advised; made once."""
    return tuple((view, advise(view)) for view in _every())


def _every() -> Iterator[GlueView]:
    yield glue_up()
    yield glue_up(board(pct=8.0), board(pct=7.6, name="b-2"), outlook=(7.7,) * 97, sheet=sheet(lowest_c=10))
    yield from _boards()
    yield from _warmth()
    yield from _air()
    yield glue_up(replace(board(), species=None), replace(board(name="b-2"), species=None))
    yield glue_up(board(cut="quarter"), aim={"dry_limit_pct": 7.9, "damp_limit_pct": 8.1})
    yield glue_up(board(), bench=(21.0, 25.0))
    yield glue_up(board(), bench=(21.0, 70.0), heard=False)
    yield glue_up(board(), bench=(21.0, 70.0))


def _boards() -> Iterator[GlueView]:
    unsure = {"start": {"kind": "unknown", "mc_pct": 9.4}}
    yield glue_up(board(**unsure))
    yield glue_up(board(pct=12.0, days=20), loft=(27.0, 41.0))
    yield glue_up(board(laid("dead-stacked"), pct=12.0, days=2), bench=(21.0, 40.0))
    yield glue_up(board(pct=10.3), bench=(21.0, 40.0))
    yield glue_up(board(pct=12.0, days=2), bench=(9.0, 50.0))
    yield glue_up(board(pct=12.0, air=(21.0, 75.0)), bench=(21.0, 75.0))
    yield glue_up(board(pct=4.5), bench=(21.0, 40.0), outlook=(7.7,) * 97)
    yield glue_up(board(pct=20.0, thickness_mm=100), bench=(21.0, 40.0))
    yield glue_up(board(pct=9.4, days=6, air=(21.0, 20.0)), bench=(21.0, 20.0), loft=(21.0, 45.0))
    yield glue_up(board(laid("wrapped"), pct=9.8), board(laid("wrapped"), pct=6.5, name="b-2"))
    yield glue_up(board(pct=9.8), board(pct=6.6, name="b-2"))
    yield glue_up(board(pct=8.0, fresh=False), board(name="b-2", days=4.0))


def _warmth() -> Iterator[GlueView]:
    yield glue_up(adhesive="epoxy")
    yield glue_up(adhesive=None, sheet=sheet(mc_low_pct=4, mc_high_pct=7, lowest_c=5, clamp_h=[[10, 8], [20, 5]]))
    dry = Aim(3.0, 9.0, "two numbers", "typed in by the shop")
    yield glue_up(board(pct=5.0, aim=dry), aim={"dry_limit_pct": 3, "damp_limit_pct": 9})
    yield glue_up(bench=(10.0, 50.0))
    yield glue_up(board(air=(10.0, 50.0)), bench=(10.0, 50.0))
    yield glue_up(board(air=(4.0, 50.0)), bench=(4.0, 50.0), loft=(20.0, 45.0))
    yield glue_up(board(air=(4.0, 60.0)), bench=(20.0, 30.0))
    yield glue_up(board(), shelf="loft", loft=(2.0, 60.0))
    yield glue_up(board(air=(13.2, 50.0)), bench=(13.2, 50.0))
    yield glue_up(adhesive="hide")


def _air() -> Iterator[GlueView]:
    yield glue_up(board(days=1.0), bench=nights(2.0), clamp_h=14)
    yield glue_up(board(days=1.0), bench=nights(13.2), clamp_h=14)
    yield glue_up(board(air=(8.0, 50.0)), bench=(21.0, 60.0))
    yield glue_up(clamp_h=0.5)


def sheet(**said: Any) -> dict[str, Any]:
    """A maker's sheet with what it says."""
    return said
