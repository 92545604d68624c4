"""A panel as advice sees it, made the real way: boards that came in, were glued, and all that was done since."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from server.advice.base import LotView
from server.advice.looks import PanelLooks
from server.bins import BIN_MS
from server.model.again import lineage, programs_of
from server.model.run import Run, run
from server.model.woods import NONE, Wood
from server.reading import Aim
from server.shop.acts import edge_of
from server.shop.journal import facts
from server.shop.lots import fold
from server.wood.season import Season
from tests.unit.advice.lots_for_tests import AIM, BOARD, START_MS, AirOf, constant, seen, told

PANEL: dict[str, Any] = {
    "kind": "glued", "lot": "p", "name": "Chest lid", "boards": [{"lot": "b-1", "pieces": 4}], "width_mm": 560,
    "length_mm": 1100, "adhesive": "pva", "clamp_h": 2, "zone": "bench", "aim": BOARD["aim"],
}  # fmt: skip
DESTINATIONS = {"heated": AIM}
Deed = tuple[float, dict[str, Any]]


def panel_seen(
    *deeds: Deed, days: float, air: AirOf = lambda _: (20.0, 40.0), aim: Aim = AIM, season: Season | None = None,
    glued: float = 0.5, received: dict[str, Any] | None = None, **how: Any,
) -> LotView:  # fmt: skip
    """The panel ``days`` after its boards came in, ``glued`` that many days after, in ``air``; with ``how`` it was
    glued in place of what :data:`PANEL` says."""
    every = [(glued, {**PANEL, **how}), *((day, {"lot": "p", **deed}) for day, deed in deeds)]
    view = seen(*every, days=days, air=air, aim=aim, lot="p", received=received)
    shop = fold(facts(told(d, i, deed) for i, (d, deed) in enumerate([(0.0, {**BOARD, **(received or {})}), *every])))
    programs = {name: lot.acts for name, lot in shop.lots.items() if lot.acts}
    whole = constant(air, START_MS, max(view.at_ms, START_MS + BIN_MS))

    def recorded(from_ms: int) -> Any:
        from_ms = edge_of(from_ms)
        return None if view.at_ms < from_ms + BIN_MS else constant(air, from_ms, view.at_ms)

    def stood(t_ms: int) -> Wood | None:
        edge_ms = min(edge_of(t_ms), view.at_ms)
        kin = programs_of(lineage("p", programs), programs)
        if not view.lot.acts or view.lot.acts[0].edge_ms >= edge_ms:
            return None
        return run(Run(START_MS, NONE), kin, whole, edge_ms).woods.one("p").caught_up()

    return replace(view, looks=PanelLooks(recorded, stood, lambda _: season, DESTINATIONS))


FLATTENED: dict[str, Any] = {"kind": "milled", "take_top_mm": 1.5, "take_bottom_mm": 1.5}
WET = {"start": {"kind": "metered", "mc_pct": 13.0}}
FINISHED: dict[str, Any] = {"kind": "finished", "cover": "shellac-3"}
ONE_FACE: dict[str, Any] = {**FINISHED, "faces": "one"}
FITTED: dict[str, Any] = {
    "kind": "fitted",
    "held": "free",
    "fit": "slot",
    "clearance_mm": 12,
    "slot_mm": 25,
    "screw_mm": 5,
}
CRATED: dict[str, Any] = {"kind": "crated"}
DELIVERED: dict[str, Any] = {
    "kind": "delivered",
    "to": "the mill house",
    "house": {"heated": True, "new_plaster": False},
}
AT_HOME: dict[str, Any] = {
    "kind": "customer-read", "reading_pct": 7.5, "method": "dielectric", "temperature_c": 21, "humidity_pct": 35,
}  # fmt: skip


def panels_asked() -> Iterator[tuple[LotView, str, dict[str, Any]]]:
    """Panels in every state that a sentence is made for, each with the question that makes it."""
    every = (
        ("curing", _curing()), ("flatten", _resting()), ("finish", _finishing()), ("fitted", _fitted()),
        ("delivery", _going_home()), ("there", _at_home()),
    )  # fmt: skip
    for question, some in every:
        for view in some:
            yield view, question, {}
    one = panel_seen((9.0, FLATTENED), (10.0, FINISHED), days=12.0)
    for fit in ("drawer", "door", "groove", "slot"):
        yield one, "delivery", {"fit": fit, "cold_c": -5.0, "house_humidity_pct": 40.0}
    yield one, "delivery", {"cold_c": -20.0, "house_humidity_pct": 60.0}
    yield one, "delivery", {"cold_c": 15.0, "house_humidity_pct": 40.0}
    yield one, "delivery", {"house_humidity_pct": 100.0}
    for humidity_pct in (20.0, 85.0):
        yield one, "crate", {"days": 3.0, "temperature_c": 20.0, "humidity_pct": humidity_pct}
    yield panel_seen((9.0, FLATTENED), (10.0, FINISHED), days=12.0, received=WET), "crate", {"humidity_pct": 95.0}
    yield one, "crate", {"days": 0.2, "temperature_c": 20.0, "humidity_pct": 40.0}


def _curing() -> Iterator[LotView]:
    hour = 1 / 24
    yield panel_seen(days=0.5 + hour)
    yield panel_seen(days=0.5 + hour, air=lambda _: (5.0, 50.0))
    yield panel_seen(days=0.5 + hour, air=lambda _: (9.0, 50.0))
    cold = lambda _: (4.0, 50.0)  # noqa: E731
    yield panel_seen(days=0.75, air=cold, clamp_h=12)
    yield panel_seen(days=0.75, air=cold)
    yield panel_seen((2.0, FLATTENED), days=4.0, air=cold)
    yield panel_seen(days=0.5 + hour, air=lambda _: (20.0, 12.0))
    yield panel_seen(days=0.75, clamp_h=0.25)
    yield panel_seen(days=0.75)
    yield panel_seen(days=0.95, air=lambda d: (20.0, 45.0) if d < 0.75 else (5.0, 60.0))
    yield panel_seen(days=3.0, adhesive="polyurethane", air=lambda _: (15.0, 45.0))
    yield panel_seen(days=0.75, adhesive="epoxy")
    sheet = {"lowest_c": 2.0, "clamp_h": [[10.0, 4.0], [20.0, 1.0]], "cure_h": [[10.0, 40.0], [20.0, 20.0]]}
    yield panel_seen(days=0.75, adhesive=None, sheet=sheet, air=lambda _: (6.0, 50.0))


def _resting() -> Iterator[LotView]:
    yield panel_seen(days=0.55)
    yield panel_seen(days=14.0, air=lambda d: (4.0 if d < 0.75 else 20.0, 45.0))
    yield panel_seen(days=4.0)
    yield panel_seen(days=12.0)
    yield panel_seen(days=12.0, air=lambda d: (20.0, 40.0 if d < 11 else 85.0), received={"thickness_mm": 60})
    yield panel_seen(days=12.0, air=lambda _: (20.0, 65.0), received=WET)
    yield panel_seen((2.0, FLATTENED), days=4.0)
    yield panel_seen((2.0, FLATTENED), (3.0, FINISHED), days=4.0)
    yield panel_seen((9.0, FLATTENED), days=12.0)


def _finishing() -> Iterator[LotView]:
    yield panel_seen((9.0, FLATTENED), days=12.0)
    yield panel_seen((9.0, FLATTENED), days=10.0, received=WET)
    yield panel_seen((9.0, FLATTENED), (10.0, ONE_FACE), days=12.0)
    yield panel_seen((2.0, FLATTENED), days=4.0)
    damp = lambda d: (20.0, 40.0 if d < 11.5 else 95.0)  # noqa: E731
    yield panel_seen((9.0, FLATTENED), days=13.0, air=damp, received={"thickness_mm": 60})


def _fitted() -> Iterator[LotView]:
    before = ((9.0, FLATTENED), (10.0, FINISHED))
    for more in (
        {},
        {"clearance_mm": 1.0, "slot_mm": None},
        {"slot_mm": 6},
        {"clearance_mm": None, "slot_mm": None},
        {"slot_mm": 9},
        {"slot_mm": 12, "slot_outside_mm": 1},
    ):
        fit = {key: value for key, value in {**FITTED, **more}.items() if value is not None}
        yield panel_seen(*before, (11.0, fit), days=12.0)
    damp = lambda d: (20.0, 40.0 if d < 12 else 95.0)  # noqa: E731
    yield panel_seen(*before, (11.0, {**FITTED, "clearance_mm": 0.3}), days=20.0, air=damp)
    fast: dict[str, Any] = {"kind": "fitted", "held": "restrained"}
    for start in ({}, {"start": {"kind": "metered", "mc_pct": 14.0}}):
        yield panel_seen(*before, (11.0, fast), days=12.0, received=start)
    yield panel_seen(*before, (11.0, fast), days=12.0, aim=Aim(7.6, 8.4, "A museum", "typed in"))


def _going_home() -> Iterator[LotView]:
    before = ((9.0, FLATTENED), (10.0, FINISHED))
    for day, house in enumerate(({}, {"heated": True, "new_plaster": False}, {"new_plaster": True}, {"heated": False})):
        yield panel_seen(*before, (11.0 + day / 24, {**CRATED, "house": house}), days=12.5)
    yield panel_seen(*before, days=12.0)
    yield panel_seen(*before, days=12.0, received=WET)
    yield panel_seen((9.0, FLATTENED), (10.0, ONE_FACE), days=12.0)
    yield panel_seen(*before, (11.0, {"kind": "fitted", "held": "restrained"}), days=12.0)


def _at_home() -> Iterator[LotView]:
    gone = ((9.0, FLATTENED), (10.0, FINISHED), (12.0, DELIVERED))
    yield panel_seen(*gone, days=20.0)
    yield panel_seen(*gone, (18.0, AT_HOME), days=20.0)
    yield panel_seen(*gone, (18.0, {**AT_HOME, "reading_pct": 24.0, "humidity_pct": 80}), days=20.0)
