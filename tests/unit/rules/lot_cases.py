"""Rule, and a view in which it says something of a lot, for every way it can say it. Figures are made up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from server.reading import ZoneAir
from server.rules.base import RuleView, ZoneView
from server.rules.lot_view import LotView, Wrap
from tests.unit.rules.lots import AIM, DAY_MS, HOUR_MS, NOW_MS, WORK, band, course, lot, shop, still

EVENING_MS = NOW_MS + 4 * HOUR_MS + 40 * 60_000
"""Twenty minutes before the end of work."""
AWAY = (NOW_MS + 29 * HOUR_MS, NOW_MS + 10 * DAY_MS)
"""From the end of tomorrow's work on."""


def in_danger(index: float, wrapped: float = 0.5, **of: object) -> LotView:
    """A lot whose shell is ahead, and stays so as it lies; by tomorrow a wrap would leave ``wrapped``."""
    ways = still("as-it-lies", danger=index), course("wrapped", (0, 0, index, 8), (24, 0, wrapped, 8), (72, 0, 0, 8))
    given = {"danger": band(index), "courses": ways, **of}
    return lot(**given)


def bending(to_mm: float, half: float = 0.0, **kept: float) -> LotView:
    """A milled lot on one face that goes hollow to that within a day; ``kept`` is how far in other ways."""
    ways = [course("as-it-lies", (0, 0.0, 0, 8), (20, to_mm, 0, 8), (72, to_mm, 0, 8), half=half)]
    ways += [course(way, (0, 0.0, 0, 8), (20, mm, 0, 8), (72, mm, 0, 8)) for way, mm in kept.items()]  # type: ignore[arg-type]
    return lot(courses=tuple(ways), lying="one-face", milled_ms=NOW_MS - HOUR_MS, fresh=True)


def sweating(margin_k: float, *, measured: bool = False) -> LotView:
    wrap = Wrap(band(margin_k, 1.0), 8.0, 8.0 + margin_k, NOW_MS + 16 * HOUR_MS, 100.0, measured)
    return lot(lying="wrapped", wrap=wrap, courses=(still("as-it-lies"),))


def leaving(name: str = "tops", mm: float = 0.8) -> LotView:
    """Open, and out of flat by the time somebody is back."""
    days = (0, 0.0, 0, 8), (29, 0.2, 0, 8), (240, mm, 0, 7.5)
    return lot(name, courses=(course("as-it-lies", *days), still("wrapped", cup=0.05)))


def with_damper_loft(view: RuleView) -> RuleView:
    zones = [
        ZoneView(zone, AIM, ZoneAir(zone, NOW_MS, 18.0, 800.0, 40.0, 4.0, emc, emc - 0.5, emc + 0.5))
        for zone, emc in (("bench-room", 6.2), ("loft", 8.5), ("shed", 14.0))
    ]
    return replace(view, zones=zones)


def lot_cases() -> Iterator[tuple[str, RuleView]]:
    """See the module."""
    for sealed in (True, False, None):
        yield "lot-checks", shop(in_danger(3.4, ends_sealed=sealed))
    yield "lot-checks", with_damper_loft(shop(in_danger(3.4, wrapped=3.3)))
    yield "lot-checks", shop(in_danger(2.4, lying="wrapped", ends_sealed=False))
    yield "lot-checks", shop(in_danger(2.4, lying="wrapped"))
    rough = {"fresh": False, "milled_ms": None}
    for kept in ({"turned": 0.1}, {"stickered": 0.1}, {"wrapped": 0.1}, {}):
        yield "lot-cup", shop(replace(bending(0.8, **kept), **rough))
    yield "lot-cup", shop(replace(bending(0.8, wrapped=0.1), hollow="bottom", **rough))
    for kept in ({"turned": 0.1}, {"stickered": 0.1}, {"wrapped": 0.1}):
        yield "milled-open", shop(bending(0.8, **kept), now_ms=EVENING_MS)
    past = {"holds_ms": NOW_MS - DAY_MS, "look": True}
    yield "lots-unconfirmed", shop(lot("tops", **past))
    yield "lots-unconfirmed", shop(lot("tops", **past), lot("rails", **{**past, "look": False}))
    yield "wrap-sweating", shop(sweating(-3.0))
    yield "wrap-sweating", shop(sweating(-1.0, measured=True))
    yield "lot-good", shop(lot(good_since_ms=NOW_MS - 8 * HOUR_MS))
    for names in (("tops",), ("tops", "rails"), ("tops", "rails", "feet", "legs"), ("a", "b", "c", "d", "e")):
        yield "away", shop(*(leaving(name) for name in names), away=(AWAY,))


__all__ = ["AWAY", "EVENING_MS", "WORK", "bending", "in_danger", "leaving", "lot_cases", "sweating"]
