"""What questions about a panel look up beside its lot: each reads the record, and only when it is called."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from server.advice.kept import Kept
from server.bins import BIN_MS
from server.model.again import lineage, programs_of
from server.model.air import ShopAir
from server.model.course import newest
from server.model.recorded import RecordedShelf, recorded_air
from server.model.run import Programs, run
from server.model.woods import Wood
from server.reading import Aim
from server.shop.acts import edge_of
from server.shop.lot import Lot
from server.stockroom import Stockroom
from server.wood.season import Season

_STOOD: Kept[Wood | None] = Kept(256)
"""When a panel was fitted is asked for at every half hour, and its past is seldom another."""


@dataclass(frozen=True, slots=True)
class PanelLooks:
    """``recorded`` is the air of the zones it lay in, from a moment's half hour to now (None where that is none);
    ``stood`` what was held of it at a moment, members caught up (None before it was there); ``season`` a zone's year by
    its own record (None without one); ``destinations`` the aims of those there are."""

    recorded: Callable[[int], ShopAir | None]
    stood: Callable[[int], Wood | None]
    season: Callable[[str], Season | None]
    destinations: Mapping[str, Aim]


def looks_of(stockroom: Stockroom, lot: Lot, programs: Programs, at_ms: int) -> PanelLooks:
    """Those of one panel, at a closed half hour. What they call raises StoreError."""
    return PanelLooks(
        partial(_recorded, stockroom, lot, at_ms), partial(_stood, stockroom, lot, programs, at_ms),
        lambda zone: stockroom.seasons.of(stockroom.history, zone, at_ms), stockroom.destinations(),
    )  # fmt: skip


def _zones(programs: Programs) -> list[str]:
    return sorted({done.act.zone for acts in programs.values() for done in acts if hasattr(done.act, "zone")})


def _recorded(stockroom: Stockroom, lot: Lot, at_ms: int, from_ms: int) -> ShopAir | None:
    zones, from_ms = _zones({lot.id: lot.acts}), edge_of(from_ms)
    if not zones or at_ms < from_ms + BIN_MS:
        return None
    return recorded_air(stockroom.history, zones, from_ms, at_ms)


def _stood(stockroom: Stockroom, lot: Lot, programs: Programs, at_ms: int, t_ms: int) -> Wood | None:
    edge_ms, kin = min(edge_of(t_ms), at_ms), programs_of(lineage(lot.id, programs), programs)
    if not lot.acts or lot.acts[0].edge_ms >= edge_ms:
        return None
    start = newest(RecordedShelf(stockroom.history), kin, edge_ms)
    if start.at_ms >= edge_ms:
        return start.woods.one(lot.id).caught_up() if lot.id in start.woods else None
    air = recorded_air(stockroom.history, _zones(kin), start.at_ms, edge_ms)

    def again() -> Wood | None:
        woods = run(start, kin, air, edge_ms).woods
        return woods.one(lot.id).caught_up() if lot.id in woods else None

    return _STOOD.of((lot.id, start, kin, air, edge_ms), again)
