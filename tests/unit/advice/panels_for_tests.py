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


def panel_views() -> Iterator[LotView]:
    """Panels in every state that a sentence is made for."""
    yield from _curing()
    yield from _resting()


def _curing() -> Iterator[LotView]:
    hour = 1 / 24
    yield panel_seen(days=0.5 + hour)
    yield panel_seen(days=0.5 + hour, air=lambda _: (5.0, 50.0))
    yield panel_seen(days=0.5 + hour, air=lambda _: (9.0, 50.0))
    yield panel_seen(days=0.5 + hour, air=lambda _: (20.0, 12.0))
    yield panel_seen(days=0.75, clamp_h=0.25)
    yield panel_seen(days=0.75)
    yield panel_seen(days=3.0, adhesive="polyurethane", air=lambda _: (15.0, 45.0))
    yield panel_seen(days=0.75, adhesive="epoxy")
    cold = {"lowest_c": 2.0, "clamp_h": [[10.0, 4.0], [20.0, 1.0]], "cure_h": [[10.0, 40.0], [20.0, 20.0]]}
    yield panel_seen(days=0.75, adhesive=None, sheet=cold, air=lambda _: (6.0, 50.0))


def _resting() -> Iterator[LotView]:
    yield panel_seen(days=4.0)
    yield panel_seen(days=12.0)
    yield panel_seen(days=12.0, air=lambda d: (20.0, 40.0 if d < 11 else 85.0), received={"thickness_mm": 60})
    yield panel_seen((2.0, FLATTENED), days=4.0)
    yield panel_seen((9.0, FLATTENED), days=12.0)


def panels_asked() -> Iterator[tuple[LotView, str, dict[str, Any]]]:
    """Panels, and questions with something said."""
    yield panel_seen(days=4.0), "flatten", {}
