"""What the shop says of itself that rules ask: zones off for the season, nobody there, lots that lie open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from server.config import Config
from server.rules.base import ShopFacts
from server.season import last_day_ms, within
from server.shop.lots import Shop
from server.stockroom import Stockroom

MINUTE_MS = 60_000


@dataclass(slots=True)
class FactsOf:
    """Called by the engine every turn; made anew once a minute, or when shop or configuration are others."""

    config: Callable[[], Config]
    stockroom: Stockroom
    _of: tuple[object, ...] = ()
    _facts: ShopFacts = field(default_factory=ShopFacts)

    def __call__(self, now_ms: int) -> ShopFacts:
        config, shop = self.config(), self.stockroom.shop
        known = bool(self.stockroom.course.at_ms or self.stockroom.trouble)
        of = config, shop, known, now_ms // MINUTE_MS
        if not self._of or self._of[0] is not config or self._of[1] is not shop or self._of[2:] != of[2:]:
            self._of, self._facts = of, replace(shop_facts(config, shop, now_ms), known=known)
        return self._facts


def shop_facts(config: Config, shop: Shop, now_ms: int) -> ShopFacts:
    """At a moment."""
    timezone = config.shop.timezone
    off = {zone.id: zone.off_season for zone in config.zones if zone.off_season is not None}
    return ShopFacts(
        {
            zone: last_day_ms(season, now_ms, timezone)
            for zone, season in off.items()
            if within(season, now_ms, timezone)
        },
        tuple(span for span in shop.away if span[1] > now_ms),
        Counter(lot.zone for lot in shop.lots.values() if not lot.ended and lot.lying != "wrapped"),
    )
