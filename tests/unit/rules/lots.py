"""Lots as rules see them, for the tests of rules: one that lies well, and what changes of it. Figures are made up."""

from __future__ import annotations

from typing import Any

from server.reading import Aim
from server.rules.base import RuleView, ShopFacts
from server.rules.lot_view import Band, Course, Leaving, LotView, Point
from server.rules.spans import Span

HOUR_MS = 3_600_000
DAY_MS = 24 * HOUR_MS
NOW_MS = 1_799_755_200_000
"""A Wednesday, 12:00 UTC."""
WORK = tuple((NOW_MS + d * DAY_MS - 4 * HOUR_MS, NOW_MS + d * DAY_MS + 5 * HOUR_MS) for d in range(-1, 6))
"""From 8 to 17 every day."""
AIM = Aim(6.0, 10.0, "heated rooms", "Wood Handbook FPL-GTR-190 Table 13-2")


def band(middle: float, half: float = 0.0) -> Band:
    return Band(middle, middle - half, middle + half)


def course(
    leaving: Leaving, *rows: tuple[float, float, float, float], half: float = 0.0, now_ms: int = NOW_MS
) -> Course:  # fmt: skip
    """Of rows of hours from now, cup, danger and mean."""
    return Course.of(leaving, tuple(
        Point(now_ms + round(h * HOUR_MS), band(cup, half), band(danger, half), band(mean))
        for h, cup, danger, mean in rows
    ))  # fmt: skip


def still(leaving: Leaving, cup: float = 0.0, danger: float = 0.0, mean: float = 8.0) -> Course:
    """One that stays as it is."""
    return course(leaving, (0, cup, danger, mean), (72, cup, danger, mean))


def lot(name: str = "tops", **of: Any) -> LotView:
    """One that rests on its stickers, with whatever is otherwise."""
    given: dict[str, Any] = {
        "id": name, "name": name.capitalize(), "zone": "bench-room", "aim": AIM, "at_ms": NOW_MS, "lying": "stickered",
        "laid_ms": NOW_MS - DAY_MS, "confirmed_ms": NOW_MS - DAY_MS, "holds_ms": NOW_MS + 6 * DAY_MS, "width_mm": 180.0,
        "tolerance_mm": 0.3, "verdict": "ready", "mean_pct": band(8.0), "cup_mm": band(0.0), "hollow": "top",
        "danger": band(0.0), "danger_per_pct": 0.6, "good": True, "good_since_ms": NOW_MS - 30 * DAY_MS,
        "courses": (still("as-it-lies"), still("stickered"), still("wrapped")),
    }  # fmt: skip
    return LotView(**{**given, **of})


def shop(*lots: LotView, now_ms: int = NOW_MS, away: tuple[Span, ...] = (), **of: Any) -> RuleView:
    """With these lots, worked in from 8 to 17."""
    return RuleView(now_ms, lots=lots, shop=ShopFacts(away=away), **{"work": WORK, **of})
