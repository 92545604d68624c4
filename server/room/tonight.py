"""All that is said of a room tonight, from the record, the stock and what was learnt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from server.config import Shop
from server.documents import Document, Said
from server.reading import Aim, ClosedBin, OutlookPoint, ZoneAir
from server.room.base import RoomLine, RoomView, held_by
from server.room.catalog import answered
from server.room.hours import zone_hours
from server.room.learning import Learnt
from server.room.night import OUTDOORS_BACK_MS, Night, extractor_hours, night_span, outdoors_tonight, usual_c
from server.room.stock import stock_water
from server.room.views import Ground
from server.snapshot import Speaker
from server.stockroom import Stockroom
from server.stores.port import History
from server.words import Telling


class RoomLineDocument(Document):
    """One question answered. Keys of ``figures`` end in their unit; ``_low`` and ``_high`` are the ends of a figure's
    central 80 %. ``flags`` name what is missing, assumed or refused."""

    question: str
    said: list[Said]
    figures: dict[str, float | int | None]
    sources: list[str]
    caution: Said | None
    flags: list[str]


class TonightDocument(Document):
    """What holds the aim of a zone's air from ``from_ms`` to ``to_ms``, by its air at ``at_ms``. ``hold_pct`` (% MC) is
    what the air is to draw wood to; ``side`` is the one of the aim's limits that is nearer, or the side of what was
    asked for that the air stands on."""

    zone: str
    at_ms: int
    from_ms: int
    to_ms: int
    side: str
    hold_pct: float
    dry_limit_pct: float
    damp_limit_pct: float
    lines: list[RoomLineDocument]


@dataclass(frozen=True, slots=True)
class Asked:
    """A zone tonight, as it was when somebody asked: :meth:`document` is worked out beside the loop. ``yard`` is the
    air outdoors, None where nobody hears it; ``hold_pct`` what is to be held, None for what the aim says."""

    zone: str
    aim: Aim
    air: ZoneAir
    yard: ZoneAir | None
    ground: Ground
    ahead: tuple[OutlookPoint, ...]
    telling: Telling
    hold_pct: float | None = None

    def document(self, history: History, stockroom: Stockroom, speaker: Speaker) -> TonightDocument:
        """All of it. Raises StoreError."""
        view = self.view(history, stockroom)
        lines = answered(view)
        return TonightDocument(
            zone=self.zone, at_ms=self.air.t_ms, from_ms=view.night.from_ms, to_ms=view.night.to_ms, side=view.side,
            hold_pct=view.hold_pct, dry_limit_pct=self.aim.dry_limit_pct, damp_limit_pct=self.aim.damp_limit_pct,
            lines=[_line(line, speaker) for line in lines],
        )  # fmt: skip

    def view(self, history: History, stockroom: Stockroom) -> RoomView:
        """As values. Raises StoreError."""
        shop, table = self.ground.config.shop, next(z for z in self.ground.config.zones if z.id == self.zone)
        hold_pct, side = held_by(self.aim, self.air.emc_pct)
        if self.hold_pct is not None:
            hold_pct, side = self.hold_pct, "dry" if self.air.emc_pct <= self.hold_pct else "damp"
        night = self._night(shop, history)
        learnt = self.ground.learnt.get(self.zone, Learnt())
        view = RoomView(table, self.aim, self.air, night, learnt, self.telling, hold_pct, side, self.ahead)
        woods, lots, seconds = stockroom.present(), stockroom.shop.lots, 3600.0 * night.hours
        now, held = (
            stock_water(woods, lots, self.zone, temperature_c=night.indoor_c, rh=rh, seconds=seconds)
            for rh in (view.night_rh, view.hold_rh)
        )
        span = night.from_ms, night.to_ms
        return replace(view, extractor_h=extractor_hours(table, span, shop.timezone), stock_now=now, stock_held=held)

    def _night(self, shop: Shop, history: History) -> Night:
        now_ms = self.telling.now_ms
        span = night_span(now_ms, shop)
        closed: Sequence[ClosedBin] = self.ground.closed.get(self.zone, ())
        indoor_c = min(45.0, max(-15.0, usual_c(closed, span, self.air.temperature_c)))
        outdoors, yard = None, self.ground.outdoors
        if yard is not None and self.yard is not None:
            hours = zone_hours(history, yard, now_ms - OUTDOORS_BACK_MS, now_ms)
            outdoors = outdoors_tonight(hours, self.yard, span, now_ms, shop.timezone)
        return Night(*span, indoor_c, outdoors)


def _line(line: RoomLine, speaker: Speaker) -> RoomLineDocument:
    return RoomLineDocument(
        question=line.question, said=[speaker.say(one) for one in line.said], figures=dict(line.figures),
        sources=list(line.sources), caution=speaker.maybe(line.caution), flags=list(line.flags),
    )  # fmt: skip
